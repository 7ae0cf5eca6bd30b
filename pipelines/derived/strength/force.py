"""Force tests by day and side: best, mean, left against right, and change on own best."""

import polars as pl

from pipelines.derived.common.change import (
    BEST_DAYS,
    LEAST_ERROR_DF,
    REPEAT_DAYS,
    add_earlier_best,
    best_of_normals,
    drop_probability,
    pool_smallest_change,
    pool_test_error,
)
from pipelines.derived.strength.own_change import add_own_change
from schemas.normal import NORMAL_95
from schemas.phrase import phrase
from schemas.settings import SquadSettings

SERIES = ["athlete_id", "item", "side"]
DAY = ["athlete_id", "measured_on", "item"]
TESTS_RUNNING = 3  # tests that must show the same side, source: "bishop_2016"
FAMILIES = {"eccentric_hamstring": "hamstring_eccentric", "hip_flexor": "hip_flexor", "calf_isometric": "calf_ankle"}


def force_rows(force_test: pl.DataFrame, athlete: pl.DataFrame, settings: SquadSettings) -> pl.DataFrame:
    """Return one row per athlete, day, test and side, and one of side 'both' that sets left against right.

    Difference = 100 x (right - left) / larger, on the means of the trials; its standard error is
    (smaller / larger) x sqrt(e^2 / n_l + e^2 / n_r) with e the squad's trial-to-trial error on the log scale (pooled SD
    of ln force within athlete, day and side), or the squad's test-to-test error where trials are not repeated.
    p_drop: d = ln(today) - ln(own best of k earlier days) + TE x m_k, s = TE x sqrt(1 + v_k), where m_k and v_k are
    mean and variance of the largest of k standard normal values. With one earlier day m = 0 and v = 1: Hopkins's
    formula for one test against one. With more, the best of several noisy tests lies above the true level by chance
    alone; without m_k every athlete with a long record would seem to have dropped.
    p_fallen and own_change_percent: against the mean of own earlier tests, shrunk (``add_own_change``). Of the row of
    both sides they are of ln(right / left): how far the sides have moved apart from the athlete's own usual, with the
    squad's error of that ratio; p_fallen is then that of the side that lost, named by lost_side.
    """
    force = pl.col("peak_force_n")
    days = (
        force_test.rename({"test": "item", "tested_on": "measured_on"})
        .group_by(*DAY, "side", maintain_order=True)
        .agg(
            trials=pl.len().cast(pl.Int64),
            peak_force_n=force.max(),
            mean_force_n=force.mean(),
            squares=((force.log() - force.log().mean()) ** 2).sum(),
        )
        .with_columns(
            kind=pl.lit("force"), family=pl.col("item").replace_strict(FAMILIES, default=None, return_dtype=pl.String)
        )
    )
    error = pool_test_error(days, "item", SERIES, "measured_on", "mean_force_n")
    smallest = pool_smallest_change(days, athlete, "item", "mean_force_n", settings.swc_share)
    noisy = days.join(error, on="item", how="left").join(smallest, on="item", how="left")
    rows = _add_fallen(_add_change(noisy), settings)
    sides = _compare_sides(days, error).join(_shift_of_sides(days, smallest, settings), on=DAY, how="left")
    key = [*DAY, "side"]
    measured = rows.join(sides, on=key, how="left").with_columns(
        own_change_percent=pl.coalesce("own_change_percent", "shift_percent"),
        p_fallen=pl.coalesce("p_fallen", "p_shift"),
        p_fallen_before=pl.coalesce("p_fallen_before", "p_shift_before"),
        sentence=pl.coalesce("side_sentence", "change_sentence"),
        reason=pl.coalesce("side_reason", "change_reason"),
    )
    compared = sides.join(rows, on=key, how="anti").with_columns(
        kind=pl.lit("force"),
        family=pl.col("item").replace_strict(FAMILIES, default=None, return_dtype=pl.String),
        own_change_percent="shift_percent",
        p_fallen="p_shift",
        p_fallen_before="p_shift_before",
        sentence="side_sentence",
        reason="side_reason",
    )
    names = (
        *key, "kind", "family", "trials", "peak_force_n", "mean_force_n", "difference_percent",
        "difference_noise_percent", "persistent_side", "change_vs_best_percent", "p_drop", "own_change_percent",
        "p_fallen", "p_fallen_before", "lost_side", "sentence", "reason",
    )  # fmt: skip
    return pl.concat([measured, compared], how="diagonal").select(names)


