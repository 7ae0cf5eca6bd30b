"""The weekly sheet: one row an athlete and week, and one a week for the squad."""

import datetime as dt

import polars as pl

from pipelines.derived.common.kept import kept
from pipelines.derived.common.weeks import monday
from pipelines.derived.start.progress import TREND_READ, progress_on
from pipelines.derived.week.advice_words import STANDINGS
from pipelines.derived.week.lines import add_load_line, add_load_missing, add_trend_line, say_progress
from pipelines.derived.week.squad_words import SheetCounts, count_sheet, say_lede
from schemas.derived.progress import SERIES_KEY
from schemas.derived.week import WeekSheet
from schemas.knowledge.hamstring import COUNTED_FAMILIES, DATA_FAMILIES
from schemas.phrase import phrase
from schemas.settings import SquadSettings
from schemas.vocabulary import CALL_WORDS, FAMILY_WATCHED

WEEK = ["athlete_id", "week_of"]
FIRST = {call: STANDINGS[stands].headline for call, stands in (("talk_first", "talk"), ("no_call", "ask"))}
_progress_then = kept(progress_on)  # past weeks are as they were after most writes
LOUD_CALL = {"talk_first": 1000, "adapt": 700, "no_call": 400, "cannot_say": 350, "as_planned": 0}
LOUD_LEVEL = {"several_families": 300, "one_family": 150, "cannot_say": 50, "none": 0}


def week_sheet(
    readiness_day: pl.DataFrame,
    hamstring_flag: pl.DataFrame,
    start_progress: pl.DataFrame,
    start_trend: pl.DataFrame,
    start_noise: pl.DataFrame,
    start_shift: pl.DataFrame,
    load_week: pl.DataFrame,
    load_day: pl.DataFrame,
    advice: pl.DataFrame,
    advised_work: pl.DataFrame,
    *,
    settings: SquadSettings,
    as_of: dt.date,
) -> pl.DataFrame:
    """Bring the three calls of each week of the review window into one row per athlete.

    The day of a week is its Sunday, or ``as_of`` in the week that runs; the row tells how things stood on that day.
    Progress of the running week is that of ``start_progress``; that of a week gone by is the same comparison made again
    from the days up to its Sunday (the noise is the one known today). The six points are the last smoothed level of the
    main series in each week up to this one; the band around the reference level is the minimal detectable change. Load:
    six weeks with the own range of this one. What changed is set against the row of the week before. What to work on
    next is the headline of ``advice``, with the caution of its first work.

    Loudness orders 'exceptions first': the call, then the hamstring level, then a slipping start, a load above range,
    further reasons, an improving start. Our own order, common practice; it is never shown as a number.
    Null wherever the table behind it is: no series, no load range, no focus, no week before.
    """
    days = (
        readiness_day.select(day=pl.col("day_on").unique())
        .with_columns(week_of=monday("day"))
        .group_by("week_of", maintain_order=True)
        .agg(day_on=pl.col("day").max())
        .filter((pl.col("day_on") == as_of) | (pl.col("day_on") == pl.col("week_of") + pl.duration(days=6)))
    )
    rows = _add_training(readiness_day.join(days, on="day_on", how="inner"), settings.checkin_stale_days)
    rows = rows.join(_hamstring(hamstring_flag), on=["athlete_id", "day_on"], how="left")
    progress = _progress_by_week(start_progress, start_trend, start_noise, start_shift, days, settings, as_of)
    rows = rows.join(progress, on=WEEK, how="left")
    work = advised_work.filter(pl.col("rank") == 1).select(*WEEK, focus_caution="caution_short")
    told = advice.select(*WEEK, "headline", "stands", work_reads_injury="reads_injury").join(work, on=WEEK, how="left")
    # A week gone by has no advice any more but what its call asked for first.
    first = pl.col("training_call").replace_strict(FIRST, default=None, return_dtype=pl.String)
    rows = rows.join(told, on=WEEK, how="left").with_columns(
        focus_headline=pl.coalesce("headline", first),
        work_reads_injury=pl.col("work_reads_injury").fill_null(value=False),
    )
    rows = add_load_missing(add_load_line(add_trend_line(rows, start_trend), load_week), load_day)
    rows = _add_changed(rows)
    return rows.with_columns(
        hamstring_level=pl.col("hamstring_level").fill_null("cannot_say"),
        hamstring_words=pl.col("hamstring_words").fill_null("cannot say"),
        hamstring_reads_injury=pl.col("hamstring_reads_injury").fill_null(value=False),
        is_coming_back=pl.any_horizontal(
            pl.col("families").list.contains("history").fill_null(value=False),
            pl.col("stands").is_in(["return", "return_planned"]).fill_null(value=False),
        ),
        loudness=_loudness(),
    ).select(list(WeekSheet.to_schema().columns)).sort("week_of", "athlete_id")  # fmt: skip


