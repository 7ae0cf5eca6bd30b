"""What the track page keeps: entries of a phone, each once. Through the flow, as hand entries."""

import dataclasses
from collections.abc import Mapping
from typing import Any

from dashboard.access.viewer import Viewer
from dashboard.home import home_folder
from dashboard.screens.track import words
from dashboard.writes import NotKept, in_words, publish_soon

Row = dict[str, Any]


def keep(viewer: Viewer, parcel: Mapping[str, Any]) -> Row:
    """Keep what a phone sends; return what became of each entry, for the phone to strike off."""
    from pipelines import flow

    answer: Row = {"sheet": str(parcel.get("sheet", "")), "no": parcel.get("no", 0)}
    if not viewer.is_coach:
        return {**answer, "problem": words.NO_RIGHT}
    try:
        with in_words():
            receipt = flow.track.keep(flow.Home(home_folder()), parcel, viewer.writer)
    except NotKept as wrong:
        return {**answer, "problem": str(wrong)}
    if parcel.get("entries") or parcel.get("taken_back"):
        publish_soon()
    return {**answer, **dataclasses.asdict(receipt)}
