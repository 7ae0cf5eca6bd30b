"""Numbers that a heading calls a length or a time and that are none: legs of a relay, places of steps, speeds."""

import dataclasses
from collections.abc import Mapping, Sequence

from pipelines.layouts.words.evidence import Evidence, to_number
from pipelines.layouts.words.headings import METRES_IN_A_YARD, Heading
from pipelines.layouts.words.other_values import is_of_no_column

LENGTHS, MOST_LEGS = ("leg_length_m", "distance_m", "height_m"), 20
MOST = 0.8
SHORT, WALK = 10.0, 2.6  # m, m/s: nobody runs the first stretches so slowly
SLOWEST_SPEED, FASTEST = 3.9, 13.0  # m/s, of a sprint at 5 m and at its top; common practice, no source
LEAST_TIME, FEWEST_GATES = 3.0, 2
NEAR = 0.006  # yards: what two decimals of a metre leave open


def is_no_length(name: str, seen: Evidence) -> bool:
    """Return whether numbers are no lengths of a leg or of a run: 'Leg' 1 to 4 of a relay; 1.05, 2.25, 3.6 m of steps,
    where distances are run in whole or half metres and in whole yards.
    """
    if name not in LENGTHS or seen.numbers < MOST or seen.filled < 2:
        return False
    if name == "height_m":  # 'HT' over 4.1: hand times, and nobody writes a height as 4.1 feet
        return seen.least >= LEAST_TIME and seen.most <= FASTEST
    if name == "leg_length_m":
        return seen.whole == 1 and seen.most <= MOST_LEGS
    said = [number for text in seen.texts if (number := to_number(text)) is not None]
    return all(2 * one % 1 and abs(one / METRES_IN_A_YARD - round(one / METRES_IN_A_YARD)) > NEAR for one in said)


def without_other_values(headings: Sequence[Heading], seen: Mapping[int, Evidence]) -> list[Heading]:
    """Return headings without what they cannot be: those in a unit that no column has name nothing, nor do speeds."""
    known = [
        Heading(one.place, one.text)
        if one.names and not (one.is_exact or one.is_told) and is_of_no_column(one.text, one.names[0])
        else one
        for one in headings
    ]
    return _without_speeds(known, seen)


def _without_speeds(headings: Sequence[Heading], seen: Mapping[int, Evidence]) -> list[Heading]:
    """Return headings of gates without those over speeds: 10 m in 5.4 s is a walk, and 5.4 m/s a speed there, where
    every gate beside it may be one.
    """
    may_be = {
        one.place for one in headings
        if one.gate_m is not None and one.unit is None and not one.is_told
        and (cells := seen[one.place]).numbers >= MOST and cells.least >= SLOWEST_SPEED and cells.most <= FASTEST
    }  # fmt: skip
    gates = {one.place for one in headings if one.gate_m is not None and not seen[one.place].is_empty}
    if len(gates) < FEWEST_GATES or gates - may_be or not any(
        0 < (length := (one.gate_m or 0) - (one.from_m or 0)) <= SHORT and length / seen[one.place].least < WALK
        for one in headings if one.place in may_be
    ):  # fmt: skip
        return list(headings)
    return [
        dataclasses.replace(one, gate_m=None, from_m=None, run_no=None, names=()) if one.place in may_be else one
        for one in headings
    ]
