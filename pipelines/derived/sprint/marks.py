"""Race marks: what a 100 m would have been in still air at sea level, and combined-events points (``race_mark``)."""

from dataclasses import dataclass

import numpy as np
import polars as pl

from pipelines.derived.sprint.motion import FloatArray, Real

HAND_LATE_S = 0.24  # s, counted on top of hand times, source: "hand_time_convention"
HAND_LATE_400_S = 0.14  # s, the same over 400 m, source: "hand_time_convention"
WIND_LIMIT_MPS = 2.0  # m/s, greatest tailwind for records, source: "wa_technical_rules"
WIND_JUDGED = ("100", "200", "100h", "110h")  # events with a wind reading under the rules, source: "wa_technical_rules"
CORRECTED_EVENT = "100"  # the correction was made for the 100 m, source: "mureika_2001"
GREATEST_WIND_MPS = 5.0  # m/s, beyond it the correction is not made, source: "mureika_2001"
LEAST_REACTION_S = 0.100  # s, below it is a false start, source: "wa_technical_rules"
SLOW_REACTION_S = 0.250  # s, above it look at the entry, source: "common_practice"
NO_MARK = {  # how a race ended -> why it has no mark
    "not_started": "race_not_started", "not_finished": "race_not_finished", "disqualified": "race_disqualified",
}  # fmt: skip
ROUNDING = 1e-9  # points whose raw value is an integer but for binary fractions are not cut below it


@dataclass(frozen=True)
class PointsTable:
    """Coefficients of points = INT[A (B - T)^C], T in seconds."""

    a: float
    b_s: float
    c: float


POINTS: dict[tuple[str, str], PointsTable] = {  # (sex, event); source: "wa_combined_tables"
    ("m", "60"): PointsTable(58.0150, 11.5, 1.81),  # from memory
    ("m", "60h"): PointsTable(20.5173, 15.5, 1.92),
    ("m", "100"): PointsTable(25.4347, 18.0, 1.81),
    ("m", "110h"): PointsTable(5.74352, 28.5, 1.92),
    ("m", "200"): PointsTable(5.8425, 38.0, 1.81),
    ("m", "400"): PointsTable(1.53775, 82.0, 1.81),
    ("f", "60h"): PointsTable(20.0479, 17.0, 1.835),
    ("f", "100"): PointsTable(17.857, 21.0, 1.81),  # the women's decathlon
    ("f", "100h"): PointsTable(9.23076, 26.7, 1.835),
    ("f", "200"): PointsTable(4.99087, 42.5, 1.81),
    ("f", "400"): PointsTable(1.34285, 91.7, 1.81),  # from memory
}


def correct_100m(time_s: Real, tailwind_mps: Real, altitude_m: Real = 0.0) -> FloatArray:
    """Return a 100 m time in s as it would be in still air at sea level.

    t [1.03 - 0.03 e^(-0.000125 H) (1 - w t/100)^2], H in m, w tailwind in m/s, within about 5 m/s. Men and women.
    Source: "mureika_2001" (formula from memory; effects agree with "linthorne_1994").
    """
    time = np.asarray(time_s, dtype=np.float64)
    thin_air = np.exp(-0.000125 * np.asarray(altitude_m, dtype=np.float64))
    return np.asarray(time * (1.03 - 0.03 * thin_air * (1.0 - np.asarray(tailwind_mps) * time / 100.0) ** 2))


def hand_allowance(event: str) -> float:
    """Return the seconds counted on top of a hand time: 0.24, over 400 m 0.14. A convention, not a measurement."""
    return HAND_LATE_400_S if event in ("400", "400h") else HAND_LATE_S


def combined_points(event: str, sex: str, time_s: float, *, is_hand_timed: bool = False) -> int | None:
    """Return combined-events points: INT[A (B - T)^C], cut, never rounded; 0 from T = B on; None without a table.

    Hand times count 0.24 s slower (400 m: 0.14 s). Source: "wa_combined_tables".
    """
    table = POINTS.get((sex, event))
    if table is None:
        return None
    counted = time_s + (hand_allowance(event) if is_hand_timed else 0.0)
    if counted >= table.b_s:
        return 0
    return int(table.a * (table.b_s - counted) ** table.c + ROUNDING)


def judge_reaction(reaction_s: float) -> str | None:
    """Return what a reaction time says: reaction_below_limit under 0.100 s, reaction_slow above 0.250 s, else None."""
    if reaction_s < LEAST_REACTION_S:
        return "reaction_below_limit"
    return "reaction_slow" if reaction_s > SLOW_REACTION_S else None


