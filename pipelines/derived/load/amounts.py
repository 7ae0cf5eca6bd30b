"""Training load by day and week: known, unknown, and held against the athlete's own weeks."""

import datetime as dt

import polars as pl

from pipelines.derived.common.weeks import LAST_DAY, OWN_WEEKS, monday, week_grid
from pipelines.derived.load.growth import LOAD_FLOOR, LOAD_SCATTER, add_growth
from schemas.settings import SquadSettings

DAYS_OF_WEEK = 7
WEEKS_BEFORE = 3  # weeks in the denominator of the uncoupled ratio: with the last one, 28 days


def load_day(
    session: pl.DataFrame, day_log: pl.DataFrame, rest_day: pl.DataFrame, athlete: pl.DataFrame, *, as_of: dt.date
) -> pl.DataFrame:
    """One row per athlete and calendar day: load = sum of effort (0-10) x minutes over the day's sessions.

    Formula: L_session = effort_0_10 x duration_min, in arbitrary units (AU); a session of 0 minutes has load 0 and
    needs no effort. L_day = sum over the day. Effort 0 is rest ("foster_2001": 0 = rest): beside minutes of training it
    is no rating of them, and the session is one without effort.
    Source: Foster 1998 and 2001. Deviations: none; the wording of our scale is our own.
    Rows: from the athlete's first logged session or day to ``as_of``, or to the last day with the squad where the
    roster says so (later evidence still gets its rows). Entries dated after ``as_of`` are left out.
    Null rule: a day is known when every session has minutes and effort, or when it has no session and is marked
    complete or is one of the athlete's days that are always off (rest_day). A day marked not complete is unknown even
    if all it shows is known. An unknown day has load_au null and a reason; load_known_au is then the sum over the
    sessions that are known ('at least'), null when none is.
    Limits: one person's rating of a session varies widely on retest (Wallace 2014), and minutes measure mostly rest in
    a sprint session: load never stands in for fast running, see speed_exposure. A coach's rating is never used in
    place of the athlete's (Rabelo 2016).
    """
    sessions = session.filter(pl.col("session_date") <= as_of)
    logs = day_log.filter(pl.col("logged_on") <= as_of)
    minutes, effort = pl.col("duration_min"), pl.col("effort_0_10")
    load = pl.when(minutes == 0).then(0.0).when(effort > 0).then(minutes * effort)
    done = (
        sessions.with_columns(load=load)
        .group_by("athlete_id", day_on="session_date", maintain_order=True)
        .agg(
            entries=pl.len().cast(pl.Int64),
            sessions=(minutes.is_null() | (minutes > 0)).sum().cast(pl.Int64),
            minutes=minutes.sum(),
            minutes_missing=minutes.is_null().any(),
            effort_missing=(minutes.is_not_null() & pl.col("load").is_null()).any(),
            some=pl.col("load").is_not_null().any(),
            known=pl.col("load").sum(),
        )
    )
    marks = logs.select("athlete_id", "is_complete", day_on="logged_on")
    days = (
        _days_of(sessions, logs, athlete, as_of)
        .join(done, on=["athlete_id", "day_on"], how="left")
        .join(marks, on=["athlete_id", "day_on"], how="left")
    )
    days = days.join(_always_off(days, rest_day), on=["athlete_id", "day_on"], how="left")
    is_rest = pl.col("entries").is_null()
    reason = (
        pl.when(pl.col("is_complete").not_())
        .then(pl.lit("day_marked_incomplete"))
        .when(is_rest & pl.col("is_complete").is_null() & pl.col("is_off").is_null())
        .then(pl.lit("day_not_logged"))
        .when(pl.col("minutes_missing"))
        .then(pl.lit("session_without_minutes"))
        .when(pl.col("effort_missing"))
        .then(pl.lit("session_without_effort"))
    )
    days = days.with_columns(reason=reason).with_columns(is_known=pl.col("reason").is_null())
    is_whole = is_rest & pl.col("is_known")
    has_minutes = pl.col("is_known") | (pl.col("reason") == "session_without_effort")
    return days.select(
        "athlete_id",
        "day_on",
        sessions=pl.col("sessions").fill_null(0),
        minutes=pl.when(is_whole).then(0.0).when(has_minutes).then(pl.col("minutes")),
        load_au=pl.when(is_whole).then(0.0).when("is_known").then(pl.col("known")),
        load_known_au=pl.when(is_whole).then(0.0).when("some").then(pl.col("known")),
        is_known="is_known",
        reason="reason",
    ).sort("athlete_id", "day_on")


