"""The invented squad's drills, saved weeks and days that are always off."""

import datetime as dt

import polars as pl

MONDAY = dt.date(2026, 11, 16)
_DRILLS = [
    ("falling_start", "push_cut_short", "push long", "the fall sets the angle", "2 x 4 x 10 m", "not with a sore calf",
     "https://club.example/falling", True, "Head coach"),
    ("hill_start", "push_cut_short", "chest to the hill", None, None, None, None, True, "Head coach"),
    ("stiff_hops", "ankle_gives", "short and quiet", None, "4 x 10", "few at first", None, True, "Head coach"),
    ("wall_push", "push_cut_short", "long leg", None, None, None, None, None, "Staff coach"),
    ("old_drill", "any", "as it was", None, None, None, None, False, "Head coach"),
]  # fmt: skip
_WEEK = [
    ("speed_week", 1, 1, "acceleration", 40.0, 90.0, 6.0, "4 x 30 m from blocks", False, "Head coach"),
    ("speed_week", 3, 1, "top_speed", 90.0, 80.0, 7.0, "3 x flying 30 m", None, "Head coach"),
    ("speed_week", 5, 1, "tempo", 0.0, 60.0, 4.0, None, True, "Head coach"),
]


def library_tables() -> dict[str, pl.DataFrame]:
    """Return the tables of the library, with where each row came from."""
    texts = ("drill", "limit", "cue", "why", "amount", "caution", "link")
    week = {"template": pl.String, "weekday": pl.Int64, "plan_no": pl.Int64, "kind": pl.String,
            "fast_metres": pl.Float64, "planned_min": pl.Float64, "planned_effort_0_10": pl.Float64,
            "note": pl.String, "is_dropped": pl.Boolean, "saved_by": pl.String}  # fmt: skip
    off = {"athlete_id": pl.String, "weekday": pl.Int64, "from_on": pl.Date, "until_on": pl.Date, "note": pl.String}
    drill = dict.fromkeys(texts, pl.String) | {"is_used": pl.Boolean, "proposed_by": pl.String}
    told = {
        "drill": pl.DataFrame(_DRILLS, schema=drill, orient="row"),
        "week_template": pl.DataFrame(_WEEK, schema=week, orient="row"),
        "rest_day": pl.DataFrame([("marit-oakhollow", 7, MONDAY, None, None)], schema=off, orient="row"),
    }
    return {
        name: frame.with_columns(
            load_no=pl.lit(1, pl.Int64),
            source_sha256=pl.lit("0" * 64),
            source_name=pl.lit(f"{name}.csv"),
            source_sheet=pl.lit(None, pl.String),
            source_line=pl.int_range(2, frame.height + 2, dtype=pl.Int64),
            entered_at=pl.lit(dt.datetime(2026, 11, 22, 21, 40)),
        )
        for name, frame in told.items()
    }