def _add_training(rows: pl.DataFrame, stale_days: int) -> pl.DataFrame:
    gap = (pl.col("day_on") - pl.col("last_checkin_on")).dt.total_days()
    unheard = (
        pl.when(pl.col("last_checkin_on").is_null())
        .then(pl.lit("no check-in yet"))
        .otherwise(phrase("no check-in for {} days", gap))
    )
    is_unheard = (pl.col("call") == "no_call") | (
        (pl.col("call") == "as_planned") & (pl.col("reason") == "no_checkin_but_test").fill_null(value=False)
    )
    return rows.select(
        *WEEK,
        "day_on",
        "caution",
        training_call="call",
        training_reason=pl.when(is_unheard).then(unheard).otherwise("strongest"),
        training_more=(pl.col("reason_count") - pl.when(is_unheard).then(0).otherwise(1)).clip(0),
        checkin_gap_days=gap,
        checkin_missing=gap.is_null() | (gap > stale_days),
        training_reads_injury=pl.col("reads_injury") & ~is_unheard,
    )


def _hamstring(flags: pl.DataFrame) -> pl.DataFrame:
    """One row per athlete and day: level, families that speak, and the reason as it stands on the sheet."""
    counted = flags.filter(pl.col("family").is_in(COUNTED_FAMILIES))
    speaks = pl.col("state") == "speaks"
    lacks = (pl.col("state") == "cannot_say") & pl.col("family").is_in(DATA_FAMILIES)
    return (
        counted.group_by("athlete_id", "day_on", maintain_order=True)
        .agg(
            hamstring_level=pl.col("level").first(),
            hamstring_words=pl.col("level_words").first(),
            hamstring_reads_injury=pl.col("level_reads_injury").first(),
            families=pl.col("family").filter(speaks),
            read_note_on=pl.col("read_note_on").max(),
            said=pl.col("sentence").filter(speaks),
            lacking=pl.col("family").filter(lacks),
        )
        .with_columns(
            hamstring_reason=pl.when(pl.col("hamstring_level") == "several_families")
            .then(pl.col("said").list.join("; "))
            .when(pl.col("hamstring_level") == "one_family")
            .then(pl.col("said").list.first())
            .when(pl.col("hamstring_level") == "cannot_say")
            .then(phrase("not known: {}", _as_watched("lacking", ", "))),
        )
        .drop("said", "lacking")
    )


def _progress_by_week(
    now: pl.DataFrame,
    start_trend: pl.DataFrame,
    start_noise: pl.DataFrame,
    start_shift: pl.DataFrame,
    days: pl.DataFrame,
    settings: SquadSettings,
    as_of: dt.date,
) -> pl.DataFrame:
    """Return the main series of each athlete and week; weeks gone by are compared again from the days up to then."""
    measures = now.filter("is_main")["metric"].unique().to_list()
    sundays = days.filter(pl.col("day_on") < as_of)["day_on"].to_list()
    trend = start_trend.filter(pl.col("metric").is_in(measures)).select(TREND_READ)
    if sundays:  # what came in since the last of them changes nothing of it
        trend = trend.filter(pl.col("session_date") <= max(sundays))
    past = _progress_then(sundays, trend, start_noise, start_shift, settings)
    now = now.with_columns(week_of=pl.lit(as_of, pl.Date).dt.truncate("1w"))
    past = past.with_columns(week_of=monday("_on")).drop("_on")
    main = pl.concat([now, past], how="diagonal").filter("is_main")
    return say_progress(main).select(
        *WEEK,
        *SERIES_KEY[1:],
        "level_then",
        "mdc",
        "progress_sentence",
        progress_word="word",
        progress_metric="metric",
    )


