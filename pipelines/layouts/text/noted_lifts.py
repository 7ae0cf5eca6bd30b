"""Gym notes in a line: 'Tom - squat 3x3 @ 140, 145, 150; RDL 3x6 90kg', one or several exercises with their sets."""

import re

from pipelines.layouts.words.sets import WITH_EXERCISE, exercises_apart, is_lift

# A clause ends at ';', a line's end, or a comma or a full stop with a word behind it: '90kg, pull ups 3x8'.
CLAUSES = re.compile(r"\s*;\s*|\s*[,.+]\s+(?=[^\W\d_])|\s+(?:and|then|und|et|y|e|och|og|en)\s+(?=[^\W\d_][^@]*\d)")
Lifts = tuple[tuple[str, str], ...]


def lifts_in(text: str) -> tuple[Lifts, str]:
    """Return the exercises a line names, each with its sets as written, and what else it says.

    A clause is an exercise only where its sets are wholly understood, and its name is one that is known or its load
    has a unit: '4x30 4.35' behind a word may be runs over 30 m. Nothing of a clause that is not understood is taken.
    """
    lifts: list[tuple[str, str]] = []
    left: list[str] = []
    for clause in CLAUSES.split(text):
        said = exercises_apart(clause) if WITH_EXERCISE.match(clause.lower()) else None
        if said and all(is_lift(exercise, sets) for exercise, sets in said):
            lifts += said
        elif clause.strip(" .,;"):
            left.append(clause.strip(" ,;"))
    return tuple(lifts), "; ".join(left)
