"""What is past its keeping: health rows older than the squad keeps them, and people who left long ago."""

import datetime as dt
from collections.abc import Mapping

import polars as pl

from schemas.settings import SquadSettings

# Tables that are health data, with the day a row is about.
HEALTH = {"checkin": "checked_on", "injury": "onset_on", "return_step": "done_on", "body_measure": "measured_on"}
LAST_SEEN = {**HEALTH, "session": "session_date", "force_test": "tested_on", "jump_test": "tested_on",
             "race_result": "raced_on"}  # fmt: skip
COLUMNS = {"athlete_id": pl.String, "what": pl.String, "rows": pl.Int64, "oldest_on": pl.Date, "keep_days": pl.Int64}


def past_keeping(frames: dict[str, pl.DataFrame], settings: SquadSettings, as_of: dt.date) -> pl.DataFrame:
    """List per athlete and table the health rows older than ``keep_health_days``, and who left ``keep_left_days`` ago.

    An open injury is kept however old it is. Somebody of whom nothing is recorded has not been heard of since the day
    they joined; without that day nothing is said. 0 days mean that nothing is ever listed. Source: the squad's own
    settings; storage limitation, GDPR Art 5(1)(e), from memory.
    """
    found = [pl.DataFrame(schema=COLUMNS)]
    for name, old in old_rows(frames, settings, as_of).items():
        found.append(_counted(old, name, HEALTH[name], settings.keep_health_days))
    if settings.keep_left_days:
        edge = as_of - dt.timedelta(days=settings.keep_left_days)
        seen = pl.concat([frames[name].select("athlete_id", on=day) for name, day in LAST_SEEN.items()])
        last = seen.group_by("athlete_id").agg(pl.col("on").max())
        people = frames["athlete"].join(last, on="athlete_id", how="left").with_columns(
            on=pl.coalesce("left_on", "on", "joined_on")
        )  # fmt: skip
        found.append(_counted(people.filter(pl.col("on") < edge), "athlete", "on", settings.keep_left_days))
    return pl.concat(found).sort("athlete_id", "what")


def old_rows(frames: Mapping[str, pl.DataFrame], settings: SquadSettings, as_of: dt.date) -> dict[str, pl.DataFrame]:
    """Return the health rows older than ``keep_health_days`` by table; an open injury is kept however old it is."""
    if not settings.keep_health_days:
        return {}
    edge, found = as_of - dt.timedelta(days=settings.keep_health_days), {}
    for name, day in HEALTH.items():
        old = frames[name].filter(pl.col(day) < edge)
        found[name] = old.filter(pl.col("returned_on").is_not_null()) if name == "injury" else old
    return found


def _counted(rows: pl.DataFrame, name: str, day: str, keep_days: int) -> pl.DataFrame:
    return rows.group_by("athlete_id").agg(
        what=pl.lit(name), rows=pl.len().cast(pl.Int64), oldest_on=pl.col(day).min(),
        keep_days=pl.lit(keep_days, pl.Int64),
    )  # fmt: skip
