"""Tables whose headings are what should be a column: the loads of a sled ('0 kg', '10 kg'), the events of a meeting."""

import dataclasses
import re
from collections.abc import Collection, Sequence

import polars as pl

from pipelines.cells.events import event_of
from pipelines.cells.phrases import RESISTED, word_said
from pipelines.layouts.sheets.cells_apart import BLOWN
from pipelines.layouts.words.evidence import look, to_number
from pipelines.layouts.words.said import distances_in
from pipelines.layouts.words.titled import texts_of
from schemas.intake import TextTable
from schemas.outcome_words import ENDED_RACE
from schemas.spelling import fold

LOAD = re.compile(
    r"(\d{1,3}(?:[.,]\d)?)\s*(kgs?|kilos?|lbs?|%)\s*(?:of\s+)?(?:bm|bw|body ?mass|body ?weight|kg)?", re.I
)
OF_BODY = re.compile(
    r"(?<![a-z])(?:bm|bw|body ?mass|body ?weight|korpermasse|korpergewicht|poids (?:de|du) corps|peso corporal"
    r"|peso corporeo|lichaamsgewicht|kroppsvikt|kroppsvekt)(?![a-z])"
)
# Headings over the name of a meeting, folded; common practice, no source
MEETINGS = {"meeting", "meet", "competition", "comp", "race meeting", "wettkampf", "competicion", "gara",
            "manifestazione", "wedstrijd", "tavling", "stevne", "competicao", "championship",
            "championships"}  # fmt: skip
SPLITS = re.compile(r"(?<![a-z])(?:splits?|gates?|zwischenzeiten|passages?|parciales|intermedi)(?![a-z])")
FEWEST, MOST_ROWS = 2, 20_000
ORDINARY = ("60", "100", "200", "300", "400", "800")  # distances that are run as races; 80 and 150 may be gates


def values_across(table: TextTable) -> TextTable:
    """Return a table with a row for each load of a sled, or each event, that stood as a column; itself where none."""
    if not 0 < table.rows.height <= MOST_ROWS:
        return table
    return _events_down(_loads_down(table))


def _loads_down(table: TextTable) -> TextTable:
    """Return times below loads of a sled with the load as a column.

    A title, the tab or the file says the sled; that a share is of body mass, it or the heading has to say.
    """
    said = texts_of(table)
    found = {place: one for place, text in enumerate(table.header) if (one := LOAD.fullmatch(text.strip())) is not None}
    units = {one[2][0].lower() for one in found.values()}
    if len(found) < FEWEST or len(units) != 1 or not any(word_said(text, RESISTED) == "sled" for text in said):
        return table
    is_share = units == {"%"}
    if is_share and not any(OF_BODY.search(fold(text)) for text in (*said, *(table.header[place] for place in found))):
        return table
    if not any(len(distances_in(text)) == 1 for text in said) or not _all_numeric(table, found):
        return table
    loads = {place: one[1] for place, one in found.items()}
    unit = "% BM" if is_share else "lb" if units == {"l"} else "kg"
    down = _down(table, loads, f"Sled ({unit})", "Time (s)", "loads")
    if not is_share:
        return down
    # No share of body mass is a run without a sled; no kilograms may be an empty one, as the same in a column may.
    load, width = f"c{len(down.header) - 2}", len(down.header)
    is_free = pl.col(load).str.replace(",", ".").cast(pl.Float64, strict=False) == 0
    rows = down.rows.with_columns(
        pl.when(is_free).then(None).otherwise(pl.col(load)).alias(load),
        pl.when(is_free).then(pl.lit("free")).otherwise(pl.lit("sled")).alias(f"c{width}"),
    )
    return dataclasses.replace(down, header=[*down.header, "Resistance"], rows=_in_order(rows, width + 1))


def _events_down(table: TextTable) -> TextTable:
    """Return results below the distances of races with the event as a column, beside the name of a meeting.

    Where every row has all of them, they may be gates of one race, which is asked.
    """
    events = {place: one for place, text in enumerate(table.header) if (one := event_of(text)) is not None}
    cells = [look(table.rows[f"c{place}"]).texts for place in events if f"c{place}" in table.rows.columns]
    has_winds = any(BLOWN.fullmatch(text.strip()) for texts in cells for text in texts)
    is_of_races = has_winds or bool({fold(text) for text in table.header} & MEETINGS)
    if not is_of_races or any(SPLITS.search(fold(one)) for one in texts_of(table)):
        return table
    flat = [one for one in events.values() if not one.endswith("h")]
    far = [text for place, text in enumerate(table.header) if place not in events and distances_in(text)]
    if len(events) < FEWEST or far or not set(flat) <= set(ORDINARY) or not all(map(_are_results, cells)):
        return table
    filled = table.rows.select(pl.sum_horizontal(pl.col(f"c{place}").is_not_null() for place in events)).to_series()
    if (filled >= FEWEST).sum() > (filled < FEWEST).sum():
        return table
    return _down(table, events, "Event", "Time", "events")


def _are_results(texts: Sequence[str]) -> bool:
    return all(to_number(one) is not None or BLOWN.fullmatch(one) or fold(one) in ENDED_RACE for one in texts)


def _all_numeric(table: TextTable, places: Collection[int]) -> bool:
    columns = [table.rows[f"c{place}"] for place in places if f"c{place}" in table.rows.columns]
    return len(columns) == len(places) and all(look(one).is_numeric for one in columns if one.count())


def _down(table: TextTable, said: dict[int, str], heading: str, value: str, turned: str) -> TextTable:
    others = [place for place in range(len(table.header)) if place not in said]
    width = len(others)
    parts = [
        table.rows.select(
            *(pl.col(f"c{old}").alias(f"c{new}") for new, old in enumerate(others) if f"c{old}" in table.rows.columns),
            pl.lit(text).alias(f"c{width}"), pl.col(f"c{place}").alias(f"c{width + 1}"), "_line",
            _order=pl.int_range(pl.len()) * len(said) + order,
        ).filter(pl.col(f"c{width + 1}").is_not_null())
        for order, (place, text) in enumerate(said.items())
    ]  # fmt: skip
    rows = _in_order(pl.concat(parts).sort("_order"), width + 2)
    header = [*(table.header[place] for place in others), heading, value]
    return dataclasses.replace(table, header=header, rows=rows, above=[], turned=turned)


def _in_order(rows: pl.DataFrame, width: int) -> pl.DataFrame:
    return rows.select(*(f"c{n}" for n in range(width) if f"c{n}" in rows.columns), "_line")
