"""Consent as the person keeps it, or a minor's guardian: given, withdrawn, taken back; and the copy of everything."""

import datetime as dt
from collections.abc import Mapping
from typing import Any

from dashboard.access.viewer import Viewer
from dashboard.home import squad_home
from dashboard.screens.consent import words
from dashboard.writes import NotKept, enter, in_words, publish_soon, run_command
from schemas.age import is_minor
from schemas.vocabulary import CONSENT_TOPICS


def may_decide(viewer: Viewer, born: dt.date | None, day: dt.date) -> bool:
    """Return whether consent is the viewer's to give on a day: of age their own, of a minor the guardian's."""
    if not viewer.is_tied:
        return False
    return is_minor(born, day) == (viewer.role == "guardian")


def keep(
    viewer: Viewer,
    topic: str,
    now: Mapping[str, Any] | None,
    born: dt.date | None,
    day: dt.date,
    *,
    is_refused: bool = False,
) -> int | None:
    """Give or refuse consent on a topic, or withdraw what is in force; return the load, to take it back.

    A refusal ends on the day it begins, so that whatever asks for a consent in force finds none.

    Raises:
        NotKept: It is not theirs to give, or it was withdrawn or refused the same day.
    """
    if not may_decide(viewer, born, day) or topic not in CONSENT_TOPICS:
        raise NotKept(words.REFUSED)
    row: dict[str, Any] = {"athlete_id": viewer.athlete_id, "topic": topic}
    if now is not None and now["withdrawn_on"] is None:
        row |= {"given_on": now["given_on"], "withdrawn_on": day}
    elif now is not None and now["given_on"] == day:
        raise NotKept(words.SAME_DAY)
    else:
        row |= {"given_on": day, "given_by": viewer.name, "is_guardian": viewer.role == "guardian"}
        row |= {"withdrawn_on": day, "is_refused": True} if is_refused else {}
    return enter([row], "consent", viewer).load_no


def take_back(viewer: Viewer, load_no: int) -> None:
    """Take one's own last word on consent back; what is somebody else's is refused by the record."""
    from pipelines import flow

    if not viewer.is_tied:
        raise NotKept(words.REFUSED)
    with in_words(viewer):
        flow.undo(squad_home(), load_no, viewer.writer, derive_after=False)
    publish_soon()


def copy_of_all(viewer: Viewer) -> bytes:
    """Return everything kept of the viewer's athlete as a zip file; for a guardian without the notes."""
    if not viewer.is_tied or viewer.athlete_id is None:
        raise NotKept(words.NOT_TIED)
    without = [] if viewer.role == "athlete" else ["--without-notes"]
    return run_command(["person", "export", viewer.athlete_id, "--out", "-", *without, "--by", viewer.name])
