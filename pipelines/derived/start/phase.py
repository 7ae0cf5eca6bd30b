"""The start, step by step: what was marked off the video and what follows from it, each with its error."""

import polars as pl

from pipelines.derived.common.kept import kept
from pipelines.derived.common.ordering import number_of
from pipelines.derived.common.resistance import is_free_run
from pipelines.derived.common.step_error import (
    OPERATOR_FACTOR,
    REP_KEY,
    SHIN_ANGLE_SD_DEG,
    STEP_LENGTH_SD_M,
    Z_BEYOND_ERROR,
    interval_sd_s,
    method_class,
)
from pipelines.derived.start.step_curve import step_curves
from schemas.derived.start import StartPhase, StartSteps
from schemas.normal import NORMAL_95

RHYTHM_AT_M = 10.0  # m from the start line
BEST_FREQUENCY_DAYS = 60
BEST_SEEN_EARLY_M = 20.0  # m; a best stride before this is probably not the athlete's highest
ORDER_STEPS = 6  # contacts looked at for "then falling"


def _columns(model: type) -> list[str]:
    return list(model.to_schema().columns)  # type: ignore[attr-defined]


def _neighbour(name: str, by: int) -> pl.Expr:
    """Value of a column ``by`` steps on (or back), only if that very step was marked; rows as ``_run_by_run`` has them.

    Runs stand together, so the row there is of the same run where it bears its number: no window a column.
    """
    there = (pl.col("_run").shift(-by) == pl.col("_run")) & (pl.col("step_no").shift(-by) == pl.col("step_no") + by)
    return pl.when(there).then(pl.col(name).shift(-by))


def _run_by_run(steps: pl.DataFrame) -> pl.DataFrame:
    """Number the runs of steps that stand in the order of runs and steps: ``_run``."""
    is_other = pl.any_horizontal(pl.col(name).ne_missing(pl.col(name).shift()) for name in REP_KEY)
    return steps.with_columns(_run=is_other.cum_sum())


def start_steps(rep: pl.DataFrame, step: pl.DataFrame) -> pl.DataFrame:
    """Work out every marked step: time, frequency, speed, gain, impulse, each with its error.

    step_time = contact + flight (s); frequency = 1 / step_time (Hz); distance = sum of lengths (m);
    speed = next step length / step_time (m/s); gain = speed - speed of the step before (m/s);
    impulse per kg (N s/kg = m/s) of contact i = (1 - h) gain_i + h gain_(i+1), h = contact share / 2: exact where the
    force within a contact is even and neighbouring impulses lie on a line (about 8 % high at the second contact).
    Errors: SD of a contact, a flight or a step time = 1 / (fps sqrt 6); neighbours share an event (correlation -0.5);
    one length what its film gives, 0.03 m where it was typed; lengths taken as independent. Marking by eye adds to
    that and is counted where runs are compared. Ends of 95 % intervals: value -+ 1.96 errors.

    Source: frame_quantisation, step_length_error; definitions otherwise. Null: speed needs the next step's length, gain
    the step before, impulse both; without a frame rate every error of a time is null and the reason says so. The first
    step has no gain: the speed out of the blocks is not on the video. Steps of a rep that is not on record are left
    out.
    """
    return _worked_out(step.join(rep.select(REP_KEY), on=REP_KEY, how="semi"))


