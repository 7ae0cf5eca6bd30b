"""A start against the athlete's own best starts: how many errors of measurement lie between them."""

import polars as pl

from pipelines.derived.common.ordering import number_of
from pipelines.derived.common.resistance import is_free_run
from pipelines.derived.common.step_error import OPERATOR_FACTOR, REP_KEY, method_class

BEST_RUNS_DAYS = 180
LEAST_OWN_RUNS = 5
BEST_SHARE = 0.25  # the fastest quarter after three steps


def _with_own_best(phase: pl.DataFrame) -> pl.DataFrame:
    """Add to each run the mean of the own best runs (``best_*``, ``best_runs`` of them) and the own spread and
    usual."""
    group = ["athlete_id", "start_kind", "_method"]
    measures = [
        "contact_sum_s",
        "early_frequency_hz",
        "speed_after_3_mps",
        "angle_hold_deg",
        "knee_toeoff_deg",
        "shin_touchdown_deg",
    ]
    # Paired within the two months a run lies in and the three such before: pairs of all years grew with their square.
    two_months = pl.col("session_date").cast(pl.Int32) // (BEST_RUNS_DAYS // 3)
    # Pairs are many: they know a run by its number, not by its four names.
    phase = phase.with_row_index("_run").with_columns(_alike=number_of(phase, group))
    judged = phase.filter(pl.col("_free")).select("_run", "_alike", _on="session_date", _stretch=two_months)
    others = phase.filter(pl.col("_free") & pl.col("speed_after_3_mps").is_not_null()).select(
        "_alike", *measures, _day="session_date", _other="_run", _stretch=two_months
    )
    others = pl.concat([others.with_columns(pl.col("_stretch") + later) for later in (3, 2, 1, 0)])  # oldest first
    pairs = judged.join(others, on=["_alike", "_stretch"], how="inner", maintain_order="left_right").filter(
        (pl.col("_day") <= pl.col("_on"))
        & (pl.col("_day") > pl.col("_on") - pl.duration(days=BEST_RUNS_DAYS))
        & (pl.col("_other") != pl.col("_run"))
    )
    speed = pl.col("speed_after_3_mps")
    enough = pairs.filter(pl.len().over("_run") >= LEAST_OWN_RUNS)
    fastest = speed.rank("min", descending=True).over("_run") <= (BEST_SHARE * pl.len().over("_run")).ceil()
    best = (
        enough.filter(fastest)
        .group_by("_run", maintain_order=True)
        .agg(
            pl.len().cast(pl.Int64).alias("best_runs"),
            *[pl.col(name).mean().alias(f"best_{name}") for name in measures],
        )
    )
    usual = enough.group_by("_run", maintain_order=True).agg(
        speed.median().alias("usual_speed_mps"), *[pl.col(name).std().alias(f"own_sd_{name}") for name in measures]
    )
    return (
        phase.join(best, on="_run", how="left", maintain_order="left")
        .join(usual, on="_run", how="left", maintain_order="left")
        .drop("_run", "_alike")
    )


def compare_with_own_best(
    phase: pl.DataFrame, steps: pl.DataFrame, set_position: pl.DataFrame, rep: pl.DataFrame
) -> pl.DataFrame:
    """Runs with their own best and the z of each measured sign against it."""
    third = steps.filter(pl.col("step_no") == 3).select(*REP_KEY, "step_time_s", "step_time_s_se")
    is_other = pl.any_horizontal(pl.col(name).ne_missing(pl.col(name).shift()) for name in REP_KEY)  # steps run by run
    longer = (
        steps.filter(pl.col("step_no").is_between(2, 6))
        .with_columns(_more=pl.when(~is_other).then(pl.col("step_length_m").diff()))
        .group_by(REP_KEY, maintain_order=True)
        .agg(
            _lengths=pl.col("step_length_m").count(),
            _least=pl.col("_more").min(),
            _growth=pl.col("step_length_m").last() - pl.col("step_length_m").first(),
            _length_se=pl.col("step_length_m_se").max(),
        )
    )
    frame = (
        phase.join(rep.select(*REP_KEY, "resistance_load_kg"), on=REP_KEY, how="inner", maintain_order="left")
        .join(third, on=REP_KEY, how="left", maintain_order="left")
        .join(longer, on=REP_KEY, how="left", maintain_order="left")
        .join(
            set_position.select(*REP_KEY, "front_shin_set_deg", "front_shin_push_deg"),
            on=REP_KEY,
            how="left",
            maintain_order="left",
        )
        .with_columns(_free=is_free_run(), _method=method_class(pl.col("frame_rate_hz"), pl.col("timing_kind")))
    )
    frame = _with_own_best(frame)
    spread = (1 + 1 / pl.col("best_runs")).sqrt()
    from_frames = pl.col("speed_after_3_mps") / pl.col("step_time_s") * pl.col("step_time_s_se")
    speed_error = (pl.col("speed_after_3_mps_se") ** 2 + (OPERATOR_FACTOR**2 - 1) * from_frames**2).sqrt()
    errors = {
        "contact_sum_s": OPERATOR_FACTOR * pl.col("contact_sum_s_se"),
        "early_frequency_hz": OPERATOR_FACTOR * pl.col("early_frequency_hz_se"),
        "speed_after_3_mps": speed_error,
        "angle_hold_deg": pl.col("angle_hold_deg_se"),
        "knee_toeoff_deg": pl.col("knee_toeoff_deg_se"),
        "shin_touchdown_deg": pl.col("shin_touchdown_deg_se"),
    }
    return frame.with_columns(
        **{f"z_{name}": (pl.col(name) - pl.col(f"best_{name}")) / (error * spread) for name, error in errors.items()},
        # Against the larger of the error and the athlete's own spread from run to run: for signs that stand alone.
        **{
            f"odd_{name}": (pl.col(name) - pl.col(f"best_{name}"))
            / (pl.max_horizontal(error, pl.col(f"own_sd_{name}")) * spread)
            for name, error in errors.items()
        },
        z_hold=pl.col("angle_hold_deg") / pl.col("angle_hold_deg_se"),
        early_share=pl.col("early_frequency_hz") / pl.col("best_frequency_hz"),
    )
