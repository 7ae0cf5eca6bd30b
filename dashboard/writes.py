"""What a page writes: decisions and files, always through the flow, which keeps them as sources like any other."""

import datetime as dt
import logging
import subprocess
import sys
import tempfile
import threading
from collections.abc import Collection, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from dashboard import wording
from dashboard.access.meter import Meter
from dashboard.access.viewer import Viewer
from dashboard.board import Board
from dashboard.home import home_folder, squad_home
from schemas.vocabulary import CALLS_BY_CARE

if TYPE_CHECKING:
    from pipelines.flow import Outcome

Row = dict[str, Any]
PRINT_WAIT_S = 60.0  # s, then the sheet is printed as the last board has it
NO_DRILL = "no_drill"  # said where a drill that was chosen no longer is
COMMAND_WAIT_S = 3600.0  # s, an erasure replays the whole record
PUBLISH_WAIT_S = 900.0  # s, a first build of a large squad takes minutes
MOST_ENTRIES, ENTRIES_S = 30, 3600.0  # of an athlete in so many seconds; own choice
PUBLISH = "from pipelines.home.turns import stand_back; stand_back(); from pipelines.cli.main import main; main()"
entries = Meter(MOST_ENTRIES, ENTRIES_S)
_publishing = threading.Lock()
_wanted = threading.Event()
_worker: list[threading.Thread] = []
_behind = threading.Event()  # what was written here is not on the board: it waits for a whole derivation


class NotKept(RuntimeError):  # noqa: N818 - reads as a sentence where it is raised
    """A write that did not happen, with what to do next."""


def decision_rows(
    viewer: Viewer,
    row: Row,
    now: dt.datetime,
    *,
    training: str | None = None,
    work: str | None = None,
    note: str | None = None,
    drill: str | None = None,
) -> list[Row]:
    """Return the decision rows for one athlete and week: the training call and the work on the start.

    Without a change the proposal of the sheet is what was agreed to; a hamstring level that speaks is kept beside it.
    """
    if drill:
        work = wording.drill_title(drill)
    call, start_work = training or row["training_call"], (work or row["focus_headline"] or "").strip()
    if is_overruled(row, training) and start_work == row["focus_headline"]:
        start_work = ""  # what was proposed follows from the call that was not taken
    base = {
        "athlete_id": row["athlete_id"],
        "week_of": row["week_of"],
        "note": (note or "").strip() or None,
        "decided_by": viewer.name,
        "decided_at": now.replace(microsecond=0),
    }
    rows = []
    if call and call not in ("no_call", "cannot_say"):
        rows.append({**base, "topic": "training", "call": wording.DECIDED[call]})
    if start_work:
        rows.append({**base, "topic": "start_work", "call": start_work, "drill": drill})
    if row["hamstring_level"] in ("one_family", "several_families"):
        rows.append(
            {
                **base,
                "topic": "hamstring",
                "call": row.get("hamstring_words") or wording.HAMSTRING[row["hamstring_level"]],
            }
        )
    return rows


def is_overruled(row: Row, training: str | None) -> bool:
    """Return whether what is decided on training asks for less than the call, however an 'adapt' is said."""
    decided, call = "adapt" if training in wording.ADAPTED else training, row["training_call"]
    if decided not in CALLS_BY_CARE or call not in CALLS_BY_CARE:
        return False
    return CALLS_BY_CARE.index(decided) < CALLS_BY_CARE.index(call)


@dataclass(frozen=True)
class Kept:
    """A decision that was kept: the sentence that confirms it, and its load, to undo it."""

    sentence: str
    load_no: int | None


def keep_decision(viewer: Viewer, board: Board, athlete_id: str, week_of: dt.date, **changes: str | None) -> Kept:
    """Keep a decision on an athlete whose row this viewer may read."""
    if not viewer.is_coach:
        raise NotKept(wording.DECIDE_REFUSED)
    sheet = board.rows(viewer, "week_sheet", {"athlete_id": athlete_id, "week_of": week_of})
    if not sheet:
        raise NotKept(wording.DECIDE_REFUSED)
    if changes.get("training") not in (None, *wording.DECIDED):
        raise NotKept(wording.DECIDE_REFUSED)
    is_talk = sheet[0]["training_call"] == "talk_first"
    # An advice that rests on injuries under 'talk first' is that of an open one; the flag is there for who reads none.
    if is_talk and sheet[0]["work_reads_injury"] and is_overruled(sheet[0], changes.get("training")):
        raise NotKept(wording.NOT_THE_COACHS)
    if is_talk and is_overruled(sheet[0], changes.get("training")) and not (changes.get("note") or "").strip():
        raise NotKept(wording.SAY_WHY)
    if changes.get("drill") and not board.rows(viewer, "drill", {"drill": changes["drill"], "is_used": True}):
        raise NotKept(wording.DRILL_GONE)
    rows = decision_rows(viewer, sheet[0], dt.datetime.now(), **changes)
    if "drill" in board.columns("decision"):
        before = board.rows(viewer, "decision", {"athlete_id": athlete_id, "week_of": week_of})
        rows = _beside_decided(rows, before, with_drill=bool(changes.get("drill")))
    if not rows:
        raise NotKept(wording.NOTHING_TO_DECIDE)
    outcome = enter(rows, "decision", viewer)
    name = board.rows(viewer, "athlete", {"athlete_id": athlete_id})[0]["display_name"]
    said = wording.saved(name, "; ".join(r["call"] for r in rows if r["topic"] != "hamstring"))
    return Kept(said, outcome.load_no)


