"""The start: its steps, its first three steps as one row, and the patterns seen in it."""

from typing import Any

import polars as pl

from schemas import vocabulary as words
from schemas.base import DerivedTable, column
from schemas.records.keys import REP_KEY

CONTACT_ORDERS = ("longest_first_then_falling", "longest_first", "not_longest_first")
PATTERN_STRENGTHS = ("slight", "clear")


def athlete_key() -> Any:
    """Return the column that says whose row it is."""
    return column("Athlete the row belongs to.", source="definition", label="Athlete")


def _session_date() -> Any:
    return column("Day of the run.", source="definition", label="Date")


def _session_no() -> Any:
    return column("Which session of that day.", source="definition", ge=1, label="Session")


def _rep_no() -> Any:
    return column("Which run of the session.", source="definition", ge=1, label="Run")


def _value(description: str, unit: str, source: str = "definition", label: str = "", **limits: Any) -> Any:
    return column(description, unit=unit, source=source, nullable=True, label=label, **limits)


def _error(of: str, unit: str, source: str = "frame_quantisation") -> Any:
    return column(f"Standard error of {of}.", unit=unit, source=source, nullable=True, ge=0, label="±")


def _end(which: str, of: str, unit: str) -> Any:
    what = f"{which} end of the 95 % interval of {of}; empty where its error is not known."
    return column(
        what, unit=unit, source="frame_quantisation", nullable=True, label="From" if which == "Lower" else "To"
    )


class StartSteps(DerivedTable):
    """One row per step: how long, how fast, how much speed it brought.

    A step is a ground contact and the flight after it. Errors come from the frame rate and the reading of lengths only;
    the eye of whoever marks the video adds about half a frame an event, which the patterns count and these columns do
    not. Without a frame rate the times stand and their errors are empty, with the reason.
    """

    athlete_id: str = athlete_key()
    session_date: pl.Date = _session_date()
    session_no: int = _session_no()
    rep_no: int = _rep_no()
    step_no: int = column("Step, 1 being the first contact after the start.", source="definition", ge=1, label="Step")
    side: str = column("Foot on the ground.", source="definition", isin=words.SIDES, nullable=True, label="Side")
    contact_s: float = _value("Touchdown to toe-off.", "s", label="Contact", gt=0)
    contact_s_se: float = _error("the contact", "s")
    contact_low_s: float = _end("Lower", "the contact", "s")
    contact_high_s: float = _end("Upper", "the contact", "s")
    flight_s: float = _value("Toe-off to the next touchdown.", "s", label="Flight", ge=0)
    flight_s_se: float = _error("the flight", "s")
    step_time_s: float = _value("Contact and the flight after it.", "s", label="Step time", gt=0)
    step_time_s_se: float = _error("the step time", "s")
    step_frequency_hz: float = _value("1 / step time.", "Hz", label="Frequency", gt=0)
    step_frequency_hz_se: float = _error("the step frequency", "Hz")
    step_frequency_low_hz: float = _end("Lower", "the step frequency", "Hz")
    step_frequency_high_hz: float = _end("Upper", "the step frequency", "Hz")
    step_length_m: float = _value("Previous touchdown (or start line) to this one, toe to toe.", "m", label="Length")
    step_length_m_se: float = _error("the step length", "m", "step_length_error")
    distance_m: float = _value("This touchdown from the start line: the sum of the lengths so far.", "m", label="At")
    distance_m_se: float = _error("the touchdown's distance", "m", "step_length_error")
    speed_mps: float = _value(
        "Mean speed over this contact and flight: next step length / step time.", "m/s", label="Speed", gt=0
    )
    speed_mps_se: float = _error("the mean speed", "m/s")
    contact_share: float = _value("Share of the step time on the ground.", "1", label="On the ground", ge=0, le=1)
    contact_share_se: float = _error("the share on the ground", "1")
    speed_gain_mps: float = _value("Mean speed of this step less that of the one before.", "m/s", label="Gain")
    speed_gain_mps_se: float = _error("the gain", "m/s")
    impulse_ns_per_kg: float = _value(
        "Net forward impulse of this contact per kg of body mass: (1 - h) * own gain + h * next gain, h half the share "
        "on the ground. About 20 % off in a single step; average several runs.",
        "N·s/kg",
        label="Impulse",
    )
    impulse_ns_per_kg_se: float = _error("the impulse", "N·s/kg")
    frame_rate_hz: float = _value("Frames a second of the video.", "Hz", label="Frames")
    reason: str = column("Why something is missing.", source="definition", nullable=True, label="Why missing")

    class Config(DerivedTable.Config):
        """Key."""

        metadata = {"key": [*REP_KEY, "step_no"], "title": "Steps of the start"}