@kept  # a run that was timed and not filmed changes nothing of it
def _worked_out(step: pl.DataFrame) -> pl.DataFrame:
    sd = interval_sd_s(pl.col("frame_rate_hz"))
    own = pl.col("step_length_m_se").fill_null(STEP_LENGTH_SD_M)
    time, contact, flight = pl.col("step_time_s"), pl.col("contact_s"), pl.col("flight_s")
    whole_path = (pl.col("step_no") == pl.col("step_no").cum_count().over("_run")) & (
        pl.col("step_length_m").is_null().cum_sum().over("_run") == 0
    )
    frame = (
        step.sort([*REP_KEY, "step_no"])
        .pipe(_run_by_run)
        .with_columns(step_time_s=contact + flight, _sd=sd, _length=own)
        .with_columns(
            distance_m=pl.when(whole_path).then(pl.col("step_length_m").cum_sum().over("_run")),
            speed_mps=_neighbour("step_length_m", 1) / time,
            step_frequency_hz=1 / time,
            contact_share=contact / time,
        )
        .with_columns(_pull=pl.col("speed_mps") / time, _half=pl.col("contact_share") / 2)  # _pull: -dv/dT
        .with_columns(
            speed_gain_mps=pl.col("speed_mps") - _neighbour("speed_mps", -1),
            _pull_before=_neighbour("_pull", -1),
            _pull_after=_neighbour("_pull", 1),
            _time_before=_neighbour("step_time_s", -1),
            _time_after=_neighbour("step_time_s", 1),
            _length_next=_neighbour("_length", 1),
            _length_after=_neighbour("_length", 2),
        )
        .with_columns(
            impulse_ns_per_kg=(1 - pl.col("_half")) * pl.col("speed_gain_mps")
            + pl.col("_half") * _neighbour("speed_gain_mps", 1),
            _k_before=(1 - pl.col("_half")) * pl.col("_pull_before"),
            _k_own=(2 * pl.col("_half") - 1) * pl.col("_pull"),
            _k_after=-pl.col("_half") * pl.col("_pull_after"),
        )
    )
    pull, before = pl.col("_pull"), pl.col("_pull_before")
    # Two neighbouring step times share a touchdown (covariance -sd^2/2), hence the cross terms.
    length, following, last = pl.col("_length"), pl.col("_length_next"), pl.col("_length_after")
    gain_var = pl.col("_sd") ** 2 * (pull**2 + before**2 + pull * before) + (
        (following / time) ** 2 + (length / pl.col("_time_before")) ** 2
    )
    k_b, k_o, k_a, half = pl.col("_k_before"), pl.col("_k_own"), pl.col("_k_after"), pl.col("_half")
    impulse_var = pl.col("_sd") ** 2 * (k_b**2 + k_o**2 + k_a**2 - k_b * k_o - k_o * k_a) + (
        (length * (1 - half) / pl.col("_time_before")) ** 2
        + (following * (1 - 2 * half) / time) ** 2
        + (last * half / pl.col("_time_after")) ** 2
    )

    def known(value: str, error: pl.Expr) -> pl.Expr:
        return pl.when(pl.col(value).is_not_null()).then(error)

    contact_reach, frequency_reach = NORMAL_95 * pl.col("_sd"), NORMAL_95 * pl.col("_sd") / time**2
    frame = frame.with_columns(
        contact_s_se=known("contact_s", pl.col("_sd")),
        contact_low_s=contact - contact_reach,
        contact_high_s=contact + contact_reach,
        flight_s_se=known("flight_s", pl.col("_sd")),
        step_time_s_se=known("step_time_s", pl.col("_sd")),
        step_frequency_hz_se=pl.col("_sd") / time**2,
        step_frequency_low_hz=1 / time - frequency_reach,
        step_frequency_high_hz=1 / time + frequency_reach,
        step_length_m_se=known("step_length_m", length),
        distance_m_se=known("distance_m", (length**2).cum_sum().over("_run").sqrt()),
        speed_mps_se=((pull * pl.col("_sd")) ** 2 + known("speed_mps", (following / time) ** 2)).sqrt(),
        contact_share_se=pl.col("_sd") * (flight**2 + contact**2 + contact * flight).sqrt() / time**2,
        speed_gain_mps_se=known("speed_gain_mps", gain_var.sqrt()),
        impulse_ns_per_kg_se=known("impulse_ns_per_kg", impulse_var.sqrt()),
        reason=pl.when(time.is_null())
        .then(pl.lit("no_step_time"))
        .when(pl.col("frame_rate_hz").is_null())
        .then(pl.lit("no_frame_rate"))
        .when(pl.col("speed_mps").is_null())
        .then(pl.lit("no_next_step")),
    )
    return frame.select(_columns(StartSteps))


