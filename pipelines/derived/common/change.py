"""Is a test's change more than noise? The squad's own error, the smallest change that matters, and a probability."""

import numpy as np
import polars as pl
import scipy

LEAST_ERROR_DF = 5.0  # degrees of freedom below which the squad's noise is called unknown, source: "common_practice"
LEAST_SPREAD_DF = 2  # athletes less groups of sex, below which the squad's spread is called unknown
BEST_DAYS = 365  # days back that own best is looked for
REPEAT_DAYS = 90  # days between two tests that still count as a repeat, source: "common_practice"


def pool_test_error(days: pl.DataFrame, test: str, series: list[str], day: str, value: str) -> pl.DataFrame:
    """Return the squad's typical error per test on the log scale: columns test, test_error, test_error_df.

    Formula: TE = SD(d) / sqrt(2) over d = ln(value) - ln(value of the test before), pooled over all series (athlete,
    side) of the squad with at most 90 days between. Times 100 it is the CV in percent (log method).
    Source: Hopkins 2000. Successive differences keep slow change of an athlete out of the noise. As tests are shared
    by two differences, a series of m tests counts as 2 (m - 1)^2 / (3 m - 4) degrees of freedom (von Neumann 1941),
    less one for the mean difference.
    Null with fewer than 5 degrees of freedom: too few to call it known.
    """
    apart = (pl.col(day) - pl.col(day).shift(1).over(series)).dt.total_days()
    step = pl.col(value).log() - pl.col(value).log().shift(1).over(series)
    steps = days.sort(*series, day).with_columns(step=pl.when(apart <= REPEAT_DAYS).then(step))
    tests = pl.col("step").count().over(series) + 1  # of this series, those that are repeats
    share = (2 * (tests - 1) ** 2 / (3 * tests - 4)) / (tests - 1)
    pooled = (
        steps.with_columns(share=share)
        .filter(pl.col("step").is_not_null())
        .group_by(test, maintain_order=True)
        .agg(test_error=pl.col("step").std() / 2**0.5, test_error_df=pl.col("share").sum() - 1)
    )
    is_known = (pl.col("test_error_df") >= LEAST_ERROR_DF) & (pl.col("test_error") > 0)
    return pooled.with_columns(
        pl.when(is_known).then(pl.col(name)).alias(name) for name in ("test_error", "test_error_df")
    )


def pool_smallest_change(
    days: pl.DataFrame, athlete: pl.DataFrame, test: str, value: str, share: float
) -> pl.DataFrame:
    """Return the smallest change that matters per test on the log scale: columns test, smallest_change.

    Formula: share (setting, 0.2) x SD between athletes of their mean ln(value), pooled within sex so that the gap
    between men and women does not widen it. Source: Hopkins (knowledge key hopkins_swc).
    Null where athletes less groups is under 2.
    """
    means = (
        days.group_by(test, "athlete_id", maintain_order=True)
        .agg(level=pl.col(value).log().mean())
        .join(athlete.select("athlete_id", "sex"), on="athlete_id", how="left")
    )
    level = pl.col("level")
    centred = means.with_columns(off=level - level.mean().over(test, "sex"))
    degrees = pl.len().cast(pl.Int64) - pl.col("sex").n_unique().cast(pl.Int64)
    pooled = centred.group_by(test, maintain_order=True).agg(squares=(pl.col("off") ** 2).sum(), degrees=degrees)
    spread = (pl.col("squares") / pl.col("degrees")).sqrt()
    return pooled.select(test, smallest_change=pl.when(pl.col("degrees") >= LEAST_SPREAD_DF).then(share * spread))


def add_earlier_best(rows: pl.DataFrame, series: list[str], day: str, value: str) -> pl.DataFrame:
    """Add earlier_best, the highest value of the 365 days before in the series, and earlier_days, how many it is of.

    The day itself is left out. Null when there is no earlier day. Rows come back sorted by series and day.
    """
    rows = rows.sort(*series, day)
    past = rows.rolling(
        index_column=day, period=f"{BEST_DAYS}d", offset=f"-{BEST_DAYS}d", closed="left", group_by=series
    ).agg(earlier_best=pl.col(value).max(), earlier_days=pl.col(value).count().cast(pl.Int64))
    return rows.join(past, on=[*series, day], how="left", maintain_order="left")


def best_of_normals(counts: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Return mean and variance of the largest of n standard normal values, for each n.

    By numerical integration of n phi(x) PHI(x)^(n-1). Source: order statistics (knowledge key normal_order).
    """
    x = np.linspace(-9.0, 9.0, 3601)
    pdf, cdf = np.exp(-(x**2) / 2) / np.sqrt(2 * np.pi), scipy.special.ndtr(x)
    unique, where = np.unique(counts, return_inverse=True)
    density = unique[:, None] * pdf * cdf ** (unique[:, None] - 1)
    width = x[1] - x[0]
    mean = (density * x).sum(axis=1) * width
    variance = (density * x**2).sum(axis=1) * width - mean**2
    return mean[where], variance[where]


def drop_probability(rows: pl.DataFrame) -> pl.Series:
    """Return P(the true change lies below minus the smallest change that matters).

    Formula: P = T_df((-SWC - d) / s), with d the observed change, s its standard error (both on the log scale) and T
    Student's distribution with the degrees of freedom of the squad's typical error; s = TE x sqrt(1/n1 + 1/n2).
    Source: Hopkins (knowledge key hopkins_probability). A flat prior: the chance if nothing else were known.
    Reads columns observed, observed_se, smallest_change, test_error_df. Null where one of them is.
    """
    columns = ("observed", "observed_se", "smallest_change", "test_error_df")
    d, s, swc, df = (rows[name].cast(pl.Float64).fill_null(np.nan).to_numpy() for name in columns)
    with np.errstate(divide="ignore", invalid="ignore"):
        p = scipy.special.stdtr(df, (-swc - d) / s)
    return pl.Series("p_drop", p, dtype=pl.Float64).fill_nan(None)
