"""Work done by week besides the session load."""

from typing import Any

import polars as pl

from schemas.base import DerivedTable, column


def _count(text: str, label: str) -> Any:
    return column(text, source="definition", nullable=True, ge=0, label=label)


def _tonnage(family: str, label: str) -> Any:
    return column(
        f"Reps x load besides the body, summed over the sets of the {family}; null while a set or its load is unknown.",
        unit="kg",
        source="definition",
        nullable=True,
        ge=0,
        label=label,
    )


class WorkWeek(DerivedTable):
    """Work of one athlete in one week, by kind: eccentric hamstring sets, resisted runs, jumps, lifting, fast plan.

    A nought is written only where the log shows it: sessions of the week are logged and none of the kind in question
    lacks its sets or runs. Where the log has gaps, what was seen is 'at least' and the reason says so; where nothing
    was seen and the log has gaps, the value is unknown. Tonnage compares within one family only: it ignores the path of
    the bar, body mass and effort.
    """

    athlete_id: str = column("Athlete.", source="definition", label="Athlete")
    week_of: pl.Date = column("Monday of the week.", source="definition", label="Week of")
    lifting_known: bool = column(
        "Whether sessions are logged and every strength session has its sets.",
        source="definition",
        label="Lifting known",
    )
    eccentric_hamstring_sets: int = _count(
        "Sets of isolated eccentric hamstring work; left and right of one set are one set.", "Eccentric sets"
    )
    eccentric_hamstring_reps: int = _count(
        "Repetitions of those sets; where left and right differ, the larger.", "Eccentric reps"
    )
    unknown_exercises: str = column(
        "Exercises of the week that neither the squad's list nor the starter list knows; null where all are known.",
        source="definition",
        nullable=True,
        label="Without a family",
    )
    last_eccentric_on: pl.Date = column(
        "Day of the last such set, seen from the end of the week.",
        source="definition",
        nullable=True,
        label="Last eccentric",
    )
    eccentric_gap_days: int = _count(
        "Days since then, at the end of the week or today; null if never seen.", "Days since eccentric"
    )
    resisted_metres: float = column(
        "Metres run against a sled, a slope or other resistance; null while one such distance is unknown.",
        unit="m",
        source="definition",
        nullable=True,
        ge=0,
        label="Resisted metres",
    )
    sled_kg_metres: float = column(
        "Mass pulled x distance, summed over sled runs; null while one load or distance is unknown.",
        unit="kg m",
        source="definition",
        nullable=True,
        ge=0,
        label="Sled load x metres",
    )
    jump_contacts: int = _count(
        "Ground contacts of jump exercises: one a repetition, left and right counted each. Jump tests are not counted.",
        "Jump contacts",
    )
    tonnage_squat_kg: float = _tonnage("squat family", "Squat")
    tonnage_hinge_kg: float = _tonnage("hinge family", "Hinge")
    tonnage_hamstring_eccentric_kg: float = _tonnage("eccentric hamstring family", "Eccentric hamstring")
    tonnage_hip_flexor_kg: float = _tonnage("hip flexor family", "Hip flexor")
    tonnage_calf_ankle_kg: float = _tonnage("calf and ankle family", "Calf and ankle")
    tonnage_upper_kg: float = _tonnage("upper body family", "Upper body")
    tonnage_trunk_kg: float = _tonnage("trunk family", "Trunk")
    tonnage_other_kg: float = _tonnage("exercises without a family", "Without family")
    fast_metres_planned: float = column(
        "Metres planned at 95 % of own best or more; null without a plan or where a planned running session lacks it.",
        unit="m",
        source="definition",
        nullable=True,
        ge=0,
        label="Fast metres planned",
    )
    reason: str = column("What makes a value null or 'at least'.", source="definition", nullable=True, label="Reason")

    class Config(DerivedTable.Config):
        """Key and place."""

        metadata = {"key": ["athlete_id", "week_of"], "title": "Work by week"}
