"""Formulas with the numbers of one figure in them: what is added, what is taken away, and what comes out."""

from collections.abc import Mapping, Sequence
from typing import Any

from dashboard.wording.forms import cell, day, number, sentence_case, sure
from dashboard.wording.strip import STRIP_ITEMS

WITH_THESE_NUMBERS = "With these numbers"


def method_in_full(title: str) -> str:
    """Offer the words of a method behind the numbers."""
    return f"The method in full: {title}"


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


def worked_lift(lift: Mapping[str, Any]) -> str:
    """Write an estimated maximum with the set it comes from."""
    best_set = f"{lift['reps']} × {number(lift['load_kg'], 1, 'kg')}"
    within = f"the seven published formulas say {number(lift['e1rm_low_kg'], 1)} to {number(lift['e1rm_high_kg'], 1)}"
    return (
        f"{_item(lift)}, {day(lift['measured_on'])}, best set {best_set}: 36 × load / (37 − reps, those in reserve "
        f"added) = {number(lift['e1rm_kg'], 1, 'kg')}; {within}."
    )


def worked_sides(left: Mapping[str, Any], right: Mapping[str, Any], both: Mapping[str, Any]) -> str:
    """Write a difference between the sides with the two means it is taken from."""
    means = " and ".join(
        f"{side} {number(row['mean_force_n'], 0, 'N')} (mean of {_count(row['trials'], 'trial')})"
        for side, row in (("left", left), ("right", right))
    )
    noise = both["difference_noise_percent"]
    known = "noise not known" if noise is None else f"noise ± {number(noise, 1, '%')}"
    return (
        f"{_item(both)}, {day(both['measured_on'])}: {means}; right less left over the larger = "
        f"{number(both['difference_percent'], 1, '%', signed=True)}, {known}."
    )


def worked_strength(newest: Mapping[tuple[str, str], Mapping[str, Any]]) -> list[str]:
    """Write the newest lifts and the newest differences between sides, each with what it is made from.

    Args:
        newest: The newest row of each exercise or test and side.
    """
    lines = [worked_lift(row) for row in newest.values() if row["kind"] == "lift" and row["e1rm_kg"] is not None]
    for (item, side), both in newest.items():
        left, right = newest.get((item, "l")), newest.get((item, "r"))
        if side != "both" or both["difference_percent"] is None or left is None or right is None:
            continue
        if left["measured_on"] == right["measured_on"] == both["measured_on"]:
            lines.append(worked_sides(left, right, both))
    return lines


def worked_spring(jump: Mapping[str, Any]) -> list[str]:
    """Write a jump's height from its trials, and how it lies to the own usual."""
    if jump["jump_height_m"] is None:
        return []
    lines = [
        f"{sentence_case(cell(jump['test']))}, {day(jump['tested_on'])}: 9.81 m/s² × (time in the air)² / 8, mean of "
        f"{_count(jump['trials'], 'trial')} = {number(jump['jump_height_m'], 3, 'm')}."
    ]
    if jump["usual_height_m"] is not None and jump["change_percent"] is not None:
        usual = f"{number(jump['usual_height_m'], 3, 'm')}, the mean of {_count(jump['usual_days'], 'test day')}"
        lines.append(f"Own usual: {usual}; today lies {number(jump['change_percent'], 1, '%', signed=True)} from it.")
    if jump["squad_cv_percent"] is not None:
        lines.append(f"The squad’s noise from test to test: {number(jump['squad_cv_percent'], 1, '%')}.")
    if jump["p_drop"] is not None:
        lines.append(f"How sure it is that the true height is lower by more than matters: {sure(jump['p_drop'])}.")
    return lines


def worked_answers(answers: Sequence[Mapping[str, Any]]) -> list[str]:
    """Write each answer of a day beside the own usual it was held against."""
    lines = []
    for one in answers:
        label = sentence_case(STRIP_ITEMS.get(one["item"], cell(one["item"])))
        comes_to = "a reason" if one["speaks"] else "no reason"
        held = "held against no own usual"
        if one["usual"] is not None and one["z"] is not None:
            own = f"own usual {number(one['usual'], 1)} of {_count(one['baseline_days'], 'day')}"
            spreads = f"{number(one['z'], 1, signed=True)} spreads of {number(one['spread'], 2)}"
            held = f"{own}, so {spreads}, fewer days counting for less"
        lines.append(f"{label}, {day(one['checked_on'])}: {number(one['value'], 1)}; {held}: {comes_to}.")
    return lines


def _item(row: Mapping[str, Any]) -> str:
    side = {"l": ", left", "r": ", right"}.get(row["side"], "")
    return f"{sentence_case(cell(row['item']))}{side}"


def _seconds(row: Mapping[str, Any], name: str) -> str:
    return f"{number(row[name], 3, 's')} (error {_ms(row[f'{name}_se'], signed=False)})"


def _ms(value: float | None, *, signed: bool = True) -> str:
    return "not known" if value is None else number(1000 * value, 0, "ms", signed=signed)


def _count(value: int | None, word: str) -> str:
    return f"no {word}" if not value else f"{value} {word}{'s' if value != 1 else ''}"
