"""Lists of bests with the day behind each: 'Name | 100 m | Date | 200 m | Date'. Made a row for each best."""

import dataclasses
import re
from collections.abc import Sequence

import polars as pl

from pipelines.cells.spoken import read_free
from pipelines.layouts.rows.shapes import RACES_M
from pipelines.layouts.sheets.blocks import PERSON, heads
from pipelines.layouts.words.evidence import look
from pipelines.layouts.words.headings import read_heading
from pipelines.layouts.words.titled import texts_of
from schemas.intake import TextTable
from schemas.shape import table_shape
from schemas.spelling import fold

# What a best is called. Common practice, no source.
BEST = {"pb", "pbs", "pr", "prs", "sb", "sbs", "best", "bests", "bestzeit", "bestzeiten", "bestleistung",
        "bestleistungen", "bestenliste", "record", "records", "rp", "mmp", "mm", "marcas", "persoonlijk", "rekord",
        "rekordy", "personale", "personali", "primati"}  # fmt: skip
FEWEST, MOSTLY, MOST_ROWS = 2, 0.8, 500


def bests_down(table: TextTable) -> TextTable:
    """Return a table with a row for each best and its day, where a list of people has an event's column and the day
    of it right behind, twice or more; the list is called one of bests. Else the table as it is.
    """
    if not 0 < table.rows.height <= MOST_ROWS:
        return table
    said = heads(table.header)
    people = [n for n, one in enumerate(said) if one is not None and set(one.names) & PERSON | _last_names(one.names)]
    pairs = [
        (place, event) for place, text in enumerate(table.header[:-1])
        if (event := _event_of(text)) is not None and _are_days(table, place + 1)
    ]  # fmt: skip
    taken = {n for place, _ in pairs for n in (place, place + 1)}
    if not people or len(pairs) < FEWEST or taken & set(people) or not _is_of_bests(table):
        return table
    if any(_are_days(table, n) for n, text in enumerate(table.header) if n not in taken and text):
        return table  # whose day that is nobody says
    parts = []
    for order, (place, event) in enumerate(pairs):
        parts.append(
            table.rows.select(
                *(pl.col(f"c{old}").alias(f"c{new}") for new, old in enumerate(people)),
                pl.lit(event).alias(f"c{len(people)}"),
                pl.col(f"c{place}").alias(f"c{len(people) + 1}"),
                pl.col(f"c{place + 1}").alias(f"c{len(people) + 2}"),
                "_line",
                _order=pl.int_range(pl.len()) * len(pairs) + order,
            ).filter(pl.col(f"c{len(people) + 1}").is_not_null())
        )
    rows = pl.concat(parts).sort("_order").drop("_order")
    header = [*(table.header[n] for n in people), "Event", "Time", "Date"]
    return dataclasses.replace(table, header=header, rows=rows, above=[], turned="bests")


def _last_names(names: Sequence[str]) -> set[str]:
    return {"last_name"} & set(names)


def _event_of(text: str) -> str | None:
    """Return the event that a heading names beside a word for a best: 'PB 100 m', '200 (SB)'; None for others."""
    words = [word for word in re.split(r"[\s()\[\]]+", text) if word]
    bare = " ".join(word for word in words if fold(word) not in BEST)
    one = read_heading(0, bare)
    is_event = (one.gate_m in RACES_M and not one.is_fly) or bool(
        read_free(bare, table_shape("race_result").columns["event"])[0]
    )
    return bare if bare and is_event else None


def _are_days(table: TextTable, place: int) -> bool:
    name = f"c{place}"
    return name in table.rows.columns and look(table.rows[name]).days >= MOSTLY


def _is_of_bests(table: TextTable) -> bool:
    words = {word for text in (*texts_of(table), *table.header) for word in fold(text).split()}
    return bool(words & BEST)
