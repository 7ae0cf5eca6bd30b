"""Decisions that go on standing, and what is to be minded beside a planned session."""

import polars as pl

from schemas.base import DerivedTable, column
from schemas.records.keys import athlete_key
from schemas.vocabulary import DECISION_TOPICS

# Kind of caution -> whether the athlete reads it too. The others are between coaches.
CAUTIONS: dict[str, bool] = {
    "waits_for_professional": True,
    "waits_for_talk": True,
    "no_maximal_runs": True,
    "within_steps_back": True,
    "held_by_decision": True,
    "hamstrings_before_speed": False,
}
OF_INJURIES = ("waits_for_professional", "within_steps_back")


class StandingDecision(DerivedTable):
    """One row per decision with words: from when to when it stands, as its own words say it.

    A decision that says for how long ('for two weeks') stands so long; 'no ... yet' four weeks; any other stands in the
    week it is of. Nothing is guessed beyond the words: 'until the exams are over' names no day and stands for its week.
    """

    athlete_id: str = athlete_key()
    week_of: pl.Date = column("Monday of the week the decision is of.", source="definition", label="Week of")
    topic: str = column("What was decided on.", source="definition", isin=DECISION_TOPICS, label="Topic")
    call: str = column("The decision in its own words.", source="definition", label="Decision")
    from_on: pl.Date = column("First day on which it stands.", source="definition", label="Stands from")
    until_on: pl.Date = column("Last day on which it stands.", source="definition", label="Stands to")
    says_how_long: bool = column(
        "Yes where its words say for how long.", source="definition", label="Says for how long"
    )
    forbids_maximal: bool = column(
        "Yes where its words forbid maximal runs.", source="common_practice", label="No maximal runs"
    )
    restrains: bool = column(
        "Yes where its words hold something back: maximal runs, or what is not to be yet.",
        source="common_practice",
        label="Holds back",
    )

    class Config(DerivedTable.Config):
        """Key and title."""

        metadata = {"key": ["athlete_id", "week_of", "topic"], "title": "Standing decisions"}


class PlanCaution(DerivedTable):
    """One row per planned session from today on and thing to mind with it: what a call or a decision says against it.

    Said beside the session until the plan is changed or the reason is gone. A caution for the coach to act on: it
    changes no plan, diagnoses, predicts and clears nothing.
    """

    athlete_id: str = athlete_key()
    planned_on: pl.Date = column("Day the session is planned for.", source="definition", label="Planned for")
    plan_no: int = column("Which planned session of that day.", source="definition", ge=1, le=9, label="No.")
    caution: str = column("What is to be minded.", source="common_practice", isin=tuple(CAUTIONS), label="Caution")
    words: str = column("The same in few words.", source="common_practice", label="To mind")
    for_athlete: bool = column(
        "Whether it stands on the athlete's own page too.", source="common_practice", label="Athlete reads it"
    )
    reads_injury: bool = column(
        "Yes where the words rest on the injury record: such words are for those who may read it.",
        source="definition",
        label="From injuries",
    )

    class Config(DerivedTable.Config):
        """Key and title."""

        metadata = {"key": ["athlete_id", "planned_on", "plan_no", "caution"], "title": "Cautions beside the plan"}
