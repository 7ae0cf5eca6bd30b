"""Progress: the level of each measure over time, and what changed since the reference day."""

from typing import Any

import polars as pl

from schemas import vocabulary as words
from schemas.base import DerivedTable, column
from schemas.derived.start import athlete_key

NOT_STATED = "not_stated"
PROGRESS_METRICS = (
    "t_10_s", "t_5_s", "t_20_s", "t_30_s", "vmax_mps", "pmax_w_per_kg", "speed_after_3_mps", "contact_1_s",
)  # fmt: skip
TREND_TIMINGS = ("electronic", "video")
MEASURED_BY = ("gate", "gate_less_reaction", "curve", "film")
AGE_GROUPS = ("adult", "under_18")
SERIES_KEY = ["athlete_id", "metric", "start_kind", "clock_start", "timing_kind", "measured_by", "set_up"]
SQUAD_KEY = SERIES_KEY[:-1]  # of an athlete among others: the set-up with most days stands for the athlete


def metric_key() -> Any:
    """Describe the key column that names the measure."""
    return column("Measure followed.", source="definition", isin=PROGRESS_METRICS, label="Measure")


def start_key() -> Any:
    """Describe the key column of the kind of start."""
    kinds = (*words.START_KINDS, NOT_STATED)
    return column("How the runs began; only like with like.", source="definition", isin=kinds, label="Start")


def clock_key() -> Any:
    """Describe the key column of the clock."""
    kinds = (*words.CLOCK_STARTS, NOT_STATED)
    return column("What started the clock; only like with like.", source="definition", isin=kinds, label="Clock")


def timing_key() -> Any:
    """Describe the key column of the timing."""
    return column("How it was timed; hand times are left out.", source="definition", isin=TREND_TIMINGS, label="Timing")


def measured_key() -> Any:
    """Describe the key column that says what a value was measured by."""
    return column(
        "What the value is: the time of a gate at the distance, that time less the reaction, read off the curve, film.",
        source="definition",
        isin=MEASURED_BY,
        label="Measured by",
    )


def set_up_key() -> Any:
    """Describe the key column of the set-up."""
    return column(
        "What else sets the runs apart: distance behind the gate, shoes, ground, roof; 'not_stated' where nothing is.",
        source="definition",
        label="Set-up",
    )


def age_key() -> Any:
    """Describe the column of the age group."""
    return column(
        "Age group whose noise counts, by the day of the run; adult also where no birth date is known.",
        source="common_practice",
        isin=AGE_GROUPS,
        label="Age",
    )


def number(description: str, source: str = "definition", label: str = "", **limits: Any) -> Any:
    """Describe a nullable number in the unit of its measure."""
    return column(description, unit="as the measure", source=source, nullable=True, label=label, **limits)


class StartTrend(DerivedTable):
    """One row per day a measure was taken: what the day showed and the level it speaks for.

    A run counts when it was free (no resistance, or none stated and no load), completed (or not said), at 95 % of
    effort or more (or not said), and electronically or video timed. Raw before model: where a gate stands at the
    distance, the value is its time, in still air where wind was measured, and less the reaction where a gun started
    the clock and the reaction is known; the curve's time serves where no gate stands, in a series of its own, with a
    fit that is good or thin. Runs of different start, clock, timing, way of measuring or set-up are never one series;
    step measures keep to the frame-rate class the athlete has most of. The level is that of a local-level model and a
    picture only: its drift is wide enough for a change of 15 ms in six weeks and for the squad's slow form.
    """

    athlete_id: str = athlete_key()
    metric: str = metric_key()
    start_kind: str = start_key()
    clock_start: str = clock_key()
    timing_kind: str = timing_key()
    measured_by: str = measured_key()
    set_up: str = set_up_key()
    session_date: pl.Date = column("Day of the runs.", source="definition", label="Date")
    age_group: str = age_key()
    reps: int = column("Runs of that day that count.", source="definition", ge=1, label="Runs")
    observed: float = column(
        "Mean of the day's runs, weighted by their errors.", unit="as the measure", source="definition", label="Day"
    )
    observed_se: float = number(
        "Error of the day's mean: the runs of the day and day form, by the athlete's own share of the noise.",
        "hopkins_2000",
        "±",
        ge=0,
    )
    level: float = number("Smoothed level on that day.", "durbin_koopman", "Level")
    level_se: float = number("Standard error of the level.", "durbin_koopman", "±", ge=0)
    lower_95: float = number("Level less 1.96 standard errors.", "durbin_koopman", "Low")
    upper_95: float = number("Level plus 1.96 standard errors.", "durbin_koopman", "High")
    typical_error: float = number("Typical error of one run, pooled over such runs of the squad.", "hopkins_2000", ge=0)
    typical_error_freedom: int = column(
        "Degrees of freedom of the typical error.", source="hopkins_2000", nullable=True, ge=1
    )
    day_form_sd: float = number(
        "How far one day differs from the next beyond its runs, pooled over the squad.", "von_neumann_1941", ge=0
    )
    wave_sd: float = number("Slow form of the squad, within a month.", "patterson_thompson_1971", ge=0)
    wave_high_sd: float = number("Slow form that the squad's days do not rule out.", "patterson_thompson_1971", ge=0)
    own_share: float = column(
        "The athlete's own noise (variance) as a share of the squad's, drawn towards 1.",
        unit="1",
        source="von_neumann_1941",
        nullable=True,
        ge=0,
    )
    drift_sd_per_day: float = number(
        "SD of the line's drift in a day; times sqrt(days) for longer.", "durbin_koopman", ge=0
    )

    class Config(DerivedTable.Config):
        """Key."""

        metadata = {"key": [*SERIES_KEY, "session_date"], "title": "Level over time"}


