"""Erasing a person: out of every source, the record and its history, the boards, the accounts and the trail.

The sources are made anew without the person's rows, the log without their loads and names, and the record is replayed
from them, so that it is again what its sources give. What stays is a receipt in the log: how many rows, when.
"""

import dataclasses
import json
import os
import shutil
import tomllib
from collections.abc import Callable, Sequence
from contextlib import closing
from pathlib import Path
from typing import Any

import polars as pl
import tomli_w

from pipelines.accounts.file import ERASED
from pipelines.errors import ThirdstepError
from pipelines.home.folder import Home, Say, only_publisher, say_nothing
from pipelines.intake.passage import read_texts
from pipelines.person import cutting
from pipelines.person.cutting import Cut
from pipelines.person.naming import Named, named
from pipelines.person.traces import find_traces
from pipelines.record import backup_index, opening, replaying, warehouse
from pipelines.record import replacement as swapping
from pipelines.record.sources import journal, keep, read_source, source_path
from pipelines.record.sources.journal import Event

Tell = Callable[[int, int, str], None]
PLACEHOLDER = "erased"  # a load, undo or redo of which nothing is left
RECEIPT = "erase"
SHA256_LENGTH = 64  # characters in hex


@dataclasses.dataclass(frozen=True)
class Erased:
    """The receipt of an erasure. It names nobody."""

    rows: int
    sources_changed: int
    sources_gone: int
    waiting: int  # set-aside cells that went with them
    accounts: int
    log_lines: int  # lines of the dashboard's log that the name was blotted out of
    taken_away: int  # files and printed sheets that left this home until now: whose rows they hold nobody knows
    traces: tuple[str, ...]  # where the name still stands; empty when nowhere
    outside: tuple[str, ...]  # backup files that still hold the person: in the home, and those made of it elsewhere


def who_is(home: Home, athlete_id: str, say: Say = say_nothing) -> Named:
    """Return how an athlete of the record is named.

    Raises:
        ThirdstepError: There is no such athlete.
    """
    with opening.record(home, say, to_look=True) as con:
        versions = con.execute("select distinct athlete_id, display_name from version_athlete").fetchall()
        called = con.execute(
            "select distinct unnest([call_name, code]) as written from version_athlete where athlete_id = ?",
            [athlete_id],
        ).fetchall()
    names = [name for key, name in versions if key == athlete_id and name]
    others = [text for key, name in versions if key != athlete_id for text in (key, name) if text]
    if not names:
        raise ThirdstepError(f"There is no athlete '{athlete_id}'. 'thirdstep table athlete' lists them.")
    written = [*_answered(home, athlete_id), *(name for (name,) in called if name)]
    return named(athlete_id, names, others, written, signers_of(home, athlete_id))


def signers_of(home: Home, athlete_id: str) -> list[str]:
    """Return the sign-in names tied to an athlete."""
    if not home.access.exists():
        return []
    from pipelines.accounts.accounts import Accounts  # hashing makes it slow to import

    return list(Accounts(home.access).names_of(athlete_id))


def _answered(home: Home, athlete_id: str) -> list[str]:
    """Return the spellings that were answered to be this athlete, from the log."""

    def found(told: Any) -> list[str]:
        if isinstance(told, dict):
            answers = told.get("athletes")
            here = (
                [str(name) for name, who in answers.items() if who == athlete_id] if isinstance(answers, dict) else []
            )
            return here + [text for value in told.values() for text in found(value)]
        return [text for value in told for text in found(value)] if isinstance(told, list) else []

    return [text for event in journal.read_events(home.sources) for text in found(event.options)]


