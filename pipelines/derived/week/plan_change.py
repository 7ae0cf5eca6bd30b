"""What a decision on training would change in the plan (``plan_change``)."""

import datetime as dt

import polars as pl

from schemas.derived.plan_change import CHANGES, PlanChange
from schemas.knowledge.hamstring import MAXIMAL_KINDS, PLAN_AHEAD_DAYS
from schemas.labels import ADAPTED, DECIDED
from schemas.phrase import phrase
from schemas.vocabulary import ADAPTATIONS

TWO_THIRDS = 2 / 3  # of the minutes; source: "common_practice"
STEP_MIN = 5.0  # min, to which minutes are planned
MOST_EFFORT = 5.0  # of 10, of a session without maximal runs; source: "common_practice"
LESS_EFFORT = 2.0  # steps of 10; source: "common_practice"
# What the sheet's own choices say, to the letter. Nothing is read out of free words, in whatever language.
SAID = {DECIDED["talk_first"]: "waits_for_talk", **{ADAPTED[f"adapt_{slug}"]: slug for slug in ADAPTATIONS}}


def plan_change(
    plan: pl.DataFrame,
    advice: pl.DataFrame,
    decision: pl.DataFrame,
    standing_decision: pl.DataFrame,
    *,
    as_of: dt.date,
) -> pl.DataFrame:
    """Say what the sessions of the next seven days would be once the plan follows what was decided on training.

    The change is that of the decision on the training of the running week: a talk first, or an 'adapt' that says how;
    an 'adapt' that does not is done as the advice has it. Where nothing is decided, or 'as planned', there is none; a
    decision that stands and forbids maximal runs (``standing_decision``) counts where the week's says nothing of it.
    'waits_for_talk' and 'no_maximal_runs' are of sessions at full speed alone: fast metres 0, effort at most 5.
    'less_volume' is of every session: two thirds of the minutes, to five minutes, fast metres likewise to ten metres.
    'less_intensity' is of every session: effort two steps less, not under 1, no fast metres. A session of 0 minutes,
    and one whose words begin with the change already, stays.
    Source: common_practice. Limits: what is run is named as it was, with the change before it; which of the runs go is
    the coach's to write. Null rule: what the plan does not say stays unsaid; 0 fast metres are said all the same.
    """
    last = as_of + dt.timedelta(days=PLAN_AHEAD_DAYS)
    ahead = plan.filter(
        pl.col("planned_on").is_between(as_of, last), (pl.col("planned_min") != 0).fill_null(value=True)
    )
    rows = ahead.join(_changes(advice, decision, standing_decision, as_of), on="athlete_id")
    metres, kind = pl.col("fast_metres"), pl.col("kind")
    is_fast = ((metres > 0) | (kind == "race") | (metres.is_null() & kind.is_in(MAXIMAL_KINDS))).fill_null(value=False)
    begins = pl.col("change").replace_strict(CHANGES, return_dtype=pl.String)
    is_done = pl.col("note").str.starts_with(begins).fill_null(value=False)
    is_all = pl.col("change").is_in(["less_volume", "less_intensity"])
    effort, less = pl.col("planned_effort_0_10"), pl.col("change") == "less_volume"
    minutes = (pl.col("planned_min") * TWO_THIRDS / STEP_MIN).round() * STEP_MIN
    return (
        rows.filter((is_all | is_fast) & ~is_done)
        .with_columns(
            note=pl.when(pl.col("note").is_null()).then(begins).otherwise(phrase("{}; planned: {}", begins, "note")),
            fast_metres=pl.when(less).then((metres * TWO_THIRDS / 10).round() * 10).otherwise(pl.lit(0.0)),
            planned_min=pl.when(less).then(minutes).otherwise("planned_min"),
            planned_effort_0_10=pl.when(less)
            .then(effort)
            .when(pl.col("change") == "less_intensity")
            .then((effort - LESS_EFFORT).clip(lower_bound=pl.min_horizontal(effort, 1.0)))
            .otherwise(pl.when(effort > MOST_EFFORT).then(MOST_EFFORT).otherwise(effort)),
        )
        .select(list(PlanChange.to_schema().columns))
        .sort("athlete_id", "planned_on", "plan_no")
    )


def _changes(
    advice: pl.DataFrame, decision: pl.DataFrame, standing_decision: pl.DataFrame, as_of: dt.date
) -> pl.DataFrame:
    """Return what is to be changed for whom."""
    monday = as_of - dt.timedelta(days=as_of.weekday())
    of_week = decision.filter(pl.col("topic") == "training", pl.col("week_of") == monday).select("athlete_id", "call")
    how = advice.filter(pl.col("week_of") == monday).select("athlete_id", "adaptation")
    told = of_week.join(how, on="athlete_id", how="left").with_columns(
        change=pl.when(pl.col("call") == DECIDED["adapt"])
        .then("adaptation")
        .otherwise(pl.col("call").replace_strict(SAID, default=None, return_dtype=pl.String))
    )
    stands = standing_decision.filter(
        "forbids_maximal", pl.lit(as_of).is_between(pl.col("from_on"), pl.col("until_on"))
    )
    forbidden = stands.select("athlete_id", forbidden=pl.lit("no_maximal_runs")).unique()
    return (
        told.select("athlete_id", "change")
        .join(forbidden, on="athlete_id", how="full", coalesce=True)
        .select("athlete_id", change=pl.coalesce("change", "forbidden"))
        .drop_nulls()
    )
