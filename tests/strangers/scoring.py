"""Hold a home against an answer key: stored right, stored wrong, waiting, by kind of fact, for every table.

A stored value is right when the key has that value for that athlete and day; wrong when the key has none like it. A
fact that is not stored waits: it was asked for or set aside. Ratings are laid on our scale by the line the key gives.
"""

import dataclasses
import datetime as dt
from collections import Counter, defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any

from pipelines import flow
from pipelines.cells.ratings import laid_on
from schemas.reading import Scale
from schemas.shape import table_shape
from schemas.spelling import fold

Fact = Mapping[str, Any]
Row = Mapping[str, Any]
STARTS = {"blocks", "standing", "three_point", "falling", "rolling"}


@dataclasses.dataclass(frozen=True)
class Kind:
    """Where a kind of fact is stored: table, day, column, how far a value may be off, what else must agree."""

    table: str
    day: str
    column: str
    tolerance: float = 0.0005
    agrees: Callable[[Fact, Row], bool] = lambda _fact, _row: True
    factor: float = 1.0  # from the key's unit to ours


def _side(side: str) -> Callable[[Fact, Row], bool]:
    return lambda _fact, row: row["side"] == side and row["test"] == "eccentric_hamstring"


def _lift(fact: Fact, row: Row) -> bool:
    return fold(str(fact["exercise"])).replace(" ", "_") == row["exercise"] and fact["reps"] == row["reps"]


def _step(fact: Fact, row: Row) -> bool:
    return fact["step"] == row["step_no"]


KINDS: dict[str, list[Kind]] = {
    "duration": [Kind("session", "session_date", "duration_min", 0.01)],
    "rpe": [Kind("session", "session_date", "effort_0_10", 0.01)],
    "sleep_duration": [Kind("checkin", "checked_on", "sleep_h", 0.01)],
    **{
        name: [Kind("checkin", "checked_on", name, 0.01)]
        for name in ("sleep_quality", "fatigue", "soreness", "stress", "mood")
    },
    "hamstring_left": [Kind("checkin", "checked_on", "hamstring_tightness_l", 0.01)],
    "hamstring_right": [Kind("checkin", "checked_on", "hamstring_tightness_r", 0.01)],
    "body_mass": [Kind("body_measure", "measured_on", "body_mass_kg", 0.01)],
    "height": [Kind("body_measure", "measured_on", "height_m", 0.003)],
    "gym_load": [Kind("lift_set", "session_date", "load_kg", 0.01, _lift)],
    "set_effort": [Kind("lift_set", "session_date", "set_effort", 0.01, _lift)],
    "jump_height": [Kind("jump_test", "tested_on", "jump_height_m", 0.001)],
    "long_jump": [Kind("jump_test", "tested_on", "jump_length_m", 0.003)],
    "jump_contact": [Kind("jump_test", "tested_on", "contact_s", 0.0005)],
    "eccentric_force_left": [Kind("force_test", "tested_on", "peak_force_n", 0.5, _side("l"))],
    "eccentric_force_right": [Kind("force_test", "tested_on", "peak_force_n", 0.5, _side("r"))],
    "race_mark": [Kind("race_result", "raced_on", "time_s", 0.005)],
    "plan_minutes": [Kind("plan", "planned_on", "planned_min", 0.01)],
    "step_contact": [Kind("step", "session_date", "contact_s", 0.0006, _step)],
    "step_flight": [Kind("step", "session_date", "flight_s", 0.0006, _step)],
    "step_length": [Kind("step", "session_date", "step_length_m", 0.005, _step)],
}
JUDGED = {  # columns whose stored values must all be in the key
    ("session", "duration_min"), ("session", "effort_0_10"), ("checkin", "sleep_h"), ("checkin", "sleep_quality"),
    ("checkin", "fatigue"), ("checkin", "soreness"), ("checkin", "stress"), ("checkin", "mood"),
    ("checkin", "hamstring_tightness_l"), ("checkin", "hamstring_tightness_r"), ("body_measure", "body_mass_kg"),
    ("body_measure", "height_m"), ("lift_set", "load_kg"), ("jump_test", "jump_height_m"),
    ("jump_test", "jump_length_m"), ("jump_test", "contact_s"), ("force_test", "peak_force_n"),
    ("race_result", "time_s"), ("plan", "planned_min"), ("step", "contact_s"), ("step", "flight_s"),
    ("step", "step_length_m"),
}  # fmt: skip


@dataclasses.dataclass
class Score:
    """What became of the facts of a key, by kind, and the stored values that are in no key."""

    right: Counter[str] = dataclasses.field(default_factory=Counter)
    waiting: Counter[str] = dataclasses.field(default_factory=Counter)
    certain_waiting: Counter[str] = dataclasses.field(default_factory=Counter)
    wrong: list[str] = dataclasses.field(default_factory=list)

    def add(self, other: "Score") -> None:
        """Add the score of another folder."""
        self.right += other.right
        self.waiting += other.waiting
        self.certain_waiting += other.certain_waiting
        self.wrong += other.wrong


def _expected(fact: Fact, kind: Kind) -> float:
    value = float(fact["value"])
    scale = fact.get("scale")
    if isinstance(scale, dict) and fact.get("unit") == "scale":
        shape = table_shape(kind.table).columns[kind.column]
        good = {"low": "low", "high": "high"}.get(scale.get("good") or "", "high")
        return laid_on(value, Scale(float(scale["from"]), float(scale["to"]), good), shape)  # type: ignore[arg-type]
    return value * kind.factor


