"""The trade's words by language: a file a language, so that adding one is adding a file.

A file holds what people write over a column (``[headers]``: record column or helper name -> spellings), in its cells
(``[cells.<column>]``: word of the record -> spellings; ``[ratings]``: step of five -> words), and in what is said of a
scale (``[scale]``), of how a hamstring feels (``[felt]``) and of a test of force (``[force]``). All is compared folded:
lower case, no accents. A word that means two things stands under both; the cells below it decide, else it is asked.
``tests/cells/test_languages.py`` says which language lacks which column.
"""

import tomllib
from functools import cache
from importlib.resources import files
from typing import Any

from schemas.spelling import fold


@cache
def languages() -> dict[str, dict[str, Any]]:
    """Return what each language's file holds, by its code."""
    here = sorted((one for one in files(__package__).iterdir() if one.name.endswith(".toml")), key=lambda one: one.name)
    return {one.name.removesuffix(".toml"): tomllib.loads(one.read_text(encoding="utf-8")) for one in here}


@cache
def headers() -> dict[str, tuple[str, ...]]:
    """Return the spellings of each column, of all languages."""
    found: dict[str, list[str]] = {}
    for own in languages().values():
        for column, words in own["headers"].items():
            found.setdefault(column, []).extend(words)
    return {column: tuple(dict.fromkeys(words)) for column, words in found.items()}


@cache
def in_cells(column: str) -> dict[str, tuple[str, ...]]:
    """Return the folded spellings of each word that a column may hold, of all languages."""
    found: dict[str, list[str]] = {}
    for own in languages().values():
        for word, spellings in own["cells"].get(column, {}).items():
            found.setdefault(word, []).extend(fold(one) for one in spellings)
    return {word: tuple(dict.fromkeys(spellings)) for word, spellings in found.items()}


@cache
def said_of(part: str, name: str) -> tuple[str, ...]:
    """Return the folded words of one list of a part, of all languages: ('scale', 'good'), ('felt', 'hamstring')."""
    return tuple(dict.fromkeys(fold(word) for own in languages().values() for word in own[part].get(name, ())))