def _beside_decided(rows: list[Row], before: Sequence[Row], *, with_drill: bool) -> list[Row]:
    """Return the rows as they go beside what is decided already.

    A drill changes the work alone: a training call that somebody chose stays. Other work takes an earlier drill out,
    which an empty cell would not.
    """
    topics = {row["topic"] for row in before}
    if with_drill:
        return [row for row in rows if row["topic"] != "training" or "training" not in topics]
    had = any(row["drill"] not in (None, NO_DRILL) for row in before if row["topic"] == "start_work")
    return [{**row, "drill": NO_DRILL} if had and row["topic"] == "start_work" else row for row in rows]


def rest_to_agree(sheet: Sequence[Row], decided: Collection[str]) -> list[Row]:
    """Return the lines nothing is decided on that hold nothing back: no other call, no flag, no start that slips. Those
    need a look each.
    """
    return [
        row
        for row in sheet
        if row["athlete_id"] not in decided
        and row["training_call"] == "as_planned"
        and row["hamstring_level"] not in ("one_family", "several_families")
        and row.get("progress_word") != "slipping"
    ]


def keep_rest(viewer: Viewer, board: Board, week_of: dt.date) -> Kept:
    """Agree with what the sheet proposes for the rest of a week, in one step that one step takes back."""
    if not viewer.is_coach:
        raise NotKept(wording.DECIDE_REFUSED)
    sheet = board.rows(viewer, "week_sheet", {"week_of": week_of}, order_by=["athlete_id"])
    older = board.rows(viewer, "decision_state", {"week_of": week_of, "is_older": True}, columns=["athlete_id"])
    decided = {row["athlete_id"] for row in board.rows(viewer, "decision", {"week_of": week_of})}
    decided -= {row["athlete_id"] for row in older}
    rest, now = rest_to_agree(sheet, decided), dt.datetime.now()
    rows = [decision for row in rest for decision in decision_rows(viewer, row, now)]
    if not rows:
        raise NotKept(wording.NOTHING_TO_DECIDE)
    open_ = {row["athlete_id"] for row in sheet} - decided - {row["athlete_id"] for row in rest}
    names = {row["athlete_id"]: row["display_name"] for row in board.rows(viewer, "athlete")}
    outcome = enter(rows, "decision", viewer)
    return Kept(wording.agreed_rest(len(rest), sorted(names[one] for one in open_)), outcome.load_no)


def enter(rows: Sequence[Row], table: str, viewer: Viewer, *, publish: bool = True) -> "Outcome":
    """Hand rows to the flow as a hand entry of the viewer's, which stores what this viewer may write.

    The next read of the board finds them there, unless ``publish`` says that more is to come first. Each is
    a source of its own for ever, so one athlete keeps so many in a while and no more.
    """
    from pipelines import flow

    if viewer.is_tied and not entries.takes(f"{home_folder()}|{viewer.name}"):
        raise NotKept(wording.TOO_MANY_ENTRIES)
    with in_words(viewer):
        outcome = flow.enter(squad_home(), table, list(rows), viewer.writer, derive_after=False, follow_next=publish)
    if outcome.problem:
        raise NotKept(outcome.problem)
    if outcome.set_aside:
        raise NotKept(" ".join(str(r["reason"]) for r in outcome.reasons[:3]))
    if publish:
        publish_soon()
    return outcome


def undo_decision(viewer: Viewer, load_no: int) -> None:
    """Take a decision of one's own back."""
    undo_load(viewer, load_no, publish=False)
    publish_soon()


def publish_soon() -> None:
    """Put what was just written on the board, of the athletes it is about, so that the next read finds it.

    What more follows from it is published anew beside the page; calls during a publish lead to one more after it.
    """
    from pipelines import flow

    reach = _follow()
    if reach is flow.Reach.NOTHING:
        _behind.set()
    if reach is not flow.Reach.ALL:
        _publish_beside()


def is_behind() -> bool:
    """Return whether something that was written here is not on the board yet."""
    return _behind.is_set()


