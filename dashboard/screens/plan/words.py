"""Words of the plan page."""

import datetime as dt
from collections.abc import Sequence

from dashboard import wording

PLAN = "Plan"
NO_GROUP = "There is no athlete in a group of yours yet."
PLAN_LEDE = "Write the week, see what it would mean for each, then save."
PLAN_WHO, PLAN_ALL = "For whom", "The whole group"
PLAN_NAV, PLAN_WEEK_NAV = "Plan for", "Week planned"
WEEK_BEFORE, WEEK_AFTER = "← week before", "week after →"
COPY_LAST, COPIED = "copy last week", "last week copied: not saved yet"
TWO_A_DAY = "two sessions a day"
GRID_GROUP = (
    "One grid for all of the group. Where they differ the cell is empty, and an empty cell leaves each as it is. "
    "A day off is 0 minutes."
)
GRID_ONE = "A day off is 0 minutes. A planned session that you empty is kept as 0 minutes: nothing is erased unseen."
GRID_COLUMNS = {
    "day": "Day",
    "kind": "Kind",
    "text": "What is run",
    "fast": "Fast metres",
    "minutes": "Minutes",
    "effort": "Effort, 0 to 10",
    "mind": "To mind",
}
MIND_HELP = (
    "What calls and decisions say against a session as it is saved, and hamstring work on the day before full speed. "
    "It changes nothing: change the plan, or leave it and know why."
)
TEXT_HELP = "In words, as your athletes read it on Today: 4 x 30 m blocks, 3 x flying 20."
FAST_HELP = (
    "Counted as it is when it is done: metres at 95 % of own best speed or more. A flying 30 m is 30; of a run from a "
    "start only what its gates show that fast, as a rule what lies beyond 20 m, so 4 x 30 m from blocks are 40."
)
WALL_TITLE = "The week on one sheet"
WALL_CAPTION = (
    "As it is saved, with the call and the flag of now beside each name and what is to be minded beside a session. For "
    "the wall these are left out, and a session changed after a call says only that it is changed: they are health "
    "words, and a wall is read by everybody."
)
WALL_NONE = "Nothing is saved for this week yet."
WALL_PDF, COACHES_PDF = "For the wall (PDF)", "With calls and flags, for coaches only (PDF)"
COACHES_ONLY = "For coaches only: it says how people are. Not for the wall."
OFF = "off"
CHANGED_FOR_ALL = "Changed: ask the coach"  # on the wall, where why is nobody else's to read
# What a phone shows one of at a time.
PARTS = {"write": "Write", "week": "The week", "done": "Plan and done"}
ONE_SESSION, SAVE_SESSION = "The week, a session at a time", "Save this session"
LAY_DECIDED = "what was decided"
LAID_DECIDED = "what was decided, laid over it: read it, then save the plan"
WALL_WHO = "Athlete"
TEMPLATE_NAV = "Lay a saved week over it"
TEMPLATE_NAME, SAVE_TEMPLATE = "Name of the week", "Save this week to plan by"
TEMPLATE_EMPTY = "Nothing was kept: there is nothing in the grid."
TEMPLATE_UNNAMED = "Give the week a name of letters or digits, then save it."
ALWAYS_OFF, KEEP_OFF, NO_DAY_OFF = "Always off", "Keep these days", "no day of the week"
ALWAYS_OFF_HELP = (
    "From this week on. On such a day nothing has to be logged: without a session it counts as a rest day. A session "
    "that is logged all the same counts as what it was."
)
PHASE, NO_PHASE, KEEP_PHASE = "Phase of the season", "not said", "Keep the phase"
PHASE_FROM, PHASE_UNTIL, PHASE_AIM = "From", "To", "Aim"
PHASE_HELP = (
    "For everybody shown, from the first day to the last; without a last day until the next phase begins. It stands on "
    "This week, here and on the athlete’s page, and changes no figure. A race to come is a session of the kind ‘race’."
)
PHASE_ENDS_FIRST = "Nothing was kept: the last day lies before the first."
MORE_OF_THE_PLAN = "Phases, days always off, weeks to plan by"
OFF_UNCHANGED = "Nothing was kept: these days are off already."
EFFECT_TITLE = "What it would mean"
EFFECT_CAPTION = (
    "Facts against each one’s own past, before anything is saved. No load and no number of fast metres is called safe."
)
NOTHING_TYPED = "Nothing is changed yet. Type in the grid, or copy last week."
OWN_RANGE = (
    "Own range: of one’s own whole weeks before the planned one, the last with them. This week and Groups hold the "
    "last week against those before it, so theirs may differ a little."
)
AS_SAVED = "The week as it is planned now."
EFFECT_COLUMNS = ("Athlete", "Load", "Fast running", "Monotony")
EXPOSURE_SPEAKS = "exposure flag would speak"
SAVE_PLAN = "Save the plan"
PLAN_BACK = "What was kept last on this page is taken back."
PLAN_REFUSED = "Not kept: the plan names somebody who is not among those you look after."
PLAN_EMPTY = "Nothing was kept: there is nothing new in the grid."
DONE_TITLE = "Plan against done"
NO_DONE = "There is no plan and no session for that week."
DONE_COLUMNS = (
    "Athlete",
    "Sessions",
    "Load planned",
    "done",
    "Difference",
    "Fast metres planned",
    "done",
    "Why a figure is missing",
)


