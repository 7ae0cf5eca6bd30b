"""Body masses in one line of notes: 'Weights 14/12/25: Ana 61.2, Bea 58.4, Cleo 66 kg'."""

import re
from collections.abc import Mapping, Sequence

from pipelines.layouts.words.said import find_day
from schemas.spelling import fold

MASS_WORDS = {"weight", "weights", "weigh in", "weigh ins", "bodyweight", "bodyweights", "body weight", "body weights",
              "body mass", "gewicht", "korpergewicht", "poids", "peso", "pesi", "pesos", "kroppsvikt"}  # fmt: skip
ONE = re.compile(r"\s*([^\W\d_][^\d,;:]*?)\s*[:=]?\s*(\d{2,3}(?:[.,]\d{1,2})?)\s*(kgs?|lbs?)?\.?\s*", re.I)

UNIT, MOST_BESIDE = re.compile(r"(?<![^\W\d_])(?:kgs?|lbs?)(?![^\W\d_])", re.I), 3  # words beside a day; own choice


def masses_in(text: str, day: str, people: Mapping[str, int], *, is_said: bool = False) -> list[tuple[str, str]]:
    """Return who weighs how much in a line that has its day; [] where a word of it is not understood.

    The head, or the name of the file (``is_said``), must say that it is of body masses, everyone be known, and the unit
    stand at the end or at each number: a bar has a weight too, and pounds are no kilograms.
    """
    head, colon, rest = text.partition(":")
    if not colon or not day or day not in head or not (is_said or _says_mass(head.replace(day, " "))):
        return []
    found = [ONE.fullmatch(one) for one in re.split(r",\s+|;|\s+(?:and|und|et|y|e)\s+", rest.strip())]
    if any(one is None or not people.get(fold(one[1])) for one in found):
        return []
    units = [one[3] for one in found if one is not None]
    own = [unit or units[-1] for unit in units]
    if not units[-1] or len({unit.lower()[:2] for unit in own}) > 1:
        return []
    return [(one[1], f"{one[2]} {unit}") for one, unit in zip(found, own, strict=True) if one is not None]


def _says_mass(text: str) -> bool:
    return any(f" {word} " in f" {fold(text)} " for word in MASS_WORDS)


def weighed_in(lines: Sequence[tuple[int, str]], people: Mapping[str, int], source: str) -> list[tuple[int, list[str]]]:
    """Return day, name and body mass of each whom a line of masses names, with the number of the line; of a line of one
    person each too, below one of a day and the word for it: 'Weigh in 13/10/26 (kg)', 'Ana 61.2'.

    Args:
        lines: The lines with their numbers.
        people: Folded names of those who are known, with how many have each.
        source: The name of the file.
    """
    is_of_masses = _says_mass(re.sub(r"[^\w]|_", " ", source))
    found: list[tuple[int, list[str]]] = []
    over, unit = "", ""  # the day of the lines below, and their unit where the head has it
    for line, text in lines:
        day = find_day(text) or ""
        if told := masses_in(text, day, people, is_said=is_of_masses):
            found += [(line, [day, *one]) for one in told]
        elif day:
            left = text.replace(day, " ")
            over = day if _says_mass(left) or (is_of_masses and len(left.split()) <= MOST_BESIDE) else ""
            unit = next(iter(UNIT.findall(left)), "")
        elif over and (one := ONE.fullmatch(text)) is not None and people.get(fold(one[1])) and (one[3] or unit):
            found.append((line, [over, one[1], f"{one[2]} {one[3] or unit}"]))
    return found