def erase(home: Home, athlete_id: str, by: str, say: Say = say_nothing, tell: Tell | None = None) -> Erased:
    """Erase a person from a home. The board is to be built again afterwards.

    Raises:
        ThirdstepError: There is no such athlete, a source is damaged, or the rest would not come out as before.
    """
    who = who_is(home, athlete_id, say)
    with only_publisher(home, say), opening.closed(home, say):  # else a board begun before would come out after
        folder = swapping.start_over(home)
        with closing(warehouse.connect(home.record)) as con:
            rejected = warehouse.table(con, "rejected")
            before = _others(con, who)
            theirs = _lines_known(con, who)
        cuts, moved = _cut_sources(home, folder, who, rejected, theirs)
        rows = write_log(home, folder, who, by, cuts, moved)
        copy_the_rest(home, folder, who)
        with closing(warehouse.connect(folder / home.record.name)) as con:
            oddities = replaying.replay(con, Home(folder), tell or (lambda *_: None))
            after = _others(con, who)
            waiting = rejected.height - warehouse.table(con, "rejected").height
        different = [name for name in before if _differ(before[name], after[name], who)]
        if oddities or different:
            shutil.rmtree(folder, ignore_errors=True)
            what = "; ".join(oddities) or f"rows of others in {', '.join(different)} would change"
            raise ThirdstepError(f"Nothing was erased: {what}. Please report this.")
        accounts = len(who.signers)
        log_lines = blot_logs(home, who)
        shutil.rmtree(home.federation, ignore_errors=True)  # made again, without them, when next asked for
        swapping.decide(home, athlete_id, ERASED if by in who.signers else by)
        swapping.finish(home)
    log_lines += blot_logs(home, who)  # what the dashboard said meanwhile
    taken_away = _taken_away(home)
    gone = sum(cut.content is None for cut in cuts.values())
    changed = sum(1 for sha, new in moved.items() if sha != new)
    traces = tuple(find_traces(home, who))
    inside = {path.absolute() for path in home.root.rglob("*.zip")}
    outside = tuple(sorted({*map(str, inside), *backup_index.holding_the_erased(home)}))
    return Erased(rows, changed, gone, waiting, accounts, log_lines, taken_away, traces, outside)


def blot_logs(home: Home, who: Named) -> int:
    """Blot a name out of what the dashboard said, in place: it may be writing there. Return the lines changed."""
    count = 0
    for path in sorted(home.root.glob(f"{home.dashboard_log.stem}*.log")):
        text = path.read_text(encoding="utf-8", errors="replace")
        lines = text.splitlines(keepends=True)
        kept = [who.redacted(line) for line in lines]
        changed = sum(one != other for one, other in zip(lines, kept, strict=True))
        if changed:
            with path.open("r+", encoding="utf-8", errors="replace", newline="") as file:
                file.write("".join(kept))
                file.truncate()
        count += changed
    return count


def _taken_away(home: Home) -> int:
    from pipelines.accounts.accounts import Accounts  # hashing makes it slow to import

    return Accounts(home.access).taken_away()


def _others(con: warehouse.Connection, who: Named) -> dict[str, pl.DataFrame]:
    """Return the current rows of all others, without where they came from."""
    frames = warehouse.record_frames(con)
    return {
        name: frame.filter(pl.col("athlete_id") != who.athlete_id) if "athlete_id" in frame.columns else frame
        for name, frame in frames.items()
    }


def _differ(before: pl.DataFrame, after: pl.DataFrame, who: Named) -> bool:
    """Return whether rows of others have changed by more than a name blotted out of their words."""
    if before.equals(after, null_equal=True):
        return False
    words = pl.selectors.string().map_elements(who.redacted, return_dtype=pl.String)
    return not before.with_columns(words).equals(after.with_columns(words), null_equal=True)


def _lines_known(con: warehouse.Connection, who: Named) -> pl.DataFrame:
    """Return the lines of sources that the record took for this person's and nobody else's, however they name them."""
    tables = [name for name, shape in warehouse.SHAPES.items() if "athlete_id" in shape.columns]
    each = " union all ".join(
        f'select load_no, source_sheet, source_line, athlete_id from "version_{name}"' for name in tables
    )
    return con.sql(
        f"select load_no, source_sheet, source_line from ({each}) group by all"
        " having min(athlete_id) = $who and max(athlete_id) = $who",
        params={"who": who.athlete_id},
    ).pl()


def _cut_sources(
    home: Home, folder: Path, who: Named, rejected: pl.DataFrame, theirs: pl.DataFrame
) -> tuple[dict[str, Cut], dict[str, str]]:
    """Write every source anew, mends last; return what was cut of each and where its bytes went."""
    cuts: dict[str, Cut] = {}
    moved: dict[str, str] = {}
    loads = [event for event in journal.read_events(home.sources) if event.what == "load"]
    maybe = rejected.filter(pl.col("athlete_id").is_null() | (pl.col("athlete_id") == who.athlete_id))
    aside = _lines_aside(loads, maybe)
    told = rejected.filter(pl.col("athlete_id") == who.athlete_id).select(theirs.columns)
    certain = _lines_aside(loads, pl.concat([theirs, told]))
    for event in sorted(loads, key=lambda one: one.kind == "mend"):
        if event.sha256 in cuts:
            continue
        content = read_source(home.sources, event.sha256)
        if event.kind == "mend":
            cut = cutting.cut_mend(content, who, cuts, moved)
        elif event.kind == "entry":
            cut = cutting.cut_entry(content, who)
        else:
            texts, _, _ = read_texts(event.name, content, event.kind)
            lines = cutting.lines_of(texts, who, aside[event.sha256]) | certain[event.sha256]
            is_named = bool(lines) or any(who.redacted(text) != text for text in cutting.all_text(event.name, content))
            cut = cutting.cut_file(event.name, content, texts, lines, who) if is_named else Cut(content, 0)
        cuts[event.sha256] = cut
        if cut.content is not None:
            moved[event.sha256] = keep_again(home, folder, event, content, cut.content, who)
    return cuts, moved