def _always_off(days: pl.DataFrame, rest_day: pl.DataFrame) -> pl.DataFrame:
    """Return the days that a pattern of the week says are off, once each."""
    off = rest_day.select("athlete_id", pl.col("weekday").cast(pl.Int8), "from_on", "until_on")
    on = pl.col("day_on")
    return (
        days.select("athlete_id", "day_on", weekday=on.dt.weekday())
        .join(off, on=["athlete_id", "weekday"], how="inner")
        .filter((on >= pl.col("from_on")) & (on <= pl.col("until_on")).fill_null(True))
        .select("athlete_id", "day_on", is_off=pl.lit(True))
        .unique()
    )


def _days_of(sessions: pl.DataFrame, logs: pl.DataFrame, athlete: pl.DataFrame, as_of: dt.date) -> pl.DataFrame:
    """Return every day per athlete from the first evidence to ``as_of``, or to the last day with the squad."""
    seen = pl.concat(
        [sessions.select("athlete_id", day_on="session_date"), logs.select("athlete_id", day_on="logged_on")]
    )
    until = pl.lit(as_of, dtype=pl.Date)
    last = pl.max_horizontal("last_on", pl.min_horizontal(pl.col("left_on").fill_null(until), until))
    return (
        seen.group_by("athlete_id", maintain_order=True)
        .agg(first_on=pl.col("day_on").min(), last_on=pl.col("day_on").max())
        .join(athlete.select("athlete_id", "left_on"), on="athlete_id", how="left")
        .select("athlete_id", day_on=pl.date_ranges("first_on", last, interval="1d"))
        .explode("day_on")
    )


def load_week(
    load_day: pl.DataFrame, plan: pl.DataFrame, injury: pl.DataFrame, *, settings: SquadSettings, as_of: dt.date
) -> pl.DataFrame:
    """One row per athlete and week (Monday): the week's load, held against the athlete's own earlier weeks.

    Formulas, over the seven days L: load W = sum L; mean; sd with n - 1; monotony M = mean / sd; strain = W x M;
    change = W - W_before and 100 x change / W_before; percentile P = 100 x (below + 0.5 x equal) / n among the n own
    complete weeks of the 52 weeks before, this week and injury weeks left out; own range = the quantiles of the same
    weeks named in the settings (linear interpolation); planned = sum of planned minutes x planned effort; uncoupled
    ratio = W / mean of the three weeks before; expected = the plan as the athlete usually carries it out,
    or own growth, and above_z = how far the week lies above it in own scatters (``add_growth``).
    Sources: Foster 1998 (load, monotony, strain; it does not say n or n - 1, we use n - 1); percentile with ties half
    is a definition; the ratio after Windt & Gabbett 2019, shown as a description because it has no value as a risk
    (Impellizzeri 2020, 2021). No exponentially weighted ratio: its first value alone decides it for weeks.
    Rows: every week from the athlete's first known or planned day to the week of ``as_of``.
    Null rule: load_au and all that rests on it are null unless seven of seven days are known, so the running week is
    null until its Sunday is in. Monotony and strain are null when all days are equal. Change is null unless both weeks
    are complete and the week before is above 0. Percentile and range are null under
    ``settings.percentile_least_weeks``.
    The ratio is null until 28 days in a row are known.
    Injury weeks: weeks touched by an injury marked as having stopped training, from its onset to the day before its
    return; no return date, or one before the onset (reason return_before_onset), reads as still open.
    """
    planned = plan_week(plan)
    seen = [load_day.select("athlete_id", "day_on"), planned.select("athlete_id", day_on="week_of")]
    weeks = (
        week_grid(pl.concat(seen), as_of)
        .join(_week_sums(load_day), on=["athlete_id", "week_of"], how="left")
        .join(planned.select("athlete_id", "week_of", "planned_au"), on=["athlete_id", "week_of"], how="left")
        .join(_injury_weeks(injury, as_of), on=["athlete_id", "week_of"], how="left")
        .with_columns(pl.col("days_known").fill_null(0), pl.col("injury_week").fill_null(False))
        .sort("athlete_id", "week_of")
    )
    weeks = add_own_range(_add_changes(weeks), settings)
    weeks = _add_expected(weeks)
    is_whole = pl.col("load_au").is_not_null()
    reason = (
        pl.when(~is_whole & (pl.col("week_of") + LAST_DAY > as_of))
        .then(pl.lit("week_not_over"))
        .when(~is_whole)
        .then(pl.lit("days_unknown"))
        .when("is_contradicted")
        .then(pl.lit("return_before_onset"))
        .when(pl.col("monotony").is_null())
        .then(pl.lit("days_all_equal"))
    )
    names = (
        "athlete_id", "week_of", "load_au", "load_known_au", "days_known", "mean_au", "sd_au", "monotony", "strain_au",
        "change_au", "change_percent", "percentile", "own_low_au", "own_high_au", "weeks_in_range", "planned_au",
        "ratio_uncoupled", "injury_week", "expected_au", "above_z",
    )  # fmt: skip
    return weeks.select(*names, reason=reason)


