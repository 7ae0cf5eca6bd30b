"""Words of the week’s sheet."""

import datetime as dt
from collections.abc import Mapping, Sequence

from dashboard.wording.forms import data_reach, day, joined, long_day, number_word, sentence_case
from schemas.labels import EVENT_GROUPS, TRAINING

SHEET_HEADINGS = (
    ("Athlete", "138px"),
    ("Training today", "182px"),
    ("Hamstring", "160px"),
    ("Start, 10 m time,\nsix weeks; band =\nown noise", "124px"),
    ("Progress", "126px"),
    ("Week load,\nband = own\nrange", "108px"),
    ("Work on next", "170px"),
)
CARD_LABELS = ("Training today", "Hamstring", "Start, 10 m, six weeks", "Progress", "Week load", "Work on next")
UNDER_18 = "under 18"
AGREE, CHANGE, CHANGE_AGAIN, SAVE, AGREED, UNDO = "agree", "change…", "change", "Save", "agreed", "undo"
KEEP_THE_WORK = "Keep the work as it is"  # as the sheet has it
IN_FULL = "All in full"
AGREED_SENT = "agreed…"  # at once, until it is kept
TRAINING_LABEL, WORK_LABEL, NOTE_LABEL = "Training", "Work on next", "Why (optional)"
CANCEL, YOUR_DRILLS = "Cancel", "Your drills for it"
PRINT_SHEET = "Print the sheet"
NOT_THE_COACHS = (
    "Not kept: the coach does not decide this one. A licensed professional sees the athlete before any running; once "
    "they say so, enter the day of return under Data."
)
SAY_WHY = "Not kept: the call is ‘talk first’. Write into the note why it is not followed, then save again."
CHOICES_KEY = "choose, order, print"
FILTER_LABEL, ORDER_LABEL = "Event group and squad", "Call and order"
SINCE_REVIEW, DECIDED_LAST_WEEK, MISSING = "Since last review", "Decided last week", "Missing"
NOTHING_CHANGED = "Nothing has changed since last week."
NOTHING_MISSING = "Nothing is missing."
WEEK_LABEL = "Week"
SINCE_WEEK = "Since last week"
THIS_REVIEW, CLOSE_REVIEW, CLOSE_IT, OPEN_AGAIN = "This review", "Close this review…", "Close", "open it again"
CLOSE_LEDE = "Keeps the sheet and what was decided as they stand now. Data that come in later change nothing in it."
CLOSE_REFUSED = "Only the head coach closes a review or opens it again."
CLOSED_ALREADY = "This review is closed already. Open it again first."
OPENED_AGAIN = "The review is open again."
AS_IT_STANDS, AS_IT_WAS = "see how the week stands now", "see the review as it was closed"
STANDS_NOW = "This is how the week stands now; the review itself is kept as it was."
FILTER_HAMSTRING = {"watch": "Watch", "nothing": "Nothing seen", "cannot_say": "Cannot say"}
HAMSTRING_FILTER_LABEL = "Hamstring"
NOTHING_DECIDED_HERE, NOT_DECIDED_ON = "nothing decided", "not decided"
SINCE_THEN = "Since then:"


def closed_review(at: dt.datetime, by: str | None) -> str:
    """Say when and by whom a review was closed."""
    who = f" by {by}" if by else ""
    return f"Closed {long_day(at)}, {at:%H:%M}{who}, kept as it was."


def decided_so_far(decided: int, athletes: int) -> str:
    """Say how far the review is."""
    if not decided:
        return f"Nothing decided yet for the {athletes} athletes on the sheet."
    return f"Decided for {decided} of {athletes}."


def undecided(names: Sequence[str]) -> str:
    """Name those nothing is decided for yet, where a review is closed."""
    return f"Nothing decided for {joined(names)}." if names else "Decided for everybody on the sheet."


def since_review_of(closed_at: dt.datetime) -> str:
    """Say which review the changes are set against."""
    return f"Against the review closed {long_day(closed_at)}."


def followed(done: str | None, change: str | None) -> str:
    """Say what was done of a decision and what changed beyond its error; where nothing did, say that."""
    parts = [p for p in (change or "").rstrip(".").split(", ") if p and "unchanged" not in p]
    moved = f"{sentence_case(', '.join(parts))}." if parts else "No change beyond noise." if change else NOT_MEASURED
    return " ".join(p for p in ("" if done == NOTHING_TO_COUNT else done or "", moved) if p)


NOTHING_TO_COUNT, NOT_MEASURED = "Nothing to count.", "Nothing measured since."
NO_SHEET = "There is no week to show yet."
NO_SHEET_NEXT = "Load check-ins, sessions or a split sheet: the sheet is made from them after each load."


