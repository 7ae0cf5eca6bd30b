"""Readiness: the reasons of a day, the call they lead to, and how many notes chance alone would give."""

import polars as pl

from schemas import vocabulary as words
from schemas.base import DerivedTable, column
from schemas.knowledge.readiness import CHECKIN_ITEMS, READINESS_RULE
from schemas.records.keys import athlete_key


class CheckinAnswer(DerivedTable):
    """Each answer of a check-in against the athlete's own usual of the weeks before, the day itself left out.

    Usual is the median, spread the median absolute deviation made comparable to a standard deviation; where most
    answers are alike the quartiles are used, and never less than half a step of the scale. z says how many spreads
    the answer lies from usual, widened for few days. Items are judged one by one: no sum is made of them. An item left
    out has no row.
    """

    athlete_id: str = athlete_key()
    checked_on: pl.Date = column("Day of the check-in.", source="definition", label="Day")
    item: str = column(
        "Item of the check-in.",
        source="definition",
        isin=[*(i.item for i in CHECKIN_ITEMS), "pain", "ill"],
        label="Item",
    )
    value: float = column("The answer; ill: 1 for yes.", source="definition", label="Answer")
    usual: float = column(
        "Own usual: median of the days before; null with too few.", source="leys_2013", nullable=True, label="Own usual"
    )
    spread: float = column(
        "Own spread; null with too few days.", source="leys_2013", nullable=True, gt=0, label="Own spread"
    )
    spread_kind: str = column(
        "What the spread is: mad (median absolute deviation), iqr (quartiles), floor (half a step of the scale).",
        source="leys_2013",
        nullable=True,
        isin=("mad", "iqr", "floor"),
        label="Spread from",
    )
    z: float = column(
        "Answer less usual, in spreads, prediction form; null with too few days.",
        source="prediction_interval",
        nullable=True,
        label="z",
    )
    baseline_days: int = column(
        "Own answers in the days before; null for pain and ill, which are not set against usual.",
        source="definition",
        nullable=True,
        ge=0,
        label="Days behind",
    )
    worse_z: float = column(
        "Distance from own mean in own standard deviations, towards the worse side: this answer, or the last two or "
        "three together; the item speaks from the threshold on. For tightness z, as excess_sum decides there.",
        source="clean_squads",
        nullable=True,
        label="Worse than usual",
    )
    excess_sum: float = column(
        "Tightness above own usual added up over days, in standard deviations, less one a day; null for other items.",
        source="page_1954",
        nullable=True,
        ge=0,
        label="Added up",
    )
    speaks: bool = column("Whether the rule counts it as a reason.", source="common_practice", label="Speaks")
    run: int = column(
        "Check-ins running in which it speaks, this one counted; null when it does not.",
        source="definition",
        nullable=True,
        ge=1,
        label="Running",
    )
    since_on: pl.Date = column(
        "First of them; null when it does not speak.", source="definition", nullable=True, label="Since"
    )

    class Config(DerivedTable.Config):
        """Key."""

        metadata = {"key": ["athlete_id", "checked_on", "item"], "title": "Answers against own usual"}


