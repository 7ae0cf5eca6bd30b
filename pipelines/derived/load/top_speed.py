"""The top speed of a run and the athlete's own best of them: neither too fast for being the largest of many."""

import polars as pl

from pipelines.derived.sprint.time_zero import NOISE_S, NOISE_UNKNOWN_S

REP = ["athlete_id", "session_date", "session_no", "rep_no"]
TOP_OVER_M = 20.0  # m, a stretch that long halves what timing does to a speed over 10 m, own rule
MOST_SECTIONS = 4  # sections a stretch is made of: gates every 5 m make 20 m of it
NEAR_TOP = 0.97  # share of the largest from which a run counts as one of the fast ones, own rule
BEST_WINDOW = "365d"


def find_tops(sections: pl.DataFrame) -> pl.DataFrame:
    """Return one row per run: its fastest mean speed over 20 m, or over the longest stretch there is, and its variance.

    Stretches are of up to four sections one after the other. Variance from timing alone: 2 (noise v / time)^2.
    """
    rows = sections.sort(*REP, "distance_m")
    start, length, time = pl.col("distance_m") - pl.col("length_m"), pl.col("length_m"), pl.col("time_s")
    parts = []
    for back in range(MOST_SECTIONS):
        whole = pl.sum_horizontal(*(length.shift(k).over(REP) for k in range(back + 1)), ignore_nulls=False)
        lasted = pl.sum_horizontal(*(time.shift(k).over(REP) for k in range(back + 1)), ignore_nulls=False)
        reach = pl.col("distance_m") - start.shift(back).over(REP)
        parts.append(
            rows.with_columns(_length=whole, _time=lasted, _reach=reach, _back=pl.lit(back))
            .filter((pl.col("_reach") - pl.col("_length")).abs() < 1e-6)
            .select(*REP, "timing_kind", "is_far", "distance_m", "_length", "_time", "_back")
        )
    noise = pl.col("timing_kind").replace_strict(NOISE_S, default=NOISE_UNKNOWN_S, return_dtype=pl.Float64)
    least = pl.min_horizontal(pl.col("_length").max().over(REP), pl.lit(TOP_OVER_M))
    return (
        pl.concat(parts)
        .filter(pl.col("_length") >= least - 1e-6)
        .sort(*REP, "distance_m", "_back")
        .unique([*REP, "distance_m"], keep="first", maintain_order=True)  # the shortest long enough that ends there
        .with_columns(top_mps=pl.col("_length") / pl.col("_time"))
        .with_columns(_variance=2.0 * (noise * pl.col("top_mps") / pl.col("_time")) ** 2)
        .sort(*REP, "top_mps", "distance_m", descending=[False] * len(REP) + [True, False])
        .group_by(REP, maintain_order=True)
        .agg(pl.col("top_mps").first(), pl.col("_variance").first(), pl.col("is_far").any())
    )


def find_bests(tops: pl.DataFrame) -> pl.DataFrame:
    """Return own best per athlete and day with runs: of the 365 days up to it, the largest top, drawn in.

    best = m + B (largest - m): m = mean of the tops within 3 % of the largest, B = max(0, 1 - s^2 / S^2), S^2 their
    variance, s^2 = mean of what timing makes of it. One such run alone: its top. Source: "james_stein_1961".
    """
    top = pl.col("top_mps")
    near = top >= NEAR_TOP * top.max()
    middle = top.filter(near).mean()
    share = (1.0 - pl.col("_variance").filter(near).mean() / top.filter(near).var()).clip(0.0, 1.0)
    drawn = middle + pl.when(share.is_nan()).then(0.0).otherwise(share) * (top.max() - middle)
    return (
        tops.with_columns(_day="session_date")
        .sort("athlete_id", "session_date")
        .rolling(index_column="session_date", period=BEST_WINDOW, closed="right", group_by="athlete_id")
        .agg(
            best=pl.when(near.sum() > 1).then(drawn).otherwise(top.max()),
            timed_days=pl.col("_day").n_unique().cast(pl.Int64),
            is_start_only=~pl.col("is_far").any(),
        )
        .unique(["athlete_id", "session_date"], keep="last", maintain_order=True)
    )
