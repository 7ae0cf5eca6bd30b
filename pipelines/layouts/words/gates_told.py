"""What the headings of gates say of their runs, where they all say the same: '30 m standing' beside '60 m standing'."""

import dataclasses
import re
from collections.abc import Sequence

from pipelines.layouts.words.gates_said import without_how
from pipelines.layouts.words.headings import BRACKETS, Heading
from pipelines.layouts.words.said import said_by

OF_RUNS = ("start_kind", "timing_kind")


def how_of_gates(headings: Sequence[Heading]) -> dict[str, str]:
    """Return how the runs of all gates start and are timed by their headings; none where they differ."""
    told = _told(headings)
    return told[0] if told and all(one == told[0] for one in told) else {}


def of_one_how(headings: Sequence[Heading]) -> list[Heading]:
    """Return the headings without the gates that say how they are run where others say otherwise, or nothing: of one
    row of them two runs that differ would be made alike.
    """
    told = _told(headings)
    if not any(told) or all(one == told[0] for one in told):
        return list(headings)
    return [
        dataclasses.replace(one, gate_m=None, from_m=None, run_no=None)
        if _is_gate(one) and _said(one) and not one.is_told else one
        for one in headings
    ]  # fmt: skip


def _told(headings: Sequence[Heading]) -> list[dict[str, str]]:
    return [_said(one) for one in headings if _is_gate(one)]


def _is_gate(one: Heading) -> bool:
    return one.gate_m is not None and not one.is_fly


def _said(one: Heading) -> dict[str, str]:
    bare = re.sub(r"\s+", " ", BRACKETS.sub(" ", one.text)).strip()
    if without_how(bare) is None:
        return {}
    return {name: fact.text for name, fact in said_by(bare, "header").items() if name in OF_RUNS}
