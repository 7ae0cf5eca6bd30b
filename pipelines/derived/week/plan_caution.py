"""What is to be minded beside a planned session, and how long a decision stands."""

import datetime as dt

import polars as pl

from pipelines.derived.common.sentences import say_day
from schemas.derived.plan_caution import CAUTIONS, OF_INJURIES, PlanCaution, StandingDecision
from schemas.knowledge.hamstring import MAXIMAL_KINDS, PLAN_AHEAD_DAYS
from schemas.phrase import phrase

SLOT = ["athlete_id", "planned_on", "plan_no"]
WEEK_DAYS = 7
NUMBERS = {"a": 1, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "eight": 8, "ten": 10}
LENGTH = rf"\bfor (?:the )?(?:next )?(\d{{1,2}}|{'|'.join(NUMBERS)}) (day|week)s?\b"
# Words of a decision that forbid maximal runs; not those on bends alone or before a talk. Source: "common_practice".
FORBIDS = (
    r"\bno (?:maximal|max|all.out|flat.out)\b|\bno (?:sprints?|sprinting|running|runs)\b"
    r"|\bno full.speed(?: runs?| running| sprints?| sprinting)?(?: yet| for .*| this week| until .*)?\s*(?:[,;.]|$)"
)
# Words that hold something back until somebody says otherwise. They name no day: it is asked again after four weeks.
NOT_YET = r"\b(?:no|not|nothing|without)\b.*\byet\b"
YET_DAYS = 28  # own choice
TILL_THE_TALK = r"\bbefore the talk\b"
# Words of a planned session that say hamstring work; eccentric where they say so. Source: "common_practice".
ECCENTRIC = (
    r"\bnordics?\b|\beccentrics?\b.*\bhamstrings?\b|\bhamstrings?\b.*\beccentrics?\b|\brazor curls?\b"
    r"|\bslid\w+ leg curls?\b"
)
HAMSTRINGS = r"\bhamstrings?\b"


def standing_decision(decision: pl.DataFrame) -> pl.DataFrame:
    """Say from when to when each decision stands, by its own words.

    It stands from the day it was decided (``decided_at``, held to the week it is of and the Monday after; without one
    the Monday). 'for N days', 'for N weeks': to that many days after, the day itself besides. Without such words: to
    the Sunday of the week it is of; decided on a Saturday, a Sunday or later, when the week to come is reviewed, to the
    Sunday after. 'no ... yet' without such words: four weeks, our own choice, then it is asked again. restrains: so, or
    forbids_maximal. forbids_maximal: its words say no maximal runs, no sprints, no running, no full speed; not where
    only bends are meant, nor 'before the talk', which is the call's. A later 'as planned' lifts none: agreeing with a
    sheet in one step must not end what was decided for two weeks; that decision itself is changed or undone.
    Source: common_practice. Limits: words of other languages, and an end named by an event, are not read. Null rule: a
    decision without words has no row.
    """
    text = pl.col("call").str.to_lowercase()
    count, unit = text.str.extract(LENGTH, 1), text.str.extract(LENGTH, 2)
    number = count.replace_strict(NUMBERS, default=None, return_dtype=pl.Int64).fill_null(
        count.cast(pl.Int64, strict=False)
    )
    days = number * pl.when(unit == "week").then(WEEK_DAYS).otherwise(1)
    monday = pl.col("week_of")
    decided = pl.col("decided_at").dt.date().fill_null(monday)
    forbids = text.str.contains(FORBIDS) & ~text.str.contains(TILL_THE_TALK)
    is_yet = text.str.contains(NOT_YET)
    days = pl.coalesce(days, pl.when(is_yet).then(YET_DAYS))
    says_how_long = number.is_not_null()
    began = pl.min_horizontal(pl.max_horizontal(decided, monday), monday.dt.offset_by("7d"))
    is_late = began >= monday.dt.offset_by("5d")
    to_sunday = pl.when(is_late).then(monday.dt.offset_by("13d")).otherwise(monday.dt.offset_by("6d"))
    return (
        decision.filter(pl.col("call").is_not_null())
        .with_columns(
            from_on=began,
            until_on=pl.when(days.is_not_null()).then(began + pl.duration(days=days)).otherwise(to_sunday),
            says_how_long=says_how_long,
            forbids_maximal=forbids,
            restrains=forbids | is_yet,
        )
        .select(list(StandingDecision.to_schema().columns))
        .sort("athlete_id", "week_of", "topic")
    )


