"""Words and numbers of runs in a heading: 'run 2', '#2', '2. Lauf', '3ª'; and flying runs, one or several."""

import re

from pipelines.layouts.words.said import RUN_IN
from schemas.spelling import fold
from schemas.unit_words import unit_word

METRES = r"(?:m|mts?|meters?|metres?|metros?)"
FLY = re.compile(
    rf"(?:fly|flys|flying|fliegend(?:e|er)?|vliegende?|flg|fl|lancee?s?|lanzad[oa]s?|flygande|flygende|flyvende|lanciat[oi]|lotn[aey])\s*(?P<gate>\d{{1,3}})\s*{METRES}?|"
    rf"(?P<before>\d{{1,3}})\s*{METRES}?\s*(?:fly|flys|flying|fliegend|vliegende?|flg|fl|lancee?s?|lanzad[oa]s?|flygande|flygende|flyvende|lanciat[oi]|lotn[aey])"
)
RUN_WORDS = (
    r"(?:runs?|reps?|trial|attempt|try|sprint|poging|loop|lauf|versuch|wdh|lopp|lop|lob|forsok|forsog|prova|essai|course|repetition"
    r"|intento|carrera|serie|r|t)"
)
# The run a gate belongs to where several stand side by side: 'run 2', '#2', '2. Lauf', '(2)'.
RUN_NUMBER = re.compile(
    rf"(?<![a-z0-9]){RUN_WORDS}\.?\s*(?:no\.?|nr\.?|#)?\s*(?P<after>\d{{1,2}})(?![\d.,])|#\s*(?P<sign>\d{{1,2}})(?!\d)"
    rf"|(?<!\d)(?P<before>\d{{1,2}})(?:\.|st|nd|rd|th|er|e|ere|eme|o|a)?\s*{RUN_WORDS}(?![a-z0-9])"
)
ORDINAL = re.compile(
    r"(\d{1,2})(?:\.|st|nd|rd|th|er|ere|e|eme|a|o|:a|:e|\^|°)"
)  # '1st', '2.', '3ª', '4^': the run of that number
PLAIN_LETTERS = str.maketrans("ºªèéøöåä", "oaeeooaa")  # the signs of a heading stay
MOST_RUNS = 40  # side by side
SHORTEST_FLY_M = 5.0  # own choice


def flying_run(bare: str, inside: str) -> tuple[float, int] | None:
    """Return how far a flying run was (m) and its number, of a heading of one of several: 'fly 30 #2', '1st 30 m fly',
    'fliegend 30 m Lauf 3'; None for others.

    Args:
        bare: The heading without its brackets.
        inside: A number in its brackets, "" where none is.
    """
    plain = re.sub(r"\s+", " ", bare.lower().translate(PLAIN_LETTERS)).strip()
    tries = [(plain, inside)] if inside else []
    for found in (re.search(rf"\b{RUN_WORDS}\.?\s*(?P<after>\d{{1,2}})$", plain), RUN_NUMBER.search(plain)):
        if found is None:
            continue
        rest = f"{plain[: found.start()]} {plain[found.end() :]}"
        tries.append((rest, next(one for one in found.groups() if one)))
    words = plain.split(" ")
    for rest_words, last in ((words[:-1], words[-1]), (words[1:], words[0])):
        counted = ORDINAL.fullmatch(last)
        # a number alone is a run's where it is a single figure: 'fly 10 20' names two distances
        number = counted[1] if counted is not None else last if re.fullmatch(r"[1-9]", last) else ""
        if number:
            tries.append((" ".join(rest_words), number))
    for rest, number in tries:
        phrase = fold(RUN_IN.sub(" ", rest))
        if unit_word(phrase.split(" ")[-1]) == "second":
            phrase = " ".join(phrase.split(" ")[:-1])
        fly = FLY.fullmatch(phrase)
        far = float(fly["gate"] or fly["before"]) if fly is not None else 0.0
        if far >= SHORTEST_FLY_M and 1 <= int(number) <= MOST_RUNS:
            return far, int(number)
    return None
