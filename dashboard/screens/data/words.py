"""Words of the Data page: questions, what would be stored, mending, typing."""

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import Any

from dashboard.wording.data import LOAD_REFUSED, TOO_LARGE
from dashboard.wording.forms import joined
from schemas.labels import RECORD_TITLES
from schemas.rights import Writer, may_write

__all__ = ["LOAD_REFUSED", "TOO_LARGE"]

VIEW = "Part of the page"
VIEWS = {
    "load": "Load files",
    "aside": "Set aside",
    "enter": "Type in",
    "loads": "Loads",
    "answers": "Answers",
    "templates": "Templates",
}
HOW = "What you bring"
HOWS = {"files": "Files or a zip", "folder": "A whole folder"}
FOLDER_LEDE = (
    "Everything in the folder and the folders in it is looked at together. Most phones cannot hand over a folder: "
    "choose its files there, all at once, or a zip of it."
)
LOOK_INTO, NO_FILE_CHOSEN = "Look into a file, as it would be stored", "choose a file"
NOT_YOURS = "One of these rows is about nobody you look after. Choose one of your athletes."
NOT_YET = "A row is not right yet: see its reason. Nothing was stored."

QUESTIONS = "Before it is loaded"
QUESTIONS_LEDE = "The files leave this open. An answer is kept for every later file with the same headers."
OPTIONAL = "May stay open"
OPTIONAL_LEDE = "What is not said here stays unknown; another file may say it."
NO_ANSWER = "not answered"
NO_ANSWER_OR_OTHER = "not answered; choose, or type another of the same form"
LOOKING = "Looking at what is in there…"
FILES_TITLE = "What is in them"
NOTHING_IN_IT = "nothing that is understood"
FILES = (
    ("file", "file"),
    ("what", "what it is"),
    ("rows", "rows"),
    ("new", "new"),
    ("same", "in already"),
    ("aside", "set aside"),
    ("asked", "questions"),
)
KEEP_THIS, KEEP_BOTH, DISMISS = "Keep this one", "Keep both", "Dismiss"
CONFLICT_LEDE = "Two rows say different things of the same. Keep one, keep both as separate runs, or dismiss them."
SETTLED = "Settled. To open it again, undo its load."
WOULD_BE = "As it would be stored"
FIRST_ROWS = "first 20 rows of each table, in the record’s own units"
WAITING_ROWS = "waits for the answer"

MEND_LEDE = (
    "Change a cell and store: the row is checked again as a whole. The cell as it was written is kept beside the fix, "
    "with your name and the time, and the next file with the same row gets the same fix."
)
MEND_HELP = "Double-click a cell to change it."
STORE_MENDED = "Store what was mended"
NOTHING_CHANGED = "No cell was changed yet."
QUIET_ROWS = "Rows that need nothing"
QUIET_LEDE = "Means, totals, comments and repeated rows: named, not stored, nothing to do."
MENDED, MENDED_LEDE = "Mended by hand", "In force. To take a fix back, undo its load."
MARKED = "Stored and marked"
MARKED_LEDE = (
    "A large change from one file to the next, or a value far from the athlete’s own usual. It is stored and counts; "
    "look whether it is right. To take it back, undo its load or type the right value."
)
MARKED_COLUMNS = (
    ("source_name", "file"),
    ("source_line", "line"),
    ("athlete_id", "athlete"),
    ("column", "column"),
    ("reason", "why"),
    ("load_no", "load"),
)
MENDED_COLUMNS = (
    ("source_name", "file"),
    ("source_line", "line"),
    ("column", "column"),
    ("was", "as written"),
    ("value", "now"),
    ("loaded_by", "by"),
    ("loaded_at", "when"),
    ("load_no", "load"),
)