def plan_title(monday: dt.date) -> str:
    """Title of the plan page."""
    return f"Plan, {wording.week_in_line(monday)}"


def crosses_sunday(mondays: Sequence[dt.date]) -> str:
    """Say that what is laid over the week reaches into another one."""
    weeks = wording.joined([wording.week_in_line(monday) for monday in mondays])
    return f"What was decided reaches into the {weeks} too: those sessions stand here as well, saved and undone as one."


def plan_day(value: dt.date, number: int, *, is_off: bool = False) -> str:
    """Name a day of the grid: Mon 23 Nov; a day always off says so, the second session of a day is (2)."""
    name = f"{wording.WEEKDAY_NAMES[value.weekday()][:3]} {wording.day(value)}{', off' if is_off else ''}"
    return name if number == 1 else f"{name} ({number})"


def of_athletes(count: int) -> str:
    """Say of how many: one athlete, 3 athletes."""
    return "one athlete" if count == 1 else f"{count} athletes"


def undo_plan(whose: str) -> str:
    """Name the key that undoes what was saved last, by whose plan it was."""
    return f"Undo what was saved last, for {whose}" if whose else "Undo what was saved last"


def plan_kept(sessions: int, athletes: int) -> str:
    """Confirm that a plan is saved."""
    return (
        f"Saved: {sessions} planned session{'s' if sessions != 1 else ''} of {athletes} "
        f"athlete{'s' if athletes != 1 else ''}."
    )


def save_caption(sessions: int, athletes: int) -> str:
    """Say what saving would change."""
    return (
        f"{sessions} planned session{'s' if sessions != 1 else ''} of {athletes} "
        f"athlete{'s' if athletes != 1 else ''} would be new or changed."
    )


def done_title(monday: dt.date) -> str:
    """Head the comparison of plan and done."""
    return f"{DONE_TITLE}: {wording.week_in_line(monday)}"


def template_title(name: str) -> str:
    """Write the name of a saved week."""
    return name.replace("_", " ")


def template_laid(name: str) -> str:
    """Say that a saved week is laid over the grid."""
    return f"{template_title(name)} laid over it: not saved yet"


def template_kept(name: str) -> str:
    """Confirm that a week is saved to plan by."""
    return f"Saved to plan by: {template_title(name)}. It can be laid over any week, group or athlete."


def off_kept(days: Sequence[int], athletes: int) -> str:
    """Confirm which days are always off."""
    named = wording.joined([wording.WEEKDAY_NAMES[day - 1] for day in sorted(days)]) if days else "no day of the week"
    return f"Kept: {named} always off for {athletes} athlete{'s' if athletes != 1 else ''}, from this week on."


def phase_kept(phase: str, athletes: int) -> str:
    """Confirm which phase was set."""
    return f"Kept: {phase.replace('_', ' ')} for {athletes} athlete{'s' if athletes != 1 else ''}."


def wall_day(value: dt.date) -> str:
    """Head a day of the printed week: Mon 23 Nov."""
    return f"{wording.WEEKDAY_NAMES[value.weekday()][:3]} {wording.day(value)}"
