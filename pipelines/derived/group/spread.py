"""One event group side by side: does the spread exceed noise, and where do its load weeks lie."""

import polars as pl
import scipy

from pipelines.derived.common.number_text import decimals
from schemas.derived.progress import NOT_STATED
from schemas.normal import NORMAL_95
from schemas.phrase import phrase

SERIES = ["start_kind", "clock_start", "timing_kind", "measured_by", "stands"]
GROUP = ["event_group", "sex", *SERIES]
LEAST_ATHLETES = 3  # levels from which a spread is stated, source: "common_practice"


def group_spread(start_progress: pl.DataFrame, athlete: pl.DataFrame) -> pl.DataFrame:
    """One row per event group, sex and kind of start: is the spread of the 10 m time more than noise?

    Over the athletes with a level y_i (today's, with standard error e_i) and a timed day in the window of weeks:
    spread = SD(y) with n - 1; noise = sqrt(mean e_i^2); spread less noise = sqrt(max(0, spread^2 - noise^2));
    Q = sum ((y_i - m) / e_i)^2 with m the mean weighted by 1 / e_i^2, chi-squared with n - 1 degrees of freedom if all
    true levels are equal; a pair is beyond noise when |y_i - y_j| > 1.96 sqrt(e_i^2 + e_j^2).
    Units: s. Source: cochran_1954; definitions. An athlete without event group counts as 'other', without sex apart.
    Limits: the errors are taken as known, so P is a little too small for short series; the errors share the squad's
    noise; minors and adults stand together. Pairs are many looks: one in twenty is beyond noise by chance.
    Null rule: under three athletes (too_few_athletes), or where an error is not known (level_error_unknown), all
    figures are null.
    """
    people = athlete.select("athlete_id", pl.col("event_group").fill_null("other"), pl.col("sex").fill_null(NOT_STATED))
    # Behind the first gate a longer way to it makes a faster time: only those who stand alike are compared.
    at_gate = pl.col("clock_start") == "first_gate"
    where_from = pl.when(at_gate).then(pl.col("set_up").str.split(", ").list.first()).otherwise(pl.lit(NOT_STATED))
    levels = (
        start_progress.filter(
            (pl.col("metric") == "t_10_s") & pl.col("level_now").is_not_null() & (pl.col("recent_sessions") > 0)
        )
        .sort("athlete_id", "recent_sessions", "sessions", "set_up", descending=[False, True, True, False])
        .with_columns(stands=where_from)
        .unique(["athlete_id", *SERIES], keep="first", maintain_order=True)
        .join(people, on="athlete_id", how="inner")
        .select(*GROUP, "athlete_id", y="level_now", e="level_now_se")
    )
    weight, has_errors = 1 / pl.col("e") ** 2, (pl.col("e") > 0).fill_null(False).all()
    centre = (pl.col("y") * weight).sum() / weight.sum()
    rows = levels.group_by(GROUP, maintain_order=True).agg(
        athletes=pl.len().cast(pl.Int64),
        has_errors=has_errors,
        spread=pl.col("y").std(),
        noise=(pl.col("e") ** 2).mean().sqrt(),
        q=((pl.col("y") - centre) ** 2 * weight).sum(),
    )
    rows = rows.join(_pairs(levels), on=GROUP, how="left").sort(GROUP)
    few = pl.col("athletes") < LEAST_ATHLETES
    is_told = ~few & pl.col("has_errors")

    def told(value: pl.Expr) -> pl.Expr:
        return pl.when(is_told).then(value)

    chance = pl.Series(
        scipy.special.chdtrc((rows["athletes"] - 1).clip(lower_bound=1).to_numpy(), rows["q"].fill_nan(0).to_numpy())
    )
    over = (pl.col("spread") ** 2 - pl.col("noise") ** 2).clip(lower_bound=0).sqrt()
    rows = rows.with_columns(
        spread_sd_s=told(pl.col("spread")),
        noise_s=told(pl.col("noise")),
        true_spread_s=told(over),
        q_statistic=told(pl.col("q")),
        p_noise=told(pl.lit(chance)),
        pairs=told(pl.col("pairs")),
        pairs_beyond=told(pl.col("pairs_beyond")),
        reason=pl.when(few)
        .then(pl.lit("too_few_athletes"))
        .when(~pl.col("has_errors"))
        .then(pl.lit("level_error_unknown")),
    )
    return rows.with_columns(sentence=_sentence(rows)).select(
        *GROUP, "athletes", "spread_sd_s", "noise_s", "true_spread_s", "q_statistic", "p_noise", "pairs",
        "pairs_beyond", "sentence", "reason",
    )  # fmt: skip


def _pairs(levels: pl.DataFrame) -> pl.DataFrame:
    """Count the pairs of each group and those that differ by more than 1.96 errors of the difference."""
    both = levels.join(levels, on=GROUP, how="inner", suffix="_2").filter(pl.col("athlete_id") < pl.col("athlete_id_2"))
    error = (pl.col("e") ** 2 + pl.col("e_2") ** 2).sqrt()
    beyond = (pl.col("y") - pl.col("y_2")).abs() > NORMAL_95 * error
    return both.group_by(GROUP, maintain_order=True).agg(
        pairs=pl.len().cast(pl.Int64), pairs_beyond=beyond.fill_null(False).sum().cast(pl.Int64)
    )


def _sentence(rows: pl.DataFrame) -> pl.Expr:
    """Say in one sentence whether the athletes differ by more than noise."""
    spread, noise = pl.lit(decimals(rows["spread_sd_s"], 3)), pl.lit(decimals(rows["noise_s"], 3))
    facts = phrase(
        "spread {} s between {} athletes, noise {} s; {} of {} pairs differ by more than noise",
        spread, "athletes", noise, "pairs_beyond", "pairs",
    )  # fmt: skip
    return (
        pl.when(pl.col("reason") == "too_few_athletes")
        .then(pl.lit("Too few athletes with a level by this start and clock for a spread."))
        .when(pl.col("reason").is_not_null())
        .then(pl.lit("The error of the levels is not known yet, so nothing can be said."))
        .when(pl.col("p_noise") < 0.05)
        .then(phrase("The athletes differ by more than noise: {}.", facts))
        .otherwise(phrase("The differences are no larger than noise could give: {}.", facts))
    )
