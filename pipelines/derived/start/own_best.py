"""A start against the athlete's own best starts: how many errors of measurement lie between them."""

import numpy as np
import numpy.typing as npt
import polars as pl

from pipelines.derived.common.ordering import number_of
from pipelines.derived.common.resistance import is_free_run
from pipelines.derived.common.step_error import OPERATOR_FACTOR, REP_KEY, method_class

BEST_RUNS_DAYS = 180
LEAST_OWN_RUNS = 5
BEST_SHARE = 0.25  # the fastest quarter after three steps
DAYS_APART = 1_000_000  # between the days of two kinds of start, as they are counted here: more than there are

Whole = npt.NDArray[np.int64]


def _pairs(judged: pl.DataFrame, others: pl.DataFrame) -> tuple[Whole, Whole]:
    """Return runs, by ``_run``, each once for every own start it is held against: place of that among ``others``.

    Those are alike, of the 180 days up to the run's own, itself left out; of fewer than five nothing is said. Others
    stand in the order of kinds and days, so that those of a run stand together: no pairs are made to be left again.
    """
    days = [rows["session_date"].to_physical().to_numpy().astype(np.int64) for rows in (judged, others)]
    kinds = pl.concat([judged["_alike"], others["_alike"]]).rank("dense").to_numpy().astype(np.int64)
    kind, kind_of_others = np.split(kinds, [judged.height])
    at, at_others = days[0] + kind * DAYS_APART, days[1] + kind_of_others * DAYS_APART
    first = np.searchsorted(at_others, at - BEST_RUNS_DAYS, side="right")
    count = np.searchsorted(at_others, at, side="right") - first
    run = np.repeat(judged["_run"].to_numpy(), count)
    other = np.arange(len(run)) - np.repeat(np.cumsum(count) - count - first, count)
    is_other = others["_run"].to_numpy()[other] != run
    run, other = run[is_other], other[is_other]
    is_enough = np.bincount(run, minlength=1)[run] >= LEAST_OWN_RUNS if len(run) else is_other[is_other]
    return run[is_enough], other[is_enough]


def _fastest(run: Whole, rank: Whole) -> npt.NDArray[np.bool_]:
    """Say which pairs are of the fastest quarter of their run, ties with the last of it among them."""
    if not len(run):
        return np.zeros(0, dtype=bool)
    key = run.astype(np.int64) * (int(rank.max()) + 1) + rank
    begin = np.flatnonzero(np.diff(run.astype(np.int64), prepend=-1))
    count = np.diff(begin, append=len(run))
    last = np.sort(key)[begin + np.ceil(BEST_SHARE * count).astype(np.int64) - 1]
    return np.asarray(key <= np.repeat(last, count))


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
    phase = phase.with_row_index("_run").with_columns(_alike=number_of(phase, group))
    others = phase.filter(pl.col("_free") & pl.col("speed_after_3_mps").is_not_null()).sort(
        "_alike", maintain_order=True
    )
    run, other = _pairs(phase.filter(pl.col("_free")), others)
    speed = pl.col("speed_after_3_mps")
    fastest = pl.Series(_fastest(run, others["speed_after_3_mps"].rank("dense", descending=True).to_numpy()[other]))
    enough = others.select(measures)[other].with_columns(_run=pl.Series(run))
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
