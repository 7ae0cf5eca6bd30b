"""What the check-in page keeps: one entry a day and athlete, saved at once, changed and taken back the same day.

Saving again takes the earlier entry of the day out of force, so that an answer left out the second time is gone.
"""

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from dashboard import wording
from dashboard.access.viewer import Viewer
from dashboard.board import Board
from dashboard.home import home_folder, todays_date
from dashboard.writes import NotKept, enter, in_words, publish_soon
from schemas.age import is_minor

Row = dict[str, Any]
MOST_NOTE = 400  # characters
ENTRY_NAME = "typed: checkin"
_INTEGERS = tuple(item for item, *_ in (*wording.CHECKIN_SCALES, *wording.CHECKIN_TENS))


@dataclass(frozen=True)
class Mine:
    """The check-in of a day as it stands: its answers, its load (null once taken back), when it was saved."""

    row: Row
    load_no: int | None
    at: dt.datetime | None
    is_typed: bool = True


def viewers_day() -> dt.date:
    """Return the day a check-in is for: today, or the day the demo is frozen at."""
    return todays_date()


def welfare_contact() -> str:
    """Return whom an athlete can turn to beside the coach; "" where the squad has named nobody."""
    from pipelines import flow

    return flow.settings(flow.Home(home_folder())).welfare_contact


def checkin_of(viewer: Viewer, board: Board, day: dt.date) -> Mine | None:
    """Return the viewer's check-in of a day."""
    if not viewer.is_tied or viewer.athlete_id is None:
        return None
    rows = board.rows(viewer, "checkin", {"athlete_id": viewer.athlete_id, "checked_on": day})
    if not rows:
        return None
    row = rows[0]
    return Mine(row, row.get("load_no"), row.get("entered_at"), str(row.get("source_name")) == ENTRY_NAME)


def is_withdrawn(viewer: Viewer, board: Board, day: dt.date) -> bool:
    """Return whether consent to keep health answers was withdrawn and not given again."""
    given = board.rows(viewer, "consent", {"athlete_id": viewer.athlete_id, "topic": "health"}, order_by=["-given_on"])
    ended = [row["withdrawn_on"] is not None and row["withdrawn_on"] <= day for row in given]
    return bool(ended) and all(ended)


def is_under_age(viewer: Viewer, board: Board, day: dt.date) -> bool:
    """Return whether the viewer is known to be under age on a day; where no birth date is kept, nobody is."""
    people = board.rows(viewer, "athlete", {"athlete_id": viewer.athlete_id})
    return is_minor(people[0].get("birth_date") if people else None, day)


def withdrawn_said(viewer: Viewer, board: Board, day: dt.date) -> str:
    """Say that check-ins are closed, and who can open them again: of a minor the guardian."""
    return wording.CHECKIN_WITHDRAWN_MINOR if is_under_age(viewer, board, day) else wording.CHECKIN_WITHDRAWN


def waits_for_consent(viewer: Viewer, board: Board, day: dt.date) -> bool:
    """Return whether the viewer is a minor for whom nobody has said yet that health answers may be kept.

    A minor is who is known to be under age on that day; where no birth date is kept, nobody is shut out for it.
    """
    if not is_under_age(viewer, board, day):
        return False
    given = board.rows(viewer, "consent", {"athlete_id": viewer.athlete_id, "topic": "health"})
    return not any(row["given_on"] <= day for row in given)


def row_of(viewer: Viewer, answers: Mapping[str, str], day: dt.date) -> Row:
    """Return the check-in row of a form's answers. Items left out are absent; words that are no answer are refused."""
    row: Row = {"athlete_id": viewer.athlete_id, "checked_on": day}
    try:
        if answers.get("sleep_h"):
            row["sleep_h"] = float(answers["sleep_h"])
        row |= {item: int(answers[item]) for item in _INTEGERS if answers.get(item)}
    except ValueError as wrong:
        raise NotKept(wording.CHECKIN_NOTHING) from wrong
    if answers.get("ill") in ("yes", "no"):
        row["ill"] = answers["ill"] == "yes"
    place = answers.get("place") if answers.get("place") in wording.CHECKIN_PLACES else None
    side = answers.get("side") if answers.get("side") in wording.CHECKIN_SIDES else None
    if row.get("pain") and (place or side):
        row["pain_site"] = " ".join(part for part in (side, place) if part)
    note = " ".join(str(answers.get("note") or "").split())[:MOST_NOTE]
    if note:
        row["note"] = note
    return row


def save(viewer: Viewer, board: Board, answers: Mapping[str, str]) -> Mine:
    """Keep the answers of the viewer's own check-in of today.

    Raises:
        NotKept: The viewer is no athlete, consent was withdrawn, nothing was answered, or the record refused it.
    """
    if viewer.role != "athlete" or viewer.athlete_id is None:
        raise NotKept(wording.CHECKIN_REFUSED)
    day = viewers_day()
    if is_withdrawn(viewer, board, day):
        raise NotKept(withdrawn_said(viewer, board, day))
    if waits_for_consent(viewer, board, day):
        raise NotKept(wording.CHECKIN_NO_CONSENT)
    row = row_of(viewer, answers, day)
    if len(row) <= 2:
        raise NotKept(wording.CHECKIN_NOTHING)
    before = checkin_of(viewer, board, day)
    outcome = enter([row], "checkin", viewer, publish=False)
    if before is not None and before.is_typed and before.load_no and before.load_no != outcome.load_no:
        _undo_own(viewer, before.load_no)
    publish_soon()
    return Mine(row, outcome.load_no, dt.datetime.now())


def take_back(viewer: Viewer, board: Board) -> None:
    """Take today's own check-in back."""
    if viewer.role != "athlete" or viewer.athlete_id is None:
        raise NotKept(wording.CHECKIN_REFUSED)
    day = viewers_day()
    mine = checkin_of(viewer, board, day)
    if mine is None or mine.load_no is None:
        raise NotKept(wording.CHECKIN_NOTHING)
    if not mine.is_typed:
        raise NotKept(wording.CHECKIN_OF_FILE)
    _undo_own(viewer, mine.load_no)
    publish_soon()


def _undo_own(viewer: Viewer, load_no: int) -> None:
    """Undo a load that is this viewer's own typed check-in, and no other."""
    from pipelines import flow

    home = flow.Home(home_folder())
    with in_words(viewer):
        found = flow.loads(home).filter(load_no=load_no).to_dicts()
        if not found or found[0]["kind"] != "entry" or found[0]["loaded_by"] != viewer.name:
            raise NotKept(wording.CHECKIN_OF_FILE)
        if found[0]["source_name"] == ENTRY_NAME and found[0]["undone_at"] is None:
            flow.undo(home, load_no, viewer.writer, derive_after=False)
