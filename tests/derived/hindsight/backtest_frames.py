"""Weeks of an athlete looked back on, for the tests of what the rules would have said."""

import datetime as dt
from typing import Any

import polars as pl

from pipelines.board.computing import checked
from pipelines.derived.hindsight.backtest import flag_backtest
from schemas.derived.backtest import FlagBacktest
from tests.derived.common.review_frames import AS_OF, SETTINGS, frame

WEEK = dt.timedelta(days=7)
ENTRY = {
    "table_name": pl.String,
    "athlete_id": pl.String,
    "day_on": pl.Date,
    "entered_on": pl.Date,
    "load_no": pl.Int64,
}


def entries(*rows: tuple[str, dt.date, dt.date], name: str = "ann") -> pl.DataFrame:
    return pl.DataFrame([(t, name, d, e, 1) for t, d, e in rows], schema=ENTRY, orient="row")


def injury(onset: dt.date, returned: dt.date | None = None, **more: Any) -> dict[str, Any]:
    return {"athlete_id": "ann", "onset_on": onset, "site": "hamstring", "side": "l", "stopped_training": True,
            "returned_on": returned, **more}  # fmt: skip


# --- which weeks, and what counts ---


def judged_weeks(cells: list[tuple[int, int, int, int]], acted: bool = False) -> pl.DataFrame:
    """Return weeks with hits, false flags, missed and quiet of each athlete."""
    rows = []
    for number, (hits, false_flags, missed, quiet) in enumerate(cells):
        kinds = [(True, True)] * hits + [(True, False)] * false_flags + [(False, True)] * missed
        kinds += [(False, False)] * quiet
        for week, (flagged, followed) in enumerate(kinds):
            monday = dt.date(2025, 1, 6) + WEEK * week
            rows.append((f"a-{number:02d}", monday, flagged, monday if followed else None))
    names = {"athlete_id": pl.String, "week_of": pl.Date, "flagged": pl.Boolean, "injured_on": pl.Date}
    return pl.DataFrame(rows, schema=names, orient="row").with_columns(
        judged_on=pl.col("week_of") - pl.duration(days=1),
        level=pl.when("flagged").then(pl.lit("one_family")).otherwise(pl.lit("none")),
        families=pl.when("flagged").then(pl.lit("state")),
        flagged_without_budget=pl.col("flagged"),
        history_flagged=pl.lit(value=False),
        acted=pl.lit(acted),
        outcome=pl.when(pl.col("flagged") & pl.col("injured_on").is_not_null())
        .then(pl.lit("hit"))
        .when("flagged")
        .then(pl.lit("false_flag"))
        .when(pl.col("injured_on").is_not_null())
        .then(pl.lit("missed"))
        .otherwise(pl.lit("quiet")),
        reason=pl.lit(None, pl.String),
    )


def counted(
    weeks: pl.DataFrame, injuries: list[dict[str, Any]] | None = None, entry_day: pl.DataFrame | None = None
) -> pl.DataFrame:
    told = weeks.drop_nulls("injured_on").select("athlete_id", "injured_on").rows()
    hurt = injuries if injuries is not None else [injury(on, athlete_id=name) for name, on in told]
    found = flag_backtest(
        weeks,
        frame("injury", *hurt),
        entries() if entry_day is None else entry_day,
        settings=SETTINGS,
        as_of=AS_OF,
    )
    return checked("flag_backtest", found, FlagBacktest)


def row_of(found: pl.DataFrame, rule: str = "flag_in_force") -> dict[str, Any]:
    return found.filter(rule=rule).row(0, named=True)


# 25 athletes x 40 weeks, 10 injuries in ten athletes: six hit, four missed; 198 false flags, 792 quiet.
# Own example; textbook definitions, values by hand: 10 x 7 + 8 x 13 + 12 x 2 = 198 false flags.
SEASON = [(1, 7, 0, 32)] * 6 + [(0, 7, 1, 32)] * 4 + [(0, 8, 0, 32)] * 13 + [(0, 8, 0, 32)] * 2
SEASON[-2:] = [(0, 12, 0, 28), (0, 12, 0, 28)]