def publish_at_once() -> None:
    """Put what was just written on the board before going on; of a whole file, with all that follows from it."""
    from pipelines import flow

    reach = _follow()
    if reach is flow.Reach.NOTHING:
        publish_now(home_folder())
    elif reach is flow.Reach.ATHLETES:
        _publish_beside()


def _follow() -> Any:
    from pipelines import flow

    try:
        return flow.follow(squad_home())
    except flow.ThirdstepError:
        # The record holds the rows, and the last board stays in force; the whole derivation is tried beside it.
        logging.getLogger(__name__).exception("the athletes' tables could not be published")
        return flow.Reach.NOTHING


def _publish_beside() -> None:
    _wanted.set()
    with _publishing:
        if _worker and _worker[0].is_alive():
            return
        _worker[:] = [threading.Thread(target=_publish_until_done, args=(home_folder(),), name="publish", daemon=True)]
        _worker[0].start()


def wait_until_published(longest_s: float = PRINT_WAIT_S) -> None:
    """Wait for a publish that is under way, so that what was just decided stands on what is printed."""
    for worker in list(_worker):
        worker.join(longest_s)


def _publish_until_done(home: Path) -> None:
    while _wanted.is_set():
        _wanted.clear()
        try:
            _bring_rest(home)
            if not _wanted.is_set():
                _behind.clear()
        except NotKept:
            # The record holds the rows; the last board stays in force and the next load or start publishes again.
            logging.getLogger(__name__).exception("the board could not be published")


def _bring_rest(home: Path) -> None:
    """Bring what rests on the squad; all anew where that is too much, or much lies over the board's file by now."""
    from pipelines import flow

    with in_words():
        is_much = _behind.is_set() or flow.follow_squad(squad_home()) is flow.Reach.NOTHING
    if is_much or flow.is_long(squad_home()):
        publish_now(home)


def publish_now(home: Path) -> None:
    """Publish the board in a process of its own, behind the pages; one of us opens the board file.

    DuckDB refuses a second opening of a file in one process under another configuration, and ours is hardened.
    """
    done = subprocess.run(
        [sys.executable, "-c", PUBLISH, "--home", str(home), "derive"],
        capture_output=True,
        text=True,
        check=False,
        timeout=PUBLISH_WAIT_S,
    )
    if done.returncode:
        said = [line for line in done.stderr.strip().splitlines() if line.strip()]
        raise NotKept(f"{wording.NOT_PUBLISHED} {said[-1] if said else ''}")


@contextmanager
def in_words(viewer: Viewer | None = None) -> Iterator[None]:
    """Turn what the flow refuses into a sentence for the page.

    It may name files and commands: an athlete or a guardian who writes reads one that they can do something with.
    """
    from pipelines import flow

    try:
        yield
    except flow.ThirdstepError as wrong:
        if viewer is None or not viewer.is_tied:
            raise NotKept(str(wrong)) from wrong
        logging.getLogger(__name__).exception("a write of an athlete or a guardian was not kept")
        raise NotKept(wording.CANNOT_KEEP) from wrong


def undo_load(viewer: Viewer, load_no: int, *, publish: bool = True) -> None:
    """Take one load out of force."""
    from pipelines import flow

    if not viewer.is_coach:
        raise NotKept(wording.LOAD_REFUSED)
    with in_words():
        flow.undo(squad_home(), load_no, viewer.writer, derive_after=False)
    if publish:
        publish_at_once()


def sample_file(table: str) -> tuple[str, bytes] | None:
    """Return a file of the invented squad for a record table, null where there is none."""
    from pipelines import flow

    try:
        return flow.sample(table)
    except flow.ThirdstepError:
        return None


def template_bytes(table: str, ending: str) -> bytes | None:
    """Return an empty file for a record table, null where the flow knows no such table."""
    from pipelines import flow

    with tempfile.TemporaryDirectory() as folder:
        try:
            return flow.template(table, Path(folder) / f"{table}.{ending}", ending).read_bytes()
        except flow.ThirdstepError:
            return None


def run_command(command: Sequence[str], fine: Sequence[int] = (0,)) -> bytes:
    """Run one of the program's own commands on the served home, in a process of its own, and return what it prints."""
    start = [
        sys.executable,
        "-c",
        "from pipelines.cli.main import main; main()",
        "--home",
        str(home_folder()),
        "--quiet",
    ]
    done = subprocess.run([*start, *command], capture_output=True, check=False, timeout=COMMAND_WAIT_S)
    if done.returncode not in fine or not done.stdout:
        lines = done.stderr.decode("utf-8", errors="replace").strip().splitlines()
        raise NotKept(lines[-1] if lines else wording.NOT_PUBLISHED)
    return done.stdout