class StartPhase(DerivedTable):
    """One row per run whose start was filmed or noted: the first three steps, the rhythm at 10 m, the set position.

    A run is here when it has steps, a set position or a technique note. The distance of three steps is the third
    touchdown from the start line (published sums are 3.2-3.6 m); coaches who count three steps from line to the fourth
    touchdown find 4-6 m (common practice, no source): both stand here. Rhythm at 10 m is the frequency of one stride
    over the athlete's own best of 60 days by the same method. Context only: published phase means put 0-10 m at 97 %
    of the highest phase; the trade says about 90 % for top sprinters, 80 % or less for novices (no source).
    """

    athlete_id: str = athlete_key()
    session_date: pl.Date = _session_date()
    session_no: int = _session_no()
    rep_no: int = _rep_no()
    start_kind: str = column(
        "How the run began.", source="definition", isin=words.START_KINDS, nullable=True, label="Start"
    )
    clock_start: str = column(
        "What started the clock.", source="definition", isin=words.CLOCK_STARTS, nullable=True, label="Clock"
    )
    timing_kind: str = column(
        "How the run was timed.", source="definition", isin=words.TIMING_KINDS, nullable=True, label="Timing"
    )
    resistance_kind: str = column(
        "Resistance.", source="definition", isin=words.RESISTANCE_KINDS, nullable=True, label="Resistance"
    )
    is_free: bool = column(
        "Yes where nothing resisted the run: resistance 'none' or not said, and no load above 0 kg written down.",
        source="definition",
        label="Free",
    )
    frame_rate_hz: float = _value("Lowest frame rate among the steps.", "Hz", label="Frames")
    steps: int = column("Steps marked.", source="definition", ge=0, label="Steps")
    contact_1_s: float = _value("First ground contact.", "s", label="Contact 1")
    contact_1_s_se: float = _error("the first contact", "s")
    contact_2_s: float = _value("Second ground contact.", "s", label="Contact 2")
    contact_2_s_se: float = _error("the second contact", "s")
    contact_3_s: float = _value("Third ground contact.", "s", label="Contact 3")
    contact_3_s_se: float = _error("the third contact", "s")
    contact_sum_s: float = _value("First three contacts together.", "s", label="Contacts 1-3")
    contact_sum_s_se: float = _error("their sum", "s")
    flight_sum_s: float = _value("The three flights after them together.", "s", label="Flights 1-3")
    flight_sum_s_se: float = _error("their sum", "s")
    early_frequency_hz: float = _value("3 / time from first to fourth touchdown.", "Hz", label="Frequency 1-3")
    early_frequency_hz_se: float = _error("the early frequency", "Hz")
    three_step_distance_m: float = _value("Third touchdown from the start line.", "m", label="Three steps")
    three_step_distance_m_se: float = _error("the distance", "m", "step_length_error")
    fourth_touchdown_m: float = _value("Fourth touchdown from the start line.", "m", label="To the fourth touchdown")
    fourth_touchdown_m_se: float = _error("the distance", "m", "step_length_error")
    speed_after_3_mps: float = _value(
        "Mean speed over the third contact and the flight after it.", "m/s", label="Speed after 3"
    )
    speed_after_3_mps_se: float = _error("the speed", "m/s")
    order_of_contacts: str = column(
        "longest_first: none of contacts 2 and 3 is longer than the first beyond measurement error; then_falling: the "
        "third is shorter than the first, and none of the first six longer than the one before, beyond error.",
        source="common_practice",
        isin=CONTACT_ORDERS,
        nullable=True,
        label="Order of contacts",
    )
    step_frequency_10m_hz: float = _value(
        "Frequency of the stride (two steps) that ends with the step in which 10 m lies.", "Hz", label="Frequency, 10 m"
    )
    step_frequency_10m_hz_se: float = _error("the frequency at 10 m", "Hz")
    best_frequency_hz: float = _value(
        "The athlete's highest stride frequency of the last 60 days by the same method, free runs.", "Hz", label="Best"
    )
    best_frequency_hz_se: float = _error("the best frequency", "Hz")
    best_frequency_at_m: float = _value("Where from the start line that best stride began.", "m", label="Best seen at")
    rhythm_10m: float = _value(
        "Frequency at 10 m over the best. Judge by the athlete's own history. Context only: published phase means 97 "
        "%; common practice about 90 % (top sprinters) and 80 % or less (novices).",
        "1",
        "debaere_2013",
        label="Rhythm, 10 m",
    )
    rhythm_10m_se: float = _error("the rhythm", "1")
    rhythm_reason: str = column("Why the rhythm is missing or doubtful.", source="definition", nullable=True)
    angle_hold_deg: float = _value(
        "Front shin when the push begins less front shin in set: below 0 it drops, above 0 it rises.",
        "deg",
        label="Angle hold",
    )
    angle_hold_deg_se: float = _error("the angle hold", "deg", "angle_error")
    knee_toeoff_deg: float = _value("Mean knee angle at toe-off of the first three contacts.", "deg", label="Knee")
    knee_toeoff_deg_se: float = _error("the knee angle", "deg", "angle_error")
    shin_touchdown_deg: float = _value(
        "Mean shin angle at touchdown of the first three steps, from the forward horizontal.", "deg", label="Shin"
    )
    shin_touchdown_deg_se: float = _error("the shin angle", "deg", "angle_error")
    contact_fit_first_s: float = _value("Fitted first contact.", "s", "ettema_2016")
    contact_fit_first_s_se: float = _error("it", "s", "ettema_2016")
    contact_fit_limit_s: float = _value("Contact the curve tends to.", "s", "ettema_2016")
    contact_fit_limit_s_se: float = _error("it", "s", "ettema_2016")
    contact_fit_constant_steps: float = _value("Steps in which 63 % of the way is gone.", "steps", "ettema_2016")
    contact_fit_constant_steps_se: float = _error("it", "steps", "ettema_2016")
    contact_fit_rmse_s: float = _value("Root mean square misfit of the contacts.", "s", "ettema_2016")
    flight_fit_first_s: float = _value("Fitted first flight.", "s", "ettema_2016")
    flight_fit_first_s_se: float = _error("it", "s", "ettema_2016")
    flight_fit_limit_s: float = _value("Flight the curve tends to.", "s", "ettema_2016")
    flight_fit_limit_s_se: float = _error("it", "s", "ettema_2016")
    flight_fit_constant_steps: float = _value("Steps in which 63 % of the way is gone.", "steps", "ettema_2016")
    flight_fit_constant_steps_se: float = _error("it", "steps", "ettema_2016")
    flight_fit_rmse_s: float = _value("Root mean square misfit of the flights.", "s", "ettema_2016")
    length_fit_first_m: float = _value("Fitted length of step 2 (step 1 begins at the line).", "m", "ettema_2016")
    length_fit_first_m_se: float = _error("it", "m", "ettema_2016")
    length_fit_limit_m: float = _value("Length the curve tends to.", "m", "ettema_2016")
    length_fit_limit_m_se: float = _error("it", "m", "ettema_2016")
    length_fit_constant_steps: float = _value("Steps in which 63 % of the way is gone.", "steps", "ettema_2016")
    length_fit_constant_steps_se: float = _error("it", "steps", "ettema_2016")
    length_fit_rmse_m: float = _value("Root mean square misfit of the lengths.", "m", "ettema_2016")
    fit_reason: str = column("Why the curve over the steps is missing.", source="definition", nullable=True)
    reason: str = column("Why the first three steps are not complete.", source="definition", nullable=True)

    class Config(DerivedTable.Config):
        """Key."""

        metadata = {"key": REP_KEY, "title": "The first three steps"}


