"""Small frames for the tests of readiness, hamstring and week: only what a rule reads, the rest null."""

import datetime as dt
from typing import Any

import polars as pl

from schemas.settings import SquadSettings

AS_OF = dt.date(2026, 11, 22)  # a Sunday
SETTINGS = SquadSettings()

COLUMNS: dict[str, dict[str, Any]] = {
    "athlete": {"athlete_id": pl.String, "display_name": pl.String, "sex": pl.String, "birth_date": pl.Date,
                "joined_on": pl.Date, "left_on": pl.Date},
    "checkin": {"athlete_id": pl.String, "checked_on": pl.Date, "sleep_h": pl.Float64, "sleep_quality": pl.Int64,
                "fatigue": pl.Int64, "soreness": pl.Int64, "stress": pl.Int64, "mood": pl.Int64,
                "hamstring_tightness_l": pl.Int64, "hamstring_tightness_r": pl.Int64, "pain": pl.Int64,
                "pain_site": pl.String, "ill": pl.Boolean, "note": pl.String},
    "injury": {"athlete_id": pl.String, "onset_on": pl.Date, "site": pl.String, "side": pl.String,
               "stopped_training": pl.Boolean, "returned_on": pl.Date},
    "spring_state": {"athlete_id": pl.String, "tested_on": pl.Date, "test": pl.String, "jump_height_m": pl.Float64,
                     "usual_height_m": pl.Float64, "change_percent": pl.Float64, "p_drop": pl.Float64},
    "load_week": {"athlete_id": pl.String, "week_of": pl.Date, "load_au": pl.Float64, "own_low_au": pl.Float64,
                  "own_high_au": pl.Float64, "change_percent": pl.Float64, "expected_au": pl.Float64,
                  "above_z": pl.Float64},
    "strength_state": {"athlete_id": pl.String, "measured_on": pl.Date, "item": pl.String, "side": pl.String,
                       "kind": pl.String, "peak_force_n": pl.Float64, "difference_percent": pl.Float64,
                       "difference_noise_percent": pl.Float64, "persistent_side": pl.String,
                       "change_vs_best_percent": pl.Float64, "p_drop": pl.Float64, "own_change_percent": pl.Float64,
                       "p_fallen": pl.Float64, "p_fallen_before": pl.Float64, "lost_side": pl.String},
    "speed_exposure": {"athlete_id": pl.String, "week_of": pl.Date, "metres_95": pl.Float64,
                       "metres_90": pl.Float64, "first_95_on": pl.Date, "last_95_on": pl.Date, "first_90_on": pl.Date,
                       "last_90_on": pl.Date, "expected_metres_90": pl.Float64, "above_z": pl.Float64,
                       "longest_gap_95_days": pl.Int64, "usual_metres_95_low": pl.Float64,
                       "usual_metres_95_high": pl.Float64, "reason": pl.String},
    "work_week": {"athlete_id": pl.String, "week_of": pl.Date, "last_eccentric_on": pl.Date,
                  "unknown_exercises": pl.String},
    "start_pattern": {"athlete_id": pl.String, "session_date": pl.Date, "session_no": pl.Int64, "rep_no": pl.Int64,
                      "pattern": pl.String, "strength": pl.String, "sentence": pl.String},
    "plan": {"athlete_id": pl.String, "planned_on": pl.Date, "plan_no": pl.Int64, "kind": pl.String,
             "fast_metres": pl.Float64},
    "start_progress": {"athlete_id": pl.String, "metric": pl.String, "start_kind": pl.String,
                       "clock_start": pl.String, "timing_kind": pl.String, "measured_by": pl.String,
                       "set_up": pl.String, "is_main": pl.Boolean,
                       "level_then": pl.Float64, "mdc": pl.Float64, "word": pl.String, "sentence": pl.String},
    "start_trend": {"athlete_id": pl.String, "metric": pl.String, "start_kind": pl.String, "clock_start": pl.String,
                    "timing_kind": pl.String, "measured_by": pl.String, "set_up": pl.String, "session_date": pl.Date,
                    "level": pl.Float64},
    "start_focus": {"athlete_id": pl.String, "week_of": pl.Date, "rank": pl.Int64, "limit": pl.String,
                    "headline": pl.String, "work": pl.String, "why": pl.String, "strength": pl.String,
                    "source": pl.String, "caution": pl.String, "would_show": pl.String},
    "session": {"athlete_id": pl.String, "session_date": pl.Date, "session_no": pl.Int64, "note": pl.String},
    "return_ladder": {"athlete_id": pl.String, "is_current": pl.Boolean},
    "body_measure": {"athlete_id": pl.String, "measured_on": pl.Date, "body_mass_kg": pl.Float64},
}  # fmt: skip


def frame(table: str, *rows: dict[str, Any]) -> pl.DataFrame:
    """Return rows of a table; a column a row does not name is null."""
    schema = COLUMNS[table]
    for row in rows:
        unknown = set(row) - set(schema)
        if unknown:
            raise KeyError(f"{table} has no {unknown}")
    return pl.DataFrame([{name: row.get(name) for name in schema} for row in rows], schema=schema, orient="row")


def athletes(*ids: str, **fields: Any) -> pl.DataFrame:
    """Return athletes with the same fields."""
    return frame("athlete", *({"athlete_id": name, "display_name": name.title(), **fields} for name in ids))


def day(back: int) -> dt.date:
    """Return the day so many days before the day looked from."""
    return AS_OF - dt.timedelta(days=back)


def quiet_month(name: str = "ann", *, until: int = 0, days: int = 40, **today: Any) -> list[dict[str, Any]]:
    """Return check-ins of an even month that ends ``until`` days back; the last one takes the fields given."""
    usual = {"sleep_h": 8.0, "sleep_quality": 4, "fatigue": 4, "soreness": 4, "stress": 4, "mood": 4,
             "hamstring_tightness_l": 1, "hamstring_tightness_r": 1, "pain": 0, "ill": False}  # fmt: skip
    rows = [{"athlete_id": name, "checked_on": day(back), **usual} for back in range(until + days - 1, until - 1, -1)]
    rows[-1] |= today
    return rows