def plan_week(plan: pl.DataFrame) -> pl.DataFrame:
    """Sum the plan by athlete and week: planned_au (AU) and planned_fast_metres (m).

    planned_au = sum of planned_min x planned_effort_0_10 (0 minutes are load 0); null where one planned session lacks
    either. planned_fast_metres = sum of fast_metres; planned strength, jump, tempo and recovery sessions without the
    figure plan none by their kind, any other session without it makes the week's figure null. Source: definition.
    """
    minutes, effort, fast = pl.col("planned_min"), pl.col("planned_effort_0_10"), pl.col("fast_metres")
    load = pl.when(minutes == 0).then(0.0).otherwise(minutes * effort)
    is_slow = pl.col("kind").is_in(["strength", "plyometric", "tempo", "recovery"]).fill_null(False)
    metres = pl.when(fast.is_null() & (is_slow | (minutes == 0).fill_null(False))).then(0.0).otherwise(fast)
    return (
        plan.with_columns(load=load, metres=metres, week_of=monday("planned_on"))
        .group_by("athlete_id", "week_of", maintain_order=True)
        .agg(planned_au=_sum_if_all("load"), planned_fast_metres=_sum_if_all("metres"))
        .sort("athlete_id", "week_of")
    )


def _sum_if_all(name: str) -> pl.Expr:
    """Sum a column, null where one value is missing."""
    return pl.when(pl.col(name).is_not_null().all()).then(pl.col(name).sum())


def _week_sums(load_day: pl.DataFrame) -> pl.DataFrame:
    """Sum the days of each week; what needs seven known days is null without them."""
    load = pl.col("load_au")
    sums = (
        load_day.with_columns(week_of=monday("day_on"))
        .group_by("athlete_id", "week_of", maintain_order=True)
        .agg(
            days_known=pl.col("is_known").sum().cast(pl.Int64),
            known=pl.col("load_known_au").sum(),
            some=pl.col("load_known_au").is_not_null().any(),
            total=load.sum(),
            mean=load.mean(),
            sd=load.std(),
            # Compared as loads, not as sd == 0: rounding can leave a tiny sd on equal days.
            is_flat=load.max() == load.min(),
        )
    )
    is_whole = pl.col("days_known") == DAYS_OF_WEEK
    sd = pl.when("is_flat").then(0.0).otherwise(pl.col("sd"))
    return sums.with_columns(
        load_au=pl.when(is_whole).then(pl.col("total")),
        load_known_au=pl.when("some").then(pl.col("known")),
        mean_au=pl.when(is_whole).then(pl.col("mean")),
        sd_au=pl.when(is_whole).then(sd),
        monotony=pl.when(is_whole & pl.col("is_flat").not_()).then(pl.col("mean") / pl.col("sd")),
    ).select(
        "athlete_id", "week_of", "days_known", "load_au", "load_known_au", "mean_au", "sd_au", "monotony",
        strain_au=pl.col("load_au") * pl.col("monotony"),
    )  # fmt: skip


