"""What the Film page keeps: marks in hand, marks of a run, and taking them back. Through the flow, as sources."""

from collections.abc import Mapping
from typing import Any

from dashboard.access.viewer import Viewer
from dashboard.board import Board
from dashboard.home import squad_home
from dashboard.screens.film import words
from dashboard.writes import NotKept, in_words, publish_soon

Row = dict[str, Any]
RUN = ("athlete_id", "session_date", "session_no", "rep_no")


def _must_look_after(viewer: Viewer, board: Board, run: Mapping[str, Any]) -> None:
    """Refuse who does not look after the athlete; the record asks again when rows are stored."""
    theirs = set(board.allowed_athletes(viewer)["athlete_id"]) if viewer.is_coach else set()
    if run.get("athlete_id") not in theirs:
        raise NotKept(words.REFUSED)


def measured(marks: Mapping[str, Any]) -> Row:
    """Return what follows from the marks in hand."""
    from pipelines import flow

    with in_words():
        return flow.film.measured(marks)


def put_by(viewer: Viewer, board: Board, run: Mapping[str, Any], marks: Mapping[str, Any]) -> None:
    """Put the marks in hand by, so that nothing is lost; marks of another run than the page's are left alone."""
    from pipelines import flow

    _must_look_after(viewer, board, run)
    if not _is_of(marks, run) or not (marks.get("marks") or (marks.get("lane") or {}).get("marks")):
        return
    with in_words():
        flow.film.put_by(squad_home(), marks, viewer.name)


def in_hand(viewer: Viewer, run: Mapping[str, Any]) -> Mapping[str, Any] | None:
    """Return the marks of a run that the viewer has not kept yet."""
    from pipelines import flow

    return flow.film.in_hand(squad_home(), viewer.name, run)


def drop_in_hand(viewer: Viewer, run: Mapping[str, Any]) -> None:
    """Throw the marks in hand away."""
    from pipelines import flow

    flow.film.put_away(squad_home(), viewer.name, run)


def keep(viewer: Viewer, board: Board, run: Mapping[str, Any], marks: Mapping[str, Any]) -> int | None:
    """Keep the marks of a run; return their load.

    Raises:
        NotKept: The viewer does not look after the athlete, or the marks cannot be kept; the sentence says why.
    """
    from pipelines import flow

    _must_look_after(viewer, board, run)
    if not _is_of(marks, run):
        raise NotKept(words.NOT_THIS_RUN)
    if not marks.get("film"):
        raise NotKept(words.NO_FILM_READ)
    found = measured(marks)
    if not found["steps"]:
        raise NotKept(words.NOTHING)
    if found["speed"]["state"] != "known":
        raise NotKept(words.SPEEDS["refused"] if found["speed"]["state"] == "refused" else words.RATE_FIRST)
    if found["faults"]:
        raise NotKept(words.ORDER_FIRST.format(" ".join(fault_sentences(found))))
    with in_words():
        outcome = flow.film.keep(squad_home(), marks, viewer.writer)
    publish_soon()
    return outcome.load_no


def fault_sentences(found: Mapping[str, Any]) -> list[str]:
    """Say which marks stand in the wrong order."""
    told = []
    for code, about in found["faults"]:
        late, late_step, early, early_step = about.split()
        told.append(words.NOTES[code].format(words.event_name(late, late_step), words.event_name(early, early_step)))
    return told


def kept(viewer: Viewer, board: Board, run: Mapping[str, Any]) -> tuple[Row, Mapping[str, Any]] | None:
    """Return the film row of a run and its marks as they were given; null where none is kept or this viewer may not."""
    from pipelines import flow

    rows = board.rows(viewer, "film", dict(run))
    if not rows or not str(rows[0]["source_name"]).endswith(".marks"):
        return None
    try:
        return rows[0], flow.film.kept_marks(squad_home(), rows[0]["source_sha256"])
    except flow.ThirdstepError:
        return None


def file_of(row: Mapping[str, Any]) -> bytes:
    """Return the marks of a kept film as a file to take away."""
    from pipelines import flow

    return flow.film.kept_bytes(squad_home(), row["source_sha256"])


def take_back(viewer: Viewer, load_no: int) -> None:
    """Take the marks of a film out of force; the record asks whether they are the viewer's to take."""
    from pipelines import flow

    with in_words():
        found = flow.loads(squad_home()).filter(load_no=load_no).to_dicts()
        if not viewer.is_coach or not found or not str(found[0]["source_name"]).endswith(".marks"):
            raise NotKept(words.REFUSED)
        if found[0]["undone_at"] is None:
            flow.undo(squad_home(), load_no, viewer.writer, derive_after=False)
    publish_soon()


def _is_of(marks: Mapping[str, Any], run: Mapping[str, Any]) -> bool:
    told = marks.get("run") or {}
    return all(str(told.get(name)) == str(run[name]) for name in RUN)
