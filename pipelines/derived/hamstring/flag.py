"""Hamstring flags: four families of evidence and one of opinion, each day. A reason to talk, never a prediction."""

import datetime as dt

import polars as pl

from pipelines.derived.common.kept import kept
from pipelines.derived.common.sentences import add_age, list_review_days
from pipelines.derived.hamstring.capacity import list_capacity
from pipelines.derived.hamstring.exposure import list_exposure
from pipelines.derived.hamstring.level_words import say_level
from pipelines.derived.hamstring.signs import DAY, Signs, list_history, list_start_patterns
from pipelines.derived.hamstring.state import list_notes_to_read, list_state, list_symptoms
from pipelines.derived.readiness.checkin_answers import join_fresh_checkin
from schemas.knowledge.hamstring import COUNTED_FAMILIES, CUT_OFF_CONTEXT, DATA_FAMILIES
from schemas.phrase import phrase
from schemas.settings import SquadSettings
from schemas.vocabulary import HAMSTRING_FAMILIES

# Source and strength of evidence of a family's rule while nothing in it speaks.
FAMILY_BASIS = {
    "history": ("green_2020", "published"),
    "capacity": ("sugiura_2008", "published_weak"),
    "exposure": ("duhig_2016", "published_weak"),
    "state": ("common_practice", "common_practice"),
    "start_pattern": ("bramah_2023", "opinion"),
}


def hamstring_flag(
    checkin: pl.DataFrame,
    checkin_answer: pl.DataFrame,
    injury: pl.DataFrame,
    strength_state: pl.DataFrame,
    speed_exposure: pl.DataFrame,
    work_week: pl.DataFrame,
    start_pattern: pl.DataFrame,
    plan: pl.DataFrame,
    session: pl.DataFrame,
    athlete: pl.DataFrame,
    *,
    settings: SquadSettings,
    as_of: dt.date,
) -> pl.DataFrame:
    """Say for each day of the review window which families of hamstring evidence speak, and since when.

    History: an open hamstring injury, or the first ``settings.return_marked_weeks`` after a return; age is shown, never
    used. Capacity: own eccentric force fallen, or the sides moved apart from own usual, beyond noise; no isolated
    eccentric work for ``settings.eccentric_flag_days``. Exposure: metres at 90 % and more above plan and own growth,
    or a long gap and then a maximal session. State: tightness above own usual that adds up over days, or pain
    at the hamstring. Start pattern: reaching ahead, pushing too long; opinion, outside the level.

    What rests on noisy numbers speaks from thresholds under which a squad of 24 with nothing wrong has at most
    ``settings.attention_athletes`` a week brought up; what that costs in missed complaints is told in
    ``attention_rate``. History is no noise: it always speaks. A note that names the hamstring, of a check-in or
    a session, never speaks; ``read_note_on`` asks to read it.

    Level = number of the four that speak (none, one, several); 'cannot say' when none does and the athlete has not
    answered (state), or two of capacity, exposure and state lack their data: that nobody told of a tight hamstring is
    no sign of a loose one. A family that lacks its main data cannot say, and tells what is missing; an overdue test is
    such a lack. ``since_on`` is the first day of the current run of the state, within the
    window or, for a run as old as the window, the day of its evidence. ``lapses_on`` is when the last thing that speaks
    would lapse if nothing new came; null where that hangs on something nobody can know.

    Sources: "green_2020", "wangensteen_2016", "sugiura_2008", "bourne_2015", "presland_2018", "duhig_2016",
    "colby_2018", "clean_squads"; no probability is computed for anybody ("bahr_2016"). Cut-offs of other sports never
    flag.
    """
    days = list_review_days(athlete, settings=settings, as_of=as_of)
    flags = judge_days(
        days, checkin, checkin_answer, injury, strength_state, speed_exposure, work_week, start_pattern, plan,
        settings=settings, as_of=as_of,
    )  # fmt: skip
    return (
        add_age(_add_words(_add_since(flags)), athlete)
        .join(list_notes_to_read(days, checkin, session), on=DAY, how="left")
        .with_columns(context=_say_context(), reads_injury=pl.col("family") == "history")
        .select(
            "athlete_id", "day_on", "family", "state", "level", "level_words", "level_reads_injury",
            "families_speaking", "sentence", "evidence_table", "evidence_on", "source", "strength", "since_on",
            "lapses_on", "reason", "context", "caution", "reads_injury",
            read_note_on=pl.when(pl.col("family") == "state").then("read_note_on"),
        )
        .sort("athlete_id", "day_on", pl.col("family").cast(pl.Enum(HAMSTRING_FAMILIES)))
    )  # fmt: skip


