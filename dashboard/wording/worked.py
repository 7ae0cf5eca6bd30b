"""Formulas with the numbers of one figure in them: what is added, what is taken away, and what comes out."""

from collections.abc import Mapping, Sequence
from typing import Any

from dashboard.wording.forms import day, number

WITH_THESE_NUMBERS = "With these numbers"


def worked_trend(progress: Mapping[str, Any] | None) -> list[str]:
    """Write the change of the start as it comes about: line now less line then, mean less mean."""
    if progress is None or not str(progress["metric"]).endswith("_s") or progress["change"] is None:
        return []
    then, lines = day(progress["reference_on"]), []
    if progress["level_now"] is not None and progress["level_then"] is not None:
        lines.append(
            f"The line: {_seconds(progress, 'level_now')} today less {_seconds(progress, 'level_then')} on {then} "
            f"is {_ms(progress['line_change'])}, error {_ms(progress['line_change_se'], signed=False)}."
        )
    lines.append(
        f"The means: {_count(progress['days_now'], 'day')} of the last four weeks less "
        f"{_count(progress['days_before'], 'day')} before is {_ms(progress['change'])}, "
        f"error {_ms(progress['change_se'], signed=False)}."
    )
    if progress["detectable"] is not None:
        lines.append(f"A lasting change under {_ms(progress['detectable'], signed=False)} would not be seen.")
    if progress["swc"] is not None:
        lines.append(f"Smallest worthwhile change: {_ms(progress['swc'], signed=False)}.")
    return lines


def worked_load(
    week: Mapping[str, Any], days: Sequence[Mapping[str, Any]], sessions: Sequence[Mapping[str, Any]]
) -> list[str]:
    """Write the load of a week day by day: minutes times effort, and what the day comes to."""
    lines = []
    for one in sorted(days, key=lambda row: row["day_on"]):
        of_day = [row for row in sessions if row["session_date"] == one["day_on"]]
        terms = " + ".join(
            f"{number(row['duration_min'], 0)} min × {number(row['effort_0_10'], 1)}"
            for row in sorted(of_day, key=lambda row: row["session_no"])
            if row["duration_min"]
        )
        comes_to = "not known" if one["load_au"] is None else f"{one['load_au']:g}"
        lines.append(f"{day(one['day_on'])}: {terms or 'no session'} = {comes_to}")
    total = "not known, as a day is not" if week["load_au"] is None else number(week["load_au"], 0)
    return [*lines, f"Week of {day(week['week_of'])}, all days together: {total} (effort × minutes)."] if lines else []


def worked_exposure(week: Mapping[str, Any]) -> list[str]:
    """Write what counts as fast for this athlete, and what the week holds of it."""
    if week["best_speed_mps"] is None:
        return []
    lines = [
        f"Own best speed by {week['timing_kind']} times: {number(week['best_speed_mps'], 2, 'm/s')}. A section counts "
        "at 95 % of it or more."
    ]
    if week["metres_95"] is not None:
        lines.append(
            f"Week of {day(week['week_of'])}: {_count(week['efforts_95'], 'run')} and "
            f"{number(week['metres_95'], 0, 'm')} of sections; fastest run at "
            f"{number(week['fastest_share'], 3)} of own best."
        )
    return lines


def _seconds(row: Mapping[str, Any], name: str) -> str:
    return f"{number(row[name], 3, 's')} (error {_ms(row[f'{name}_se'], signed=False)})"


def _ms(value: float | None, *, signed: bool = True) -> str:
    return "not known" if value is None else number(1000 * value, 0, "ms", signed=signed)


def _count(value: int | None, word: str) -> str:
    return f"no {word}" if not value else f"{value} {word}{'s' if value != 1 else ''}"
