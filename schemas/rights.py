"""Who may write what: for each role the record tables, and within them the columns. Asked in one place by every way in.

Reading is said in ``dashboard.access.rules``. Files, typed rows, mended rows, undo, the inbox and the command line all
come through ``pipelines.record.rights``, which asks here.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

Hand = Literal["machine", "head_coach", "staff", "athlete", "guardian"]


@dataclass(frozen=True)
class Writer:
    """Who brings rows: a signed-in person, or who holds the files of this machine and needs no sign-in."""

    name: str
    role: Hand = "machine"
    athlete_id: str | None = None
    event_groups: tuple[str, ...] = ()
    reads_injuries: bool = False

    @property
    def writes_all(self) -> bool:
        """Whether every row of every table is theirs to write."""
        return self.role in ("machine", "head_coach")

    @property
    def told(self) -> dict[str, Any]:
        """What the log keeps, so that a replay asks the same."""
        kept = {"name": self.name, "role": self.role, "athlete_id": self.athlete_id,
                "event_groups": list(self.event_groups), "reads_injuries": self.reads_injuries}  # fmt: skip
        return {name: value for name, value in kept.items() if value}


def writer_of(told: Mapping[str, Any]) -> Writer | None:
    """Return who a log says brought a load; null for a load of before this was logged."""
    if not told:
        return None
    return Writer(**{**told, "event_groups": tuple(told.get("event_groups", ()))})


# Tables that only the head coach changes, each with why. What stands there already may come again in anybody's file,
# where that person may read the table; consent and closed reviews say nothing to who may not.
OF_HEAD_COACH = {
    "athlete": "Who is on the roster, and what stands there about them, is the head coach’s to change",
    "exercise": "An exercise’s family counts for the whole squad and is the head coach’s to change",
    "consent": "Consent is kept by the head coach",
    "review_line": "A review is closed by the head coach",
    "reference_value": "Reference values are taken in by the head coach",
}
MAY_COME_AGAIN = frozenset({"athlete", "exercise"})
# Tables and columns of injury detail: staff write them with the same grant with which they read them.
WITH_GRANT = frozenset({"injury", "return_step"})
COLUMNS_WITH_GRANT = {"checkin": ("note",)}
# Everything else staff write about athletes of their groups.
OF_STAFF = frozenset({
    "body_measure", "session", "day_log", "rep", "split", "step", "set_position", "film", "technique_note",
    "start_trial", "trial_lot", "lift_set", "force_test", "jump_test", "checkin", "race_result", "plan", "decision",
    "other_measure", "rest_day", "season_phase", "drill", "week_template",
})  # fmt: skip
OF_ATHLETE = frozenset({"checkin", "session", "consent"})  # their own, typed in
OF_GUARDIAN = frozenset({"consent"})  # of the one minor, typed in
# Consent is the person's own to give and to withdraw; while they are under age, their guardian's alone.
NOT_TO_GIVE = {
    "athlete": "Under age a parent or guardian gives and withdraws consent, so nothing of the row is kept",
    "guardian": "Who is of age gives and withdraws consent alone, so nothing of the row is kept",
}
# Of a session an athlete says how long it was and how hard; what it was for and where is the coach's.
COLUMNS_OF_ATHLETE = {"session": ("athlete_id", "session_date", "session_no", "duration_min", "effort_0_10")}

# Cells that only the head coach fills, each with why.
CELLS_OF_HEAD_COACH = {"drill": {"is_used": "Whether a drill may be chosen is the head coach’s to say"}}

# The column that says in whose name a row stands, and whether a row without one stands in its writer's.
NAMES = {
    "decision": "decided_by",
    "trial_lot": "drawn_by",
    "review_line": "closed_by",
    "return_step": "signed_by",
    "film": "marked_by",
    "drill": "proposed_by",
    "week_template": "saved_by",
}
FIRST_WRITER = frozenset({"drill", "week_template"})  # staff add their own and leave those of others as they are
SIGNATURES = frozenset({"return_step"})  # no name means not signed
CLAIMED = " (claimed, loaded by "


def may_write(writer: Writer, table: str) -> bool:
    """Return whether rows of a table may be this writer's at all."""
    if writer.writes_all:
        return True
    if writer.role == "staff":
        return table in OF_STAFF or (table in WITH_GRANT and writer.reads_injuries)
    return table in {"athlete": OF_ATHLETE, "guardian": OF_GUARDIAN}.get(writer.role, frozenset())


def why_not(writer: Writer, table: str) -> str:
    """Say why rows of a table are not this writer's, and what to do."""
    if writer.role == "staff" and table in WITH_GRANT:
        return (
            "Injury detail is written by the head coach and by staff who may read it, so nothing of the row is kept. "
            "The head coach can load the file."
        )
    if writer.role == "staff" and table in OF_HEAD_COACH:
        return f"{OF_HEAD_COACH[table]}, so nothing of the row is kept. The head coach can load the file."
    return "This sign-in may not write such rows, so nothing of the row is kept. Ask the head coach."


def is_name_of(writer: Writer, name: str) -> bool:
    """Return whether a name in a row is the writer's own."""
    return name.strip().casefold() == writer.name.strip().casefold()


def claimed(name: str, writer: Writer) -> str:
    """Return somebody else's name as it is shown: claimed by who brought the row, whatever was claimed before."""
    return f"{name.partition(CLAIMED)[0].strip()}{CLAIMED}{writer.name})"
