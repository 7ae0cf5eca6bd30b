"""What a federation publishes back to its squads: figures of many squads, to stand beside one's own."""

from schemas import vocabulary as words
from schemas.base import RecordTable, column
from schemas.records.keys import note


class ReferenceValue(RecordTable):
    """One row per quarter, question and cell of people: what at least ten people of at least three squads showed.

    Context, never a threshold: no call, flag or advice of this tool reads it.
    """

    quarter: str = column(
        "Quarter it was published for.",
        source="federation",
        matches="[0-9]{4}_q[1-4]",
        example="2026_q4",
        label="Quarter",
    )
    question: str = column(
        "What was asked: typical error of the 10 m time, norm of it, how often the flag stood, change in a year.",
        source="federation",
        isin=words.REFERENCE_QUESTIONS,
        example="norm",
        label="Question",
    )
    cell: str = column(
        "Which people and runs, in words that make the row one of its own.",
        source="federation",
        example="18 and 19 / f / short_sprints / blocks / gun / electronic",
        label="Who",
    )
    rule: str = column(
        "Rule asked, and before which weeks, where the question is of flags.",
        source="federation",
        nullable=True,
        example="flag_in_force, injury",
        label="Rule",
    )
    age_band: str = column("Age band.", source="federation", nullable=True, example="18 and 19", label="Age")
    sex: str = column("Sex.", source="federation", isin=words.SEXES, nullable=True, example="f", label="Sex")
    event_group: str = column(
        "Event group.",
        source="federation",
        isin=words.EVENT_GROUPS,
        nullable=True,
        example="short_sprints",
        label="Event group",
    )
    start_kind: str = column(
        "How the runs began.",
        source="federation",
        isin=words.START_KINDS,
        nullable=True,
        example="blocks",
        label="Start",
    )
    clock_start: str = column(
        "What started the clock.",
        source="federation",
        isin=words.CLOCK_STARTS,
        nullable=True,
        example="gun",
        label="Clock",
    )
    timing_kind: str = column(
        "How the times were taken.",
        source="federation",
        isin=words.TIMING_KINDS,
        nullable=True,
        example="electronic",
        label="Timing",
    )
    low: float = column(
        "Lower quartile of the people.",
        source="federation",
        nullable=True,
        example="1.98",
        label="25 %",
    )
    middle: float = column(
        "Median of the people; the value itself where there is one.",
        source="federation",
        example="2.03",
        label="Middle",
    )
    high: float = column(
        "Upper quartile of the people.",
        source="federation",
        nullable=True,
        example="2.09",
        label="75 %",
    )
    squads_sd: float = column(
        "Standard deviation between squads.",
        source="federation",
        ge=0,
        nullable=True,
        example="0.02",
        label="Between squads",
    )
    unit: str = column("Unit of the values.", source="federation", example="s", label="Unit")
    people: int = column(
        "People in it, rounded down to fives.", source="federation", ge=10, example="35", label="People"
    )
    squads: int = column("Squads in it.", source="federation", ge=3, example="8", label="Squads")
    note: str = note()

    class Config(RecordTable.Config):
        """Key and place."""

        metadata = {"key": ["quarter", "question", "cell"], "parents": [], "title": "Reference values"}
