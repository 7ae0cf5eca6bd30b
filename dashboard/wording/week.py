"""Words of the week’s sheet."""

from collections.abc import Sequence

from dashboard.wording.forms import joined, number_word, sentence_case


def week_lede(calls: Sequence[str], improving: int, slipping: int) -> str:
    """Say the week in one or two sentences from the calls on the sheet."""
    total = len(calls)
    planned, adapt = calls.count("as_planned"), calls.count("adapt")
    talk, silent = calls.count("talk_first"), calls.count("no_call")
    if planned == total:
        first = f"All {number_word(total)} can train as planned." if total > 1 else "This athlete can train as planned."
    else:
        rest = []
        if adapt:
            rest.append(f"{number_word(adapt)} want{'s' if adapt == 1 else ''} a change")
        if talk:
            rest.append(f"{number_word(talk)} a talk before they run")
        if silent:
            rest.append(f"{number_word(silent)} ha{'s' if silent == 1 else 've'} not reported enough for a call")
        first = f"{sentence_case(number_word(planned))} of {total} can train as planned. {sentence_case(joined(rest))}."
    second = []
    if improving:
        second.append(f"{number_word(improving)} start{'s are' if improving > 1 else ' is'} faster")
    if slipping:
        second.append(f"{number_word(slipping)} {'are ' if slipping > 1 else 'is '}slower")
    if not second:
        return f"{first} No start has changed by more than measurement noise can explain."
    return f"{first} {sentence_case(joined(second))} than measurement noise can explain."


SHEET_HEADINGS = (
    ("Athlete", "138px"),
    ("Training today", "182px"),
    ("Hamstring", "160px"),
    ("Start, 10 m time,<br>six weeks; band =<br>own noise", "124px"),
    ("Progress", "126px"),
    ("Week load,<br>band = own<br>range", "108px"),
    ("Work on next", "170px"),
)
CARD_LABELS = ("Training today", "Hamstring", "Start, 10 m, six weeks", "Progress", "Week load", "Work on next")
AGREE, CHANGE, CHANGE_AGAIN, SAVE, AGREED, UNDO = "agree", "change…", "change", "Save", "agreed", "undo"
TRAINING_LABEL, WORK_LABEL, NOTE_LABEL = "Training", "Work on next", "Why (optional)"
PRINT_SHEET = "Print the sheet"
FILTER_LABEL, ORDER_LABEL = "Event group and squad", "Call and order"
SINCE_REVIEW, DECIDED_LAST_WEEK, MISSING = "Since last review", "Decided last week", "Missing"
NOTHING_CHANGED = "Nothing has changed since last week."
NOTHING_MISSING = "Nothing is missing."
WEEK_LABEL = "Week"
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


def set_aside(rows: int, source: str) -> str:
    """Say how many rows of a file wait to be mended."""
    return f"{rows} row{'s' if rows != 1 else ''} set aside in {source}"


def set_aside_in_files(rows: int, files: int) -> str:
    """Say how many rows of several files wait to be mended."""
    return f"{rows} rows set aside in {files} files"


def tests_overdue(names: Sequence[str], days: int) -> str:
    """Say whose eccentric hamstring test is overdue."""
    who = names[0] if len(names) == 1 else f"{len(names)} athletes"
    return f"Eccentric hamstring test older than {days} days: {who}"


DECIDE_REFUSED = "This decision was not kept: the athlete is not among those you look after."
NOTHING_TO_DECIDE = "Nothing was kept: the row holds no proposal. Use change… and write what you decided."
THIS_WEEK = "This week"
EARLIER_WEEK, LATER_WEEK = "← week before", "week after →"
TAKEN_BACK = "The decision is taken back."


def more_listed(count: int) -> str:
    """Offer the rest of a list."""
    return f"and {count} more"
