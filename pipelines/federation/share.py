"""What a squad shares: from its derived tables to the allow-list, without names, dates or anybody who did not agree."""

import datetime as dt
import hashlib
import hmac
from collections.abc import Mapping

import polars as pl

from pipelines.board.computing import checked
from pipelines.derived.common.age_bands import age_band_from
from pipelines.derived.common.resistance import is_free_run
from schemas.base import Table
from schemas.shared import SHARED
from schemas.shared.tables import PERSON_DIGITS, WEEK_ZERO

FULL_EFFORT_PERCENT = 95.0  # as in every comparison of runs
SHARING, HEALTH = "sharing", "health"
PEOPLE = {"athlete_id": pl.String, "shares_health": pl.Boolean}


def consents_on(consent: pl.DataFrame, day: dt.date) -> pl.DataFrame:
    """Return athlete_id and shares_health of everybody whose consent to sharing is in force on a day.

    The last consent given by that day counts, and is in force until the day it is withdrawn; no row is no consent.
    Health data go along unless a consent on health was withdrawn.
    """
    last = (
        consent.filter(pl.col("given_on") <= day)
        .sort("athlete_id", "topic", "given_on")
        .group_by("athlete_id", "topic", maintain_order=True)
        .last()
        .with_columns(stands=pl.col("withdrawn_on").is_null() | (pl.col("withdrawn_on") > day))
    )
    sharing = last.filter(pl.col("stands"), topic=SHARING).select("athlete_id")
    closed = last.filter(~pl.col("stands"), topic=HEALTH)["athlete_id"].implode()
    return sharing.with_columns(shares_health=~pl.col("athlete_id").is_in(closed)).cast(PEOPLE).sort("athlete_id")  # type: ignore[arg-type]


def pseudonym(secret: bytes, squad: str, athlete_id: str) -> str:
    """Return HMAC-SHA-256 (RFC 2104) of a squad's key and an athlete's id under the squad's secret, shortened."""
    return hmac.new(secret, f"{squad} {athlete_id}".encode(), hashlib.sha256).hexdigest()[:PERSON_DIGITS]


def shared_frames(
    squad: str, secret: bytes, record: Mapping[str, pl.DataFrame], derived: Mapping[str, pl.DataFrame]
) -> dict[str, pl.DataFrame]:
    """Return what a squad shares, by table, each held against its model.

    Args:
        squad: Its key.
        secret: Its own, for pseudonyms.
        record: Its record, with ``may_share`` of ``consents_on``.
        derived: Its derived tables.
    """
    may = record["may_share"]
    names = pl.Series([pseudonym(secret, squad, one) for one in may["athlete_id"]], dtype=pl.String)
    people = may.with_columns(squad=pl.lit(squad, pl.String), person=names).join(
        record["athlete"].select("athlete_id", "sex", "birth_date", "event_group"), on="athlete_id", how="left"
    )
    frames = {
        "shared_run": _runs(people, derived["sprint_profile"], record["rep"]),
        "shared_flag_week": _flag_weeks(people.filter("shares_health"), derived["flag_backtest_week"]),
    }
    return {name: checked(name, _allowed(frame, SHARED[name]), SHARED[name]) for name, frame in frames.items()}


def _allowed(frame: pl.DataFrame, model: type[Table]) -> pl.DataFrame:
    """Return the columns of the allow-list, and no other."""
    return frame.select([pl.col(name).cast(kind) for name, kind in model.to_schema().types.items()])


def _runs(people: pl.DataFrame, profile: pl.DataFrame, rep: pl.DataFrame) -> pl.DataFrame:
    key = ["athlete_id", "session_date", "session_no", "rep_no"]
    full = pl.col("effort_percent").is_null() | (pl.col("effort_percent") >= FULL_EFFORT_PERCENT)
    counted = rep.filter(
        is_free_run() & full & (pl.col("outcome").is_null() | (pl.col("outcome") == "completed"))
    ).select(key)
    kinds = ("start_kind", "clock_start", "timing_kind")
    runs = (
        profile.join(counted, on=key, how="semi")
        .filter(pl.col("trust") != "poor", pl.col("t_10_s").is_not_null(), *[pl.col(k).is_not_null() for k in kinds])
        .join(people, on="athlete_id")
        .sort(key)
        .with_columns(week_no=_week("session_date"), age_from=age_band_from(pl.col("session_date")))
    )
    in_week = ["person", "week_no"]
    return runs.with_columns(
        day_no=pl.col("session_date").rank("dense").over(in_week),
        run_no=pl.int_range(1, pl.len() + 1).over("person", "session_date"),
        t_10_s=pl.col("t_10_s").round(3),
    )


def _flag_weeks(people: pl.DataFrame, weeks: pl.DataFrame) -> pl.DataFrame:
    return weeks.join(people, on="athlete_id").with_columns(week_no=_week("week_of"))


def _week(day: str) -> pl.Expr:
    return (pl.col(day) - pl.lit(WEEK_ZERO)).dt.total_days() // 7