def _injury_weeks(injury: pl.DataFrame, as_of: dt.date) -> pl.DataFrame:
    """Return the weeks per athlete that an injury which stopped training touches."""
    until = pl.lit(as_of, dtype=pl.Date)
    is_contradicted = (pl.col("returned_on") < pl.col("onset_on")).fill_null(False)
    is_open = pl.col("returned_on").is_null() | is_contradicted | (pl.col("returned_on") > until)
    # The day of return is a training day; an injury that came and went on one day still marks that day.
    last = (
        pl.when(is_open)
        .then(until)
        .otherwise(pl.max_horizontal("onset_on", pl.col("returned_on") - pl.duration(days=1)))
    )
    stopped = injury.filter(pl.col("stopped_training") & (pl.col("onset_on") <= until))
    return (
        stopped.with_columns(
            is_contradicted=is_contradicted, week_of=pl.date_ranges(monday("onset_on"), last, interval="1w")
        )
        .explode("week_of")
        .group_by("athlete_id", "week_of", maintain_order=True)
        .agg(injury_week=pl.lit(True).first(), is_contradicted=pl.col("is_contradicted").any())
    )


def _add_changes(weeks: pl.DataFrame) -> pl.DataFrame:
    """Add change against the week before and the ratio to the three before; weeks are dense and sorted."""

    def before(weeks_back: int) -> pl.Expr:
        return pl.col("load_au").shift(weeks_back).over("athlete_id")

    previous = pl.when(before(1) > 0).then(before(1))
    # A sum of three with one unknown is unknown: plain addition keeps the null.
    base = (before(1) + before(2) + before(WEEKS_BEFORE)) / WEEKS_BEFORE
    return weeks.with_columns(
        change_au=pl.col("load_au") - previous,
        change_percent=100 * (pl.col("load_au") - previous) / previous,
        ratio_uncoupled=pl.when(base > 0).then(pl.col("load_au") / base),
    )


def _add_expected(weeks: pl.DataFrame) -> pl.DataFrame:
    """Add what was to be expected of the week, injury weeks left out of what it rests on."""
    healthy = weeks.with_columns(_load=pl.when(pl.col("injury_week").not_()).then(pl.col("load_au")))
    grown = add_growth(healthy, "_load", "planned_au", floor=LOAD_FLOOR, scatter=LOAD_SCATTER)
    return grown.rename({"expected": "expected_au"}).drop("_load")


def add_own_range(weeks: pl.DataFrame, settings: SquadSettings) -> pl.DataFrame:
    """Add the percentile and the usual range among own complete, uninjured weeks of the 52 before."""
    own = pl.col("own").head(pl.len() - 1)  # all but the week itself, which stands last in its window
    this = pl.col("load_au").last()
    ranked = (
        weeks.with_columns(own=pl.when(pl.col("injury_week").not_()).then(pl.col("load_au")))
        .rolling(
            index_column="week_of", period=f"{OWN_WEEKS * DAYS_OF_WEEK + 1}d", closed="right", group_by="athlete_id"
        )
        .agg(
            weeks_in_range=own.count().cast(pl.Int64),
            below=(own < this).sum(),
            equal=(own == this).sum(),
            low=own.quantile(settings.own_range_low, "linear"),
            high=own.quantile(settings.own_range_high, "linear"),
        )
    )
    count = pl.col("weeks_in_range")
    is_enough = count >= max(settings.percentile_least_weeks, 1)
    rank = 100 * (pl.col("below") + 0.5 * pl.col("equal")) / count
    return weeks.join(ranked, on=["athlete_id", "week_of"], how="left", maintain_order="left").with_columns(
        percentile=pl.when(is_enough & pl.col("load_au").is_not_null()).then(rank),
        own_low_au=pl.when(is_enough).then(pl.col("low")),
        own_high_au=pl.when(is_enough).then(pl.col("high")),
    )