def _lines_aside(loads: Sequence[Event], rejected: pl.DataFrame) -> dict[str, set[tuple[str, int]]]:
    """Return some lines of loads by source."""
    by_load = cutting.waiting_lines(rejected)
    found: dict[str, set[tuple[str, int]]] = {}
    for event in loads:
        found.setdefault(event.sha256, set()).update(by_load.get(event.load_no, set()))
    return found


def keep_again(home: Home, folder: Path, event: Event, old: bytes, new: bytes, who: Named) -> str:
    """Keep what is left of a source; unchanged bytes are not copied where the file system can share them."""
    target = folder / "sources"
    by = ERASED if event.by in who.signers else event.by
    if new == old:
        path = source_path(target, event.sha256)
        path.parent.mkdir(parents=True, exist_ok=True)
        try:
            os.link(source_path(home.sources, event.sha256), path)
        except OSError:
            shutil.copy2(source_path(home.sources, event.sha256), path)
    return keep(target, who.redacted(event.name), new, by, event.at)


def write_log(home: Home, folder: Path, who: Named, by: str, cuts: dict[str, Cut], moved: dict[str, str]) -> int:
    """Write the log anew: loads of which nothing is left become empty places, and the receipt comes last."""
    target, gone, last = folder / "sources", set(), 0
    for event in journal.read_events(home.sources):
        signer = ERASED if event.by in who.signers else event.by
        if event.load_no in gone or (event.what == "load" and cuts[event.sha256].content is None):
            gone.add(event.load_no)
            kept = Event(event.event_no, PLACEHOLDER, event.load_no, "", event.at)
        elif event.what == "load":
            kept = dataclasses.replace(
                event, sha256=moved[event.sha256], name=who.redacted(event.name), by=signer,
                options=_options_without(event.options, who),
            )  # fmt: skip
        else:
            kept = dataclasses.replace(event, by=signer)
        journal.write_event(target, kept)
        last = event.event_no
    rows = sum(cut.rows for cut in cuts.values())
    counted = {"rows": rows, "sources_changed": sum(s != n for s, n in moved.items()), "sources_gone": len(gone),
               "head_before": journal.head(home.sources)}  # fmt: skip
    signer = ERASED if by in who.signers else by
    journal.write_event(target, Event(last + 1, RECEIPT, 0, signer, opening.now(), options=counted))
    return rows


def _options_without(options: dict[str, Any], who: Named) -> dict[str, Any]:
    """Return what a load was given, without the person; who brought it stays said, as somebody erased."""
    pruned: dict[str, Any] = who.pruned({name: value for name, value in options.items() if name != "writer"})
    if "others" in pruned:  # names that were nobody's, as they were written
        pruned["others"] = [one for one in pruned["others"] if not cutting.is_nearly([one], who)]
    writer = options.get("writer")
    if not writer:
        return pruned
    if writer.get("name") in who.signers or who.is_cell(writer.get("name")):
        writer = {**writer, "name": ERASED}
    if writer.get("athlete_id") == who.athlete_id:
        writer = {**writer, "athlete_id": ERASED}
    return {**pruned, "writer": writer}


def copy_the_rest(home: Home, folder: Path, who: Named) -> None:
    """Copy what else is kept among the sources (changes of rules), and the answers, without the name."""
    for path in sorted(home.sources.rglob("*.json")):
        inside = path.relative_to(home.sources)
        if len(path.stem) == SHA256_LENGTH or inside.parts[0] == "log":
            continue
        told = who.pruned(json.loads(path.read_text(encoding="utf-8")))
        target = folder / "sources" / inside
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_text(json.dumps(told, ensure_ascii=False, indent=1), encoding="utf-8")
    if home.answers.exists():
        told = who.pruned(tomllib.loads(home.answers.read_text(encoding="utf-8")))
        (folder / home.answers.name).write_text(tomli_w.dumps(told), encoding="utf-8")
    if backup_index.made(home):
        (folder / backup_index.NAME).write_bytes(backup_index.after_erasure(home, who.redacted))