class StartPattern(DerivedTable):
    """One row per run and pattern seen in its start. All of it is coaching practice, not published science.

    Measured signs are held against the athlete's own best runs (the fastest quarter after three steps among the last
    180 days, at least five runs) and count only beyond measurement error. Without five runs only notes speak.
    """

    athlete_id: str = athlete_key()
    session_date: pl.Date = _session_date()
    session_no: int = _session_no()
    rep_no: int = _rep_no()
    pattern: str = column("Pattern.", source="common_practice", isin=words.PATTERNS, label="Pattern")
    strength: str = column(
        "slight: one sign just beyond error, or one note; clear: beyond 2.6 standard errors, or two signs that agree.",
        source="common_practice",
        isin=PATTERN_STRENGTHS,
        label="Strength",
    )
    sentence: str = column("What it is, for a coach.", source="common_practice", label="In words")
    evidence: str = column("What triggered it, with its numbers.", source="definition", label="Seen in")
    evidence_table: str = column("Table whose rows of this run hold it.", source="definition", label="Rows")
    basis: str = column("Source key of the rule.", source="definition", label="Basis")
    what_it_is_not: str = column("What must not be read into it.", source="common_practice", label="What it is not")

    class Config(DerivedTable.Config):
        """Key."""

        metadata = {"key": [*REP_KEY, "pattern"], "title": "Patterns in the start"}