class ReadinessReason(DerivedTable):
    """Each reason that speaks on a day, strongest first.

    A reason is a fact of the record set against the athlete's own usual: pain, illness, an open injury or a recent
    return, a tight hamstring, an unusual answer, a lower jump, a week load above own range, short sleep. "Unusual" is
    a distance from the athlete's own days before, today left out, from a threshold set on squads with nothing wrong.
    No score is made of them.
    """

    athlete_id: str = athlete_key()
    day_on: pl.Date = column("Day the reason is looked at from.", source="definition", label="Day")
    rank: int = column("Place among the day's reasons, 1 is the strongest.", source="definition", ge=1, label="Rank")
    item: str = column(
        "Line of the rule that speaks.", source="definition", isin=[r.item for r in READINESS_RULE], label="Reason"
    )
    pushes_to: str = column(
        "Call the reason pushes to.", source="definition", isin=("talk_first", "adapt"), label="Pushes to"
    )
    sentence: str = column("The reason in a coach's words, with its numbers.", source="definition", label="In words")
    value: float = column("Value that speaks, in its own unit.", source="definition", nullable=True, label="Value")
    usual: float = column(
        "The athlete's own usual (median) of the same item; null when too few days are known.",
        source="leys_2013",
        nullable=True,
        label="Own usual",
    )
    z: float = column(
        "Robust z in prediction form; null where the reason needs none or too few days are known.",
        source="leys_2013",
        nullable=True,
        label="z",
    )
    probability: float = column(
        "Probability that the drop of the jump is real; null for other reasons. It is no chance of injury.",
        source="claudino_2017",
        nullable=True,
        ge=0,
        le=1,
        label="Sure",
    )
    evidence_table: str = column("Table that holds the evidence.", source="definition", label="Table")
    evidence_on: pl.Date = column("Day of the evidence row.", source="definition", label="Evidence of")
    source: str = column("Key of the source of the rule's line.", source="definition", label="Source")
    since_on: pl.Date = column("Day since which it stands without a break.", source="definition", label="Since")
    reads_injury: bool = column(
        "Yes where the words rest on the injury record: such words are for those who may read it.",
        source="definition",
        label="From injuries",
    )

    class Config(DerivedTable.Config):
        """Key."""

        metadata = {"key": ["athlete_id", "day_on", "rank"], "title": "Reasons of the day"}


class ReadinessDay(DerivedTable):
    """The call of a day: as planned, adapt, talk first, cannot say, or no call.

    The call follows from the reasons by a rule of five lines; the first that fits decides. (1) A reason that pushes to
    'talk first': talk first. (2) No check-in and no test within the squad's days: no call. (3) A reason that pushes to
    'adapt': adapt. (4) A check-in, but too few own answers to compare it with: cannot say. (5) Otherwise as planned. A
    call is advice to a coach: it diagnoses, predicts and clears nothing.
    """

    athlete_id: str = athlete_key()
    day_on: pl.Date = column("Day of the call.", source="definition", label="Day")
    call: str = column("The call.", source="definition", isin=words.TRAINING_CALLS, label="Training")
    reason_count: int = column("How many reasons speak.", source="definition", ge=0, label="Reasons")
    strongest: str = column("The strongest reason; null when none speaks.", source="definition", nullable=True)
    last_checkin_on: pl.Date = column(
        "Day of the last check-in; null when there was none yet.", source="definition", nullable=True, label="Check-in"
    )
    sentence: str = column("The call in a sentence.", source="definition", label="In words")
    reason: str = column(
        "Coded caveat: what is missing; null when nothing is.", source="definition", nullable=True, label="Caveat"
    )
    caution: str = column(
        "Caution for an athlete under 18 on the day; null for others and where the birth date is unknown.",
        source="definition",
        nullable=True,
        label="Caution",
    )
    reads_injury: bool = column(
        "Yes where the words rest on the injury record: such words are for those who may read it.",
        source="definition",
        label="From injuries",
    )

    class Config(DerivedTable.Config):
        """Key."""

        metadata = {"key": ["athlete_id", "day_on"], "title": "Readiness"}


class ReadinessNoise(DerivedTable):
    """How many athletes chance alone would mark on a day, and how many were marked.

    By chance: each athlete's own rate, every day of theirs held against all their others by the thresholds of the rule,
    days of a told complaint left out. One row, for the day looked from.
    """

    day_on: pl.Date = column("Day looked from.", source="definition", label="Day")
    items: int = column("Items judged against the athlete's own usual.", source="definition", ge=0, label="Items")
    athletes: int = column(
        "Athletes with enough own answers to be judged.", source="definition", ge=0, label="Athletes"
    )
    expected_false_notes_per_day: float = column(
        "Athletes that chance alone would mark on a day.", source="leave_one_out", ge=0, label="Expected by chance"
    )
    seen_notes_per_day: float = column(
        "Athletes marked on a day for an unusual answer, mean over the review window.",
        source="definition",
        ge=0,
        label="Seen",
    )
    formula: str = column("The sum in words, with its numbers.", source="leave_one_out", label="Sum")

    class Config(DerivedTable.Config):
        """Key."""

        metadata = {"key": ["day_on"], "title": "Notes by chance"}
