"""Words of the Data and Methods pages."""

from collections.abc import Mapping

from dashboard.wording.forms import joined
from schemas.labels import RECORD_TITLES

METHODS, DATA = "Methods", "Data"
METHODS_LEDE = "How each figure is made: formula, units, source and limits, as the tables themselves state them."
SEARCH, SEARCH_EXAMPLE = "Search methods", "a measure, a column, a source"
MEASURES, RECORDED, SETTINGS, CAVEATS, SOURCES = (
    "What is computed",
    "What is recorded",
    "Settings in force",
    "Why a value can be missing",
    "Sources",
)
BEARS_ON = "bears on"
COLUMNS = "Its columns"
MORE, ALL_METHODS = "What holds for all of them", "All methods"
NO_SUCH_METHOD = "There is no such method. All of them are listed under Methods."
SEEN = "What progress sees, and what it imagines"
SEEN_LEDE = (
    "Simulated squads, run through this program’s own steps at 24 weekly looks; no model of ours made their times. "
    "Percent of athletes, unless said. The plain contrast is the last three days against the ten before, by somebody "
    "who knows the day-to-day noise and lets one of ten athletes who stay as they are get a word; of waves it knows "
    "nothing. ‘At our rate’: what it sees where it gives as many unchanged athletes a word as this program does in the "
    "same squads. Waves are form that comes and goes within a month: a word then needs a larger change, so fewer are "
    "seen, and the sentence names the wave. A wave of one athlete alone is not told from a change. Found on simulated "
    "data only."
)
SEEN_MADE, SEEN_SEED = "Made", "seed"
SEEN_COLUMNS = (
    ("row", "Squads"),
    ("any_flat", "Any word, nothing changed"),
    ("power", "Change seen"),
    ("anchor", "Plain contrast sees"),
    ("anchor_flat", "… any word, nothing changed"),
    ("anchor_equal", "… sees, at our rate"),
    ("wrong", "Called the other way"),
    ("delay_weeks", "Weeks to the word"),
    ("cover", "95 % interval holds, % of looks"),
    ("holding", "Called holding, % of looks"),
    ("detectable_ms", "Not seen under, ms"),
    ("athletes", "Athletes"),
)
CAVEATS_LEDE = "A value that cannot be had stays empty and says why; it is never filled in."
COLUMN, MEANING, UNIT, RANGE, SOURCE, NOTE, VALUE, SETTING, SENTENCE = (
    "column",
    "meaning",
    "unit",
    "may be",
    "source",
    "note",
    "value",
    "setting",
    "sentence",
)
DATA_LEDE = "Load the day’s files, mend what was set aside, undo what should not have been loaded."
LOAD_FILE, LOAD_LEDE = (
    "Load files",
    (
        "CSV, TSV, XLSX, ODS, Parquet or JSON lines. Nothing is stored before you have seen what becomes of each "
        "row. The same file twice "
        "changes nothing."
    ),
)
FILE, LOADING = "File", "Loading and computing anew…"
TOO_LARGE = "This file is larger than 20 MB. Split it, or load it on the command line."
LOAD_REFUSED = "Only the head coach and staff load files."
DATE_ORDER = "Dates like 03/04/2026 are"
DATE_ORDERS = {"file": "as the file shows", "day": "day first", "month": "month first"}
OUTCOMES = (
    ("stored", "new, stored"),
    ("replaced", "changed, the old value kept in history"),
    ("unchanged", "already there"),
    ("set_aside", "set aside with a reason"),
    ("rows_read", "all rows of the file"),
)
ROWS_ARE, ROWS = "rows that are", "rows"
SHEET, LINE, REASON, AS_WRITTEN = "sheet", "line", "reason", "as written"
SET_ASIDE, SET_ASIDE_LEDE = "Set aside", "These rows wait. Mend them in the file and load it again: the rest is kept."
WAITING, WAITING_LEDE = (
    "Rows set aside",
    "By file and reason. Mend a row here, or mend the file and load it again; a mended row leaves this list.",
)
NOTHING_WAITS = "No row waits to be mended."
LOADS, NO_LOADS = "Loads", "Nothing has been loaded yet."
LOAD_COLUMNS = (
    ("load_no", "no"),
    ("loaded_at", "when"),
    ("loaded_by", "by"),
    ("source_name", "file"),
    ("stored", "new"),
    ("replaced", "changed"),
    ("unchanged", "same"),
    ("set_aside", "aside"),
    ("state", "state"),
)
UNDO_LOAD, CHOOSE_LOAD, UNDO_BUTTON = "Undo a load", "Choose a load", "Undo this load"
TEMPLATES, TEMPLATES_LEDE = (
    "Templates",
    ("An empty file with the right headers. The workbook has a second sheet that explains each column."),
)
TEMPLATE_FOR, DOWNLOAD = "Template for", "Download"
FIRST_STEPS = "Start with the template for athletes, then check-ins, sessions and split times; load them in any order."