class Home:
    """The tables of a home, each read once, with athletes by the names of the key."""

    def __init__(self, home: flow.Home, key: Mapping[str, Any]) -> None:
        self.home = home
        self._tables: dict[str, list[dict[str, Any]]] = {}
        self.names = {row["athlete_id"]: fold(row["display_name"]) for row in self.rows("athlete")}
        self.known = {fold(fact["athlete"]) for fact in key["facts"] if fact.get("athlete")}

    def rows(self, table: str) -> list[dict[str, Any]]:
        """Return the rows of a table."""
        if table not in self._tables:
            self._tables[table] = flow.table(self.home, table).to_dicts()
        return self._tables[table]

    def of(self, table: str, athlete: str, day: str, fact_day: str | None) -> Iterator[dict[str, Any]]:
        """Yield the rows of one athlete and day; of any day where the fact has none."""
        for row in self.rows(table):
            is_theirs = athlete == "squad" or self.names.get(row["athlete_id"]) == fold(athlete)
            if is_theirs and (fact_day is None or row[day] == dt.date.fromisoformat(fact_day)):
                yield row


def score(home: flow.Home, key: Mapping[str, Any]) -> Score:
    """Return how a home holds what the key of one folder says."""
    held = Home(home, key)
    made = Score()
    for name in held.names.values():
        if held.known and name not in held.known:
            made.wrong.append(f"athlete that does not exist: {name}")
    used: set[tuple[str, int, str]] = set()
    for fact in key["facts"]:
        what = fact["what"]
        if fact.get("value") is None or fact.get("sure") == "unknowable":
            continue
        found = _sprint(held, fact, used) if what == "sprint_time" else _plain(held, fact, used)
        made.right[what] += found
        made.waiting[what] += not found
        made.certain_waiting[what] += not found and fact.get("sure") == "certain"
    made.wrong += list(_strays(held, used))
    return made


def _plain(held: Home, fact: Fact, used: set[tuple[str, int, str]]) -> bool:
    what = fact["what"]
    if what == "roster":
        return fold(fact["athlete"]) in held.names.values()
    if what == "injury":
        return any(
            row["site"] == fact.get("site") and row["side"][0] == str(fact.get("side") or "both")[0]
            for row in held.of("injury", fact["athlete"], "onset_on", fact["day"])
        )
    found = False
    for kind in KINDS[what]:
        for row in held.of(kind.table, fact["athlete"], kind.day, fact.get("day")):
            value = row[kind.column]
            if (
                value is None
                or abs(float(value) - _expected(fact, kind)) > kind.tolerance
                or not kind.agrees(fact, row)
            ):
                continue
            used.add((kind.table, id(row), kind.column))
            found = True
    return found


def _sprint(held: Home, fact: Fact, used: set[tuple[str, int, str]]) -> bool:
    """Return whether a time is stored: since the start at its gate, or as the difference of two gates of one run."""
    runs: dict[tuple[Any, ...], dict[float, dict[str, Any]]] = defaultdict(dict)
    for row in held.of("split", fact["athlete"], "session_date", fact.get("day")):
        runs[row["session_date"], row["session_no"], row["rep_no"]][round(row["distance_m"], 3)] = row
    starts = {
        (row["session_date"], row["session_no"], row["rep_no"]): row
        for row in held.of("rep", fact["athlete"], "session_date", fact.get("day"))
    }
    far, near = float(fact["distance_m"]), float(fact.get("from_m") or 0)
    if fact.get("start") == "flying":  # ours counts a flying run from its own first gate
        far, near = far - near, 0.0
    found = False
    for run, gates in runs.items():
        there = next((row for gate, row in gates.items() if abs(gate - far) < 0.02), None)
        if there is None:
            continue
        before = next((row for gate, row in gates.items() if abs(gate - near) < 0.02), None) if near else None
        if near and before is None:
            continue
        elapsed = there["elapsed_s"] - (before["elapsed_s"] if before else 0.0)
        start = starts.get(run, {}).get("start_kind")
        if abs(elapsed - float(fact["value"])) > 0.0051:
            continue
        said = {"flying": "rolling"}.get(str(fact.get("start")), fact.get("start"))
        if start is not None and said in STARTS and start != said:
            continue
        used.add(("split", id(there), "elapsed_s"))
        found = True
    return found


def _strays(held: Home, used: set[tuple[str, int, str]]) -> Iterator[str]:
    """Yield stored values that no fact of the key has."""
    for table, column in sorted({*JUDGED, ("split", "elapsed_s")}):
        for row in held.rows(table):
            if row[column] is not None and (table, id(row), column) not in used:
                who = held.names.get(row["athlete_id"], row["athlete_id"])
                day = next((row[name] for name in row if name.endswith("_on") or name == "session_date"), "")
                place = f"{row['source_name']} line {row['source_line']}"
                yield f"{table}.{column} = {row[column]} of {who}, {day} ({place})"


def as_table(scores: Mapping[str, Score]) -> str:
    """Return the score of some folders as a table, and their sum."""
    total = Score()
    lines = [f"{'folder':36} {'right':>6} {'waiting':>8} {'of them certain':>16} {'wrong':>6}"]
    for name, one in scores.items():
        total.add(one)
        lines.append(_line(name, one))
    lines.append(_line("all", total))
    lines += [f"  wrong: {wrong}" for wrong in total.wrong]
    by_kind: Sequence[str] = sorted({*total.right, *total.waiting})
    lines += [
        f"{kind:36} {total.right[kind]:6} {total.waiting[kind]:8} {total.certain_waiting[kind]:16}" for kind in by_kind
    ]
    return "\n".join(lines)


def _line(name: str, one: Score) -> str:
    certain = one.certain_waiting.total()
    return f"{name:36} {one.right.total():6} {one.waiting.total():8} {certain:16} {len(one.wrong):6}"
