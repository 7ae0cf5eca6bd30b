"""Readiness: reasons against the athlete's own usual, and the call that follows."""

import datetime as dt

import polars as pl

from pipelines.derived.common.sentences import add_age, list_review_days, say_count
from pipelines.derived.readiness.checkin_answers import join_fresh_checkin
from pipelines.derived.readiness.reason_rows import (
    list_checkin_reasons,
    list_injury_reasons,
    list_jump_reasons,
    list_load_reasons,
    list_tightness_reasons,
)
from schemas.knowledge.readiness import READINESS_RULE
from schemas.phrase import phrase
from schemas.settings import SquadSettings


def readiness_reason(
    checkin: pl.DataFrame,
    checkin_answer: pl.DataFrame,
    injury: pl.DataFrame,
    spring_state: pl.DataFrame,
    load_week: pl.DataFrame,
    athlete: pl.DataFrame,
    *,
    settings: SquadSettings,
    as_of: dt.date,
) -> pl.DataFrame:
    """List the reasons that speak on each day of the review window, strongest first.

    Steps: for each day and athlete take the last check-in no older than ``settings.checkin_stale_days``; its answers
    against the athlete's own ``settings.baseline_days`` before (today left out, at least
    ``settings.baseline_least_days``); injuries as they stood on that day; the last countermovement jump no older than a
    check-in may be, when its drop is sure enough to be real; the last complete week that had ended, for seven days,
    when its load lies above plan and own growth. What rests on noise speaks from thresholds under which chance gives at
    most ``settings.adapt_by_chance`` 'adapt' a day on a squad of 24 with nothing wrong.

    Which of them are reasons, and where each pushes, is ``READINESS_RULE`` and nothing else. Rank: 'talk first' before
    'adapt', then the order of the rule, then the larger departure.

    Sources: "leys_2013", "claudino_2017", "wangensteen_2016"; levels of pain and tightness are common practice.
    No row when nothing speaks: that is not 'fine', and ``readiness_day`` says what was not known.
    """
    days = join_fresh_checkin(list_review_days(athlete, settings=settings, as_of=as_of), checkin, settings=settings)
    reasons = pl.concat(
        [
            list_checkin_reasons(days, checkin_answer, checkin),
            list_tightness_reasons(days, checkin_answer, settings),
            list_injury_reasons(days, injury, settings),
            list_jump_reasons(days, spring_state, settings),
            list_load_reasons(days, load_week, settings),
        ]
    )
    rules = pl.DataFrame(
        [(r.item, order, r.pushes_to, r.source) for order, r in enumerate(READINESS_RULE)],
        schema={"item": pl.String, "_order": pl.Int64, "pushes_to": pl.String, "source": pl.String},
        orient="row",
    )
    return (
        reasons.join(rules, on="item", how="inner")
        .with_columns(_talk=pl.col("pushes_to") == "talk_first", _size=pl.col("z").abs().fill_null(0.0))
        .sort("athlete_id", "day_on", "_talk", "_order", "_size", "sentence",
              descending=[False, False, True, False, True, False])
        .with_columns(rank=pl.int_range(1, pl.len() + 1, dtype=pl.Int64).over("athlete_id", "day_on"))
        .select("athlete_id", "day_on", "rank", "item", "pushes_to", "sentence", "value", "usual", "z", "probability",
                "evidence_table", "evidence_on", "source", "since_on",
                reads_injury=pl.col("evidence_table") == "injury")
    )  # fmt: skip


