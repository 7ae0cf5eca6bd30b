"""What must be true of a home after a kill, and the home that is killed in the middle of things."""

import shutil
from dataclasses import dataclass, field
from pathlib import Path

import polars as pl

from pipelines import flow
from pipelines.home.folder import Home
from pipelines.person import erasure as erasing
from pipelines.person.naming import Named
from pipelines.person.traces import find_traces
from pipelines.record import opening, warehouse
from pipelines.record.sources import journal
from tests.flow.crashing import Mother
from tests.flow.squad import SPLITS, write, write_squad

TASKS = ("load", "undo", "follow", "publish", "erase", "rebuild", "restore")
LEFT = ("*.part", "*.new", "*.wal", "record.rebuild*", "erasing*", "restoring*")
WHEN = ["loaded_at", "undone_at", "entered_at", "resolved_at"]
State = dict[str, pl.DataFrame]


def state(home: Home) -> State:
    """Return all that a record says, without the time of day."""
    with opening.record(home, to_look=True) as con:
        frames = {name: warehouse.table(con, name) for name in (*warehouse.SHAPES, *warehouse.LOG_TABLES)}
    return {name: frame.drop(set(WHEN) & set(frame.columns)) for name, frame in frames.items()}


def alike(one: State, other: State) -> bool:
    """Return whether two states are the same."""
    return all(frame.equals(other[name], null_equal=True) for name, frame in one.items())


@dataclass
class Killed:
    """A home with something in it, what each task makes of it, and runs of tasks that are killed."""

    folder: Path
    mother: Mother
    runs: int = 0
    whole: dict[str, State] = field(default_factory=dict)
    stages: dict[str, list[str]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Live in a home for a while."""
        self.home = Home(self.folder / "base" / "home")
        flow.load(self.home, [write_squad(self.folder / "in")], by="coach", derive_after=False)
        flow.load(self.home, write(self.folder / "2", s=SPLITS.replace("1.80", "1.84")), by="a", derive_after=False)
        row = {"athlete_id": "ada-reed", "checked_on": "2025-11-04", "mood": 4, "note": "ran with Bo Lind"}
        flow.enter(self.home, "checkin", [row], by="ada", derive_after=False)
        flow.accounts(self.home).add("ada", "athlete", "three steps first", athlete_id="ada-reed")
        flow.derive_board(self.home)
        self.backup = self.folder / "squad.zip"
        flow.backup(self.home, self.backup)
        [self.file] = write(self.folder / "3", more=SPLITS.replace("11-03", "11-10").replace("3.00", "3.OO"))
        self.who: Named = erasing.who_is(self.home, "ada-reed")
        self.before = state(self.home)

    def fresh(self, task: str) -> Home:
        """Return the home a task is killed in: a copy, or an empty one to restore to."""
        place = self.folder / "run"
        shutil.rmtree(place, ignore_errors=True)
        place.mkdir()
        if task != "restore":
            shutil.copytree(self.home.root, place / "home")
        return Home(place / "home")

    def run(self, task: str, die_at: int, *, lose: bool) -> list[str] | None:
        """Run a task to a stage; return the stages if it came to its end."""
        self.runs += 1
        file = self.backup if task == "restore" else self.file
        return self.mother.run(task, self.fresh(task).root, file, die_at, lose=lose)

    def learn(self, task: str) -> int:
        """Run a task to its end once; return how many stages it has."""
        if task not in self.stages:
            stages = self.run(task, 0, lose=False)
            assert stages
            self.stages[task] = stages
            self.whole[task] = state(Home(self.folder / "run" / "home"))
            self.check(task, acknowledged=True)
        return len(self.stages[task])

    def check(self, task: str, *, acknowledged: bool) -> None:
        """Start again and look: all or nothing, repaired, verified, and ready for the next thing."""
        home = Home(self.folder / "run" / "home")
        flow.bring_up_to_date(home)  # what 'thirdstep open' does first
        now = state(home)
        is_done, is_as_before = alike(now, self.whole[task]), alike(now, self.before)
        if task == "restore":
            is_as_before = all(frame.is_empty() for frame in now.values())
        assert is_done or (is_as_before and not acknowledged)
        assert journal.last_event_no(home.sources) == len(list(journal.read_events(home.sources)))
        wrong = [said for _, said in flow.verify(home) if said]
        still_held = [str(self.backup)] if task == "erase" and is_done else []  # the backup made before is named
        assert [said.split("'")[1] for said in wrong] == still_held
        left = sorted(str(one.relative_to(home.root)) for pattern in LEFT for one in home.root.rglob(pattern))
        assert left == [], left
        if task == "erase" and is_done:
            assert list(find_traces(home, self.who)) == []
            assert [one.name for one in flow.accounts(home).list()] == []
        if task != "restore" or is_done:
            row = {"athlete_id": "bo-lind", "checked_on": "2025-11-20", "mood": 5}
            assert flow.enter(home, "checkin", [row], by="coach", derive_after=False).stored == 1
