"""What Groups and Plan read, added to the invented board: made by the real functions from its invented records."""

import datetime as dt
from typing import Any

import polars as pl

from pipelines.derived.group.load import group_load
from pipelines.derived.group.spread import group_spread
from pipelines.derived.load.calendar import completeness_week, group_test_calendar
from pipelines.derived.load.exposure_calendar import exposure_calendar
from pipelines.derived.load.plan_done import plan_done
from pipelines.derived.readiness.ladder import return_ladder
from schemas.derived.registry import derived_models
from schemas.records import RECORDS
from schemas.settings import SquadSettings
from tests.dashboard.invented import TODAY
from tests.dashboard.make_board import board_tables, with_provenance

STEPS = [
    {"rung_no": 1, "done_on": dt.date(2026, 9, 1), "work_done": "walk and jog", "symptoms": "none"},
    {"rung_no": 2, "done_on": dt.date(2026, 9, 4), "symptoms": "slight", "note": "Felt behind the knee"},
    {"rung_no": 3, "done_on": dt.date(2026, 9, 9), "symptoms": "none", "signed_by": "club physiotherapist"},
]
HURT = {"athlete_id": "caspian-wray", "onset_on": dt.date(2026, 8, 20), "site": "hamstring", "side": "l"}


def fitted(tables: dict[str, pl.DataFrame], name: str) -> pl.DataFrame:
    """Return a table of the invented board with exactly its model's columns; what is not there is null."""
    model: Any = RECORDS.get(name) or derived_models()[name]
    types = {column: found.dtype.type for column, found in model.to_schema().columns.items()}
    frame = tables.get(name)
    if frame is None:
        return pl.DataFrame(schema=types)
    return frame.select(
        (pl.col(column) if column in frame.columns else pl.lit(None)).cast(dtype).alias(column)
        for column, dtype in types.items()
    )


def group_board() -> dict[str, pl.DataFrame]:
    """Return the invented board with the tables of Groups and Plan."""
    tables = board_tables()
    steps = pl.DataFrame([HURT | step for step in STEPS], infer_schema_length=None)
    tables["return_step"] = with_provenance(fitted({"return_step": steps}, "return_step"), "ladder.csv")
    settings = SquadSettings()

    def of(*names: str) -> list[pl.DataFrame]:
        return [fitted(tables, name) for name in names]

    made = {
        "group_test_calendar": group_test_calendar(
            *of("athlete", "force_test", "jump_test", "start_trend", "body_measure"), settings=settings, as_of=TODAY
        ),
        "exposure_calendar": exposure_calendar(*of("split", "rep", "session", "day_log"), as_of=TODAY),
        "completeness_week": completeness_week(
            *of("athlete", "checkin", "session", "split", "lift_set", "load_day", "plan", "force_test", "jump_test",
                "start_trend", "body_measure"), settings=settings, as_of=TODAY,
        ),
        "group_spread": group_spread(
            fitted(tables, "start_progress").with_columns(
                recent_sessions=pl.lit(6, pl.Int64), level_now_se=pl.lit(0.01), level_now=pl.lit(1.9)
                + 0.01 * pl.int_range(pl.len())
            ),
            fitted(tables, "athlete"),
        ),
        "group_load": group_load(*of("load_week", "athlete")),
        "plan_done": plan_done(*of("plan", "session", "load_week", "speed_exposure"), as_of=TODAY),
        "return_ladder": return_ladder(
            *of("injury", "return_step", "split", "rep"), settings=settings, as_of=TODAY
        ),
    }  # fmt: skip
    return tables | made
