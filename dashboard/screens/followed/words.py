"""The words of the page of what followed."""

from dashboard.wording import BLOCK_KINDS

FOLLOWED = "What followed"
LEDE = (
    "Every decision on the start, with what was done of it and what was measured after, from the day after it was "
    "made. It shows what came after, not what came of it."
)
MEAN_TITLE = "Before reading it"
MEAN = (
    "Who was picked because the start was slow that week tends to measure faster the next time, with no work at all: "
    "regression to the mean (Barnett, van der Pols, Dobson 2005, Int J Epidemiol 34:215–220). Other work, season and "
    "growth run beside it. A single line proves nothing; a decision tried against another in turn, over many days, "
    "says more."
)
NOTHING = "No decision on the start is on record yet. Decide on This week, and what followed stands here."
NOBODY_CHOSEN = "No decision fits this choice."
# What a phone shows one of at a time.
PARTS = {"start": "On the start", "trials": "Trials", "others": "Training, hamstring"}
WORK_NAV = "Kind of work"
ALL_WORK = "all"
NOT_SAID = "no kind of work named"
COLUMNS = (
    ("athlete", "Athlete"),
    ("week", "From"),
    ("call", "Decided"),
    ("done_sentence", "Done"),
    ("change_sentence", "Measured after"),
    ("days", "Days before, after"),
)
NOT_MEASURED = "not measured on enough days yet"
TRIALS_TITLE = "Trials of two ways"
TRIALS_CAPTION = (
    "A way tried against another in turn, within the same days: what differs is the way, not the week. A trial whose "
    "chance is large tells nothing either way."
)
NO_TRIALS = "No trial is on record yet. Two starts says how one is run and how many runs it takes."
TRIAL_COLUMNS = (
    ("athlete", "Athlete"),
    ("last", "Last day"),
    ("tried", "Tried"),
    ("sentence", "Found"),
    ("days", "Days"),
    ("runs", "Runs of A, of B"),
)
OTHER_TITLE = "Decisions on training and hamstring"
OTHER_CAPTION = "Kept as they were decided; nothing is set against a measure for them, as no measure answers for them."
OTHER_COLUMNS = (
    ("athlete", "Athlete"),
    ("week", "Week of"),
    ("topic", "On"),
    ("call", "Decided"),
    ("decided_by", "By"),
)


def work_name(work: str | None) -> str:
    """Name a kind of work: sled runs."""
    return NOT_SAID if work is None else BLOCK_KINDS.get(work, work.replace("_", " "))
