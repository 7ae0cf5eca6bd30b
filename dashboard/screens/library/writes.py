"""What the page of drills keeps: a drill written down, proposed, changed, used or put away."""

from collections.abc import Mapping, Sequence
from typing import Any

from dashboard.access.viewer import Viewer
from dashboard.screens.library import words
from dashboard.writes import NotKept, enter, publish_soon, undo_load
from schemas.spelling import slug

Row = dict[str, Any]
TEXTS = ("cue", "why", "amount", "caution", "link")


def drill_row(viewer: Viewer, name: str, limit: str, said: Mapping[str, str]) -> Row:
    """Return a drill as the record holds it: the head coach's is in use at once, a staff coach's is proposed.

    An empty field says nothing, as everywhere in the record. The record keeps who said it last.

    Raises:
        NotKept: It has no name, or its address is none.
    """
    key = slug(name, "_")
    if not key:
        raise NotKept(words.UNNAMED)
    link = said.get("link", "").strip()
    if link and not link.startswith("https://"):
        raise NotKept(words.NO_LINK.format(link))
    told = {one: said[one].strip() for one in TEXTS if said.get(one, "").strip()}
    used = {"is_used": True} if viewer.role == "head_coach" else {}
    return {"drill": key, "limit": limit, **told, **used}


def keep_drills(viewer: Viewer, rows: Sequence[Row]) -> int | None:
    """Keep drills; return the load, to undo it.

    Raises:
        NotKept: They are not this viewer's to write.
    """
    if not viewer.is_coach:
        raise NotKept(words.NOT_FOUND)
    load_no: int | None = enter(list(rows), "drill", viewer).load_no
    return load_no


def use_drill(viewer: Viewer, rows: Sequence[Mapping[str, Any]], *, used: bool) -> int | None:
    """Say that a drill may be chosen, or that it is put away.

    Raises:
        NotKept: Only the head coach says so, or there is no such drill.
    """
    if viewer.role != "head_coach" or not rows:
        raise NotKept(words.NOT_FOUND)
    return keep_drills(viewer, [{"drill": one["drill"], "limit": one["limit"], "is_used": used} for one in rows])


def take_back(viewer: Viewer, load_no: int) -> None:
    """Undo what this sign-in has kept."""
    undo_load(viewer, load_no, publish=False)
    publish_soon()
