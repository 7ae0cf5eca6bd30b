"""Flying runs by two columns: how long the run-in was, and the stretch that was timed behind it."""

import dataclasses
from collections.abc import Sequence

import polars as pl

from pipelines.layouts.words.headings import BRACKETS, Heading
from schemas.intake import TextTable
from schemas.reading import Fact
from schemas.spelling import fold
from schemas.unit_words import unit_word

# Headings of the stretch beside a run-in, folded. Common practice, no source.
STRETCH_WORDS = {
    "stretch", "timed stretch", "timed zone", "flying", "fly", "fly zone", "flying zone",
    "tratto", "tratto lanciato", "tratto cronometrato",
    "fliegend", "messstrecke", "teilstrecke", "abschnitt", "troncon", "zone", "tramo", "traject", "trajet", "trecho",
    "stracka", "strekning", "straekning", "usek", "odcinek",
}  # fmt: skip
LENGTH = r"^\s*(\d{1,3}(?:[.,]\d+)?)\s*(?:m|mt|mts|metri|meter|metres|meters|metros)?\.?\s*$"
TIMED = {"distance_m"}


def _plain(one: Heading) -> str:
    words = fold(BRACKETS.sub(" ", one.text)).split()
    return " ".join(words[:-1] if len(words) > 1 and unit_word(words[-1]) == "meter" else words)


def with_run_in(headings: Sequence[Heading], table: TextTable) -> list[Heading]:
    """Name the column of the stretch beside a column of the run-in: it is the distance that was timed.

    Alone 'tratto' or 'zone' may be anything, and means nothing before it is said.
    """
    far = [one for one in headings if _plain(one) in STRETCH_WORDS and _lengths(table, one)]
    if len(far) != 1 or not _column(headings) or any(set(one.names) & TIMED for one in headings if one not in far):
        return list(headings)
    return [dataclasses.replace(one, names=("distance_m",), loose=()) if one in far else one for one in headings]


def start_by_run_in(headings: Sequence[Heading], table: TextTable, facts: dict[str, Fact]) -> dict[str, Fact]:
    """Return facts with the start of runs that all had a run-in; without it where only some had, or it is told
    otherwise: then it is asked.
    """
    column = _column(headings)
    is_timed = any(one.gate_m is not None or set(one.names) & TIMED for one in headings)
    if len({one.is_fly for one in headings if one.gate_m is not None}) > 1:
        return facts  # runs from the start beside the flying ones
    if column is None or not is_timed or any("start_kind" in one.names for one in headings):
        return facts
    lengths = _lengths(table, column)
    other = {name: fact for name, fact in facts.items() if name != "start_kind"}
    said = facts.get("start_kind")
    if len(lengths) == table.rows.height and all(lengths) and (said is None or said.text == "rolling"):
        return {**other, "start_kind": said or Fact("rolling", "header")}
    return other


def _column(headings: Sequence[Heading]) -> Heading | None:
    """Return the one column of the run-in, None where none or several are."""
    found = [one for one in headings if one.names[:1] == ("run_in_m",)]
    return found[0] if len(found) == 1 else None


def _lengths(table: TextTable, one: Heading) -> list[float]:
    """Return the metres a column holds; none of them where a cell is no length."""
    cells = table.rows[f"c{one.place}"].drop_nulls()
    read = cells.str.replace(",", ".").str.extract(LENGTH).cast(pl.Float64, strict=False)
    return [] if read.null_count() else read.to_list()