TYPE_IN = "Type in"
TYPE_LEDE = (
    "A row each; cells may be pasted from a spreadsheet. Each is checked as you type, by the same rules as a file, "
    "and kept as a source with your name."
)
WHAT, FOR, DAY, SESSION = "What", "Athlete", "Day", "Session"
GATES, GATES_HELP = "Gates in m", "Distances from the start line, with commas: 10, 20, 30"
FRAME_RATE = "Pictures a second"
NO_ATHLETE = "Load a list of athletes first: then rows can be typed."
NOTHING_TYPED = "Nothing is typed yet. Athlete and day are filled in; a row counts once something else stands in it."
_SAID_OTHERWISE = {"rep": "runs with their times", "step": "steps, by picture numbers"}  # what is typed goes with them
ENTER_TABLES = {
    name: _SAID_OTHERWISE.get(name, RECORD_TITLES[name])
    for name in (
        "session", "rep", "step", "set_position", "technique_note", "start_trial", "lift_set", "force_test",
        "jump_test", "body_measure", "injury", "day_log", "season_phase",
    )
}  # fmt: skip
_INJURY_READERS = (
    "Read by the head coach, by staff of the athlete’s group who may read injuries, by the athlete and by a minor’s "
    "guardian."
)
HEALTH = {  # table -> what a health item is for and who reads it
    "injury": f"For the training call, the hamstring flag and the way back to running. {_INJURY_READERS}",
    "body_measure": "For force, power and relative strength; no call rests on weight, and nobody is ranked by it. "
    "Read by the head coach, by staff of the athlete’s group, by the athlete and by a minor’s guardian.",
}
SAVE_UNDO = "Take it back"

ASKED_HERE = (
    "Waits for an answer: write it into the cell, or load the file again on ‘Load files’, where the same is asked with "
    "the likely answers."
)
ANSWERS, NO_ANSWERS = "Answers", "Nothing was asked of a file and answered yet."
ANSWERS_LEDE = (
    "What was asked of a layout, and what was answered. Forget an answer to be asked again; what was loaded with it "
    "stays until its load is undone."
)
ASKS = {
    "date_order": "what stands first in dates",
    "split_times": "what the times are",
    "start_kind": "start",
    "clock_start": "clock starts with",
    "timing_kind": "times taken",
    "gate_offset": "start line behind the first gate",
    "families": "family of",
    "units": "unit of",
    "athletes": "who is",
    "groups": "who is meant by",
    "frame_rate": "pictures a second",
    "who": "whose rows they are",
    "year": "year of days without one",
    "days": "day of",
    "scales": "scale of",
    "columns": "what is taken from",
    "words": "number for",
}
ANSWER_COLUMNS = (
    ("asked", "question"),
    ("answer", "answer"),
    ("headers", "headers of the layout"),
    ("source", "first asked for"),
    ("answered_by", "by"),
    ("answered_at", "when"),
)
FORGET, FORGOTTEN = "Forget this answer", "Forgotten; it will be asked again."


FOR_THE_MACHINE = "For whoever runs this machine"


def machine(built_at: dt.datetime | None, now: dt.datetime, state: Any) -> str:
    """Say how old the board is, what room the disk has and what the dashboard holds in memory."""
    parts = []
    if built_at is not None:
        parts.append(f"Figures made {built_at:%d %b %Y, %H:%M}, {_age(now - built_at)} ago.")
    parts.append(f"Room on the disk: {state.disk_free_bytes / 1e9:,.1f} of {state.disk_bytes / 1e9:,.1f} GB.")
    if state.memory_peak_bytes:
        here = f"{state.memory_bytes / 1e6:,.0f} MB, " if state.memory_bytes else ""
        parts.append(f"Memory of the dashboard: {here}{state.memory_peak_bytes / 1e6:,.0f} MB at most.")
    parts.append(DISK_ENCRYPTED[state.is_encrypted])
    return " ".join(parts)


