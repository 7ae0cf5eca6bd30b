"""The squad's trends together: partial pooling of the athletes' lines of the 10 m time (``squad_trend``)."""

import datetime as dt

import numpy as np
import numpy.typing as npt
import polars as pl

from pipelines.derived.common.mixed_model import SINGULAR_SHARE, MixedFit, fit_mixed
from pipelines.derived.common.number_text import decimals
from schemas.derived.progress import SERIES_KEY, SQUAD_KEY
from schemas.derived.squad_trend import SQUAD_METRICS, SquadTrend
from schemas.normal import NORMAL_95
from schemas.phrase import phrase

WINDOW_WEEKS = 12
DAYS_A_WEEK = 7.0
LEAST_ATHLETES = 6  # with an own line, for a spread between athletes, source: "common_practice"
LEAST_OWN_DAYS = 3  # days of an own line that has an error
LEAST_OWN_SPAN_DAYS = 14
LEAST_DAYS_FOR_SLOPES = 5  # median days of the athletes with an own line, source: "common_practice"
LEAST_OF_A_KIND = 3  # athletes of one sex or event group before it gets a level of its own
TIED_CORRELATION = 0.999

Array = npt.NDArray[np.float64]
KIND = SQUAD_KEY[1:]


def squad_trend(start_trend: pl.DataFrame, athlete: pl.DataFrame, *, as_of: dt.date) -> pl.DataFrame:
    """Fit the days of the last twelve weeks of all athletes together and draw each own slope towards the squad's.

    y = a + sex + group + s w + b0_i + b1_i w + e, w the weeks before ``as_of`` (so the level is that of today), (b0_i,
    b1_i) normal with a free covariance, e one spread for all days; by REML. One fit per start, clock and timing kind.
    Pooled slope = s + b1_i, its error counts that of s. Weight = 1 - (variance of b1_i left) / (variance of slopes
    between athletes). Own slope: least squares through the same days, alone. Since level and slope may hang together in
    the squad, an athlete's level also moves the pooled slope a little.

    Units: s, s/week; below 0 is faster. Sources: "laird_ware_1982", "bates_2015". Deviations: times are not put into
    logarithms, since within twelve weeks they change by a few percent; a day counts once, however many runs it has.
    Limits: needs six athletes with three days each; slopes of their own only from five days in the middle athlete on;
    sex and event group only where at least three athletes are of a kind; with few athletes errors are too small.

    Null: own slope under three days or two weeks; all pooled values where the squad is too small. A spread that comes
    out as nought (a singular fit) is said in ``model_reason``; then all athletes get the squad's slope.
    """
    since = as_of - dt.timedelta(weeks=WINDOW_WEEKS)
    known = athlete.select("athlete_id", "sex", "event_group")
    days = (
        start_trend.filter(
            pl.col("metric").is_in(list(SQUAD_METRICS))
            & (pl.col("session_date") <= as_of)
            & (pl.col("session_date") > since)
        )
        .select(*SERIES_KEY, "session_date", "observed")
        .join(known, on="athlete_id", how="left")
        .with_columns(_week=(pl.col("session_date") - pl.lit(as_of)).dt.total_days() / DAYS_A_WEEK)
        .sort([*SERIES_KEY, "session_date"])
    )
    days = _one_set_up(days)
    parts = [_one_kind(group) for _, group in days.group_by(KIND, maintain_order=True)]
    columns = list(SquadTrend.to_schema().columns)
    if not parts:
        empty = SquadTrend.to_schema().columns
        return pl.DataFrame(schema={name: empty[name].dtype.type for name in columns})
    frame = pl.concat(parts, how="diagonal").with_columns(window_from=pl.lit(since + dt.timedelta(days=1)))
    return _say(frame).select(columns).sort(SQUAD_KEY)


def _one_set_up(days: pl.DataFrame) -> pl.DataFrame:
    """Keep, of each athlete and kind, the set-up with most days: a line through two would join unlike days."""
    most = (
        days.group_by(SERIES_KEY, maintain_order=True)
        .len()
        .sort("len", descending=True, maintain_order=True)
        .unique(SQUAD_KEY, keep="first", maintain_order=True)
    )
    return days.join(most, on=SERIES_KEY, how="semi", maintain_order="left")


