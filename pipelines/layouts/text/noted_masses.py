"""Body masses in one line of notes: 'Weights 14/12/25: Ana 61.2, Bea 58.4, Cleo 66 kg'."""

import re
from collections.abc import Mapping, Sequence

from pipelines.layouts.words.said import find_day
from schemas.spelling import fold

MASS_WORDS = {"weight", "weights", "weigh in", "weigh ins", "bodyweight", "bodyweights", "body weight", "body weights",
              "body mass", "gewicht", "korpergewicht", "poids", "peso", "pesi", "pesos", "kroppsvikt"}  # fmt: skip
ONE = re.compile(r"\s*([^\W\d_][^\d,;:]*?)\s*[:=]?\s*(\d{2,3}(?:[.,]\d{1,2})?)\s*(kgs?|lbs?)?\.?\s*", re.I)


def masses_in(text: str, day: str, people: Mapping[str, int]) -> list[tuple[str, str]]:
    """Return who weighs how much in a line that has its day; [] where a word of it is not understood.

    The head must say that it is of body masses, everyone be known, and the unit stand at the end or at each number: a
    bar has a weight too, and pounds are no kilograms.
    """
    head, colon, rest = text.partition(":")
    said = fold(head.replace(day, " "))
    if not colon or not day or day not in head or not any(f" {word} " in f" {said} " for word in MASS_WORDS):
        return []
    found = [ONE.fullmatch(one) for one in re.split(r",\s+|;|\s+(?:and|und|et|y|e)\s+", rest.strip())]
    if any(one is None or not people.get(fold(one[1])) for one in found):
        return []
    units = [one[3] for one in found if one is not None]
    own = [unit or units[-1] for unit in units]
    if not units[-1] or len({unit.lower()[:2] for unit in own}) > 1:
        return []
    return [(one[1], f"{one[2]} {unit}") for one, unit in zip(found, own, strict=True) if one is not None]


def weighed_in(lines: Sequence[tuple[int, str]], people: Mapping[str, int]) -> list[tuple[int, list[str]]]:
    """Return day, name and body mass of each whom a line of masses names, with the number of the line."""
    days = {line: find_day(text) or "" for line, text in lines}
    return [(line, [days[line], *one]) for line, text in lines for one in masses_in(text, days[line], people)]
