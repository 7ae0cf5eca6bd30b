"""Which of two days a row is of: the day that somebody wrote, and not the moment at which a form was sent."""

import dataclasses
from collections.abc import Mapping, Sequence

from pipelines.layouts.words.evidence import Evidence
from pipelines.layouts.words.headings import Heading
from schemas.reading import NOT_USED
from schemas.spelling import fold

# What a form writes by itself; folded, common practice, no source
STAMPS = frozenset((
    "timestamp", "timestamp utc", "submitted at", "submitted on", "submission date", "submission time", "logged",
    "created at", "entered at", "entered on", "completed at", "response date", "zeitstempel", "eingetragen am",
    "eingereicht am", "horodateur", "date de soumission", "date de reponse", "marca temporal", "fecha de envio",
    "informazioni cronologiche", "data di invio", "carimbo de data hora", "data de envio", "tijdstempel", "ingevuld op",
    "tidsstampel", "inskickat", "tidsmerke", "tidsstempel", "aikaleima", "sygnatura czasowa", "casova znacka",
))  # fmt: skip
MOST = 0.8


def with_own_day(headings: Sequence[Heading], seen: Mapping[int, Evidence]) -> list[Heading]:
    """Return headings without the stamp of a form where one other column is the day of the row: who fills in the form
    after midnight, or the day after, says of which day it is.
    """
    days = [one for one in headings if one.names[:1] == ("date",) and seen[one.place].days >= MOST]
    own = [one for one in days if fold(one.text) not in STAMPS]
    stamps = [one for one in headings if one not in own and fold(one.text) in STAMPS and not one.is_told]
    if len(own) != 1 or not stamps or any(one.is_told for one in own):
        return list(headings)
    return [dataclasses.replace(one, names=(NOT_USED,), loose=()) if one in stamps else one for one in headings]