def judge_days(
    days: pl.DataFrame,
    checkin: pl.DataFrame,
    checkin_answer: pl.DataFrame,
    injury: pl.DataFrame,
    strength_state: pl.DataFrame,
    speed_exposure: pl.DataFrame,
    work_week: pl.DataFrame,
    start_pattern: pl.DataFrame,
    plan: pl.DataFrame,
    *,
    settings: SquadSettings,
    as_of: dt.date,
) -> pl.DataFrame:
    """Say which families speak on each athlete and day given; the rule of ``hamstring_flag``, which tells it.

    One row per row of ``days`` (athlete_id, day_on) and family.
    """
    fresh = join_fresh_checkin(days, checkin, settings=settings)
    families: dict[str, Signs] = {
        "history": list_history(days, injury, settings),
        "capacity": list_capacity(days, strength_state, work_week, list_symptoms(checkin, checkin_answer), settings),
        "exposure": list_exposure(days, speed_exposure, plan, settings, as_of),
        "state": list_state(fresh, checkin, checkin_answer, settings),
        "start_pattern": list_start_patterns(days, start_pattern),
    }
    return _add_level(pl.concat([_judge_family(family, *families[family]) for family in HAMSTRING_FAMILIES]))


@kept
def _judge_family(family: str, signs: pl.DataFrame, standing: pl.DataFrame) -> pl.DataFrame:
    """Bring a family's signs and standing together: one row per athlete and day."""
    speaking = (
        signs.sort(*DAY, "order", maintain_order=True)
        .group_by(DAY, maintain_order=True)
        .agg(
            pl.col("sentence").str.join("; "),
            pl.col("evidence_table", "evidence_on", "source", "strength").first(),
            pl.col("reason").drop_nulls().first(),
            lapses_on=pl.when(pl.col("lapses_on").is_not_null().all()).then(pl.col("lapses_on").max()),
        )
        .with_columns(state=pl.lit("speaks"))
    )
    source, strength = FAMILY_BASIS[family]
    silent = pl.when("cannot").then(pl.lit("cannot_say")).otherwise(pl.lit("quiet"))
    return (
        standing.join(speaking, on=DAY, how="left")
        .with_columns(
            family=pl.lit(family),
            reason=pl.when(pl.col("state").is_null()).then("missing").otherwise("reason"),
            sentence=pl.col("sentence").fill_null(pl.col("quiet")),
            source=pl.col("source").fill_null(source),
            strength=pl.col("strength").fill_null(strength),
        )
        .with_columns(state=pl.col("state").fill_null(silent))
        .drop("cannot", "quiet", "missing")
    )


def _add_level(flags: pl.DataFrame) -> pl.DataFrame:
    """Count the families that speak; the same answer on all rows of an athlete and day."""
    speaks = (pl.col("state") == "speaks") & pl.col("family").is_in(COUNTED_FAMILIES)
    lacks = (pl.col("state") == "cannot_say") & pl.col("family").is_in(DATA_FAMILIES)
    counted = flags.with_columns(
        families_speaking=speaks.sum().over(DAY).cast(pl.Int64),
        _lacks=lacks.sum().over(DAY),
        _is_untold=(lacks & (pl.col("family") == "state")).any().over(DAY),
    )
    level = (
        pl.when(pl.col("families_speaking") > 1)
        .then(pl.lit("several_families"))
        .when(pl.col("families_speaking") == 1)
        .then(pl.lit("one_family"))
        .when(pl.col("_is_untold") | (pl.col("_lacks") >= 2))
        .then(pl.lit("cannot_say"))
        .otherwise(pl.lit("none"))
    )
    return counted.with_columns(level=level).drop("_lacks", "_is_untold")


def _add_words(flags: pl.DataFrame) -> pl.DataFrame:
    """Add the level in words, and whether they rest on the injury record; the same on all rows of athlete and day."""
    speaking = (
        flags.group_by(DAY, maintain_order=True)
        .agg(pl.col("level").first(), _speaking=pl.col("family").filter(pl.col("state") == "speaks"))
        .select(
            *DAY,
            level_words=say_level("level", "_speaking"),
            level_reads_injury=pl.col("_speaking").list.contains("history"),
        )
    )
    return flags.join(speaking, on=DAY, how="left", maintain_order="left")


def _add_since(flags: pl.DataFrame) -> pl.DataFrame:
    """Add the first day of the run of days with the same state; a run is broken by a day off the squad."""
    by = ["athlete_id", "family"]
    changed = pl.col("state") != pl.col("state").shift(1).over(by)
    away = pl.col("day_on").diff().dt.total_days().over(by) > 1
    run = flags.sort(*by, "day_on").with_columns(
        _run=(changed | away).fill_null(value=True).cast(pl.Int64).cum_sum().over(by)
    )
    start = pl.col("day_on").min().over(*by, "_run")
    # Older than the window: the evidence's own day is the best that is known.
    older = (pl.col("_run") == 1) & (pl.col("state") == "speaks")
    since = (
        pl.when(older).then(pl.min_horizontal(start, pl.col("evidence_on").min().over(*by, "_run"))).otherwise(start)
    )
    return run.with_columns(since_on=pl.when(pl.col("state") != "quiet").then(since)).drop("_run")


def _say_context() -> pl.Expr:
    age = phrase("age {}; older age goes with more strains over groups, and flags nobody here", "age_years")
    return (
        pl.when(pl.col("family") == "history")
        .then(age)
        .when(pl.col("family") == "capacity")
        .then(pl.lit(CUT_OFF_CONTEXT))
    )