def _first_three(steps: pl.DataFrame, step: pl.DataFrame) -> pl.DataFrame:
    """One row per run with steps: contacts, sums, speed after three, order of the contacts."""

    def at(name: str, step_no: int) -> pl.Expr:
        return pl.col(name).filter(pl.col("step_no") == step_no).first()

    def three(name: str) -> pl.Expr:
        values = pl.col(name).filter(pl.col("step_no") <= 3)
        return pl.when(values.count() == 3).then(values.sum())

    # A knee angle joins two segments, so two readings of 1.5 degrees; a shin angle is one. A film gives its own errors.
    angles = step.select(
        *REP_KEY,
        "step_no",
        "knee_toeoff_deg",
        "shin_touchdown_deg",
        _knee_toeoff_deg_sd=pl.col("knee_deg_se").fill_null(SHIN_ANGLE_SD_DEG * 2**0.5),
        _shin_touchdown_deg_sd=pl.col("shin_deg_se").fill_null(SHIN_ANGLE_SD_DEG),
    )
    is_read = pl.any_horizontal(pl.col("knee_toeoff_deg", "shin_touchdown_deg").is_not_null())
    angles = angles.filter((pl.col("step_no") <= 3) & is_read)
    read = ["frame_rate_hz", "contact_s", "flight_s", "distance_m", "distance_m_se", "speed_mps", "speed_mps_se"]
    gate = Z_BEYOND_ERROR * OPERATOR_FACTOR * 2**0.5 * interval_sd_s(pl.col("frame_rate_hz"))
    frame = (
        steps.select(*REP_KEY, "step_no", *read)
        .join(angles, on=[*REP_KEY, "step_no"], how="left", maintain_order="left")
        .pipe(_run_by_run)
        .with_columns(_rises=(pl.col("contact_s") - _neighbour("contact_s", -1)) > gate)
        .group_by("_run", maintain_order=True)
        .agg(
            pl.col(REP_KEY).first(),
            pl.len().cast(pl.Int64).alias("steps"),
            pl.col("frame_rate_hz").min(),
            pl.col("frame_rate_hz").filter(pl.col("step_no") <= 3).count().alias("_rated"),
            *[at("contact_s", i).alias(f"contact_{i}_s") for i in (1, 2, 3)],
            three("contact_s").alias("contact_sum_s"),
            three("flight_s").alias("flight_sum_s"),
            at("distance_m", 3).alias("three_step_distance_m"),
            at("distance_m_se", 3).alias("three_step_distance_m_se"),
            at("distance_m", 4).alias("fourth_touchdown_m"),
            at("distance_m_se", 4).alias("fourth_touchdown_m_se"),
            at("speed_mps", 3).alias("speed_after_3_mps"),
            at("speed_mps_se", 3).alias("speed_after_3_mps_se"),
            pl.col("_rises").filter(pl.col("step_no") <= ORDER_STEPS).any().alias("_rises"),
            *[
                expr
                for name in ("knee_toeoff_deg", "shin_touchdown_deg")
                for expr in (
                    pl.col(name).filter(pl.col("step_no") <= 3).mean().alias(name),
                    pl.col(name).filter(pl.col("step_no") <= 3).count().alias(f"_{name}_n"),
                    (pl.col(f"_{name}_sd") ** 2)
                    .filter((pl.col("step_no") <= 3) & pl.col(name).is_not_null())
                    .sum()
                    .alias(f"_{name}_var"),
                )
            ],
        )
    )
    sd = pl.when(pl.col("_rated") == 3).then(interval_sd_s(pl.col("frame_rate_hz")))
    span = pl.col("contact_sum_s") + pl.col("flight_sum_s")
    first, second, third = (pl.col(f"contact_{i}_s") for i in (1, 2, 3))
    beyond = Z_BEYOND_ERROR * OPERATOR_FACTOR * 2**0.5 * sd  # two contacts share no event: SDs add in squares
    judged = sd.is_not_null() & pl.col("contact_sum_s").is_not_null()
    return frame.with_columns(
        *[
            pl.when(pl.col(f"contact_{i}_s").is_not_null())
            .then(interval_sd_s(pl.col("frame_rate_hz")))
            .alias(f"contact_{i}_s_se")
            for i in (1, 2, 3)
        ],
        # Three contacts (or three flights) hold six different events: their errors are independent.
        contact_sum_s_se=pl.when(pl.col("contact_sum_s").is_not_null()).then(sd * 3**0.5),
        flight_sum_s_se=pl.when(pl.col("flight_sum_s").is_not_null()).then(sd * 3**0.5),
        early_frequency_hz=3 / span,
        early_frequency_hz_se=3 * sd / span**2,
        order_of_contacts=pl.when(judged & ((second - first > beyond) | (third - first > beyond)))
        .then(pl.lit("not_longest_first"))
        .when(judged & (first - third > beyond) & ~pl.col("_rises").fill_null(False))
        .then(pl.lit("longest_first_then_falling"))
        .when(judged)
        .then(pl.lit("longest_first")),
        **{
            f"{name}_se": pl.when(pl.col(name).is_not_null()).then(pl.col(f"_{name}_var").sqrt() / pl.col(f"_{name}_n"))
            for name in ("knee_toeoff_deg", "shin_touchdown_deg")
        },
    )


