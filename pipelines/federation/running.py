"""A federation's run, from the squads' homes to the reference tables. A run with nothing new does nothing."""

import datetime as dt
import hashlib
import json
import shutil
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Protocol

import polars as pl

from pipelines.board import fingerprints
from pipelines.errors import ThirdstepError
from pipelines.federation import reference
from pipelines.federation.export import Torn, export, read_export, read_table, squads_of, state_of
from pipelines.federation.lake import Current, Lake
from pipelines.federation.questions import Answers, on_duckdb
from pipelines.federation.task import Told, Wish, derive_frames, do_one, kept_path
from pipelines.home.durable import make_folder
from pipelines.home.folder import Home, only_federation
from pipelines.home.telling import Tell, tell_nothing
from schemas.tolerance import are_alike

ALIKE_ENGINES = 1e-12  # share: two engines add the same numbers up in another order


class Engine(Protocol):
    """What derives squads, and may answer questions a second time."""

    name: str

    def derive(self, wishes: Sequence[str], tell: Tell) -> list[str]:
        """Return what each task says."""

    def answers(self, lake: Lake) -> Answers | None:
        """Return the answers as this engine computes them; null where it is the one that computes them anyhow."""


class Here:
    """No engine: one squad after the other in this process."""

    name = "this process"

    def derive(self, wishes: Sequence[str], tell: Tell) -> list[str]:
        """Return what each task says."""
        told = []
        for done, wish in enumerate(wishes):
            tell(done, len(wishes), json.loads(wish)["squad"])
            told.append(do_one(wish))
        return told

    def answers(self, lake: Lake) -> Answers | None:
        """Return nothing: DuckDB answers in this process."""
        return None


@dataclass
class Report:
    """What a run did."""

    derived: list[Told] = field(default_factory=list)
    unchanged: list[str] = field(default_factory=list)
    left_out: dict[str, str] = field(default_factory=dict)  # squad -> why
    gone: list[str] = field(default_factory=list)
    compared: str = ""  # the squad that was derived here as well
    current: Current = field(default_factory=Current)
    answers: Answers = field(default_factory=dict)
    reference: Path | None = None
    cells: int = 0
    is_new_reference: bool = False
    worst_difference: float | None = None  # between two engines' answers, as a share


def run(
    homes: Iterable[Home],
    folder: Path,
    engine: Engine,
    *,
    again: bool = False,
    tell: Tell = tell_nothing,
    stage: Callable[[str], None] = lambda _: None,
) -> Report:
    """Derive the squads of whom something is new, publish what they share, ask, and write the reference tables.

    Args:
        homes: The squads' homes; a squad in the lake whose home is not among them is taken out of it.
        folder: Where lake and reference tables lie.
        engine: What derives.
        again: Write the reference tables of this quarter once more.
        tell: Is told how far each stage is.
        stage: Is told what comes next.

    Raises:
        ThirdstepError: Two homes are one squad, a task died again and again, or the engine's results are not ours.
    """
    squads = squads_of(homes)
    make_folder(folder)
    with only_federation(folder, stage):
        return _run(squads, folder, engine, again=again, tell=tell, stage=stage)


def _run(
    squads: Mapping[str, Home], folder: Path, engine: Engine, *, again: bool, tell: Tell, stage: Callable[[str], None]
) -> Report:
    lake = Lake(folder / "lake")
    report = Report(current=lake.current())
    stage("Looking what is new")
    now, code = _states(squads, report, tell), fingerprints.of_code()
    before = report.current.squads
    todo = [key for key, made in now.items() if before.get(key, {}) | {"as_of": ""} != _made(made, code)]
    report.gone = [key for key in before if key not in squads]
    report.unchanged = [key for key in now if key not in todo]
    if todo or report.gone:
        stage(f"Deriving {len(todo)} squads on {engine.name}")
        told = _derive(todo, squads, engine, report, tell)
        stage("Publishing what is shared")
        kept = {key: made for key, made in before.items() if key in squads}
        fresh = {one.squad: _made(one.print, one.code) | {"as_of": one.as_of} for one in told}
        report.current = lake.publish(_shared(told, squads), {**kept, **fresh}, report.gone, tell)
        report.derived = told
        for one in told:
            for made_only in ("export", "derived"):
                shutil.rmtree(squads[one.squad].federation / made_only, ignore_errors=True)
    _answer(report, lake, engine, folder, again=again, is_new=bool(todo or report.gone), stage=stage)
    return report


def _made(of: str, code: str) -> dict[str, str]:
    return {"print": of, "code": code, "as_of": ""}


