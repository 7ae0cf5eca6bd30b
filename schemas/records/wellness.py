"""Check-ins, injuries and the way back to running: health data. Pages say beside each item who reads it."""

from typing import Any

import polars as pl

from schemas import vocabulary as words
from schemas.base import RecordTable, column
from schemas.checkin import BY_NAME
from schemas.records.keys import athlete_key, note


def rated(name: str) -> Any:
    """Return the column of an item of the check-in that is answered on a scale."""
    item = BY_NAME[name]
    if item.scale == "five":
        said = (
            f"{item.means or item.heading}: 1 ({item.first}) to 5 ({item.last}). 5 is always the best answer; another "
        )
        said += "scale is laid on this, end on end."
        return column(said, source="athlete", ge=1, le=5, nullable=True, example="4", label=item.label)
    said = f"{item.means}: 0 (none) to 10 (worst imaginable)."
    return column(said, source="athlete", ge=0, le=10, nullable=True, example="1", label=item.label)


class Checkin(RecordTable):
    """One row per athlete and morning. Every item may be left out."""

    athlete_id: str = athlete_key()
    checked_on: pl.Date = column("Day of the check-in.", source="athlete", example="2026-11-20", label="Day")
    sleep_h: float = column(
        "Hours slept.", unit="h", source="athlete", ge=0, le=16, nullable=True, example="7.5", label="Sleep"
    )
    sleep_quality: float = rated("sleep_quality")
    fatigue: float = rated("fatigue")
    soreness: float = rated("soreness")
    stress: float = rated("stress")
    mood: float = rated("mood")
    hamstring_tightness_l: float = rated("hamstring_tightness_l")
    hamstring_tightness_r: float = rated("hamstring_tightness_r")
    pain: float = rated("pain")
    pain_site: str = column("Where the pain is.", source="athlete", nullable=True, example="left calf", label="Where")
    ill: bool = column("Ill today.", source="athlete", nullable=True, example="no", label="Ill")
    note: str = note()

    class Config(RecordTable.Config):
        """Key and place."""

        metadata = {"key": ["athlete_id", "checked_on"], "parents": ["athlete"], "title": "Check-ins"}


class Injury(RecordTable):
    """One row per injury, as told by whoever may say so; this is a record, not a diagnosis."""

    athlete_id: str = athlete_key()
    onset_on: pl.Date = column("Day it began.", source="medical", example="2026-09-28", label="Onset")
    site: str = column(
        "Place on the body.", source="medical", isin=words.INJURY_SITES, example="hamstring", label="Site"
    )
    side: str = column("Side.", source="medical", isin=words.TEST_SIDES, example="l", label="Side")
    kind: str = column(
        "What it was called, and by whom.", source="medical", nullable=True, example="strain", label="Kind"
    )
    mechanism: str = column("How it came.", source="medical", nullable=True, example="sprinting", label="How")
    stopped_training: bool = column(
        "Yes if full training had to stop.",
        source="medical",
        nullable=True,
        example="yes",
        label="Stopped training",
    )
    returned_on: pl.Date = column(
        "First day of full training again; empty while open. Decided by a licensed professional, recorded here.",
        source="medical",
        nullable=True,
        example="2026-10-18",
        label="Returned",
    )
    recurrence: bool = column(
        "Yes if the same place was injured before.",
        source="medical",
        nullable=True,
        example="no",
        label="Again",
    )
    note: str = note()

    class Config(RecordTable.Config):
        """Key and place."""

        metadata = {"key": ["athlete_id", "onset_on", "site", "side"], "parents": ["athlete"], "title": "Injuries"}


class ReturnStep(RecordTable):
    """One row per rung of the return-to-running ladder that was tried on a day, after one injury.

    The coach keeps it; a licensed professional decides and signs. It clears nobody.
    """

    athlete_id: str = athlete_key()
    onset_on: pl.Date = column(
        "Day the injury began, as in the injuries.", source="medical", example="2026-09-28", label="Injured on"
    )
    site: str = column(
        "Place on the body, as in the injuries.",
        source="medical",
        isin=words.INJURY_SITES,
        example="hamstring",
        label="Site",
    )
    side: str = column("Side, as in the injuries.", source="medical", isin=words.TEST_SIDES, example="l", label="Side")
    rung_no: int = column(
        "Rung of the ladder, from 1. Ours has nine, from walking and jogging to a whole session; another may be kept.",
        source="coach",
        ge=1,
        le=20,
        example="4",
        label="Rung",
    )
    done_on: pl.Date = column("Day it was done.", source="coach", example="2026-10-06", label="Done on")
    work_done: str = column(
        "What was done, in free words.",
        source="coach",
        nullable=True,
        example="6 build-ups of 60 m, easy back",
        label="What was done",
    )
    symptoms: str = column(
        "What was felt, during or by next morning: none, slight (felt, could finish), stopped (had to stop).",
        source="athlete",
        isin=words.RETURN_SYMPTOMS,
        nullable=True,
        example="none",
        label="Symptoms",
    )
    signed_by: str = column(
        "Licensed professional who signed the step; empty while nobody has.",
        source="medical",
        nullable=True,
        example="physiotherapist of the club",
        label="Signed by",
    )
    note: str = note()

    class Config(RecordTable.Config):
        """Key and place. The day of the rung stands first, so that a sheet's plain date is that day.

        The injury is no parent: a mistyped onset would make an injury out of nothing.
        """

        metadata = {
            "key": ["athlete_id", "done_on", "onset_on", "site", "side", "rung_no"],
            "parents": ["athlete"],
            "title": "Return to running",
        }