def _rhythm(steps: pl.DataFrame, runs: pl.DataFrame) -> pl.DataFrame:
    """Stride frequency at 10 m and the athlete's best of the last 60 days by the same method, per run."""
    # Runs are known by a number from here: by four names each joining takes several times as long.
    runs = runs.select(*REP_KEY, "_method", "is_free", "steps").with_row_index("_number")
    strides = (
        _run_by_run(steps)
        .with_columns(
            _span=pl.col("step_time_s") + _neighbour("step_time_s", -1),
            _from=_neighbour("distance_m", -1),
            _until=_neighbour("distance_m", 1),
        )
        .with_columns(_hz=2 / pl.col("_span"))
        .with_columns(_hz_se=2 * interval_sd_s(pl.col("frame_rate_hz")) / pl.col("_span") ** 2)
        .join(runs.drop("steps"), on=REP_KEY, how="inner", maintain_order="left")
    )
    at_10m = strides.filter((pl.col("distance_m") <= RHYTHM_AT_M) & (pl.col("_until") > RHYTHM_AT_M)).select(
        "_number", step_frequency_10m_hz="_hz", step_frequency_10m_hz_se="_hz_se"
    )
    free = strides.filter(pl.col("is_free") & pl.col("_hz").is_not_null())
    free = free.with_columns(_whose_day=number_of(free, ["athlete_id", "_method", "session_date"]))
    by_day = (
        free.filter(pl.col("_hz") == pl.col("_hz").max().over("_whose_day"))  # a few to sort in the place of all
        .sort("_hz", "session_no", "rep_no", "step_no", descending=[True, False, False, False])
        .unique("_whose_day", keep="first", maintain_order=True)
        .select("athlete_id", "_method", "_hz", "_hz_se", "_from", _day="session_date")
    )
    # Within the sixty days a run lies in and the sixty before: pairs of all years grew with their square.
    stretch = pl.col("session_date").cast(pl.Int32) // BEST_FREQUENCY_DAYS
    by_day = by_day.with_columns(_stretch=pl.col("_day").cast(pl.Int32) // BEST_FREQUENCY_DAYS)
    best = (
        runs.select("_number", "athlete_id", "session_date", "_method", _stretch=stretch)
        .join(
            pl.concat([by_day, by_day.with_columns(pl.col("_stretch") + 1)]),
            on=["athlete_id", "_method", "_stretch"],
            how="inner",
        )
        .filter(
            (pl.col("_day") <= pl.col("session_date"))
            & (pl.col("_day") > pl.col("session_date").dt.offset_by(f"-{BEST_FREQUENCY_DAYS}d"))
        )
        .filter(pl.col("_hz") == pl.col("_hz").max().over("_number"))
        .sort("_day", descending=True)
        .unique("_number", keep="first", maintain_order=True)
        .select("_number", best_frequency_hz="_hz", best_frequency_hz_se="_hz_se", best_frequency_at_m="_from")
    )
    own, top = pl.col("step_frequency_10m_hz"), pl.col("best_frequency_hz")
    ratio = own / top
    relative = (pl.col("step_frequency_10m_hz_se") / own) ** 2 + (pl.col("best_frequency_hz_se") / top) ** 2
    return (
        runs.join(at_10m, on="_number", how="left")
        .join(best, on="_number", how="left")
        .with_columns(
            rhythm_10m=pl.when(pl.col("is_free")).then(ratio),
            # Where the best stride is the one at 10 m itself the ratio is 1 by construction: no error to state.
            rhythm_10m_se=pl.when(pl.col("is_free")).then(
                pl.when(own == top).then(None).otherwise(ratio * relative.sqrt())
            ),
            rhythm_reason=pl.when(pl.col("steps").fill_null(0) == 0)
            .then(pl.lit("no_steps"))
            .when(~pl.col("is_free"))
            .then(pl.lit("rhythm_resisted"))
            .when(own.is_null())
            .then(pl.lit("steps_end_before_10m"))
            .when(pl.col("best_frequency_at_m").fill_null(0.0) < BEST_SEEN_EARLY_M)
            .then(pl.lit("best_frequency_seen_early"))
            .when(pl.col("step_frequency_10m_hz_se").is_null())
            .then(pl.lit("no_frame_rate")),
        )
        .drop("_number", "_method", "is_free", "steps")
    )


def start_phase(
    rep: pl.DataFrame,
    step: pl.DataFrame,
    set_position: pl.DataFrame,
    technique_note: pl.DataFrame,
    start_steps: pl.DataFrame,
) -> pl.DataFrame:
    """Sum up the start of every run that was filmed or noted: one row a run.

    Contacts 1-3 and their sum, flights 1-3 (s); early frequency = 3 / (their total) (Hz); three_step_distance =
    touchdown 3 from the start line (m); speed_after_3 = mean speed over contact 3 and flight 3 (m/s); rhythm_10m =
    stride frequency at 10 m / best stride frequency of 60 days by the same method; angle_hold = shin at push - shin
    in set (deg). Exponential over step number y(i) = y_inf + (y_1 - y_inf) e^(-(i - 1) / c) for contact, flight and
    length from six steps on. Order of contacts is judged beyond the error of two contacts, frames and marking by eye
    together (1.645 * 2 * sqrt 2 / (fps sqrt 6)).

    Source: frame_quantisation, ettema_2016, definitions. A best is the largest of several noisy values and so reads
    high by about its own error. Null with a code in ``reason``, ``rhythm_reason`` or ``fit_reason``.
    """
    keys = pl.concat([frame.select(REP_KEY) for frame in (step, set_position, technique_note)]).unique()
    context = ["start_kind", "clock_start", "timing_kind", "resistance_kind"]
    runs = rep.select(*REP_KEY, *context, "resistance_load_kg").join(keys, on=REP_KEY, how="semi").sort(REP_KEY)
    return _summed_up(runs, step, set_position, start_steps)


@kept
def _summed_up(
    runs: pl.DataFrame, step: pl.DataFrame, set_position: pl.DataFrame, start_steps: pl.DataFrame
) -> pl.DataFrame:
    runs = runs.join(_first_three(start_steps, step), on=REP_KEY, how="left", maintain_order="left").with_columns(
        is_free=is_free_run(),
        _method=method_class(pl.col("frame_rate_hz"), pl.col("timing_kind")),
        steps=pl.col("steps").fill_null(0),
    )
    hold = set_position.select(
        *REP_KEY,
        angle_hold_deg=pl.col("front_shin_push_deg") - pl.col("front_shin_set_deg"),
        _sd=pl.col("front_shin_deg_se").fill_null(SHIN_ANGLE_SD_DEG),
    ).select(
        *REP_KEY,
        "angle_hold_deg",
        angle_hold_deg_se=pl.when(pl.col("angle_hold_deg").is_not_null()).then(pl.col("_sd") * 2**0.5),
    )
    frame = (
        runs.join(_rhythm(start_steps, runs), on=REP_KEY, how="left", maintain_order="left")
        .join(hold, on=REP_KEY, how="left", maintain_order="left")
        .join(step_curves(start_steps), on=REP_KEY, how="left", maintain_order="left")
        .with_columns(
            fit_reason=pl.when(pl.col("steps") == 0).then(pl.lit("no_steps")).otherwise(pl.col("fit_reason")),
            reason=pl.when(pl.col("steps") == 0)
            .then(pl.lit("no_steps"))
            .when(pl.col("contact_sum_s").is_null())
            .then(pl.lit("few_steps"))
            .when(pl.col("speed_after_3_mps").is_null())
            .then(pl.lit("no_fourth_touchdown"))
            .when(pl.col("contact_1_s_se").is_null())
            .then(pl.lit("no_frame_rate")),
        )
    )
    return frame.select(_columns(StartPhase))
