"""Two starts side by side: what differs beyond the errors of both (``compare_starts``)."""

from collections.abc import Mapping, Sequence
from typing import Any

import polars as pl

from pipelines.derived.common.number_text import decimals
from pipelines.derived.common.step_error import OPERATOR_FACTOR, Z_CLEAR
from schemas.normal import NORMAL_95

Row = Mapping[str, Any]

# Measure of a step: name in words, unit, decimals, more and less in words.
STEP_MEASURES: dict[str, tuple[str, str, int]] = {
    "contact_s": ("contact", "s", 3),
    "flight_s": ("flight", "s", 3),
    "step_length_m": ("length", "m", 2),
    "speed_mps": ("speed", "m/s", 2),
    "step_frequency_hz": ("frequency", "/s", 2),
}
RUN_MEASURES: dict[str, tuple[str, str, int]] = {
    "t_5_s": ("5 m", "s", 3),
    "t_10_s": ("10 m", "s", 3),
    "t_30_s": ("30 m", "s", 3),
    "contact_sum_s": ("contacts 1-3 together", "s", 3),
    "three_step_distance_m": ("distance of three steps", "m", 2),
    "speed_after_3_mps": ("speed after three steps", "m/s", 2),
    "vmax_mps": ("top speed of the curve", "m/s", 2),
}
MARKED_TIMES = ("contact_s", "flight_s", "contact_sum_s")  # read off video by eye: the marking adds to the frames
CALLED_STEPS = 3  # the steps whose differences are put in words


def _error(row: Row, name: str) -> float | None:
    """Return the standard error of one value, the eye that marks the video counted.

    Times: frames and marking together are twice the frames alone (half a frame an event). Frequency and speed come
    from the step time, so they take its marking part in proportion.
    """
    error: float | None = row.get(f"{name}_se")
    if error is None or row.get(name) is None:
        return None
    if name in MARKED_TIMES:
        return OPERATOR_FACTOR * error
    time, time_error = row.get("step_time_s"), row.get("step_time_s_se")
    if name in ("speed_mps", "step_frequency_hz") and time and time_error is not None:
        marking = row[name] * time_error / time * (OPERATOR_FACTOR**2 - 1.0) ** 0.5
        return float((error**2 + marking**2) ** 0.5)
    return error


def _set_against(one: Row, other: Row, name: str, called: tuple[str, str, int], z: float) -> dict[str, Any] | None:
    """Return a row of the comparison: both values, their errors, the difference and whether it is one."""
    a, b = one.get(name), other.get(name)
    if a is None and b is None:
        return None
    a_se, b_se = _error(one, name), _error(other, name)
    words, unit, places = called
    row = {
        "measure": name, "called": words, "unit": unit, "places": places,
        "a": a, "a_se": a_se, "a_low": _end(a, a_se, -1), "a_high": _end(a, a_se, 1), "a_reach": _reach(a_se),
        "b": b, "b_se": b_se, "b_low": _end(b, b_se, -1), "b_high": _end(b, b_se, 1), "b_reach": _reach(b_se),
        "difference_reach": None,
    }  # fmt: skip
    if a is None or b is None:
        return {**row, "difference": None, "difference_se": None, "verdict": "one_missing"}
    if a_se is None or b_se is None:
        return {**row, "difference": b - a, "difference_se": None, "verdict": "error_unknown"}
    error = (a_se**2 + b_se**2) ** 0.5
    verdict = "differs" if abs(b - a) > z * error else "within_error"
    return {**row, "difference": b - a, "difference_se": error, "difference_reach": _reach(error), "verdict": verdict}


def _reach(error: float | None) -> float | None:
    """Return half the width of a 95 % interval."""
    return None if error is None else NORMAL_95 * error


def _end(value: float | None, error: float | None, side: int) -> float | None:
    """Return an end of a value's 95 % interval."""
    return None if value is None or error is None else value + side * NORMAL_95 * error


def compare_steps(one: Sequence[Row], other: Sequence[Row]) -> list[dict[str, Any]]:
    """Set two starts against each other step by step: a row per step and measure, B less A.

    ``one`` and ``other`` are rows of ``start_steps``. error^2 = error_A^2 + error_B^2, the marking of the video
    counted. A difference is called one beyond 2.576 errors (one in a hundred by luck), since some fifty are looked at
    together. Source: "definition", "video_operator_error". A difference between two runs is not a change of the
    athlete: how runs differ from one to the next comes on top.
    Null: the difference where one is missing; no verdict where a frame rate, and so an error, is unknown.
    """
    by_step = [{row["step_no"]: row for row in rows} for rows in (one, other)]
    rows = []
    for step in sorted(set(by_step[0]) | set(by_step[1])):
        a, b = by_step[0].get(step, {}), by_step[1].get(step, {})
        for name, called in STEP_MEASURES.items():
            row = _set_against(a, b, name, called, Z_CLEAR)
            if row:
                rows.append({"step_no": step, **row})
    return rows


def compare_runs(one: Row, other: Row) -> list[dict[str, Any]]:
    """Set two runs against each other as wholes: a row per measure, B less A.

    ``one`` and ``other`` hold the columns of ``sprint_profile`` and ``start_phase`` of a run. Called a difference
    beyond 1.96 errors of both.
    """
    rows = (_set_against(one, other, name, called, NORMAL_95) for name, called in RUN_MEASURES.items())
    return [row for row in rows if row]


def say_differences(steps: Sequence[Row], runs: Sequence[Row]) -> str:
    """Say in a sentence what of the whole run and of the first three steps differs beyond error."""
    found = [_say(row) for row in runs if row["verdict"] == "differs"]
    by_measure: dict[str, list[int]] = {}
    for row in steps:
        if row["verdict"] == "differs" and row["step_no"] <= CALLED_STEPS:
            by_measure.setdefault(row["called"], []).append(row["step_no"])
    told = [row for row in [*runs, *steps] if row["verdict"] in ("differs", "within_error")]
    if not told:
        return "Nothing can be told apart: no error is known for one of the two, or nothing was measured in both."
    if not found and not by_measure:
        return "Nothing differs beyond the errors of both runs."
    whole = "As whole runs they do not differ beyond measuring error."
    if found:
        whole = f"B against A, beyond measuring error: {', '.join(found)}."
    if not by_measure:
        return f"{whole} Step by step nothing of the first three differs."
    single = "; ".join(f"{name} in {_listed(numbers)}" for name, numbers in by_measure.items())
    return f"{whole} Of the first three steps, different: {single}."


def _listed(numbers: Sequence[int]) -> str:
    words = [str(number) for number in numbers]
    return " and ".join([", ".join(words[:-1]), words[-1]]) if len(words) > 1 else words[0]


def _say(row: Row) -> str:
    change, reach = (pl.Series("x", [row[name]]) for name in ("difference", "difference_reach"))
    number = decimals(change, row["places"], signed=True).item()
    return f"{row['called']} {number} {row['unit']} (± {decimals(reach, row['places']).item()})"
