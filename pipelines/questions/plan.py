"""A plan that is not stored yet: its effect, from the tables its reader may see."""

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import Any

import polars as pl

from pipelines.derived.common.weeks import OWN_WEEKS
from pipelines.derived.load.planning import plan_effect
from schemas.base import Table
from schemas.derived.exposure import SpeedExposure
from schemas.derived.load import LoadWeek
from schemas.records import RECORDS
from schemas.settings import SquadSettings

READS: dict[str, type[Table]] = {"plan": RECORDS["plan"], "load_week": LoadWeek, "speed_exposure": SpeedExposure}


FAST_COLUMNS = ["athlete_id", "week_of", "last_95_on", "usual_metres_95_low", "usual_metres_95_high"]


def needed_for(rows: Sequence[Mapping[str, Any]], as_of: dt.date) -> dict[str, dict[str, Any]]:
    """Return what the effect of planned sessions rests on: for each table conditions and columns to read it with.

    Own weeks are those of the year before the planned one, and of the plan the weeks planned and what lies ahead; what
    is older changes nothing, and there may be much of it.
    """
    who = sorted({row["athlete_id"] for row in rows})
    first = min((row["planned_on"] for row in rows), default=as_of)
    own = first - dt.timedelta(weeks=OWN_WEEKS + 1)
    planned = min(first - dt.timedelta(days=first.weekday()), as_of)
    return {
        "plan": {"where": {"athlete_id": who, "planned_on": (">=", planned)}},
        "load_week": {"where": {"athlete_id": who, "week_of": (">=", own)}},
        "speed_exposure": {"where": {"athlete_id": who}, "columns": FAST_COLUMNS},
    }


def effect_of(
    frames: Mapping[str, pl.DataFrame], rows: Sequence[Mapping[str, Any]], settings: SquadSettings, as_of: dt.date
) -> pl.DataFrame:
    """Return the effect of planned sessions; a table or column that is not there counts as unknown."""
    known = {name: _fitted(frames.get(name), model) for name, model in READS.items()}
    types = _types(READS["plan"])
    planned = pl.DataFrame([{name: row.get(name) for name in types} for row in rows], schema=types, orient="row")
    return plan_effect(planned, **known, settings=settings, as_of=as_of)


def _types(model: type[Table]) -> dict[str, Any]:
    return {name: column.dtype.type for name, column in model.to_schema().columns.items()}


def _fitted(frame: pl.DataFrame | None, model: type[Table]) -> pl.DataFrame:
    """Return a table with exactly its model's columns: others, such as where a row came from, are left out."""
    types = _types(model)
    if frame is None:
        return pl.DataFrame(schema=types)
    return frame.select(
        (pl.col(name) if name in frame.columns else pl.lit(None)).cast(dtype).alias(name)
        for name, dtype in types.items()
    )
