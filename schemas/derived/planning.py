"""The plan: held against what was done, and its effect before it is saved."""

from typing import Any

import polars as pl

from schemas import vocabulary as words
from schemas.base import DerivedTable, column


def _au(text: str, source: str = "definition", label: str = "", **limits: Any) -> Any:
    return column(text, unit="AU", source=source, nullable=True, label=label, **limits)


def _metres(text: str, label: str, **limits: Any) -> Any:
    return column(text, unit="m", source="definition", nullable=True, label=label, **limits)


class PlanDone(DerivedTable):
    """One row per athlete and week with a plan or a session: what was planned against what was done.

    The distance from the plan is something a coach can act on. It is no measure of obedience: plans are changed for
    good reasons, and the decisions say which.
    """

    athlete_id: str = column("Athlete.", source="definition", label="Athlete")
    week_of: pl.Date = column("Monday of the week.", source="definition", label="Week of")
    sessions_planned: int = column(
        "Sessions planned; one of 0 minutes is none.", source="definition", ge=0, label="Sessions planned"
    )
    sessions_done: int = column(
        "Sessions logged; one of 0 minutes is none.", source="definition", ge=0, label="Sessions done"
    )
    planned_au: float = _au("Planned minutes x planned effort, summed.", "foster_2001", "Load planned", ge=0)
    load_au: float = _au("Load of the week; null unless all days are known.", "foster_2001", "Load done", ge=0)
    difference_au: float = _au("Done less planned.", label="Difference")
    difference_percent: float = column(
        "The difference as a share of the plan; null where nothing is planned.",
        unit="%",
        source="definition",
        nullable=True,
        label="Difference, %",
    )
    planned_fast_metres: float = _metres("Fast metres planned.", "Fast metres planned", ge=0)
    done_fast_metres: float = _metres("Metres at 95 % of own best or more.", "Fast metres done", ge=0)
    difference_metres: float = _metres("Done less planned.", "Difference of fast metres")
    reason: str = column("Why a difference has no value.", source="definition", nullable=True, label="Reason")

    class Config(DerivedTable.Config):
        """Key and place."""

        metadata = {"key": ["athlete_id", "week_of"], "title": "Plan against done"}


class PlanEffect(DerivedTable):
    """What a plan would mean, one row per athlete, before it is saved. Not kept: it is computed for the page.

    Facts against the athlete's own past, no permission: neither a load nor a number of fast metres is called safe.
    """

    athlete_id: str = column("Athlete.", source="definition", label="Athlete")
    week_of: pl.Date = column("Monday of the planned week.", source="definition", label="Week of")
    sessions: int = column("Sessions planned.", source="definition", ge=0, label="Sessions")
    planned_au: float = _au("Planned minutes x planned effort, summed.", "foster_2001", "Load planned", ge=0)
    monotony: float = column(
        "Mean over SD (n - 1) of the seven planned days; a day without a session is 0.",
        source="foster_1998",
        nullable=True,
        ge=0,
        label="Monotony",
    )
    last_on: pl.Date = column(
        "Monday of the last whole week before.", source="definition", nullable=True, label="Held against week of"
    )
    last_au: float = _au("Load of it.", "foster_1998", "Load then", ge=0)
    change_au: float = _au("Planned less that.", label="Change")
    change_percent: float = column(
        "The change as a share of that week.", unit="%", source="definition", nullable=True, label="Change, %"
    )
    own_low_au: float = _au("Own range from.", label="Own range from", ge=0)
    own_high_au: float = _au("Own range to.", label="Own range to", ge=0)
    percentile: float = column(
        "Place among own earlier whole weeks.",
        unit="%",
        source="midrank_percentile",
        nullable=True,
        ge=0,
        le=100,
        label="Own percentile",
    )
    load_place: str = column(
        "Where the planned load lies.", source="definition", nullable=True, isin=words.PLACES_IN_RANGE, label="Load is"
    )
    planned_fast_metres: float = _metres("Fast metres planned.", "Fast metres", ge=0)
    usual_low_metres: float = _metres("Own usual from.", "Usual from", ge=0)
    usual_high_metres: float = _metres("Own usual to.", "Usual to", ge=0)
    fast_place: str = column(
        "Where the planned fast metres lie.",
        source="definition",
        nullable=True,
        isin=words.PLACES_IN_RANGE,
        label="Fast metres are",
    )
    last_95_on: pl.Date = column(
        "Last run at 95 % of own best or more.", source="definition", nullable=True, label="Last at 95 %"
    )
    maximal_on: pl.Date = column(
        "First planned maximal session from today on.", source="definition", nullable=True, label="Next maximal run"
    )
    gap_days: int = column("Days between the two.", source="definition", nullable=True, ge=0, label="Gap")
    speaks_on_exposure: bool = column(
        "Whether the plan would make the exposure family of the hamstring flags speak: a long gap and then a maximal "
        "session, or more fast metres than usual if it is run as planned.",
        source="duhig_2016",
        label="Exposure would speak",
    )
    load_words: str = column("The load in one sentence.", source="definition", label="Load in words")
    fast_words: str = column("Fast metres and gap in one sentence.", source="definition", label="Fast running in words")
    reason: str = column("What is unknown.", source="definition", nullable=True, label="Reason")

    class Config(DerivedTable.Config):
        """Key and place."""

        metadata = {"key": ["athlete_id", "week_of"], "title": "Effect of a plan"}