class StartProgress(DerivedTable):
    """One row per series: the last four weeks against those that ended six weeks ago, in the athlete's noise.

    'Improving' and 'slipping' say that the change is real: beyond 2.95 of its standard errors, with the line going the
    same way, which at most ten of a hundred athletes who stay as they are, or whose form comes and goes with a squad's
    month-long waves, reach in 24 weekly looks (the table of what is seen stands on Methods). Whether it is worthwhile
    is said beside it. 'Holding' needs a change surely within the smallest worthwhile one where one that large would
    have been seen; else 'cannot tell yet', with the size from which it is called a change and what would see it. A
    change that is older than six weeks and stands is 'holding'.
    """

    athlete_id: str = athlete_key()
    metric: str = metric_key()
    start_kind: str = start_key()
    clock_start: str = clock_key()
    timing_kind: str = timing_key()
    measured_by: str = measured_key()
    set_up: str = set_up_key()
    is_main: bool = column(
        "The series to show first: the 10 m time (or the next best distance) a gate measured most often lately.",
        source="definition",
    )
    first_on: pl.Date = column("First day of the series.", source="definition", label="First")
    last_on: pl.Date = column("Last day of the series.", source="definition", label="Last")
    reps: int = column("Runs in the series.", source="definition", ge=1, label="Runs")
    sessions: int = column("Days in the series.", source="definition", ge=1, label="Days")
    recent_sessions: int = column("Days since the start of the window of weeks.", source="definition", ge=0)
    reference_on: pl.Date = column(
        "Day from which on the weeks before are not read: six weeks ago, or the series' first.",
        source="definition",
        label="Since",
    )
    days_now: int = column("Days in the last four weeks.", source="definition", ge=0, label="Days now")
    days_before: int = column("Days in the weeks compared with.", source="definition", ge=0, label="Days before")
    level_now: float = number("Level of the line today.", "durbin_koopman", "Now")
    level_now_se: float = number("Its standard error.", "durbin_koopman", "±", ge=0)
    level_then: float = number("Level of the line on the reference day.", "durbin_koopman", "Then")
    level_then_se: float = number("Its standard error.", "durbin_koopman", "±", ge=0)
    line_change: float = number("Line now less line then.", "durbin_koopman", "Line")
    line_change_se: float = number("Its standard error, from the joint of both levels.", "rauch_1965", "±", ge=0)
    change: float = number("Mean of the last four weeks less mean of the weeks before.", "definition", "Change")
    change_se: float = number(
        "Its standard error: days, runs, day form and slow form.", "patterson_thompson_1971", "±", ge=0
    )
    change_low: float = number("Change less 1.96 standard errors.", "definition", "From")
    change_high: float = number("Change plus 1.96 standard errors.", "definition", "To")
    real_from: float = number(
        "Size from which a change is called real: the sure errors of the rule, with the larger slow form.",
        "definition",
        "Real from",
        ge=0,
    )
    detectable: float = number(
        "A lasting change below this would not be seen now (four times of five).", "definition", "Seen from", ge=0
    )
    days_a_week: float = column(
        "Days a week with such runs, over the last four weeks.", unit="1/week", source="definition", nullable=True, ge=0
    )
    runs_a_day: float = column("Runs on such a day, over the same.", unit="1", source="definition", nullable=True, ge=0)
    days_to_see: float = column(
        "Days a week, with as many runs a day, at which the change set in the settings (20 ms) would be seen; empty "
        "where no number of days would do.",
        unit="1/week",
        source="definition",
        nullable=True,
        ge=0,
    )
    plan_sentence: str = column(
        "How many runs it takes to see the change set in the settings.", source="definition", nullable=True
    )
    swc: float = number("Smallest worthwhile change.", "hopkins_swc", "Counts from", ge=0)
    swc_basis: str = column("Source key of that change.", source="hopkins_swc", nullable=True)
    swc_reason: str = column("What is doubtful about it.", source="definition", nullable=True)
    mdc: float = number("Smallest difference of two single runs beyond noise: 1.96 sqrt 2 TE.", "weir_2005", ge=0)
    typical_error: float = number("Typical error of one run.", "hopkins_2000", ge=0)
    p_better: float = column(
        "Probability of a change for the better beyond the smallest worthwhile one.",
        unit="1",
        source="hopkins_probability",
        nullable=True,
        ge=0,
        le=1,
        label="Better",
    )
    p_worse: float = column(
        "Probability of a change for the worse beyond it.",
        unit="1",
        source="hopkins_probability",
        nullable=True,
        ge=0,
        le=1,
        label="Worse",
    )
    p_within: float = column(
        "Probability of no change that counts.",
        unit="1",
        source="hopkins_probability",
        nullable=True,
        ge=-1e-9,
        le=1,
        label="Within",
    )
    word: str = column("In one word.", source="definition", isin=words.PROGRESS_WORDS, label="Progress")
    is_worthwhile: bool = column(
        "Yes where a real change is beyond the smallest worthwhile one with the set probability.",
        source="hopkins_probability",
        nullable=True,
        label="Worthwhile",
    )
    sentence: str = column("In one sentence.", source="definition", label="In words")
    better_is: str = column(
        "Direction that is better; empty where neither is.",
        source="common_practice",
        isin=("lower", "higher"),
        nullable=True,
    )
    unit: str = column("Unit of the measure.", source="definition", label="Unit")
    reason: str = column("Why it is not clear, or what limits it.", source="definition", nullable=True, label="Why")

    class Config(DerivedTable.Config):
        """Key."""

        metadata = {"key": SERIES_KEY, "title": "Progress"}
