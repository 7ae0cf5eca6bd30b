"""Headings whose last word is a side and the number of a trial, 'Nordic G1 (N)'; and heights that are of jumps."""

import dataclasses
import re
from collections.abc import Sequence

from pipelines.layouts.words.evidence import Evidence
from pipelines.layouts.words.headings import BRACKETS, Heading, read_test

SIDE_AND_NUMBER = re.compile(r"(.*[\s_])([^\W\d_]{1,8})(\d)")
OF_A_JUMP, OF_STEPS = {"box_height_m", "contact_s", "flight_s"}, {"step_no", "step_length_m", "rep_no"}
HIGHEST_JUMP_M, IN_A_METRE = 1.3, {"centimeter": 100.0, "meter": 1.0, "millimeter": 1000.0, "inch": 39.3701}


def with_side_trials(headings: Sequence[Heading]) -> list[Heading]:
    """Name 'Nordic G1', 'Nordic D1' as trials of a side where columns of both sides stand there: 'R1' alone may be a
    run.
    """
    headings = with_left_beside_right(headings)
    found = {one.place: told for one in headings if not one.is_told and (told := _of_side(one)) is not None}
    sides = [dict(one.at)["side"] for one in found.values()]
    if sides.count("l") != sides.count("r") or not found:
        return list(headings)
    return [found.get(one.place, one) for one in headings]


def with_left_beside_right(headings: Sequence[Heading]) -> list[Heading]:
    """Name 'Nordico E' beside 'Nordico D' as the left: an E is Portuguese for it, and a word for 'and' elsewhere."""
    made = []
    for one in headings:
        bare = BRACKETS.sub(" ", one.text).strip()
        told = read_test(one.place, f"{bare[:-1]}D") if bare.endswith(" E") and not one.names else None
        beside = any(BRACKETS.sub(" ", other.text).strip() == f"{bare[:-1]}D" for other in headings)
        if told is not None and beside and "side" in dict(told.at):
            at = tuple((key, "l" if key == "side" else word) for key, word in told.at)
            told = dataclasses.replace(told, text=one.text, unit=one.unit or told.unit, at=at, loose=())
            made.append(told)
        else:
            made.append(one)
    return made


def _of_side(one: Heading) -> Heading | None:
    if one.names:
        return None
    inside = "".join(f" ({text})" for text in BRACKETS.findall(one.text))
    match = SIDE_AND_NUMBER.fullmatch(BRACKETS.sub(" ", one.text).strip())
    told = read_test(one.place, f"{match[1]}{match[2]} {match[3]}{inside}") if match is not None else None
    return dataclasses.replace(told, text=one.text) if told is not None and "side" in dict(told.at) else None


def with_heights_of_jumps(headings: Sequence[Heading], seen: dict[int, Evidence]) -> list[Heading]:
    """Name 'Height' beside a box, a contact or a flight as the height of the jump: nobody is so short."""
    names = {name for one in headings for name in one.names[:1]}
    if not names & OF_A_JUMP or names & OF_STEPS:
        return list(headings)
    return [
        dataclasses.replace(one, names=("jump_height_m",))
        if one.names[:1] == ("height_m",) and not one.is_told and one.place in seen
        and one.unit in IN_A_METRE and 0 < seen[one.place].most <= HIGHEST_JUMP_M * IN_A_METRE[one.unit]
        else one
        for one in headings
    ]  # fmt: skip
