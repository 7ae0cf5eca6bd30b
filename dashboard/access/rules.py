"""Who reads which rows and columns of the board, as conditions for its SQL. The one place where this is said.

An athlete reads their own rows, a guardian those of one minor without free-text notes, staff those of their event
groups, the head coach all. A table that is neither open to all nor keyed by athlete is refused to everyone but the head
coach. Within a row, words that rest on the injury record are replaced for staff without the grant.
"""

from collections.abc import Sequence
from typing import Any

from dashboard.access.viewer import Viewer
from dashboard.wording.general import INJURY_HIDDEN
from schemas.age import ADULT_YEARS

OPEN_TABLES = frozenset(
    {
        "method",
        "column_doc",
        "knowledge",
        "caveat",
        "setting",
        "board_info",
        "exercise",
        "reference_value",
        "drill",
        "seen",
        "run_error",
        "attention_rate",
        "attention_budget",
    }
)
COACH_TABLES = frozenset(
    {
        "rejected",
        "mended",
        "marked",
        "load",
        "squad_week",
        "readiness_noise",
        "start_shift",
        "week_template",
        "never_entered",
    }
)
CELLS_AS_WRITTEN = frozenset({"rejected", "mended", "marked"})  # values of a file: of athletes of the own groups
# Such rows may hold health detail in words: without the grant, none of a file that fills a guarded table.
NO_HEALTH_FILE = "not regexp_matches(tables, '\\b(injury|checkin|return_step)\\b')"
OWN_LOADS = frozenset({"load"})  # names of files name people: staff read of the loads they brought themselves
HEAD_COACH_TABLES = frozenset({"entry_day", "flag_backtest", "flag_backtest_week"})
PRIVATE_TABLES = frozenset({"consent"})  # for the head coach and for the person
# But who films has to know whom not to film: staff read whether video is agreed to, not who said so.
STAFF_OF_PRIVATE = {"consent": "topic = 'video'"}
NOT_FOR_STAFF = {"consent": ("given_by", "is_guardian", "note")}
# Injury detail: for the head coach, staff with the grant, the person and a minor's guardian.
INJURY_COLUMNS = {
    "injury": ("site", "side", "kind", "mechanism", "recurrence", "note"),
    "checkin": ("note",),
    "load_week": ("injury_week",),
    "hamstring_flag": ("read_note_on",),  # it says what stands in a guarded note
    "week_sheet": ("read_note_on", "is_coming_back"),
    "review_line": ("is_coming_back",),
    "return_step": ("site", "side", "work_done", "symptoms", "signed_by", "note"),
    "return_ladder": (
        "site",
        "side",
        "highest_rung",
        "last_rung",
        "last_symptoms",
        "days_with_symptoms",
        "signed_rung",
        "signed_by",
    ),
}
# Rows that say themselves whether they rest on the injury record: flag, column with words, columns that go with them.
INJURY_WORDS = {
    "readiness_reason": (("reads_injury", "sentence", ("value", "evidence_on", "since_on")),),
    "readiness_day": (("reads_injury", "strongest", ()), ("reads_injury", "sentence", ())),
    "hamstring_flag": (
        ("reads_injury", "sentence", ("evidence_on", "since_on", "lapses_on", "reason")),
        ("level_reads_injury", None, ("level_words",)),
    ),
    "advice": (
        ("reads_injury", "headline", ()),
        ("reads_injury", "sentence", ("stands", "waits")),
        ("reads_injury", "own_headline", ()),
        ("reads_injury", "own_sentence", ()),
    ),
    "week_sheet": (
        ("work_reads_injury", "focus_headline", ()),
        ("training_reads_injury", "training_reason", ()),
        ("hamstring_reads_injury", "hamstring_reason", ("hamstring_words",)),
    ),
    "plan_caution": (("reads_injury", "words", ()),),
    "review_since": (("reads_injury", "changed", ()),),
    "review_line": (
        ("work_reads_injury", "work_on_next", ()),
        ("training_reads_injury", "training_reason", ()),
        ("hamstring_reads_injury", "hamstring_reason", ("hamstring_words",)),
    ),
}
STAFF_ROWS = "athlete_id in (select a.athlete_id from athlete a where list_contains(?::varchar[], a.event_group))"
OWN_ROWS = "athlete_id = ?"  # of who reads their own alone
# Only while the athlete is known to be a minor on the day the board looks from.
GUARDIAN_ROWS = f"""athlete_id = ? and athlete_id in (
    select a.athlete_id from athlete a where cast(a.birth_date as date) + interval {ADULT_YEARS} year
        > (select cast(value as date) from board_info where name = 'as_of'))"""