def _age(since: dt.timedelta) -> str:
    minutes = max(0, int(since.total_seconds() // 60))
    if minutes < 120:
        return f"{minutes} minute{'s' if minutes != 1 else ''}"
    return f"{minutes // 60} hours" if minutes < 2 * 1440 else f"{minutes // 1440} days"


DISK_ENCRYPTED = {
    True: "The system encrypts the disk that the home folder lies on.",
    False: "The system does not encrypt the disk that the home folder lies on: who takes the machine away reads health "
    "data. Turn disk encryption on (README, ‘At rest’). A disk that encrypts itself is not seen from here.",
    None: "Whether the disk of the home folder is encrypted cannot be asked here: look in the system’s own settings.",
}
LITTLE_ROOM = "The disk is nearly full: loads and new figures may find no room. Make room, or move the home folder."


def asked(row: Mapping) -> str:
    """Name a question shortly."""
    about = f" ‘{row['about']}’" if row["about"] else ""
    return f"{ASKS.get(row['ask'], row['ask'])}{about}"


def question(sentence: str, rows: int, place: str = "") -> str:
    """Write a question with the file it is about and how many rows wait for it."""
    return f"{sentence} {f'{place}, ' if place else ''}{rows} row{'s' if rows != 1 else ''}."


def place_of(source: str, sheet: str) -> str:
    """Name a sheet of a file."""
    return f"{source}{f', sheet {sheet}' if source and sheet else ''}"


def rows_of(table: str, shown: int) -> str:
    """Head the first rows of a table."""
    return f"{RECORD_TITLES.get(table, table)}, {shown} row{'s' if shown != 1 else ''} shown"


def mended(loads: int, wrong: list[str]) -> str:
    """Say what became of mended rows."""
    done = f"{loads} row{'s' if loads != 1 else ''} mended and stored." if loads else "Nothing was stored."
    return " ".join([done, *wrong[:3]])


def would_keep(outcome: object) -> str:
    """Say what storing typed rows would do."""
    stored, same = getattr(outcome, "stored", 0), getattr(outcome, "unchanged", 0)
    changed, aside = getattr(outcome, "replaced", 0), getattr(outcome, "set_aside", 0)
    parts = [f"{stored} new"] * bool(stored) + [f"{changed} that change what is there"] * bool(changed)
    parts += [f"{same} there already"] * bool(same) + [f"{aside} not right yet"] * bool(aside)
    return f"{joined(parts).capitalize()}." if parts else NOTHING_TYPED


def save_button(rows: int) -> str:
    """Name the button by what it does."""
    return f"Store {rows} row{'s' if rows != 1 else ''}" if rows else "Store"


def tables_for(writer: Writer) -> list[str]:
    """Return the tables whose rows somebody may type in."""
    return [table for table in ENTER_TABLES if may_write(writer, table)]


def typed(rows: int, table: str) -> str:
    """Confirm typed rows."""
    return f"{rows} row{'s' if rows != 1 else ''} of {ENTER_TABLES.get(table, table)} stored. The figures follow."


def frame_error(rate: float, seconds: float) -> str:
    """Say how well times off pictures are known."""
    return f"At {rate:g} pictures a second a contact or flight is known to ± {seconds * 1000:.1f} ms (one SD)."


def not_this_kind(endings: Sequence[str]) -> str:
    """Say which files can be loaded."""
    return f"Files of this kind are not read. Save it as one of: {', '.join(endings)}."


def too_much(files: int, megabytes: int) -> str:
    """Say how much can be brought at once."""
    return (
        f"This is more than {files} files or {megabytes} MB at once. Bring a part of it at a time; order does not "
        "matter. Larger ones are loaded on the machine itself, with 'thirdstep load'."
    )


def optional(count: int) -> str:
    """Name the box of questions that may stay open."""
    return f"{count} question{'s' if count != 1 else ''} that may stay open"


def more_questions(count: int) -> str:
    """Say that more is asked than is shown."""
    return f"and {count} more, asked once these are answered"


def asked_of(question: object) -> str:
    """Say which file a question is about, and which cells."""
    source, sheet = getattr(question, "source", ""), getattr(question, "sheet", "")
    cells = ", ".join(getattr(question, "cells", ()))
    return f"{source}{f', sheet {sheet}' if sheet else ''}{f': {cells}' if cells else ''}"


def would_store_all(outcomes: list) -> str:
    """Say in a sentence what loading files together would do."""
    new = sum(one.kept for one in outcomes)
    changed = sum(one.replaced for one in outcomes)
    aside = sum(one.set_aside for one in outcomes)
    if not new:
        return "Nothing new would be stored." + (f" {aside} rows would be set aside." if aside else "")
    said = f"{new} row{'s' if new != 1 else ''} would be stored"
    said += f", {changed} of them changing a value that is there." if changed else "."
    said += f" {aside} would be set aside." if aside else ""
    cells = sum(1 for one in outcomes for _ in one.reasons) if not aside else 0
    return said + (f" {cells} cell{'s' if cells != 1 else ''} would be set aside alone." if cells else "")


def all_loaded(outcomes: list) -> str:
    """Confirm that files were loaded, or say which were not."""
    good = [one.file for one in outcomes if not one.problem]
    bad = [f"{one.file}: {one.problem}" for one in outcomes if one.problem]
    said = f"{joined(good)} {'are' if len(good) != 1 else 'is'} loaded and the figures are made anew." if good else ""
    return " ".join([said, *(f"Not loaded: {one}" for one in bad)]).strip()


def one_of(known: list[str]) -> str:
    """Name the words a column takes."""
    shown = ", ".join(word.replace("_", " ") for word in known)
    return f"One of: {shown}; also as you write it in your language."


def lacks(row: int, label: str) -> str:
    """Say which number of a row is missing, and that none is put in its place."""
    return f"Row {row}: '{label}' is empty. Type it: no number is taken in its place."