def may_be(doc: Mapping) -> str:
    """Say what a column may hold, and that unknown is allowed where it is."""
    return "; ".join(p for p in (doc.get("range_text") or "", "may be unknown" if doc.get("nullable") else "") if p)


def source_name(key: str | None, citations: Mapping) -> str:
    """Name a source shortly: its first words and year when it is cited, else what it is called."""
    if key in citations:
        citation = citations[key]["citation"]
        return citation if len(citation) <= 60 else citation[:57].rsplit(" ", 1)[0] + "…"
    return (key or "").replace("_", " ")


def nothing_found(words: str) -> str:
    """Say that a search found nothing."""
    return f"Nothing is called or described by “{words}”. Try one word, or a column’s name."


def fills(tables: list) -> str:
    """Say which tables a file fills."""
    return f"Fills {joined([RECORD_TITLES.get(t, t) for t in tables])}."


def load_button(rows: int) -> str:
    """Name the button by what it does."""
    return f"Load {rows} row{'s' if rows != 1 else ''}" if rows else "Load"


def loaded(name: str, outcome: object) -> str:
    """Confirm a load."""
    aside = getattr(outcome, "set_aside", 0)
    more = f" {aside} row{'s' if aside != 1 else ''} set aside, listed below." if aside else ""
    return f"{name} is loaded and the figures are made anew.{more}"


def undone(name: str) -> str:
    """Confirm an undo."""
    return f"Load {name} is out of force. It stays in the list and can be put back from the command line."


def waiting_group(column: str, reason: str, rows: int) -> str:
    """Head a group of rows set aside for one reason."""
    return f"{rows} row{'s' if rows != 1 else ''}, {column.replace('_', ' ') or 'row'}: {reason}"


NOT_PUBLISHED = "The rows are kept, but the figures could not be made anew; the last ones stay."


# --- an empty home -----------------------------------------------------------------------------------------------

FIRST_TITLE = "Start here"
FIRST_LEDE = "Nothing is in yet. A few steps make the first sheet, and each load can be undone."
FIRST_WHO = "The athletes."
FIRST_WHO_HOW = "A list of names is enough to begin; event group, birth date and sex let more be said."
FIRST_FILES = "The files you have."
FIRST_FILES_HOW = (
    "As they are, in any order and several at once on the command line: you see what becomes of every row before it is "
    "stored. What each call rests on:"
)
FIRST_CALLS = (
    ("Training", ("checkin", "session", "jump_test", "injury")),
    ("Hamstring", ("injury", "force_test", "lift_set", "split")),
    ("Start", ("split", "step")),
)
_SAID_MORE_OF = {
    "session": "sessions, with minutes and effort",
    "injury": "injuries, with the days of onset and return",
    "force_test": "eccentric force of each side",
    "split": "runs with split times",
    "step": "steps marked off video",
}
FIRST_RESTS_ON = {name: _SAID_MORE_OF.get(name, RECORD_TITLES[name]) for _, names in FIRST_CALLS for name in names}
FIRST_PEOPLE = "Who may look."
FIRST_PEOPLE_HOW = "Invite staff with their event groups, athletes to their own page and check-in, a minor’s guardian."
FIRST_METHODS = "How it reckons."
FIRST_METHODS_HOW = "Every figure, rule and source, before you trust one."
FIRST_SAMPLES = (
    "Samples are files of an invented squad, with a few wrong rows on purpose. On the command line, thirdstep demo "
    "shows that squad over half a year."
)
TO_DATA, TO_PEOPLE, TO_METHODS = "Load files", "People", "Methods"
TEMPLATE, SAMPLE = "template", "sample"