class NotForThisViewer(PermissionError):  # noqa: N818 - reads as a sentence where it is raised
    """A table that this viewer may not read."""


def quoted(name: str) -> str:
    """Return a name as SQL reads it."""
    return '"' + name.replace('"', '""') + '"'


def as_text(words: str) -> str:
    """Return words as a text that SQL reads."""
    return "'" + words.replace("'", "''") + "'"


def rows_for(viewer: Viewer, table: str, known: Sequence[str]) -> tuple[str, list[Any]]:
    """Return the condition on rows that keeps a viewer inside what they may see, and its values.

    Raises:
        NotForThisViewer: No row of the table is for this viewer.
    """
    if table in OPEN_TABLES or viewer.role == "head_coach":
        return "true", []
    if table in COACH_TABLES:
        if viewer.role != "staff":
            raise NotForThisViewer(f"'{table}' is for the head coach and staff")
        if table in OWN_LOADS:
            return "loaded_by = ?", [viewer.name]
        if table not in CELLS_AS_WRITTEN:
            return "true", []
        # Where it is not known whose row it is, it is the head coach's alone.
        rows = STAFF_ROWS if viewer.reads_injuries else f"{STAFF_ROWS} and {NO_HEALTH_FILE}"
        return rows, [list(viewer.event_groups)]
    if table in PRIVATE_TABLES and viewer.role == "staff":
        return f"{STAFF_OF_PRIVATE[table]} and {STAFF_ROWS}", [list(viewer.event_groups)]
    if table in HEAD_COACH_TABLES or (table in PRIVATE_TABLES and not viewer.is_tied):
        raise NotForThisViewer(f"'{table}' is for the head coach")
    return _rows_of_people(viewer, table, known)


def _rows_of_people(viewer: Viewer, table: str, known: Sequence[str]) -> tuple[str, list[Any]]:
    groups = list(viewer.event_groups)
    if "athlete_id" not in known:
        if viewer.role == "staff" and "event_group" in known:
            return "list_contains(?::varchar[], event_group)", [groups]
        raise NotForThisViewer(f"'{table}' is for the head coach")
    if viewer.role == "staff":
        return STAFF_ROWS, [groups]
    if not viewer.is_tied:
        raise NotForThisViewer("this sign-in is tied to no athlete")
    return GUARDIAN_ROWS if viewer.role == "guardian" else OWN_ROWS, [viewer.athlete_id]


def columns_otherwise(viewer: Viewer, table: str, known: Sequence[str]) -> dict[str, str]:
    """Return the columns that this viewer reads otherwise than they stand, each with what is read instead."""
    guarded: dict[str, str] = {}
    if not viewer.reads_injuries:
        guarded |= dict.fromkeys(INJURY_COLUMNS.get(table, ()), "null")
        said = as_text(INJURY_HIDDEN)
        for flag, words, others in INJURY_WORDS.get(table, ()):
            # A row that does not say what it rests on is taken to rest on injuries.
            rests = f"coalesce({quoted(flag)}, true)" if flag in known else "true"
            for name, instead in (*([(words, said)] if words else []), *((other, "null") for other in others)):
                guarded[name] = f"case when {rests} then {instead} else {quoted(name)} end"
    if viewer.role == "staff":
        guarded |= dict.fromkeys(NOT_FOR_STAFF.get(table, ()), "null")
    if viewer.role == "guardian" and "note" in known:  # that of a check-in is injury detail, and hidden as such above
        guarded["note"] = "null"
    if viewer.role == "staff" and table not in CELLS_AS_WRITTEN | OWN_LOADS:
        # a file may be named after somebody else; what is typed in is named by its table
        ending = "regexp_extract(source_name, '[.][A-Za-z0-9]{1,8}$')"
        guarded["source_name"] = f"case when source_name like 'typed: %' then source_name else {ending} end"
    return {name: instead for name, instead in guarded.items() if name in known}