def saved(name: str, what: str) -> str:
    """Confirm that a decision is kept."""
    return f"Kept for {name}: {what}."


def missing_checkins(gaps: Sequence[tuple[str, int | None]]) -> str:
    """Name who has not checked in, longest gap first; more than four are counted."""
    if len(gaps) > 4 and all(gap is None for _, gap in gaps):
        return f"Check-ins: {number_word(len(gaps))} athletes have never checked in"
    named = [f"{name} ({gap} days)" if gap is not None else f"{name} (never)" for name, gap in gaps]
    more = f" and {len(named) - 4} more" if len(named) > 4 else ""
    return f"Check-ins: {', '.join(named[:4])}{more}"


def read_the_note(on: dt.date) -> str:
    """Ask to read a note that names the hamstring; what it means is for the reader."""
    return f"read the note of {long_day(on)}: it names the hamstring"


def set_aside(rows: int, source: str) -> str:
    """Say how many rows of a file wait to be mended today."""
    return f"{source}: {rows} row{'s' if rows != 1 else ''} with something set aside"


def set_aside_in_files(rows: int, files: int) -> str:
    """Say how many rows of several files wait to be mended."""
    return f"{rows} rows of {files} files with something set aside"


def tests_overdue(names: Sequence[str], days: int) -> str:
    """Say whose eccentric hamstring test is overdue."""
    who = names[0] if len(names) == 1 else f"{len(names)} athletes"
    return f"Eccentric hamstring test older than {days} days: {who}"


DECIDE_REFUSED = "This decision was not kept: the athlete is not among those you look after."
NOTHING_TO_DECIDE = "Nothing was kept: the row holds no proposal. Use change… and write what you decided."
THIS_WEEK = "This week"
EARLIER_WEEK, LATER_WEEK = "← week before", "week after →"
TAKEN_BACK = "The decision is taken back."


def open_listed(count: int) -> str:
    """Offer a list that stands closed on a phone."""
    return "show it" if count == 1 else f"show all {count}"


def more_listed(count: int) -> str:
    """Offer the rest of a list."""
    return f"and {count} more"


PRINT_HEADINGS = [
    "Athlete",
    "Training today",
    "Hamstring",
    "Start, 10 m time, six weeks; band = own noise",
    "Progress",
    "Week load, band = own range",
    "Work on next",
    "Decided",
]
PRINT_ATHLETE, PRINT_OWN = "Print this athlete", "in the athlete’s own words"
PRINT_MINE = "Print this sheet"
SEEN_BY = ["seen by the athlete", "seen by the coach"]
SEEN_BY_MINOR = ["seen by the athlete", "seen by a guardian", "seen by the coach"]
NO_SUCH_SHEET = "There is no such sheet for you. Open the page again and print from there."
TAKE_SHEET = "The sheet as a file:"


def about_athlete(event_group: str | None, row: dict) -> str:
    """Name the event group, and that somebody is a minor."""
    minor = UNDER_18 if row.get("caution") else ""
    return " · ".join(p for p in (EVENT_GROUPS.get(event_group or "", ""), minor) if p)


def about_person(event_group: str | None, squad: str | None, squad_name: str | None) -> str:
    """Name event group, squad and club of an athlete."""
    parts = (EVENT_GROUPS.get(event_group or "", ""), f"squad {squad}" if squad else "", squad_name or "")
    return " · ".join(p for p in parts if p)


CHANGE_PLAN = "change the plan"


def decided_text(said: str | None, row: dict, decided: str | None = None) -> str:
    """Write a decision: 'agreed' where it is what the sheet proposes now.

    ``decided``: what was decided on training. Where the call is another one (it was overruled, or answers have come
    since), both are said.
    """
    call = TRAINING.get(row["training_call"] or "", "")
    if decided and call and decided != call and not decided.startswith(f"{call}: "):
        rest = "" if said in (None, "", decided, row["focus_headline"]) else f"; {said}"
        return f"{decided}; the call is {call}{rest}"
    training = TRAINING.get(row["training_call"] or "", "")
    proposed = {
        row["focus_headline"],
        f"{training}; {row['focus_headline']}",
        training if not row["focus_headline"] else None,
    }
    return AGREED if not said or said in proposed else said


def since_closed(said: str) -> str:
    """Say in the row of a closed review what has changed since."""
    return f"Since it was closed: {said}."


def still_decided(call: str, until_on: dt.date) -> str:
    """Say what was decided in an earlier week and until when it stands."""
    return f"Decided, to {day(until_on)}: {call}."


def holds_until(until_on: dt.date) -> str:
    """Say until when a decision holds."""
    return f"Holds to {day(until_on)}."


