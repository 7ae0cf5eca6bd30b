"""Blocks of work that was really done: runs of weeks with two days or more of one kind (``training_block``)."""

import datetime as dt

import polars as pl

from pipelines.derived.common.kept import kept
from pipelines.derived.common.number_text import decimals
from pipelines.derived.common.resistance import resistance, was_run
from pipelines.derived.common.weeks import LAST_DAY, monday
from schemas.derived.blocks import TrainingBlock
from schemas.phrase import phrase

LEAST_DAYS_A_WEEK = 2  # source: "common_practice"
LEAST_WEEKS = 2
FAMILY_KINDS = {
    "sled": "sled",
    "hamstring_eccentric": "eccentric",
    "hip_flexor": "hip_flexor",
    "calf_ankle": "ankle",
    "jump": "jump",
}
BLOCK_WORDS = {
    "sled": ("Sled runs", "runs"),
    "eccentric": ("Isolated eccentric hamstring work", "sets"),
    "hip_flexor": ("Hip-flexor work", "sets"),
    "ankle": ("Calf and ankle work", "sets"),
    "jump": ("Jumps", "sets"),
}
WORK_DAY = ["athlete_id", "kind", "day_on"]


def work_days(rep: pl.DataFrame, lift_set: pl.DataFrame, exercise: pl.DataFrame, as_of: dt.date) -> pl.DataFrame:
    """Return one row per athlete, kind of work and day on which it was done: amount, loads.

    Sled: runs against a sled (or a load without a kind), false starts left out, and gym sets of the family sled. Gym
    work: sets of the family, left and right of one set counted once.
    """
    return _days_of(_sled_runs(rep, as_of), lift_set, exercise, as_of)


def _sled_runs(rep: pl.DataFrame, as_of: dt.date) -> pl.DataFrame:
    return rep.filter((resistance() == "sled") & was_run() & (pl.col("session_date") <= as_of)).select(
        "athlete_id", kind=pl.lit("sled"), day_on="session_date", load_kg="resistance_load_kg"
    )


def _days_of(runs: pl.DataFrame, lift_set: pl.DataFrame, exercise: pl.DataFrame, as_of: dt.date) -> pl.DataFrame:
    sets = (
        lift_set.filter(pl.col("session_date") <= as_of)
        .join(exercise.select("exercise", "family"), on="exercise", how="inner")
        .filter(pl.col("family").is_in(list(FAMILY_KINDS)))
        .group_by("athlete_id", "session_date", "session_no", "exercise", "set_no", "family", maintain_order=True)
        .agg(pl.col("load_kg").max())
        .select(
            "athlete_id",
            kind=pl.col("family").replace_strict(FAMILY_KINDS, return_dtype=pl.String),
            day_on="session_date",
            load_kg="load_kg",
        )
    )
    return (
        pl.concat([runs, sets])
        .group_by(WORK_DAY, maintain_order=True)
        .agg(amount=pl.len().cast(pl.Int64), loads_kg=pl.col("load_kg").drop_nulls().sort())
        .sort(WORK_DAY)
    )


def training_block(
    rep: pl.DataFrame, lift_set: pl.DataFrame, exercise: pl.DataFrame, *, as_of: dt.date
) -> pl.DataFrame:
    """Find the runs of weeks in which a kind of work was done on two days or more a week.

    A week counts from two days of the kind on; two or more such weeks on end are a block. Days = days of the work in
    it, amount = runs or sets, typical load = median of those that state one. The week of ``as_of`` counts once it has
    its two days.
    Source: "common_practice" for what makes a block; counts are definitions. Null: the load where none is stated.
    """
    return _blocks(_sled_runs(rep, as_of), lift_set, exercise, as_of)


@kept  # a run without a sled changes nothing of them
def _blocks(runs: pl.DataFrame, lift_set: pl.DataFrame, exercise: pl.DataFrame, as_of: dt.date) -> pl.DataFrame:
    weeks = (
        _days_of(runs, lift_set, exercise, as_of)
        .group_by("athlete_id", "kind", week_of=monday("day_on"), maintain_order=True)
        .agg(days=pl.len().cast(pl.Int64), amount=pl.col("amount").sum(), loads_kg=pl.col("loads_kg").explode())
        .filter(pl.col("days") >= LEAST_DAYS_A_WEEK)
        .sort("athlete_id", "kind", "week_of")
    )
    who = ["athlete_id", "kind"]
    is_new = (pl.col("week_of").diff() != pl.duration(days=7)).fill_null(True)
    this_week = as_of - dt.timedelta(days=as_of.weekday())
    blocks = (
        weeks.with_columns(_block=is_new.over(who).cum_sum().over(who))
        .group_by(*who, "_block", maintain_order=True)
        .agg(
            start_on=pl.col("week_of").min(),
            _last=pl.col("week_of").max(),
            weeks=pl.len().cast(pl.Int64),
            days=pl.col("days").sum(),
            amount=pl.col("amount").sum(),
            typical_load_kg=pl.col("loads_kg").explode().median(),
        )
        .filter(pl.col("weeks") >= LEAST_WEEKS)
        .with_columns(
            end_on=pl.min_horizontal(pl.col("_last") + LAST_DAY, pl.lit(as_of)),
            is_running=pl.col("_last") >= this_week - dt.timedelta(days=7),
        )
    )
    words = {kind: value[0] for kind, value in BLOCK_WORDS.items()}
    units = {kind: value[1] for kind, value in BLOCK_WORDS.items()}
    kind = pl.col("kind")
    day = "%-d %b"
    load = decimals(blocks["typical_load_kg"], 0)
    blocks = blocks.with_columns(
        _load=pl.when((pl.col("typical_load_kg") > 0).fill_null(False))
        .then(phrase(" at about {} kg", pl.lit(load)))
        .otherwise(pl.lit("")),
        _until=pl.when("is_running")
        .then(phrase("since {}", pl.col("start_on").dt.strftime(day)))
        .otherwise(phrase("{} to {}", pl.col("start_on").dt.strftime(day), pl.col("end_on").dt.strftime(day))),
    )
    frame = blocks.with_columns(
        sentence=phrase(
            "{} on two days a week or more, {}: {} weeks, {} days, {} {}{}.",
            kind.replace_strict(words, return_dtype=pl.String),
            "_until",
            "weeks",
            "days",
            "amount",
            kind.replace_strict(units, return_dtype=pl.String),
            "_load",
        )
    )
    columns = list(TrainingBlock.to_schema().columns)
    return frame.select(columns).sort("athlete_id", "kind", "start_on")
