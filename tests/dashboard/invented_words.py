"""Method, column, knowledge, caveat and setting rows of the invented board."""

import datetime as dt

import polars as pl

from pipelines.home.settings import setting_rows
from schemas.settings import SquadSettings


def knowledge_tables() -> dict[str, pl.DataFrame]:
    """Return the tables that describe the others."""
    text = (
        "One row per athlete and week: load of the week.\n\nload_au = sum over the days of effort (0-10) x minutes, "
        "arbitrary units.\nmonotony = mean_au / sd_au of the seven days (n - 1).\nstrain_au = load_au x monotony.\n\n"
        "Source: foster_2001. Null unless all seven days are known; an unknown day is never counted as 0."
    )
    method = [
        ("load_week", "Week load", "derived", text, 1),
        (
            "readiness_day",
            "Readiness of the day",
            "derived",
            "One row per athlete and day: the call and its reasons.\n\nRules, strongest first:\n"
            "  pain 4 or more, or ill            -> talk first\n  two unusual items                 -> adapt\n"
            "  one unusual item                  -> adapt\n  no check-in within 2 days         -> no call\n\n"
            "Common practice; the limits are settings.",
            2,
        ),
        (
            "start_trend",
            "Start trend",
            "derived",
            "Local-level model: y_t = level_t + e_t, level_t = level_(t-1) + w_t, both normal.\n\nSource: harvey_1989.",
            3,
        ),
        (
            "start_progress",
            "Start progress",
            "derived",
            "Change of the level over six weeks against the smallest worthwhile change.\n\n"
            "p_better = P(change < -swc).",
            4,
        ),
        ("split", "Split", "record", "One row per gate crossing.", 5),
    ]
    columns = [
        ("load_week", "load_au", "Load of the week.", "au", "foster_2001", True, "", "Load"),
        ("load_week", "monotony", "Mean over standard deviation of the days.", "", "foster_2001", True, "", ""),
        ("split", "elapsed_s", "Time since the clock started.", "s", "coach", False, "0 to 120", "Time"),
        ("split", "distance_m", "Gate distance from the start line.", "m", "coach", False, "2 to 400", "Gate"),
    ]
    return {
        "method": pl.DataFrame(method, schema=["table_name", "title", "kind", "docstring", "position"], orient="row"),
        "column_doc": pl.DataFrame(
            columns,
            schema=["table_name", "column_name", "description", "unit", "source", "nullable", "range_text", "label"],
            orient="row",
        ),
        "knowledge": pl.DataFrame(
            [
                (
                    "foster_2001",
                    "Foster C, et al. (2001) A new approach to monitoring exercise training. "
                    "J Strength Cond Res 15(1):109-115.",
                    "published",
                    "abstract",
                    "",
                ),
                (
                    "harvey_1989",
                    "Harvey AC (1989) Forecasting, structural time series models and the Kalman filter. "
                    "Cambridge University Press.",
                    "published",
                    "memory",
                    "",
                ),
            ],
            schema=["source_key", "citation", "strength", "read", "note"],
            orient="row",
        ),
        "caveat": pl.DataFrame(
            [
                ("too_few_reps", "Too few reps to tell a change from measurement noise. Time three more starts."),
                ("no_checkin", "No check-in within two days."),
                ("day_unknown", "A day of this week is neither logged nor marked complete, so the week has no sum."),
            ],
            schema=["code", "sentence"],
            orient="row",
        ),
        "setting": setting_rows(SquadSettings()),
        "board_info": pl.DataFrame(
            [
                ("squad_name", "Saltmarsh Speed Group"),
                ("as_of", "2026-11-22"),
                ("data_to", "2026-11-22"),
                ("built_at", dt.datetime(2026, 11, 22, 21, 40).isoformat()),
                ("build", "000001"),
                ("is_demo", "true"),
            ],
            schema=["name", "value"],
            orient="row",
        ),
    }