def print_foot(iso_day: str | None) -> str:
    """Say at the foot of a sheet what it is, how far the data reach, and that it names people."""
    reach = data_reach(iso_day)
    return " · ".join(p for p in ("thirdstep", reach, "names people: keep it among those it is for") if p)


def letters_lacking(stand_in: str) -> str:
    """Say what stands for letters that the type of a printed sheet lacks."""
    return f"· {stand_in} stands for a letter or sign that this type lacks: see the page"


def no_such_athlete(asked: str) -> str:
    """Say that an athlete is not known."""
    return f"There is no athlete '{asked}'. 'thirdstep table athlete' lists them."


def no_such_week(asked: str, weeks: Sequence[str]) -> str:
    """Say that a week has no sheet, and which have."""
    return f"There is no sheet for '{asked}'. Give the Monday of a week: the last are {', '.join(weeks)}."


COPY_LIST, COPIED = "copy the list", "copied"


def waiting_heading(athletes: int) -> str:
    """Head the list of those who have not answered."""
    if athletes == 0:
        return "Everybody has answered"
    return f"{sentence_case(number_word(athletes))} {'has' if athletes == 1 else 'have'} not answered"


def waiting_text(waited: Sequence[Mapping], names: Mapping[str, str]) -> str:
    """Return the answers waited for as lines to copy: what and which day, then the names."""
    lines: dict[tuple, list[str]] = {}
    for row in waited:
        lines.setdefault((row["kind"], row["day_on"]), []).append(names[row["athlete_id"]])
    said = {"checkin": "Check-in", "session": "Minutes and effort of the session"}
    return "\n".join(f"{said[kind]}, {long_day(on)}: {', '.join(sorted(who))}" for (kind, on), who in lines.items())


AGREE_REST_MEANS = f"To each the work named in the row; where none stands in a short row: {KEEP_THE_WORK}."


def agree_rest(count: int) -> str:
    """Name the button that agrees with everybody left who goes on as planned."""
    return f"Agree with the rest: {count} as planned"


def agreed_rest(count: int, left: Sequence[str]) -> str:
    """Confirm it, and name who still waits for a decision of their own."""
    waits = f" Still open, each to be decided by itself: {joined(list(left))}." if left else ""
    return f"Agreed for {count}, as planned.{waits}"


def more_odd_times(count: int) -> str:
    """Say how many more runs hold a time far from the athlete's usual."""
    return f"and {number_word(count)} more run{'s' if count != 1 else ''} with a time far from the athlete’s usual"


def earlier_odd_times(count: int) -> str:
    """Say how many runs of earlier weeks hold such a time, and where they stand."""
    runs = f"{number_word(count)} run{'s' if count != 1 else ''}"
    return f"{sentence_case(runs)} of earlier weeks with a time far from the usual: under Data, Set aside"


def odd_time(name: str, reason: str, source: str | None, sheet: str | None, line: int | None) -> str:
    """Say which stored time is probably a slip, and where it stands."""
    place = ", ".join(
        part for part in (source, f"sheet {sheet}" if sheet else "", f"line {line}" if line else "") if part
    )
    return f"{name}: {reason.rstrip('.')}. Look at {place}" if place else f"{name}: {reason}"


def and_runs(count: int) -> str:
    """Say how many more runs of the same athlete and week hold such a time."""
    return f", and {number_word(count)} more run{'s' if count != 1 else ''}" if count else ""


NOT_LOOKED_AT = "Not looked at"
TO_QUESTIONS = "Answer what is asked"
MOST_NAMED = 2  # files named in the line over the sheet


def not_looked_at(said: str) -> str:
    """Say on paper what the sheet could not look at."""
    return f"{NOT_LOOKED_AT}: {said}." if said else ""


def never_entered_line(words: Sequence[str]) -> str:
    """Say what was never entered for anybody; nothing on record is no sign of health."""
    return f"{joined(words)} (never entered)" if words else ""


def unread_line(files: Sequence[str], asked: Sequence[str], columns: int, of_files: int) -> str:
    """Say which files were not read, of which rows wait for an answer, and how many columns nobody knows."""
    said = []
    if files:
        said.append(f"{_named(files)} (not read)")
    if asked:
        said.append(f"rows of {_named(asked)} that wait for an answer")
    if columns:
        many = "column" if columns == 1 else "columns"
        where = "" if of_files < 2 else f" in {number_word(of_files)} files"
        said.append(f"{number_word(columns)} {many}{where} that {'is' if columns == 1 else 'are'} not understood")
    return "; ".join(said)


def _named(files: Sequence[str]) -> str:
    if len(files) <= MOST_NAMED + 1:
        return joined(files)
    return f"{', '.join(files[:MOST_NAMED])} and {number_word(len(files) - MOST_NAMED)} more files"