def _add_changed(rows: pl.DataFrame) -> pl.DataFrame:
    """Add what changed since the week before: the call, families that are new, the word of progress."""
    before = rows.select(
        "athlete_id",
        week_of=pl.col("week_of") + pl.duration(days=7),
        call_before="training_call",
        families_before=pl.col("families").fill_null([]),
        word_before="progress_word",
        is_before=pl.lit(value=True),
    )
    joined = rows.join(before, on=WEEK, how="left", maintain_order="left")
    now, then = (
        pl.col(name).replace_strict(CALL_WORDS, return_dtype=pl.String) for name in ("training_call", "call_before")
    )
    new = pl.col("families").fill_null([]).list.set_difference(pl.col("families_before"))
    word, word_before = (
        pl.col(name).str.replace("not_clear", "cannot tell") for name in ("progress_word", "word_before")
    )
    # Between holding and not clear nothing has happened to the athlete.
    moved = pl.any_horizontal(pl.col("progress_word", "word_before").is_in(["improving", "slipping"]))
    parts = [
        pl.when(pl.col("training_call") != pl.col("call_before")).then(phrase("{}, last week {}", now, then)),
        pl.when(pl.col("is_before") & (new.list.len() > 0)).then(
            phrase("hamstring, new: {}", _as_watched(new, " and "))
        ),
        pl.when((pl.col("progress_word") != pl.col("word_before")) & moved).then(
            phrase("start {}, {} before", word, word_before)
        ),
    ]
    said = pl.concat_str(*parts, separator="; ", ignore_nulls=True)
    return joined.with_columns(changed=pl.when(said != "").then(said))


def _as_watched(families: str | pl.Expr, between: str) -> pl.Expr:
    """Return families as the level names them (tightness, fast running), joined."""
    named = pl.col(families) if isinstance(families, str) else families
    return named.list.eval(pl.element().replace_strict(FAMILY_WATCHED, return_dtype=pl.String)).list.join(between)


def _loudness() -> pl.Expr:
    slips, improves = (pl.col("progress_word") == word for word in ("slipping", "improving"))
    return (
        pl.col("training_call").replace_strict(LOUD_CALL, return_dtype=pl.Int64)
        + pl.col("hamstring_level").replace_strict(LOUD_LEVEL, return_dtype=pl.Int64, default=50)
        + slips.fill_null(value=False).cast(pl.Int64) * 60
        + pl.col("load_above").fill_null(value=False).cast(pl.Int64) * 20
        + pl.col("training_more").clip(0, 9)
        + improves.fill_null(value=False).cast(pl.Int64)
    )


def squad_week(week_sheet: pl.DataFrame, never_entered: pl.DataFrame) -> pl.DataFrame:
    """Count the calls of each week and write the sentences over the sheet.

    Counts of athletes by call and hamstring level, of main series that can be judged, improve and slip beyond noise.
    The lede says them in words, numbers up to twenty spelled out; where check-ins, injuries or week loads were never
    entered, it says what 'as planned' rests on. Source: definition. No athletes: no row.
    """
    counts = count_sheet()
    counted = week_sheet.group_by("week_of", maintain_order=True).agg(pl.col("day_on").max(), **counts).sort("week_of")
    missing = never_entered["kind"].to_list()
    # One row a week: a handful of sentences.
    lede = pl.Series(
        "lede",
        [say_lede(SheetCounts(**row), missing) for row in counted.select(list(counts)).to_dicts()],
        dtype=pl.String,
    )
    return counted.with_columns(lede).select("week_of", "day_on", *counts, "lede")
