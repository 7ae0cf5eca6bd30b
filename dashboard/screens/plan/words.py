"""Words of the plan page."""

import datetime as dt

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
}
TEXT_HELP = "In words, as your athletes read it on Today: 4 x 30 m blocks, 3 x flying 20."
WALL_TITLE = "The week on one sheet"
WALL_CAPTION = (
    "As it is saved, with the call and the flag of now beside each name. Print this page for the wall: calls and flags "
    "are left out of the print."
)
WALL_NONE = "Nothing is saved for this week yet."
WALL_WHO = "Athlete"
EFFECT_TITLE = "What it would mean"
EFFECT_CAPTION = (
    "Facts against each one’s own past, before anything is saved. No load and no number of fast metres is called safe."
)
NOTHING_TYPED = "Nothing is changed yet. Type in the grid, or copy last week."
AS_SAVED = "The week as it is planned now."
EFFECT_COLUMNS = ("Athlete", "Load", "Fast running", "Monotony")
EXPOSURE_SPEAKS = "exposure flag would speak"
SAVE_PLAN = "Save the plan"
UNDO_PLAN = "Undo"
PLAN_BACK = "The plan is taken back."
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


def plan_day(value: dt.date, number: int) -> str:
    """Name a day of the grid: Mon 23 Nov; the second session of a day says so."""
    name = f"{wording.WEEKDAY_NAMES[value.weekday()][:3]} {wording.day(value)}"
    return name if number == 1 else f"{name}, session {number}"


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
