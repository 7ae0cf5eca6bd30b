"""Formulas of the start with the numbers of one figure in them: contacts, pushes, rhythm, the curve of a run."""

from collections.abc import Mapping, Sequence
from itertools import pairwise
from typing import Any

from dashboard.wording.forms import day, full_day, number
from dashboard.wording.technique import TECHNIQUE
from schemas.labels import PATTERNS


def _milli(value: float) -> str:
    return number(1000 * value, 0)


def worked_contacts(starts: Sequence[Mapping[str, Any]]) -> list[str]:
    """Write the first contacts of each run as a sum, the frequency that follows, and how far three steps led."""
    lines = []
    for row in starts:
        contacts = [row[f"contact_{n}_s"] for n in (1, 2, 3)]
        if any(one is None for one in contacts) or row["contact_sum_s"] is None:
            continue
        terms = " + ".join(_milli(one) for one in contacts)
        said = f"Run {row['rep_no']}: contacts {terms} = {_milli(row['contact_sum_s'])} ms"
        if row["flight_sum_s"] is not None and row["early_frequency_hz"] is not None:
            said += (
                f"; 3 steps / ({number(row['contact_sum_s'], 3)} + {number(row['flight_sum_s'], 3)} s of flights) = "
                f"{number(row['early_frequency_hz'], 2, 'Hz')}"
            )
        if row["three_step_distance_m"] is not None:
            said += f"; the third touchdown at {number(row['three_step_distance_m'], 2, 'm')}"
        if row["speed_after_3_mps"] is not None:
            said += f", then {number(row['speed_after_3_mps'], 2, 'm/s')}"
        lines.append(f"{said}.")
    return lines


def worked_impulse(steps: Sequence[Mapping[str, Any]]) -> list[str]:
    """Write each contact's impulse from the two gains in speed beside it, weighted by the share of the contact."""
    lines = []
    for row, following in pairwise(steps):
        if row["impulse_ns_per_kg"] is None or following["speed_gain_mps"] is None or row["contact_share"] is None:
            continue
        half = f"{number(row['contact_share'], 2)} / 2"
        lines.append(
            f"Contact {row['step_no']}: (1 − {half}) × {number(row['speed_gain_mps'], 2)} + {half} × "
            f"{number(following['speed_gain_mps'], 2)} m/s = {number(row['impulse_ns_per_kg'], 2)} N s for each "
            f"kilogram, error {number(row['impulse_ns_per_kg_se'], 2)}."
        )
    return lines


def worked_rhythm(phase: Mapping[str, Any] | None) -> list[str]:
    """Write the rhythm at 10 m as the frequency there over the best one."""
    if phase is None or phase["rhythm_10m"] is None:
        return []
    best = f"own best of 60 days, {number(phase['best_frequency_hz'], 2, 'Hz')}"
    if phase["best_frequency_at_m"] is not None:
        best += f" at {number(phase['best_frequency_at_m'], 0, 'm')}"
    return [
        f"At 10 m {number(phase['step_frequency_10m_hz'], 2, 'Hz')} / {best} = {number(phase['rhythm_10m'], 2)}, "
        f"error {number(phase['rhythm_10m_se'], 2)}."
    ]


def worked_curve(rep: Mapping[str, Any], gates: Sequence[Mapping[str, Any]]) -> list[str]:
    """Write the curve of a run with its two numbers in it, and how far each gate's time lies from it."""
    if rep["vmax_mps"] is None or rep["tau_s"] is None:
        return []
    lines = [
        f"The curve: speed = {number(rep['vmax_mps'], 2)} × (1 − e^(−t / {number(rep['tau_s'], 3)})) m/s, "
        f"errors {number(rep['vmax_mps_se'], 2)} and {number(rep['tau_s_se'], 3)}."
    ]
    if rep["time_offset_s"] is not None:
        began = number(rep["time_offset_s"], 3, "s", signed=True)
        lines.append(f"t begins where the body moves: {began} on the clock.")
    lines += [
        f"{number(gate['distance_m'], 0, 'm')}: timed {number(1000 * gate['residual_s'], 0, 'ms', signed=True)} off it."
        for gate in gates
        if gate["residual_s"] is not None
    ]
    return lines


def worked_bests(bests: Sequence[tuple[str, Mapping[str, Any]]]) -> list[str]:
    """Write of which runs each raw best is the fastest; ``bests``: the way of starting and timing, and its row."""
    return [
        f"{row['distance_m']:g} m, {way}: the fastest of {_many(row['runs'], 'run')} on "
        f"{_many(row['days'], 'day')} is {number(row['best_s'], 3)} s, of {full_day(row['best_on'])}; of the last day, "
        f"{full_day(row['last_on'])}, it is {number(row['last_s'], 3)} s."
        for way, row in bests
    ]


def _many(count: int, what: str) -> str:
    return f"{count} {what}{'' if count == 1 else 's'}"


def worked_technique(rows: Sequence[Mapping[str, Any]]) -> list[str]:
    """Write in how many of the starts in which each thing was looked for it was seen."""
    lines = []
    for row in rows:
        said = [
            f"{row[f'{kind}_seen']} of {_many(row[f'{kind}_looked'], 'start')} {what}"
            for kind, what in (("free", "without a load"), ("sled", "with a load"))
            if row[f"{kind}_looked"]
        ]
        if said:
            lines.append(f"{TECHNIQUE.get(row['item'], row['item'])}: seen in {' and in '.join(said)}.")
    return lines


def worked_patterns(rows: Sequence[Mapping[str, Any]]) -> list[str]:
    """Write of each run what made a pattern be seen, with its numbers."""
    return [
        f"{day(row['session_date'])}, run {row['rep_no']}: {PATTERNS.get(row['pattern'], row['pattern'])}, "
        f"{row['strength']}: {row['evidence']}."
        for row in rows
    ]


SET_FIGURES = (
    ("front_foot_m", "front foot", 2, "m"),
    ("rear_foot_m", "rear foot", 2, "m"),
    ("front_weight_percent", "weight in front", 0, "%"),
    ("front_shin_set_deg", "front shin", 0, "°"),
)
FOLLOWED_FIGURES = (
    ("contact_1_s", "contact 1", 3, "s"),
    ("speed_after_3_mps", "after three steps", 2, "m/s"),
    ("t_10_s", "10 m", 3, "s"),
)


def worked_set(rows: Sequence[Mapping[str, Any]]) -> list[str]:
    """Write the set position of each run beside what happened in it."""
    lines = []
    for row in rows:
        was, then = (
            [f"{name} {number(row[key], places, unit)}" for key, name, places, unit in some if row.get(key) is not None]
            for some in (SET_FIGURES, FOLLOWED_FIGURES)
        )
        if was and then:
            lines.append(f"{day(row['session_date'])}, run {row['rep_no']}: {', '.join(was)}; then {', '.join(then)}.")
    return lines
