"""What speaks of the capacity of a hamstring: eccentric force, sides, and work left out."""

import polars as pl

from pipelines.derived.common.kept import kept
from pipelines.derived.common.sentences import say_count, say_day, say_number, say_percent
from pipelines.derived.hamstring.signs import DAY, Signs, after, days_since, join_last_before, make_signs
from pipelines.derived.strength.own_change import SURE
from schemas.knowledge.attention import hamstring_thresholds
from schemas.phrase import phrase
from schemas.settings import SquadSettings

TEST = "eccentric_hamstring"
ALONE_DAYS = 14  # days a loss that one test alone shows is brought up; after that it waits for another, own rule
SYMPTOM_DAYS = 14  # days within which a complaint and a test speak of the same thing, own rule


@kept
def list_capacity(
    days: pl.DataFrame,
    strength_state: pl.DataFrame,
    work_week: pl.DataFrame,
    symptoms: pl.DataFrame,
    settings: SquadSettings,
) -> Signs:
    """Capacity: own eccentric force fallen, sides moved apart from own usual, work left out.

    Force fallen: p_fallen of the last test (it alone, or the last two together, shrunk). At 95 % and confirmed, by a
    second test running at 95 % or by a complaint on the same side within 14 days, it speaks while the test is not older
    than ``settings.test_overdue_days``. One test alone speaks when it is so sure that the squad stays within
    ``settings.attention_athletes`` (knowledge, clean rates); for 14 days, after which the family cannot say until it is
    tested again. Sides: the same of a shift of right over left from the athlete's own usual; a standing difference is
    no sign. Work: at least ``settings.eccentric_flag_days`` since the last isolated eccentric set in the log; from
    ``settings.eccentric_note_days`` it is only said. An absent or overdue test is missing data: the family cannot say,
    unless something else in it speaks.

    ``symptoms``: athlete_id, told_on, side; a complaint at a hamstring.
    """
    tests = strength_state.filter((pl.col("kind") == "force") & (pl.col("item") == TEST)).select(
        "athlete_id", "measured_on", "side", "own_change_percent", "p_fallen", "p_fallen_before",
        hurt_side=pl.when(pl.col("side") == "both").then("lost_side").otherwise("side"),
    )  # fmt: skip
    judged = tests.group_by("athlete_id", "measured_on", maintain_order=True).agg(
        is_judged=pl.col("p_fallen").is_not_null().any()
    )
    worked = work_week.select("athlete_id", "last_eccentric_on").drop_nulls().unique()
    grid = join_last_before(
        join_last_before(days.select(DAY), judged, "measured_on"), worked, "last_eccentric_on"
    ).with_columns(test_age=days_since("measured_on"), gap=days_since("last_eccentric_on"))
    unnamed = work_week.filter(pl.col("unknown_exercises").is_not_null()).select(
        "athlete_id", "unknown_exercises", unknown_on="week_of"
    )
    grid = join_last_before(grid, unnamed, "unknown_on")
    # An exercise of no known family may be the very work that seems left out: then nothing is said of it.
    is_doubtful = (days_since("unknown_on") <= settings.eccentric_flag_days + 6).fill_null(value=False) & (
        pl.col("gap").is_null() | (pl.col("gap") >= settings.eccentric_note_days)
    )
    is_fresh = pl.col("test_age") <= settings.test_overdue_days
    fresh = grid.filter(is_fresh).select([*DAY, "measured_on"]).join(tests, on=["athlete_id", "measured_on"])
    told = fresh.sort("day_on").join_asof(
        symptoms.rename({"side": "hurt_side"}).sort("told_on"),
        left_on="day_on",
        right_on="told_on",
        by=["athlete_id", "hurt_side"],
        check_sortedness=False,
        coalesce=False,
    )
    is_told = (days_since("told_on") <= SYMPTOM_DAYS).fill_null(value=False)
    is_lower = pl.col("p_fallen") >= SURE
    twice = (is_lower & (pl.col("p_fallen_before") >= SURE)).fill_null(value=False)
    is_confirmed = twice | (is_lower & is_told)
    is_sure = pl.col("p_fallen") >= max(SURE, hamstring_thresholds(settings).force_p)
    is_new = days_since("measured_on") < ALONE_DAYS
    real = told.filter(is_confirmed | (is_sure & is_new))
    waiting = told.filter(is_sure & ~is_confirmed & ~is_new).select(DAY).unique().with_columns(is_waiting=True)
    grid = grid.join(waiting, on=DAY, how="left").with_columns(pl.col("is_waiting").fill_null(value=False))
    evidence = ("strength_state", "measured_on")
    ends = after("measured_on", pl.when(is_confirmed).then(settings.test_overdue_days + 1).otherwise(ALONE_DAYS))
    names = {"l": "left", "r": "right"}
    side = pl.col("hurt_side").replace_strict(names, default="", return_dtype=pl.String)
    other = pl.col("hurt_side").replace_strict({"l": "right", "r": "left"}, default="", return_dtype=pl.String)
    also = (
        pl.when(is_told)
        .then(phrase("; told of on that side {}", say_day(pl.col("told_on"))))
        .when(twice)
        .then(pl.lit("; second test running"))
        .otherwise(pl.lit("; test again"))
    )
    lost, sure = say_number(pl.col("own_change_percent").abs(), 0), say_percent(pl.col("p_fallen"))
    fallen = make_signs(
        real.filter(pl.col("side").is_in(["l", "r"])),
        0,
        phrase("{} eccentric force {} % under own usual, {} sure{}", side, lost, sure, also),
        evidence,
        ("sugiura_2008", "published_weak"),
        ends,
    )
    apart = make_signs(
        real.filter(pl.col("side") == "both"),
        1,
        phrase("{} has lost {} % to {} against own usual, {} sure{}", side, lost, other, sure, also),
        evidence,
        ("sugiura_2008", "published_weak"),
        ends,
    )
    left_out = make_signs(
        grid.filter((pl.col("gap") >= settings.eccentric_flag_days) & ~is_doubtful),
        2,
        phrase("{} days since isolated eccentric work was logged", "gap"),
        ("work_week", "last_eccentric_on"),
        ("presland_2018", "published_weak"),
        pl.lit(None),
    )
    work = (
        pl.when(is_doubtful)
        .then(phrase("; exercises without a family in the log: {}", "unknown_exercises"))
        .when(pl.col("gap") >= settings.eccentric_note_days)
        .then(phrase("; {} days since isolated eccentric work, worth a note", "gap"))
        .when(pl.col("gap").is_not_null())
        .then(phrase("; isolated eccentric work {} ago", say_count(pl.col("gap"), "day", "days")))
        .otherwise(pl.lit("; no isolated eccentric work in the log"))
    )
    tested = say_day(pl.col("measured_on"))
    missing = (
        pl.when(pl.col("measured_on").is_null())
        .then(pl.lit("no_eccentric_test"))
        .when(~is_fresh)
        .then(pl.lit("eccentric_test_overdue"))
        .when(~pl.col("is_judged"))
        .then(pl.lit("test_noise_unknown"))
        .when("is_waiting")
        .then(pl.lit("loss_not_retested"))
        .when(is_doubtful)
        .then(pl.lit("exercise_family_unknown"))
    )
    words = (
        pl.when(pl.col("measured_on").is_null())
        .then(pl.lit("no eccentric test on record"))
        .when(~is_fresh)
        .then(phrase("eccentric test overdue: last {}, {} days", tested, "test_age"))
        .when(~pl.col("is_judged"))
        .then(phrase("eccentric test of {} cannot be held against its noise yet", tested))
        .when("is_waiting")
        .then(phrase("lower in the test of {}, not tested again since", tested))
        .otherwise(phrase("eccentric test of {} within own noise", tested))
    )
    standing = grid.with_columns(missing=missing, quiet=words + work).select(
        *DAY, cannot=pl.col("missing").is_not_null(), quiet="quiet", missing="missing"
    )
    return pl.concat([fallen, apart, left_out]), standing