def _states(squads: Mapping[str, Home], report: Report, tell: Tell) -> dict[str, str]:
    found = {}
    for done, (key, home) in enumerate(squads.items()):
        tell(done, len(squads), key)
        try:
            found[key] = state_of(home)[0]
        except ThirdstepError as trouble:
            report.left_out[key] = trouble.message
    tell(len(squads), len(squads), "")
    return found


def _derive(todo: Sequence[str], squads: Mapping[str, Home], engine: Engine, report: Report, tell: Tell) -> list[Told]:
    rows: dict[str, int] = {}
    for done, key in enumerate(todo):
        tell(done, len(todo), f"record of {key}")
        try:
            rows[key] = sum(count for count, _ in export(squads[key]).tables.values())
        except ThirdstepError as trouble:
            report.left_out[key] = trouble.message
    # The squad with the least to derive is derived here too: another processor, or another version, would show.
    least = min(rows, key=lambda key: (rows[key], key), default="") if engine.name != Here.name else ""
    wishes = [Wish(key, str(squads[key].root), keeps=key == least).to_json() for key in rows]
    told = []
    for one in (Told(**json.loads(text)) for text in (engine.derive(wishes, tell) if wishes else [])):
        wrong = one.trouble or _torn(one, squads[one.squad])
        if wrong:
            report.left_out[one.squad] = wrong
        else:
            told.append(one)
    if any(one.squad == least for one in told):
        _compare(squads[least])
        report.compared = least
    return told


def _compare(home: Home) -> None:
    """Derive one squad here as well.

    Raises:
        ThirdstepError: Its tables came out otherwise than on the cluster.
    """
    told, record = read_export(home.federation / "export")
    differ = []
    for name, frame in derive_frames(home, record, told.as_of).items():
        there = pl.read_parquet(kept_path(home, name), hive_partitioning=False)
        if not are_alike(frame, there):
            differ.append(name)
    if differ:
        raise ThirdstepError(
            f"The cluster's tables of squad '{told.squad}' are not those of this machine: {', '.join(sorted(differ))} "
            "differ by more than another processor explains (a hundred-millionth). Nothing was published. Bring every "
            "machine to the same versions of thirdstep and its libraries."
        )


def _torn(told: Told, home: Home) -> str:
    """Return what is wrong with the files a squad shares; "" where nothing is."""
    for name, (_, sha) in told.shared.items():
        path = home.federation / "shared" / f"{name}.parquet"
        if not path.exists() or hashlib.sha256(path.read_bytes()).hexdigest() != sha:
            return f"what it shares ({path}) is missing, cut off or damaged. The other squads went on; run it again."
    return ""


def _shared(told: Sequence[Told], squads: Mapping[str, Home]) -> Iterator[tuple[str, dict[str, pl.DataFrame]]]:
    for one in told:
        folder = squads[one.squad].federation / "shared"
        yield one.squad, {name: read_table(folder / f"{name}.parquet", sha) for name, (_, sha) in one.shared.items()}


def _answer(
    report: Report, lake: Lake, engine: Engine, folder: Path, *, again: bool, is_new: bool, stage: Callable[[str], None]
) -> None:
    """Ask, where something is new or nothing was written yet, and write the quarter's reference tables once."""
    days = [made["as_of"] for made in report.current.squads.values() if made.get("as_of")]
    if not days:
        return
    quarter = reference.quarter_of(dt.date.fromisoformat(max(days)))
    report.reference = reference.path_of(folder, quarter)
    if not is_new and not again and report.reference.exists():
        return
    stage("Asking")
    report.answers = on_duckdb(lake)
    theirs = engine.answers(lake) if is_new else None
    if theirs is not None:
        report.worst_difference = difference(report.answers, theirs)
        if report.worst_difference > ALIKE_ENGINES:
            raise ThirdstepError(
                f"DuckDB and {engine.name} answer differently (by {report.worst_difference:.1e} of a value). "
                "No reference table was written. Please report this."
            )
    if again or not report.reference.exists():
        report.reference, report.cells = reference.publish(folder, report.answers, quarter)
        report.is_new_reference = True


def difference(one: Answers, other: Answers) -> float:
    """Return the greatest difference of two engines' answers, as a share; infinite where cells are not the same."""
    worst = 0.0
    for question, rows in one.items():
        if len(rows) != len(other[question]):
            return float("inf")
        for a, b in zip(rows, other[question], strict=True):
            for name, value in a.items():
                if isinstance(value, float) and isinstance(b[name], float):
                    worst = max(worst, abs(value - b[name]) / max(abs(value), abs(b[name]), 1e-300))
                elif value != b[name]:
                    return float("inf")
    return worst


__all__ = ["Answers", "Here", "Report", "Torn", "difference", "run"]