def plan_caution(
    plan: pl.DataFrame,
    advice: pl.DataFrame,
    decision_state: pl.DataFrame,
    standing_decision: pl.DataFrame,
    *,
    as_of: dt.date,
) -> pl.DataFrame:
    """Say what is to be minded with each session planned from ``as_of`` on.

    A session is at full speed where fast metres are planned, it is a race, or it is a top-speed session that does not
    say its fast metres; one of 0 minutes is none. 'waits_for_professional': every session but one of 0 minutes,
    whatever it asks, while an injury is open. Of a session at full speed, in the seven days from ``as_of``:
    'within_steps_back' while the advice is the way back, 'waits_for_talk' while it is a talk first, 'no_maximal_runs'
    while it asks to adapt by no maximal runs. On every day on which a decision stands (``standing_decision``):
    'no_maximal_runs' where it forbids them, named before the call, and 'held_by_decision', its words, where it holds
    something else back. No decision takes a caution away: one made in full knowledge against the call
    (``decision_state``) is named behind it ('called talk first; coach decided: as planned'), one that is older than
    what speaks is not. 'hamstrings_before_speed': a session whose words say hamstring work, on the day before one at
    full speed of the same athlete; eccentric work is called so.
    Source: common_practice. Limits: what is not written in the plan is not known of, and words of other languages are
    not read. Null rule: a session without words says no hamstring work.
    """
    ahead = plan.filter(
        (pl.col("planned_on") >= as_of) & (pl.col("planned_min") != 0).fill_null(value=True)
    ).with_columns(text=pl.col("note").str.to_lowercase())
    fast = ahead.filter(_is_full_speed())
    near = fast.filter(pl.col("planned_on") <= as_of + dt.timedelta(days=PLAN_AHEAD_DAYS))
    overruled = decision_state.filter("is_overruled").select("athlete_id", "week_of", against="training")
    calls = advice.join(overruled, on=["athlete_id", "week_of"], how="left")
    coach = phrase("; coach decided: {}", "against").fill_null("")
    talk = near.join(calls.filter(pl.col("stands") == "talk").select("athlete_id", "against"), on="athlete_id").select(
        *SLOT,
        caution=pl.lit("waits_for_talk"),
        words=pl.when(pl.col("against").is_null())
        .then(pl.lit("waits for the talk"))
        .otherwise(phrase("called talk first{}", coach)),
    )
    adapted = near.join(
        calls.filter(pl.col("adaptation") == "no_maximal_runs").select("athlete_id", "day_on", "against"),
        on="athlete_id",
    ).select(
        *SLOT,
        caution=pl.lit("no_maximal_runs"),
        words=phrase("no maximal runs (call of {}){}", say_day(pl.col("day_on")), coach),
    )
    decided = (
        fast.join(standing_decision.filter("forbids_maximal"), on="athlete_id")
        .filter(pl.col("planned_on").is_between(pl.col("from_on"), pl.col("until_on")))
        .sort(*SLOT, "until_on")
        .unique(SLOT, keep="last", maintain_order=True)
        .select(
            *SLOT,
            caution=pl.lit("no_maximal_runs"),
            words=phrase("no maximal runs (decided, to {})", say_day(pl.col("until_on"))),
        )
    )
    hurt = advice.filter(pl.col("stands") == "injury")
    waits = ahead.join(hurt, on="athlete_id", how="semi").select(
        *SLOT,
        caution=pl.lit("waits_for_professional"),
        words=pl.lit("waits: a licensed professional sees the injury before any running"),
    )
    back = near.join(
        advice.filter(pl.col("stands").is_in(["return", "return_planned"])), on="athlete_id", how="semi"
    ).select(
        *SLOT,
        caution=pl.lit("within_steps_back"),
        words=pl.lit("within the steps back, nothing at full effort beyond what is signed"),
    )
    held = (
        fast.join(standing_decision.filter(pl.col("restrains") & ~pl.col("forbids_maximal")), on="athlete_id")
        .filter(pl.col("planned_on").is_between(pl.col("from_on"), pl.col("until_on")))
        .select(
            *SLOT,
            caution=pl.lit("held_by_decision"),
            words=phrase("decided, to {}: {}", say_day(pl.col("until_on")), "call"),
        )
        .sort(*SLOT, "words")
    )
    rows = pl.concat([waits, talk, decided, adapted, held, back, _hamstrings_before(ahead, fast)])
    return (
        rows.unique([*SLOT, "caution"], keep="first", maintain_order=True)
        .with_columns(
            for_athlete=pl.col("caution").replace_strict(CAUTIONS, return_dtype=pl.Boolean),
            reads_injury=pl.col("caution").is_in(OF_INJURIES),
        )
        .select(list(PlanCaution.to_schema().columns))
        .sort(*SLOT, "caution")
    )


def _is_full_speed() -> pl.Expr:
    metres, kind = pl.col("fast_metres"), pl.col("kind")
    told = (metres > 0) | (kind == "race") | (metres.is_null() & kind.is_in(MAXIMAL_KINDS))
    return told.fill_null(value=False)


def _hamstrings_before(ahead: pl.DataFrame, fast: pl.DataFrame) -> pl.DataFrame:
    """Return sessions with hamstring work on the day before full speed, in words."""
    eve = fast.select("athlete_id", fast_on="planned_on", planned_on=pl.col("planned_on").dt.offset_by("-1d")).unique()
    is_eccentric = pl.col("text").str.contains(ECCENTRIC)
    is_said = is_eccentric | ((pl.col("kind") == "strength") & pl.col("text").str.contains(HAMSTRINGS))
    what = pl.when(is_eccentric).then(pl.lit("eccentric hamstring work")).otherwise(pl.lit("hamstring work"))
    return (
        ahead.filter(is_said.fill_null(value=False))
        .join(eve, on=["athlete_id", "planned_on"])
        .select(
            *SLOT,
            caution=pl.lit("hamstrings_before_speed"),
            words=phrase("{} the day before full speed on {}", what, say_day(pl.col("fast_on"))),
        )
    )
