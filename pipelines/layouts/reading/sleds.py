"""A bare 'Sled' of 10, 20, 50: kilograms or percent of body mass. Both are in use, and the numbers fit both."""

import dataclasses
import re
from collections.abc import Mapping, Sequence

from pipelines.layouts.words.evidence import Evidence, to_number
from pipelines.layouts.words.headings import Heading
from pipelines.layouts.words.titled import texts_of
from schemas.intake import TextTable
from schemas.spelling import fold

# Headers that name no weight; common practice, no source
BARE = frozenset((
    "sled", "sled load", "load", "resistance", "resisted", "schlitten", "schlittenlast", "last", "widerstand", "charge",
    "traineau", "charge traineau", "trineo", "carga", "carga del trineo", "resistencia", "slitta",
    "carico", "carico slitta", "slee", "slade", "slede", "weerstand",
))  # fmt: skip
SAID = re.compile(r"(?<![^\W\d_])(?:kgs?|kilos?|lbs?)(?![^\W\d_])|%|\bpercent|\bprozent", re.I)
STEP, MOST = 5.0, 100.0  # shares of body mass are set in steps of five
MEANINGS = (
    ("rep.resistance_load_kg", "kilograms on the sled"),
    ("rep.resistance_percent", "percent of body mass"),
)


def is_in_doubt(one: Heading, cells: Evidence | None, table: TextTable) -> bool:
    """Return whether a load of a sled may be kilograms or percent: no word for a unit, and all in steps of five."""
    if cells is None or one.is_told or one.unit is not None or fold(one.text) not in BARE or cells.numbers < 1:
        return False
    some = [number for text in cells.texts if (number := to_number(text))]
    is_share = bool(some) and all(one % STEP == 0 for one in some) and max(some) <= MOST
    return is_share and not any(SAID.search(text) for text in texts_of(table))


def without_doubted_loads(headings: Sequence[Heading], seen: Mapping[int, Evidence], table: TextTable) -> list[Heading]:
    """Return headings of which a load that may be either names nothing until that is said."""
    return [
        dataclasses.replace(one, names=(), loose=())
        if one.names[:1] == ("resistance_load_kg",) and "exercise" not in {n for h in headings for n in h.names}
        and is_in_doubt(one, seen.get(one.place), table)
        else one
        for one in headings
    ]  # fmt: skip
