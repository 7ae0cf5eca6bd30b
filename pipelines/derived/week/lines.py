"""The small lines of the weekly sheet: six weeks of level and of load, and progress in few words."""

import polars as pl

from pipelines.derived.common.sentences import say_count
from pipelines.derived.common.weeks import monday
from pipelines.derived.start.progress_words import part_of, percent, say, say_change
from schemas.derived.progress import SERIES_KEY
from schemas.normal import NORMAL_95
from schemas.phrase import phrase

WEEK = ["athlete_id", "week_of"]
SERIES = SERIES_KEY[1:]
WEEKS_SHOWN = 6


def _six_weeks(rows: pl.DataFrame, values: pl.DataFrame, key: list[str], value: str) -> pl.DataFrame:
    """Return ``points`` per athlete and week: the value of each of the six weeks up to it, oldest first."""
    back = pl.DataFrame({"back": list(range(WEEKS_SHOWN - 1, -1, -1))}, schema={"back": pl.Int64})
    seen_on = pl.col("week_of") - pl.duration(days=7 * pl.col("back"))
    return (
        rows.select(*WEEK, *key)
        .join(back, how="cross")
        .with_columns(seen_week=seen_on)
        .join(
            values.rename({"week_of": "seen_week"}),
            on=["athlete_id", "seen_week", *key],
            how="left",
            nulls_equal=False,
        )
        .sort(*WEEK, "seen_week")
        .group_by(WEEK, maintain_order=True)
        .agg(points=pl.col(value))
    )


def add_trend_line(rows: pl.DataFrame, start_trend: pl.DataFrame) -> pl.DataFrame:
    """Add trend_points, trend_low and trend_high: six weekly levels of the main series and what noise alone would give.

    Level: the last of the week; null in weeks without a session. Band: the reference level (or, without one, the first
    point) less and plus the minimal detectable change. All three null without a point; the band null without its noise.
    """
    levels = (
        start_trend.select("athlete_id", *SERIES, "session_date", "level", week_of=monday("session_date"))
        .drop_nulls("level")
        .group_by(*WEEK, *SERIES, maintain_order=True)
        .agg(pl.col("level").sort_by("session_date").last())
    )
    points = _six_weeks(rows, levels, SERIES, "level").rename({"points": "trend_points"})
    first = pl.col("trend_points").list.drop_nulls().list.first()
    known = first.is_not_null()
    reference = pl.coalesce("level_then", first)

    def flat(edge: pl.Expr) -> pl.Expr:
        return pl.when(known & edge.is_not_null()).then(pl.concat_list([edge] * WEEKS_SHOWN))

    return rows.join(points, on=WEEK, how="left", maintain_order="left").with_columns(
        trend_low=flat(reference - pl.col("mdc")),
        trend_high=flat(reference + pl.col("mdc")),
        trend_points=pl.when(known).then("trend_points"),
    )


def add_load_line(rows: pl.DataFrame, load_week: pl.DataFrame) -> pl.DataFrame:
    """Add load_points of six weeks (null where unknown), the own range of the week, and whether its load is above."""
    weeks = load_week.select(*WEEK, "load_au", load_low="own_low_au", load_high="own_high_au")
    points = _six_weeks(rows, weeks.select(*WEEK, "load_au"), [], "load_au").rename({"points": "load_points"})
    known = pl.col("load_points").list.drop_nulls().list.len() > 0
    return (
        rows.join(points, on=WEEK, how="left", maintain_order="left")
        .join(weeks, on=WEEK, how="left", maintain_order="left")
        .with_columns(
            load_points=pl.when(known).then("load_points"), load_above=pl.col("load_au") > pl.col("load_high")
        )
        .drop("load_au")
    )


MISSING_WORDS = {
    "day_not_logged": "not entered (rest days too)",
    "session_without_minutes": "without minutes",
    "session_without_effort": "without effort",
    "day_marked_incomplete": "marked not complete",
}


def add_load_missing(rows: pl.DataFrame, load_day: pl.DataFrame) -> pl.DataFrame:
    """Add ``load_missing``: of the last week that is over, what its load lacks; null where none lacks or one is known.

    "last week: 4 days not entered (rest days too), 1 day without effort". A day without a session is known once it is
    marked complete; until then nobody knows that it was a rest day.
    """
    ended = pl.col("day_on") - pl.duration(days=6)  # Monday of the last week that is over on the day of the sheet
    last = rows.select(*WEEK, seen_week=ended.dt.truncate("1w"), _shown=pl.col("load_points").is_not_null())
    days = load_day.select("athlete_id", "reason", seen_week=monday("day_on")).drop_nulls("reason")
    order = {reason: place for place, reason in enumerate(MISSING_WORDS)}
    counts = (
        last.filter(~pl.col("_shown"))
        .join(days, on=["athlete_id", "seen_week"], how="inner")
        .group_by(*WEEK, "reason")
        .agg(count=pl.len().cast(pl.Int64))
        .with_columns(place=pl.col("reason").replace_strict(order, default=9, return_dtype=pl.Int64))
        .sort(*WEEK, "place")
    )
    words = pl.col("reason").replace_strict(MISSING_WORDS, default="not known", return_dtype=pl.String)
    told = counts.with_columns(said=phrase("{} {}", say_count(pl.col("count"), "day", "days"), words))
    told = told.group_by(WEEK, maintain_order=True).agg(said=pl.col("said").str.join(", "))
    return rows.join(
        told.select(*WEEK, load_missing=phrase("last week: {}", pl.col("said"))),
        on=WEEK,
        how="left",
        maintain_order="left",
    )


def say_progress(main: pl.DataFrame) -> pl.DataFrame:
    """Add ``progress_sentence``, short enough for a row of the sheet; the full one stands in ``start_progress``.

    Improving or slipping: "18 ms faster at 10 m, ± 9; worthwhile, 92 % sure". Holding: "1 ms slower at 10 m, ± 7".
    Cannot tell yet: "4 ms slower at 10 m, ± 12; over 18 ms would be a change"; where nothing can be compared the
    sentence of ``start_progress``.
    """
    main = main.with_columns(_half=NORMAL_95 * pl.col("change_se"))
    half, real = say(main, "_half"), say(main, "real_from")
    stands = phrase("{} {}, ± {}", say_change(main), part_of(0), half)
    sure = pl.when(pl.col("word") == "improving").then(percent("p_better")).otherwise(percent("p_worse"))
    worth = pl.when("is_worthwhile").then(phrase("; worthwhile, {} % sure", sure)).otherwise(pl.lit(""))
    return main.with_columns(
        progress_sentence=pl.when(pl.col("change").is_null())
        .then("sentence")
        .when(pl.col("word").is_in(["improving", "slipping"]))
        .then(pl.concat_str([stands, worth.fill_null("")]))
        .when(pl.col("word") == "holding")
        .then(stands)
        .otherwise(phrase("{}; over {} {} would be a change", stands, real, part_of(3)))
    ).drop("_half")