def _add_change(days: pl.DataFrame) -> pl.DataFrame:
    """Add change on own best of the 365 days before, and the probability of a true drop."""
    days = add_earlier_best(days, SERIES, "measured_on", "mean_force_n")
    lift, variance = best_of_normals(days["earlier_days"].fill_null(1).clip(1).to_numpy())
    days = days.with_columns(
        lift=pl.Series(lift, dtype=pl.Float64),
        variance=pl.Series(variance, dtype=pl.Float64),
        change=pl.col("mean_force_n") / pl.col("earlier_best"),
    ).with_columns(
        change_vs_best_percent=100 * (pl.col("change") - 1),
        observed=pl.col("change").log() + pl.col("test_error") * pl.col("lift"),
        observed_se=pl.col("test_error") * (1 + pl.col("variance")).sqrt(),
    )
    days = days.with_columns(drop_probability(days))
    reason = (
        pl.when(pl.col("change").is_null())
        .then(pl.lit("no_earlier_test"))
        .when(pl.col("test_error").is_null())
        .then(pl.lit("squad_noise_unknown"))
        .when(pl.col("smallest_change").is_null())
        .then(pl.lit("squad_spread_unknown"))
    )
    text = phrase(
        "{} % under own best of the last 12 months; probability of a true drop that matters: {}.",
        (-pl.col("change_vs_best_percent")).round(0).cast(pl.Int64),
        pl.col("p_drop").round(2),
    )
    is_lower = (pl.col("change_vs_best_percent") < 0) & pl.col("p_drop").is_not_null()
    return days.with_columns(change_reason=reason, change_sentence=pl.when(is_lower).then(text))


def _add_fallen(days: pl.DataFrame, settings: SquadSettings) -> pl.DataFrame:
    """Add own_change_percent and p_fallen of each side measured alone, or of both at once."""
    judged = add_own_change(days, SERIES, "measured_on", "mean_force_n", settings)
    return judged.with_columns(
        own_change_percent=100 * (pl.col("own_change").exp() - 1),
        p_fallen="p_lower",
        p_fallen_before=_of_test_before("p_lower", SERIES),
    ).drop("own_usual", "own_change", "p_lower", "p_higher")


def _of_test_before(name: str, series: list[str]) -> pl.Expr:
    """Return a value of the test before, at most 90 days earlier; rows are in order."""
    is_near = pl.col("measured_on").diff().dt.total_days().over(series) <= REPEAT_DAYS
    return pl.when(is_near).then(pl.col(name).shift(1).over(series))


def _shift_of_sides(days: pl.DataFrame, smallest: pl.DataFrame, settings: SquadSettings) -> pl.DataFrame:
    """Return how far right over left has moved from the athlete's own usual: shift_percent, p_shift, lost_side.

    A standing difference is the athlete's own and is no shift. Error of the ratio pooled over the squad by itself, as
    what a bad day takes from both sides is not in it.
    """

    def of(side: str) -> pl.Expr:
        return pl.col("mean_force_n").filter(pl.col("side") == side).first()

    pairs = (
        days.group_by(DAY, maintain_order=True)
        .agg(ratio=of("r") / of("l"))
        .drop_nulls("ratio")
        .sort("athlete_id", "item", "measured_on")
    )
    series = ["athlete_id", "item"]
    error = pool_test_error(pairs, "item", series, "measured_on", "ratio")
    noisy = pairs.join(error, on="item", how="left").join(smallest, on="item", how="left")
    judged = add_own_change(noisy, series, "measured_on", "ratio", settings)
    right_lost = pl.col("own_change") < 0
    judged = judged.with_columns(
        lost_side=pl.when(right_lost).then(pl.lit("r")).when(~right_lost).then(pl.lit("l")),
        p_shift=pl.when(right_lost).then("p_lower").otherwise("p_higher"),
    )
    is_same = pl.col("lost_side") == pl.col("lost_side").shift(1).over(series)
    return judged.select(
        *DAY,
        "p_shift",
        "lost_side",
        shift_percent=100 * (pl.col("own_change").exp() - 1),
        p_shift_before=pl.when(is_same).then(_of_test_before("p_shift", series)),
    )


