"""Codes of people on a roster, 'S01', which other files write in the place of names."""

import dataclasses
import re
from collections.abc import Mapping, Sequence

from pipelines.layouts.words.evidence import Evidence
from pipelines.layouts.words.headings import Heading, spellings
from schemas.spelling import fold

CODE = re.compile(r"[A-Za-z]{1,4}[-_ ]?\d{1,4}")  # a bare number counts lines, but under 'Athlete ID'
NAMES = {"display_name", "athlete_id", "first_name", "last_name"}
NUMBER_WORDS = {"id", "no", "nr", "num", "number", "nummer", "numero", "code", "key"}
# What heads a column of short forms of names, folded; common practice, no source.
SHORT_FORMS = {"afk", "afkorting", "kurzel", "kuerzel", "abbr", "abbrev", "abbreviation", "abk", "abkurzung",
               "initials", "initialen", "init", "initiales", "iniciales", "iniziali", "sigle", "sigla",
               "short name", "short",
               "forkortelse", "forkortning", "skrot"}  # fmt: skip
LONGEST = 6  # letters of a short form
KNOWN = 0.3  # of the cells, as of a column of names; own choice
OF_A_PERSON = {"sex", "birth_date", "event_group", "squad"}


def with_codes(headings: Sequence[Heading], seen: Mapping[int, Evidence]) -> list[Heading]:
    """Return headings in which a column of a roster that no spelling names, and that gives everybody a code of their
    own, is one of codes. Beside a name a code is no name, whatever the heading calls it ('Athlete ID').
    """
    names = {name for one in headings for name in one.names[:1]}
    people = [one for one in headings if set(one.names) & NAMES]
    if not people:
        return [_whose(one, seen.get(one.place)) for one in headings]
    if not names & OF_A_PERSON:
        return list(headings)
    coded = [
        one for one in headings
        if not one.is_told and (not one.names or (one in people and len(people) > 1 and not one.is_exact))
        and _are_codes(one, seen.get(one.place))
    ]  # fmt: skip
    if len(coded) != 1:
        return list(headings)
    return [dataclasses.replace(one, names=("code",), loose=()) if one is coded[0] else one for one in headings]


def _whose(one: Heading, cells: Evidence | None) -> Heading:
    """Return a heading 'Code' over codes of people that are known as that of whose rows they are."""
    may_be = one.names[:1] == ("code",) or (not one.names and fold(one.text) in SHORT_FORMS)
    is_known = may_be and not one.is_told and cells is not None and cells.known > KNOWN
    return dataclasses.replace(one, names=("athlete_id",), is_exact=False) if is_known else one


def is_key(text: str) -> bool:
    """Return whether a heading asks for the number of a person: 'Athlete ID', 'athlete_no', 'Athleten-Nr.'."""
    words = fold(text.replace("_", " ")).split()
    rest = " ".join(word for word in words if word not in NUMBER_WORDS)
    return len(words) > 1 and rest != " ".join(words) and "athlete_id" in spellings().get(rest, ())


def _are_codes(one: Heading, cells: Evidence | None) -> bool:
    if cells is None or not cells.filled == cells.distinct > 1:
        return False
    if fold(one.text) in SHORT_FORMS:
        return all(text.strip().isalnum() and len(text.strip()) <= LONGEST for text in cells.texts)
    return all(CODE.fullmatch(text.strip()) or (is_key(one.text) and text.strip().isdigit()) for text in cells.texts)