def _own_lines(days: pl.DataFrame) -> pl.DataFrame:
    """Return per athlete the least-squares line alone: slope = Sxy / Sxx, its error from n - 2 degrees of freedom."""
    week, value = pl.col("_week"), pl.col("observed")
    off = week - week.mean()
    lines = days.group_by(SQUAD_KEY, maintain_order=True).agg(
        pl.len().cast(pl.Int64).alias("days"),
        first_on=pl.col("session_date").min(),
        last_on=pl.col("session_date").max(),
        sex=pl.col("sex").first(),
        event_group=pl.col("event_group").first(),
        _xx=(off**2).sum(),
        _xy=(off * value).sum(),
        _yy=((value - value.mean()) ** 2).sum(),
    )
    enough = (pl.col("days") >= LEAST_OWN_DAYS) & (
        (pl.col("last_on") - pl.col("first_on")).dt.total_days() >= LEAST_OWN_SPAN_DAYS
    )
    slope = pl.col("_xy") / pl.col("_xx")
    left = (pl.col("_yy") - slope * pl.col("_xy")).clip(lower_bound=0.0)
    return lines.with_columns(
        _has_line=enough,
        raw_slope_s_per_week=pl.when(enough).then(slope),
        raw_slope_s_per_week_se=pl.when(enough).then((left / (pl.col("days") - 2) / pl.col("_xx")).sqrt()),
    )


def _kinds(lines: pl.DataFrame, name: str) -> list[str]:
    """Return the kinds of sex or event group that get a level of their own: all but the commonest, if well filled.

    Athletes of a kind with fewer than three stay with the commonest, which carries the shared level.
    """
    counts = (
        lines.drop_nulls(name).group_by(name, maintain_order=True).len().sort("len", name, descending=[True, False])
    )
    return [kind for kind, count in counts.iter_rows() if count >= LEAST_OF_A_KIND][1:]


def _design(lines: pl.DataFrame) -> tuple[Array, str]:
    """Return columns of sex and event group per athlete, left out where they cannot be told apart, and their name."""
    columns: list[Array] = []
    used: list[str] = []
    for name in ("sex", "event_group"):
        kinds = _kinds(lines, name)
        more = [(lines[name] == kind).fill_null(False).to_numpy().astype(np.float64) for kind in kinds]
        trial = np.column_stack([np.ones(lines.height), *columns, *more])
        # A column for a kind takes one athlete's worth of knowledge about the spread; keep enough of it.
        if (
            more
            and np.linalg.matrix_rank(trial) == trial.shape[1]
            and lines.height - trial.shape[1] >= LEAST_ATHLETES - 1
        ):
            columns += more
            used.append(name)
    found = np.column_stack(columns) if columns else np.zeros((lines.height, 0))
    return found, "_and_".join(used) or "none"


def _one_kind(days: pl.DataFrame) -> pl.DataFrame:
    """Return the rows of one start, clock and timing kind."""
    lines = _own_lines(days)
    blank = {
        name: pl.lit(None, dtype=pl.Float64)
        for name in (
            "pooled_slope_s_per_week", "pooled_slope_s_per_week_se", "pooled_slope_low_s_per_week",
            "pooled_slope_high_s_per_week", "shrinkage_weight", "pooled_level_s", "pooled_level_s_se",
            "squad_slope_s_per_week", "squad_slope_s_per_week_se", "slope_sd_s_per_week", "level_sd_s", "day_sd_s",
        )
    }  # fmt: skip
    own_reason = pl.when(~pl.col("_has_line")).then(pl.lit("few_own_days"))
    with_line = lines.filter("_has_line")
    if with_line.height < LEAST_ATHLETES:
        return lines.with_columns(
            **blank,
            athletes=pl.lit(None, dtype=pl.Int64),
            fixed_effects=pl.lit(None, dtype=pl.String),
            reason=pl.lit("squad_too_small"),
            model_reason=pl.lit("squad_too_small"),
        )
    order = lines["athlete_id"].to_list()
    group = days["athlete_id"].replace_strict(order, list(range(len(order))), return_dtype=pl.Int64).to_numpy()
    extra, name = _design(lines)
    week, value = days["_week"].to_numpy(), days["observed"].to_numpy()
    middle = float(value.mean())  # taken off before the sums of squares are formed, so that no digits are lost
    shared = np.column_stack([np.ones(len(week)), week, extra[group]])
    median = with_line["days"].median()
    own_slopes = isinstance(median, (int, float)) and median >= LEAST_DAYS_FOR_SLOPES
    fit = fit_mixed(value - middle, shared, shared[:, : 2 if own_slopes else 1], group)
    return _with_fit(lines, fit, extra, middle, own_slopes).with_columns(
        athletes=pl.lit(lines.height, dtype=pl.Int64),
        fixed_effects=pl.lit(name),
        reason=own_reason,
        model_reason=pl.lit(_model_reason(fit, own_slopes), dtype=pl.String),
    )