def _trial_error(days: pl.DataFrame) -> pl.DataFrame:
    """Return the squad's trial-to-trial error per test on the log scale; null under 5 degrees of freedom."""
    pooled = days.group_by("item", maintain_order=True).agg(
        pl.col("squares").sum(), degrees=(pl.col("trials") - 1).sum()
    )
    is_known = (pl.col("degrees") >= LEAST_ERROR_DF) & (pl.col("squares") > 0)
    return pooled.select("item", trial_error=pl.when(is_known).then((pl.col("squares") / pl.col("degrees")).sqrt()))


def _compare_sides(days: pl.DataFrame, error: pl.DataFrame) -> pl.DataFrame:
    """Return one row of side 'both' per athlete, day and test with both sides, or with one of them missing."""

    def of(side: str, name: str) -> pl.Expr:
        return pl.col(name).filter(pl.col("side") == side).first()

    left, right = pl.col("left_n"), pl.col("right_n")
    pairs = (
        days.filter(pl.col("side") != "both")
        .group_by(DAY, maintain_order=True)
        .agg(
            left_n=of("l", "mean_force_n"),
            right_n=of("r", "mean_force_n"),
            left_trials=of("l", "trials"),
            right_trials=of("r", "trials"),
        )
        .join(_trial_error(days), on="item", how="left")
        .join(error.select("item", "test_error"), on="item", how="left")
    )
    larger, smaller = pl.max_horizontal(left, right), pl.min_horizontal(left, right)
    by_trials = pl.col("trial_error") * (1 / pl.col("left_trials") + 1 / pl.col("right_trials")).sqrt()
    by_tests = pl.col("test_error") * 2**0.5
    pairs = pairs.with_columns(
        difference_percent=100 * (right - left) / larger,
        difference_noise_percent=100 * NORMAL_95 * (smaller / larger) * pl.coalesce(by_trials, by_tests),
    )
    return _say_sides(_add_persistent(pairs))


def _add_persistent(pairs: pl.DataFrame) -> pl.DataFrame:
    """Add the weaker side where this and the two tests before, all within a year, show it beyond the noise."""
    difference, series = pl.col("difference_percent"), ["athlete_id", "item"]
    is_beyond = difference.abs() > pl.col("difference_noise_percent")
    weaker = pl.when(is_beyond & (difference > 0)).then(pl.lit("l")).when(is_beyond).then(pl.lit("r"))
    pairs = (
        pairs.filter(difference.is_not_null())
        .sort(*series, "measured_on")
        .with_columns(weaker=weaker)
        .vstack(pairs.filter(difference.is_null()).with_columns(weaker=pl.lit(None, dtype=pl.String)))
    )

    def back(name: str, tests: int) -> pl.Expr:
        return pl.col(name).shift(tests).over(*series, difference.is_null())

    is_same = pl.all_horizontal(back("weaker", tests) == pl.col("weaker") for tests in range(1, TESTS_RUNNING))
    is_recent = (pl.col("measured_on") - back("measured_on", TESTS_RUNNING - 1)).dt.total_days() <= BEST_DAYS
    return pairs.with_columns(persistent_side=pl.when(is_same & is_recent).then(pl.col("weaker")))


def _say_sides(pairs: pl.DataFrame) -> pl.DataFrame:
    """Add the sentence and the reason of a comparison of sides."""
    percent = pl.col("difference_percent").abs().round(0).cast(pl.Int64)
    noise = pl.col("difference_noise_percent").round(0).cast(pl.Int64)
    side = pl.when(pl.col("weaker") == "l").then(pl.lit("Left")).otherwise(pl.lit("Right"))
    sentence = (
        pl.when(pl.col("persistent_side").is_not_null())
        .then(phrase("{} weaker by {} %, third test in a row beyond the noise of {} %.", side, percent, noise))
        .when(pl.col("weaker").is_not_null())
        .then(phrase("{} weaker by {} %, beyond the noise of {} %; one test alone says little.", side, percent, noise))
        .when(noise.is_not_null() & percent.is_not_null())
        .then(phrase("Sides {} % apart, within the noise of {} %.", percent, noise))
    )
    reason = (
        pl.when(percent.is_null())
        .then(pl.lit("one_side_only"))
        .when(noise.is_null())
        .then(pl.lit("squad_noise_unknown"))
    )
    return pairs.select(
        *DAY, "difference_percent", "difference_noise_percent", "persistent_side",
        side=pl.lit("both"), side_sentence=sentence, side_reason=reason,
    )  # fmt: skip