def race_mark(race_result: pl.DataFrame, athlete: pl.DataFrame) -> pl.DataFrame:
    """Corrected 100 m time and combined-events points of every race.

    corrected_s: the 100 m in still air at sea level, t [1.03 - 0.03 e^(-0.000125 H) (1 - w t/100)^2]; electronic times
    with a wind reading within 5 m/s only; without an altitude it reckons with sea level and says so. points:
    INT[A (B - T)^C] by the table for sex and event; hand times count 0.24 s (400 m: 0.14 s) slower.

    Sources: "mureika_2001", "wa_combined_tables", "hand_time_convention", "wa_technical_rules".

    Null rule: no time, no mark; nor for a race not started, not finished or disqualified, also where a time stands.
    Timing not recorded: neither correction nor points. No sex or no table: no points.
    ``reason`` says why there is no correction, ``points_reason`` why no points, ``note`` what else to mind. Times
    converted from hand to electronic are never used for anything but points.
    """
    sex = athlete.select("athlete_id", "sex")
    races = race_result.join(sex, on="athlete_id", how="left").sort("athlete_id", "raced_on", "event", "round")
    time, timing, wind = pl.col("time_s"), pl.col("timing_kind"), pl.col("wind_ms")
    no_mark = pl.coalesce(
        pl.col("race_outcome").replace_strict(NO_MARK, default=None, return_dtype=pl.String),
        pl.when(time.is_null()).then(pl.lit("no_race_time")),
    )
    races = races.with_columns(
        reason=pl.when(no_mark.is_not_null()).then(no_mark)
        .when(pl.col("event") != CORRECTED_EVENT).then(pl.lit("correction_100m_only"))
        .when(timing.is_null()).then(pl.lit("mark_timing_unknown"))
        .when(timing == "hand").then(pl.lit("mark_hand_timed"))
        .when(wind.is_null()).then(pl.lit("no_wind"))
        .when(wind.abs() > GREATEST_WIND_MPS).then(pl.lit("wind_beyond_correction")),
        points_reason=pl.when(no_mark.is_not_null()).then(no_mark)
        .when(timing.is_null()).then(pl.lit("mark_timing_unknown"))
        .when(pl.col("sex").is_null() | (pl.col("sex") == "x")).then(pl.lit("sex_unknown")),
    )  # fmt: skip
    corrected = correct_100m(
        races["time_s"].to_numpy(), races["wind_ms"].to_numpy(), races["altitude_m"].fill_null(0.0).to_numpy()
    )
    points = [
        combined_points(event, who, seconds, is_hand_timed=kind == "hand") if reason is None else None
        for event, who, seconds, kind, reason in races.select(
            "event", "sex", "time_s", "timing_kind", "points_reason"
        ).iter_rows()  # a few races an athlete and year
    ]
    has_correction = pl.col("reason").is_null()
    return (
        races.with_columns(
            corrected_s=pl.when(has_correction).then(pl.Series(corrected, dtype=pl.Float64)),
            points=pl.Series(points, dtype=pl.Int64),
        )
        .with_columns(
            points_reason=pl.when(pl.col("points").is_null() & pl.col("points_reason").is_null())
            .then(pl.lit("no_points_table"))
            .otherwise(pl.col("points_reason")),
            is_wind_legal=pl.when(pl.col("event").is_in(WIND_JUDGED)).then(wind <= WIND_LIMIT_MPS),
            note=_notes(has_correction),
        )
        .select(
            "athlete_id",
            "raced_on",
            "event",
            "round",
            "race_outcome",
            "time_s",
            "timing_kind",
            "wind_ms",
            "corrected_s",
            "points",
            "is_wind_legal",
            "reason",
            "points_reason",
            "note",
        )
    )


def _notes(has_correction: pl.Expr) -> pl.Expr:
    """Return further caveat codes of a race, parted by spaces; null where there are none."""
    reaction, finished = pl.col("reaction_s"), pl.col("time_s").is_not_null()
    flags = {
        "mark_hand_timed": finished & (pl.col("timing_kind") == "hand"),
        "altitude_not_stated": has_correction & pl.col("altitude_m").is_null(),
        "wind_above_limit": pl.col("event").is_in(WIND_JUDGED) & (pl.col("wind_ms") > WIND_LIMIT_MPS),
        "reaction_below_limit": reaction < LEAST_REACTION_S,
        "reaction_slow": reaction > SLOW_REACTION_S,
    }
    words = pl.concat_str(
        [pl.when(flag).then(pl.lit(code)) for code, flag in flags.items()], separator=" ", ignore_nulls=True
    )
    return pl.when(words != "").then(words)
