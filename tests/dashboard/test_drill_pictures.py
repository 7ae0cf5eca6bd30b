"""Drawings of drills: each of the demo's own library has one, within its field and with words for who cannot see it."""

import re

import pytest

from dashboard.parts.drill_pictures import DRAWINGS, GROUND, HIGH, WIDE, drill_picture
from dashboard.parts.drills import drill_text
from seed_data.library import drills

FACTS = {"cue": "push", "amount": None, "why": None, "caution": None, "link": None}


def test_every_drill_of_the_demo_has_a_drawing_and_no_drawing_is_of_a_drill_that_is_not_there():
    assert {str(row["drill"]) for row in drills()} == set(DRAWINGS)


@pytest.mark.parametrize("drill", sorted(DRAWINGS))
def test_a_drawing_stays_in_its_field_with_a_foot_or_a_hand_on_the_ground(drill: str):
    drawn = str(drill_picture(drill))
    points = [tuple(map(int, pair.split(","))) for pair in re.findall(r"\d+,\d+", drawn)]
    assert all(0 <= x <= WIDE and 0 <= y <= HIGH for x, y in points)
    body = [tuple(map(int, pair.split(","))) for one in DRAWINGS[drill].strokes for pair in one.split()]
    assert max(y for _, y in body) >= GROUND - 8
    assert min(y for _, y in body) > DRAWINGS[drill].head[1] - 20


def test_a_drawing_is_said_in_words_and_stands_beside_the_drill():
    said = str(drill_text({"drill": "nordic_lowering", **FACTS}))
    assert f'role="img" aria-label="{DRAWINGS["nordic_lowering"].shows}"' in said
    assert len({drawing.shows for drawing in DRAWINGS.values()}) == len(DRAWINGS)


def test_a_drill_without_a_drawing_is_words_alone():
    assert "<svg" not in str(drill_text({"drill": "my_own_drill", **FACTS}))
