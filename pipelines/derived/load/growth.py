"""A week against what was to be expected of it: the plan, as the athlete usually carries it out, or own growth."""

import polars as pl

RECENT_WEEKS = 4  # weeks before, whose mean a week without a plan is set against, own rule
LEAST_RECENT = 3  # of them that must be known
PLAN_WEIGHT = 4.0  # weeks carried out exactly as planned that own weeks are weighed against, own rule
OWN_WEEKS = 26  # weeks back whose own scatter says what is usual, own rule
PRIOR_WEEKS = 8.0  # weeks that the prior scatter weighs as much as, own rule
LOAD_FLOOR, LOAD_SCATTER = 100.0, 0.15  # AU added to both sides of a ratio; usual scatter of its log, own rule
METRES_FLOOR, METRES_SCATTER = 20.0, 0.3  # m, and the same of fast metres

WEEK = ["athlete_id", "week_of"]


def add_growth(weeks: pl.DataFrame, value: str, planned: str, *, floor: float, scatter: float) -> pl.DataFrame:
    """Add ``expected`` and ``above_z``: what was to be expected of a week, and how far it lies above.

    With a plan of the week: expected = planned x own usual ratio, the median of (done + floor) / (planned + floor) over
    the n weeks with a plan among the 26 before, its logarithm drawn towards 0 by n / (n + 4): somebody who always does
    more than is planned does so as usual, and a first plan is taken at its word. Without a plan: the mean of the known
    weeks among the four before (at least three) times own usual growth, the median of week over such a mean in the 26
    weeks before. step = ln((week + floor) / (expected + floor)), its scatter
    s = sqrt((8 prior^2 + sum of own steps^2) / (8 + own steps)) over the 26 weeks before, and z = step / s. The mean
    step of this week and the one before is held against s / sqrt(2) as well; the larger z counts.

    So a week as planned lies at 0 whatever its place among own weeks; that a plan itself grows fast is said where it is
    made (``plan_effect``). Source: our own rule. Null where the week, or what it would be set against, is unknown:
    never read as usual.

    Args:
        weeks: One row per athlete and week, none left out, sorted by both.
        value: Column of what was done; null unknown.
        planned: Column of what was planned; null unknown.
        floor: Added to both sides of a ratio, so that small weeks do not make large ones.
        scatter: Usual scatter of a step, which own weeks replace as they come.
    """
    before = [pl.col(value).shift(back).over("athlete_id") for back in range(1, RECENT_WEEKS + 1)]
    is_enough = pl.sum_horizontal(*(week.is_not_null().cast(pl.Int64) for week in before)) >= LEAST_RECENT
    told = weeks.select(
        *WEEK,
        done=pl.col(value) + floor,
        plan=pl.col(planned) + floor,
        recent=pl.when(is_enough).then(pl.mean_horizontal(*before)) + floor,
    ).with_columns(carried=(pl.col("done") / pl.col("plan")).log(), grown=(pl.col("done") / pl.col("recent")).log())
    own = _over_own(
        told,
        usual_carried=pl.col("carried").median()
        * pl.col("carried").count()
        / (pl.col("carried").count() + PLAN_WEIGHT),
        usual_grown=pl.col("grown").median(),
    ).with_columns(
        expected=pl.coalesce(
            pl.col("plan") * pl.col("usual_carried").fill_null(0.0).exp(),
            pl.col("recent") * pl.col("usual_grown").fill_null(0.0).exp(),
        )
    )
    steps = _over_own(
        own.with_columns(step=(pl.col("done") / pl.col("expected")).log()),
        squares=(pl.col("step") ** 2).sum(),
        steps=pl.col("step").count(),
    )
    s = ((PRIOR_WEEKS * scatter**2 + pl.col("squares")) / (PRIOR_WEEKS + pl.col("steps"))).sqrt()
    pair = (pl.col("step") + pl.col("step").shift(1).over("athlete_id")) / 2
    z = pl.max_horizontal(pl.col("step") / s, pl.when(pl.col("step") > 0).then(pair / (s / 2**0.5)))
    found = steps.select(
        expected=(pl.col("expected") - floor).clip(0.0), above_z=pl.when(pl.col("step").is_not_null()).then(z)
    )
    return weeks.with_columns(found["expected"], found["above_z"])


def _over_own(told: pl.DataFrame, **found: pl.Expr) -> pl.DataFrame:
    """Add aggregates over the athlete's weeks before, the week itself left out."""
    past = told.rolling("week_of", period=f"{OWN_WEEKS * 7}d", closed="left", group_by="athlete_id").agg(**found)
    return told.join(past, on=WEEK, how="left", maintain_order="left")
