"""Columns of times over far distances: gates of one run, or a run each, as in a test of 30, 60 and 150 m or a list of
bests. Nothing in the times tells, so it is asked.
"""

import dataclasses
from collections.abc import Sequence
from itertools import pairwise

from pipelines.layouts.words.headings import Heading, read_heading
from schemas.intake import TextTable

FAR, APART = 100.0, 30.0  # m: a distance that is run by itself, and gates that stand closer are of one run; own choice
FEWEST_EVEN = 3  # gates every 100 m of a 400 are those of one run


def runs_in_doubt(table: TextTable) -> dict[str, int]:
    """Return the headings of which each may be a run of its own, in order of distance, with the number of that run."""
    read = [read_heading(place, text) for place, text in enumerate(table.header) if text]
    if any("rep_no" in one.names for one in read) or any(one.from_m is not None or one.run_no for one in read):
        return {}
    gates = {one.gate_m: one.text for one in read if one.gate_m and not one.is_fly and one.number is None}
    far = sorted(gates)
    if len(far) < 2 or far[-1] < FAR or min(far[0], *(b - a for a, b in pairwise(far))) < APART:
        return {}
    if len(far) >= FEWEST_EVEN and all(abs(one - far[0] * n) < 1 for n, one in enumerate(far, 1)):
        return {}
    return {gates[one]: number for number, one in enumerate(far, 1)}


def without_doubted(headings: Sequence[Heading], table: TextTable) -> list[Heading]:
    """Return headings of which those that may be runs of their own name nothing until that is said."""
    doubted = runs_in_doubt(table)
    return [
        dataclasses.replace(one, names=(), loose=(), gate_m=None) if one.text in doubted and not one.is_told else one
        for one in headings
    ]
