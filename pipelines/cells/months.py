"""Names of months in the languages of ``pipelines.cells.languages``, whole and cut short.

The names are those of the Unicode CLDR (read through Babel 2.19), with some that coaches write besides ('mrt', 'sett')
and without those that are words of the trade ('set' is September in Portuguese, and a set of lifts): ``tests/cells/
test_languages.py`` holds them against it. Babel itself is 36 MB and takes a tenth of a second to begin.
"""

from functools import cache

from pipelines.cells.languages import languages
from schemas.spelling import fold

NO_MONTHS = {"list"}  # words that a name cut short would be as well: 'Squad list 25'
LEAST_CUT = 4  # letters of a name that is cut short in no usual way: 'janu', 'septem'; own choice


@cache
def _named() -> dict[str, set[int]]:
    """Return the months that each folded word names in some language."""
    found: dict[str, set[int]] = {}
    for own in languages().values():
        for number, words in enumerate(own["calendar"]["months"], start=1):
            for word in words:
                found.setdefault(word, set()).add(number)
    return found


@cache
def month_of(word: str) -> int | None:
    """Return the month a word names, whole or cut short; None where it names none, or two in two languages."""
    folded = fold(word)
    meant = _named().get(folded)
    if meant is None and len(folded) >= LEAST_CUT and folded not in NO_MONTHS:
        meant = {month for name, months in _named().items() if name.startswith(folded) for month in months}
    return next(iter(meant)) if meant is not None and len(meant) == 1 else None
