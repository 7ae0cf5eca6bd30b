"""Cautions, empty states and the words every page shares."""

CAUTIONS = (
    "For training planning and record keeping. It supports a coach's judgement: it is no medical device, and it "
    "diagnoses, predicts and clears nothing.",
    "Published hamstring risk factors predict individuals poorly: a flag is a reason to talk.",
    "Pain, or a suspected injury, goes to a licensed professional; return-to-run decisions are theirs.",
    "Heavy resisted runs, eccentric work and maximal sprints need progressive build-up and supervision.",
    "For minors, the safeguarding and data-protection rules of the place apply, with a guardian's consent.",
)
CAUTION_LINE = (
    "Supports a coach's judgement; diagnoses, predicts and clears nothing. Pain, or a suspected injury, goes to a "
    "licensed professional."
)
OWN_CAUTION = "If it hurts, stop, tell your coach, and see a doctor or physio."
HAMSTRING_CAUTION = "A flag is a reason to talk, not a prediction: published risk factors predict individuals poorly."
WORK_CAUTION = "Heavy resisted runs, eccentric work and maximal sprints need progressive build-up and supervision."
WEEK_CAUTION = f"{HAMSTRING_CAUTION} {WORK_CAUTION} {CAUTION_LINE}"
NO_ACCESS = "You are not signed in. Open the sign-in page and sign in again."
NOT_YOURS = "That page is not yours to see. This is yours."
NO_SUCH_PAGE = "There is no page at that address. This is your first one."
NO_BOARD = "Nothing has been published yet."
NO_BOARD_NEXT = "Load the squad's first file: a list of athletes. The Data page has an empty template for it."
NO_BOARD_ATHLETE = "Your coach has not loaded any data yet. Look again after the next session."
NO_ATHLETES = "There is no athlete yet."
NO_ATHLETES_NEXT = "Load a file with the columns athlete_id and display_name; the Data page has the template."
PART_NAV = "Part of the list"
NO_ROWS_FOR_FILTER = "No athlete fits this choice. Choose All to see everyone."
NOT_ALLOWED = "This athlete is not among those you look after, so nothing is shown. Choose one from the list."
NO_TREND = "Too few timed starts for a line. Time three starts in each of two sessions, same start and same clock."
NO_LINE_OF_THESE = "No line yet: {}. A line takes three starts, by gates or film, in each of two sessions."
NO_STEPS = "No step timings yet. Mark the first steps of three starts on video at 120 pictures a second or more."
STEPS_UNPLACED = (
    "Step timings are on record, but of no start that can be shown: what kind of start it was, or its first contacts, "
    "are not known. Answer what is open for the file under Data, Load files."
)
SPLITS_UNPLACED = (
    "Runs with times are on record, but a curve can be drawn of none: it takes three distances, a start and a clock "
    "that are known, and times that fit a run. Answer what is open for the file under Data, Load files."
)
NO_SPLITS = "No timed rep with splits yet. Load a split sheet with at least three distances a run."
NO_LOAD = "No logged week yet. Log minutes and effort for each session, and rest days as 0 min."
NO_STRENGTH = "No lift or strength test yet. Load the gym log."
NO_RACES = "No race yet."
NO_DECISIONS = "Nothing has been decided yet."
NO_CALL = "There is no call yet: no check-in has been loaded."
NO_FLAGS = "Cannot say: no check-in, test or run has been loaded for this athlete."
NO_FOCUS = "Nothing to propose yet: load step timings or splits of three starts."
OPENS = "more"
NO_WORK_NOW = "No work of the start is proposed this week beside what stands on top."
INJURY_HIDDEN = "injury record: ask the head coach"
CAUTION_SHORT = CAUTION_LINE
NO_ACCESS_TITLE = "Not signed in"
SIGN_IN, SIGN_OUT = "Sign in", "Sign out"


def part_name(first: int, last: int) -> str:
    """Name a part of a list of people by the places of its first and last."""
    return f"{first}–{last}" if last > first else str(first)


def page_fault(reference: str) -> tuple[str, str]:
    """Say that a page could not be drawn, and what to do, with the reference that finds the fault in the log."""
    return (
        "This page could not be drawn.",
        "That is a fault of thirdstep, not of your data: nothing was lost or changed. Load the page again; if it comes "
        f"back, tell who runs thirdstep the reference {reference}, which stands in dashboard.log in the home folder.",
    )


WIDE_TABLE = "Table; it may be wider than the page and scrolls sideways"

# While what follows from a write for the whole squad is still computed.
SQUAD_OLDER = "What was just written is here. Figures that rest on the whole squad follow in a moment."
PAGE_BEHIND = "What was just written is kept. It is not on this page yet, and will be in a moment."
SQUAD_FOLLOWED = "The figures of the whole squad are up to date again. Show them on this page."
