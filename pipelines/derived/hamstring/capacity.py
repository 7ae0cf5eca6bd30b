"""What speaks of the capacity of a hamstring: eccentric force, sides, and work left out."""

import polars as pl

from pipelines.derived.common.sentences import say_count, say_day, say_number, say_percent
from pipelines.derived.hamstring.signs import DAY, Signs, after, days_since, join_last_before, make_signs
from schemas.phrase import phrase
from schemas.settings import SquadSettings

TEST = "eccentric_hamstring"


def list_capacity(
    days: pl.DataFrame, strength_state: pl.DataFrame, work_week: pl.DataFrame, settings: SquadSettings
) -> Signs:
    """Capacity: own eccentric force fallen beyond noise, a lasting side difference beyond noise, work left out.

    Force fallen: p_drop of the last test at least ``settings.progress_probability``. Side difference: the last test's
    difference beyond its noise, the same side over several tests. Both speak while the test is not older than
    ``settings.test_overdue_days``. Work: at least ``settings.eccentric_flag_days`` since the last isolated eccentric
    set in the log; from ``settings.eccentric_note_days`` it is only said. An absent or overdue test is missing data:
    the family cannot say, unless something else in it speaks.
    """
    tests = strength_state.filter((pl.col("kind") == "force") & (pl.col("item") == TEST)).select(
        "athlete_id", "measured_on", "side", "difference_percent", "difference_noise_percent", "persistent_side",
        "change_vs_best_percent", "p_drop",
    )  # fmt: skip
    beyond = pl.col("difference_percent").abs() > pl.col("difference_noise_percent")
    judged = tests.group_by("athlete_id", "measured_on", maintain_order=True).agg(
        is_judged=(pl.col("p_drop").is_not_null() | pl.col("difference_noise_percent").is_not_null()).any()
    )
    worked = work_week.select("athlete_id", "last_eccentric_on").drop_nulls().unique()
    grid = join_last_before(
        join_last_before(days.select(DAY), judged, "measured_on"), worked, "last_eccentric_on"
    ).with_columns(test_age=days_since("measured_on"), gap=days_since("last_eccentric_on"))
    is_fresh = pl.col("test_age") <= settings.test_overdue_days
    fresh = grid.filter(is_fresh).select([*DAY, "measured_on"]).join(tests, on=["athlete_id", "measured_on"])
    evidence = ("strength_state", "measured_on")
    ends = after("measured_on", settings.test_overdue_days + 1)
    side = pl.col("side").replace_strict({"l": "left", "r": "right"}, default="", return_dtype=pl.String)
    fallen = make_signs(
        fresh.filter(pl.col("side").is_in(["l", "r"]) & (pl.col("p_drop") >= settings.progress_probability)),
        0,
        phrase(
            "{} eccentric force {} % under own best, {} sure it is real",
            side,
            say_number(pl.col("change_vs_best_percent").abs(), 0),
            say_percent(pl.col("p_drop")),
        ),
        evidence,
        ("sugiura_2008", "published_weak"),
        ends,
    )
    weaker = pl.when(pl.col("difference_percent") < 0)
    uneven = make_signs(
        fresh.filter((pl.col("side") == "both") & pl.col("persistent_side").is_not_null() & beyond),
        1,
        phrase(
            "{} {} % under {}, the same side three tests running",
            weaker.then(pl.lit("right")).otherwise(pl.lit("left")),
            say_number(pl.col("difference_percent").abs(), 0),
            weaker.then(pl.lit("left")).otherwise(pl.lit("right")),
        ),
        evidence,
        ("bourne_2015", "published_weak"),
        ends,
    )
    left_out = make_signs(
        grid.filter(pl.col("gap") >= settings.eccentric_flag_days),
        2,
        phrase("{} days since isolated eccentric work was logged", "gap"),
        ("work_week", "last_eccentric_on"),
        ("presland_2018", "published_weak"),
        pl.lit(None),
    )
    work = (
        pl.when(pl.col("gap") >= settings.eccentric_note_days)
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
    )
    words = (
        pl.when(pl.col("measured_on").is_null())
        .then(pl.lit("no eccentric test on record"))
        .when(~is_fresh)
        .then(phrase("eccentric test overdue: last {}, {} days", tested, "test_age"))
        .when(~pl.col("is_judged"))
        .then(phrase("eccentric test of {} cannot be held against its noise yet", tested))
        .otherwise(phrase("eccentric test of {} within own noise", tested))
    )
    standing = grid.with_columns(missing=missing, quiet=words + work).select(
        *DAY, cannot=pl.col("missing").is_not_null(), quiet="quiet", missing="missing"
    )
    return pl.concat([fallen, uneven, left_out]), standing
