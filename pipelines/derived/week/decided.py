"""How what was decided for the running week stands beside the calls of now (``decision_state``)."""

import datetime as dt

import polars as pl

from schemas.derived.decided import DecisionState
from schemas.phrase import phrase
from schemas.vocabulary import CALL_WORDS, CALLS_BY_CARE

# What a reason or a flag rests on, as the tables that people fill are named; of a week's load every session of it.
ENTERED_AS = {"checkin": "checkin", "injury": "injury", "strength_state": "force_test", "spring_state": "jump_test"}
SAID_AS = {"checkin": "the answer", "session": "the session", "force_test": "the test", "jump_test": "the test"}
ELSE = "the entry"  # an injury is named to those alone who may read of it
CARE = {call: place for place, call in enumerate(CALLS_BY_CARE)}
AS_PLANNED, ADAPT = r"^\s*(?:train )?as planned\b", r"^\s*adapt\b"
WEEK_LOAD = "load_week"
FOUND = ["athlete_id", "table_name", "day_on"]


def decision_state(
    decision: pl.DataFrame,
    readiness_day: pl.DataFrame,
    readiness_reason: pl.DataFrame,
    hamstring_flag: pl.DataFrame,
    entry_day: pl.DataFrame,
    *,
    as_of: dt.date,
) -> pl.DataFrame:
    """Say of each decision of the running week whether it came after what speaks now, and whether it overrules it.

    What speaks: the rows behind the reasons of the day (check-in, injury, jump test; of a week's load its sessions),
    behind hamstring families that speak (check-in, injury, force test), and a note that names the hamstring. known_at =
    when the last of them was entered or corrected (``entry_day``). is_older: decided before known_at, to the second, or
    on a day before the one such a row is of. is_overruled: not older, and training decided asks for less than the call:
    'as planned' under 'adapt' and 'talk first', 'adapt' under 'talk first'; free words asked for nothing are not read.
    The decision on training counts; where there is none, the first of the others.
    Source: common_practice. Limits: what grows by itself (days without fast running) opens nothing again. Null rule: a
    decision that does not say when is older than whatever speaks; known_at is null where nothing speaks.
    """
    monday = as_of - dt.timedelta(days=as_of.weekday())
    said = decision.filter(pl.col("week_of") == monday)
    if said.is_empty():  # as before the review of the week
        return DecisionState.no_rows()
    of_week = (
        said.with_columns(is_training=pl.col("topic") == "training")
        .sort("athlete_id", "is_training", "decided_at", descending=[False, True, False], nulls_last=False)
        .group_by("athlete_id", "week_of", maintain_order=True)
        .agg(
            training=pl.col("call").filter("is_training").first(),
            decided_at=pl.col("decided_at").first(),
            decided_by=pl.col("decided_by").first(),
        )
    )
    calls = readiness_day.filter(pl.col("day_on") == as_of).select("athlete_id", "call").unique("athlete_id")
    rows = of_week.join(calls, on="athlete_id", how="left").join(
        _last_known(_speaking(readiness_reason, hamstring_flag, as_of), entry_day), on="athlete_id", how="left"
    )
    at = pl.col("decided_at")
    came_later = (at < pl.col("known_at").dt.truncate("1s")) | (at.dt.date() < pl.col("speaks_on")) | at.is_null()
    text = pl.col("training").str.to_lowercase()
    decided = (
        pl.when(text.str.contains(AS_PLANNED))
        .then(CARE["as_planned"])
        .when(text.str.contains(ADAPT))
        .then(CARE["adapt"])
    )
    asked = pl.col("call").replace_strict(CARE, default=None, return_dtype=pl.Int32)
    called = pl.col("call").replace_strict(CALL_WORDS, default=None, return_dtype=pl.String)
    by = phrase(" ({})", "decided_by").fill_null("")
    rows = rows.with_columns(
        is_older=pl.col("speaks_on").is_not_null() & came_later.fill_null(value=False),
        is_less=(decided < asked).fill_null(value=False),
    ).with_columns(is_overruled=pl.col("is_less") & ~pl.col("is_older"))
    what = pl.col("last_table").replace_strict(SAID_AS, default=ELSE, return_dtype=pl.String)
    before = pl.when(pl.col("known_at").is_not_null()).then(
        phrase("decided {}before {} of {}", _say_when(at, "known_at"), what, _say_at(pl.col("known_at"), at))
    ).otherwise(pl.lit("decided before what speaks now"))  # fmt: skip
    against = phrase("{}, not {}{}", "training", called, by)
    return (
        rows.with_columns(
            words=pl.when("is_older").then(phrase("{}: look again", before)).when("is_overruled").then(against),
            own_words=pl.when("is_older").then(before).when("is_overruled").then(against),
        )
        .select(list(DecisionState.to_schema().columns))
        .sort("athlete_id")
    )


def _say_at(at: pl.Expr, beside: pl.Expr) -> pl.Expr:
    """Write a time as 21:22, with its day where what it stands beside is of another."""
    is_same = (at.dt.date() == beside.dt.date()).fill_null(value=False)
    return pl.when(is_same).then(at.dt.strftime("%H:%M")).otherwise(at.dt.strftime("%-d %b, %H:%M"))


def _say_when(at: pl.Expr, beside: str) -> pl.Expr:
    """Write when it was decided, with what follows; nothing where nobody knows."""
    return phrase("{}, ", _say_at(at, pl.col(beside))).fill_null("")


def _speaking(readiness_reason: pl.DataFrame, hamstring_flag: pl.DataFrame, as_of: dt.date) -> pl.DataFrame:
    """Return athlete_id, table_name, day_on: the rows that speak on a day, as the tables that people fill name them."""
    table = pl.col("evidence_table").replace_strict(ENTERED_AS, default=None, return_dtype=pl.String)
    told = {"table_name": table, "day_on": pl.col("evidence_on")}
    reasons = readiness_reason.filter(pl.col("day_on") == as_of)
    flags = hamstring_flag.filter(pl.col("day_on") == as_of)
    week = pl.col("evidence_on").dt.offset_by
    loads = reasons.filter(pl.col("evidence_table") == WEEK_LOAD).select(
        "athlete_id",
        table_name=pl.lit("session"),
        day_on=pl.concat_list([week(f"{n}d") for n in range(7)]),
    )
    notes = flags.filter(pl.col("read_note_on").is_not_null())
    noted = [
        notes.select("athlete_id", table_name=pl.lit(name), day_on=pl.col("read_note_on"))
        for name in ("checkin", "session")
    ]
    spoke = [
        rows.select("athlete_id", **told).drop_nulls() for rows in (reasons, flags.filter(pl.col("state") == "speaks"))
    ]
    return pl.concat([*spoke, loads.explode("day_on"), *noted]).select(FOUND).unique(maintain_order=True)


def _last_known(speaking: pl.DataFrame, entry_day: pl.DataFrame) -> pl.DataFrame:
    """Return athlete_id, speaks_on, known_at and last_table: the last day that speaks, and what was entered last."""
    entered = speaking.join(entry_day.select(*FOUND, "last_at"), on=FOUND, how="left").sort(
        "athlete_id", "last_at", "table_name", nulls_last=False
    )
    return entered.group_by("athlete_id", maintain_order=True).agg(
        speaks_on=pl.col("day_on").filter(pl.col("last_at").is_not_null()).max(),
        known_at=pl.col("last_at").last(),
        last_table=pl.col("table_name").last(),
    )