def _with_fit(lines: pl.DataFrame, fit: MixedFit, extra: Array, middle: float, own_slopes: bool) -> pl.DataFrame:
    count = lines.height
    nothing, one = np.zeros((count, 1)), np.ones((count, 1))
    no_extra = np.zeros_like(extra)
    level, level_se = fit.value(np.hstack([one, nothing, extra]), np.array([1.0, 0.0] if own_slopes else [1.0]))
    slope, slope_se = fit.value(np.hstack([nothing, one, no_extra]), np.array([0.0, 1.0] if own_slopes else [0.0]))
    squad_se = float(np.sqrt(fit.beta_covariance[1, 1]))
    sd = fit.between_sd
    numbers = {
        "pooled_slope_s_per_week": slope,
        "pooled_slope_s_per_week_se": slope_se,
        "pooled_slope_low_s_per_week": slope - NORMAL_95 * slope_se,
        "pooled_slope_high_s_per_week": slope + NORMAL_95 * slope_se,
        "shrinkage_weight": fit.weight(1) if own_slopes else np.zeros(count),
        "pooled_level_s": level + middle,
        "pooled_level_s_se": level_se,
        "squad_slope_s_per_week": np.full(count, fit.beta[1]),
        "squad_slope_s_per_week_se": np.full(count, squad_se),
        "level_sd_s": np.full(count, sd[0]),
        "day_sd_s": np.full(count, np.sqrt(fit.residual_variance)),
    }
    return lines.with_columns(
        *(pl.Series(name, values, dtype=pl.Float64) for name, values in numbers.items()),
        pl.lit(float(sd[1]) if own_slopes else None, dtype=pl.Float64).alias("slope_sd_s_per_week"),
    )


def _model_reason(fit: MixedFit, own_slopes: bool) -> str | None:
    """Return the code of what is to be minded of the whole fit; a singular fit is a message, not an error."""
    if not own_slopes:
        return "slopes_not_separable"
    noise = SINGULAR_SHARE * float(np.sqrt(fit.residual_variance))
    if fit.between_sd[1] * WINDOW_WEEKS < noise:
        return "slopes_alike"
    if fit.between_sd[0] < noise:
        return "levels_alike"
    tie = fit.correlation
    return "level_and_slope_tied" if tie is not None and abs(tie) > TIED_CORRELATION else None


def _say(frame: pl.DataFrame) -> pl.DataFrame:
    """Add the sentence: own slope, what became of it, and what the squad does, in thousandths of a second a week."""
    text = {
        name: decimals(frame[name] * 1000.0, 1, signed=True)
        for name in ("raw_slope_s_per_week", "pooled_slope_s_per_week", "squad_slope_s_per_week")
    }
    kept = decimals(frame["shrinkage_weight"] * 100.0, 0)
    days = pl.col("days").cast(pl.String)
    own = (
        pl.when(pl.col("raw_slope_s_per_week").is_not_null())
        .then(phrase("Own line over {} days: {} ms a week", days, pl.lit(text["raw_slope_s_per_week"])))
        .otherwise(phrase("No own line yet ({} of {} days)", days, pl.lit(str(LEAST_OWN_DAYS))))
    )
    squad = phrase("the squad's {} ms a week", pl.lit(text["squad_slope_s_per_week"]))
    pulled = (
        pl.when(pl.col("pooled_slope_s_per_week").is_null())
        .then(pl.lit("; the squad is too small to set it against."))
        .when(pl.col("shrinkage_weight") <= 0)
        .then(phrase("; slopes of the squad cannot be told apart, so {} stands for all.", squad))
        .otherwise(
            phrase(
                "; drawn towards {}: {} ms a week, {} % of the own difference kept.",
                squad,
                pl.lit(text["pooled_slope_s_per_week"]),
                pl.lit(kept),
            )
        )
    )
    return frame.with_columns(sentence=pl.concat_str([own, pulled]))