def readiness_day(
    readiness_reason: pl.DataFrame,
    checkin: pl.DataFrame,
    checkin_answer: pl.DataFrame,
    spring_state: pl.DataFrame,
    athlete: pl.DataFrame,
    *,
    settings: SquadSettings,
    as_of: dt.date,
) -> pl.DataFrame:
    """Make the call of each day of the review window from the reasons of that day.

    The first line that fits decides (``CALL_RULE``): a reason that pushes to 'talk first' -> talk first; no check-in
    and no jump test within ``settings.checkin_stale_days`` -> no call; a reason that pushes to 'adapt' -> adapt; a
    check-in with too few own answers to compare with -> cannot say; otherwise as planned. So an open injury is told
    even when nobody has checked in, and a high load alone makes no call for somebody not heard of.

    Source: our own rule, common practice. ``reason`` codes what is not known: never_checked_in, no_checkin,
    no_checkin_but_test, thin_baseline (fewer own answers than ``settings.baseline_least_days`` in every item).
    """
    grid = join_fresh_checkin(list_review_days(athlete, settings=settings, as_of=as_of), checkin, settings=settings)
    tests = spring_state.select("athlete_id", "tested_on").unique().sort("tested_on")
    days = add_age(grid, athlete).sort("day_on").join_asof(
        tests,
        left_on="day_on",
        right_on="tested_on",
        by="athlete_id",
        tolerance=f"{settings.checkin_stale_days}d",
        check_sortedness=False,
        coalesce=False,
    )  # fmt: skip
    judged = checkin_answer.group_by("athlete_id", fresh_on="checked_on", maintain_order=True).agg(
        answers=pl.col("baseline_days").max()
    )
    reasons = readiness_reason.group_by("athlete_id", "day_on", maintain_order=True).agg(
        reason_count=pl.len().cast(pl.Int64),
        strongest=pl.col("sentence").sort_by("rank").first(),
        reads_injury=pl.col("reads_injury").sort_by("rank").first(),
        wants_talk=(pl.col("pushes_to") == "talk_first").any(),
        wants_change=(pl.col("pushes_to") == "adapt").any(),
    )
    known = (
        days.join(judged, on=["athlete_id", "fresh_on"], how="left")
        .join(reasons, on=["athlete_id", "day_on"], how="left")
        .with_columns(
            pl.col("reason_count").fill_null(0),
            pl.col("wants_talk", "wants_change", "reads_injury").fill_null(value=False),
        )
    )
    silent = pl.col("fresh_on").is_null()
    thin = ~silent & (pl.col("answers").fill_null(0) < settings.baseline_least_days)
    call = (
        pl.when("wants_talk")
        .then(pl.lit("talk_first"))
        .when(silent & pl.col("tested_on").is_null())
        .then(pl.lit("no_call"))
        .when("wants_change")
        .then(pl.lit("adapt"))
        .when(thin)
        .then(pl.lit("cannot_say"))
        .otherwise(pl.lit("as_planned"))
    )
    reason = (
        pl.when(silent & pl.col("tested_on").is_not_null())
        .then(pl.lit("no_checkin_but_test"))
        .when(silent & pl.col("last_checkin_on").is_null())
        .then(pl.lit("never_checked_in"))
        .when(silent)
        .then(pl.lit("no_checkin"))
        .when(thin)
        .then(pl.lit("thin_baseline"))
    )
    return (
        known.with_columns(call=call, reason=reason)
        .with_columns(sentence=_say_call(settings))
        .select("athlete_id", "day_on", "call", "reason_count", "strongest", "last_checkin_on", "sentence", "reason",
                "caution", "reads_injury")
        .sort("athlete_id", "day_on")
    )  # fmt: skip


def _say_call(settings: SquadSettings) -> pl.Expr:
    more = pl.col("reason_count") - 1
    further = pl.when(more > 0).then(
        phrase("; {}", say_count(more, "further reason", "further reasons"))
    ).otherwise(pl.lit(""))  # fmt: skip
    gap = (pl.col("day_on") - pl.col("last_checkin_on")).dt.total_days()
    silence = (
        pl.when(pl.col("last_checkin_on").is_null())
        .then(pl.lit("no check-in yet"))
        .otherwise(phrase("no check-in for {}", say_count(gap, "day", "days")))
    )
    thin = phrase(
        "{} to compare with, {} needed before one is called unusual",
        say_count(pl.col("answers").fill_null(0), "own answer", "own answers"),
        pl.lit(settings.baseline_least_days),
    )
    planned = (
        pl.when(pl.col("reason") == "no_checkin_but_test")
        .then(phrase("as planned by test and known load alone; {}", silence))
        .otherwise(pl.lit("as planned; nothing unusual for this athlete"))
    )
    return (
        pl.when(pl.col("call") == "talk_first")
        .then(phrase("talk first: {}{}", "strongest", further))
        .when(pl.col("call") == "adapt")
        .then(phrase("adapt: {}{}", "strongest", further))
        .when(pl.col("call") == "no_call")
        .then(phrase("no call: {}", silence))
        .when(pl.col("call") == "cannot_say")
        .then(phrase("cannot say: {}", thin))
        .otherwise(planned)
    )
