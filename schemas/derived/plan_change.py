"""What a decision would change in the plan: for the coach to lay over it and save."""

import polars as pl

from schemas import vocabulary as words
from schemas.base import DerivedTable, column
from schemas.records.keys import athlete_key

# Kind of change -> how the session's words begin with it. What begins so has been changed already.
CHANGES: dict[str, str] = {
    "waits_for_talk": "Waits for the talk",
    "no_maximal_runs": "No maximal runs, nothing over 90 %",
    "less_volume": "Less volume, about two thirds",
    "less_intensity": "Less intensity, easier than planned",
}


class PlanChange(DerivedTable):
    """One row per planned session that a decision on the training of the running week asks to change, as it would be.

    A draft: the Plan page lays it over the week, and it counts once the coach has saved it. It comes with words that
    name the session as it was, so that nothing of the plan is lost.
    """

    athlete_id: str = athlete_key()
    planned_on: pl.Date = column("Day the session is planned for.", source="definition", label="Planned for")
    plan_no: int = column("Which planned session of that day.", source="definition", ge=1, le=9, label="No.")
    change: str = column("What is changed.", source="common_practice", isin=tuple(CHANGES), label="Change")
    kind: str = column(
        "What the session is for.", source="definition", isin=words.SESSION_KINDS, nullable=True, label="Kind"
    )
    fast_metres: float = column(
        "Fast metres then.", unit="m", source="common_practice", nullable=True, ge=0, label="Fast metres"
    )
    planned_min: float = column(
        "Minutes then.", unit="min", source="common_practice", nullable=True, ge=0, label="Minutes"
    )
    planned_effort_0_10: float = column(
        "Effort then, 0 to 10.", source="common_practice", nullable=True, ge=0, le=10, label="Effort"
    )
    note: str = column("Words then.", source="common_practice", label="What is run")

    class Config(DerivedTable.Config):
        """Key and title."""

        metadata = {"key": ["athlete_id", "planned_on", "plan_no"], "title": "What decisions change in the plan"}
