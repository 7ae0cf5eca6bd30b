"""How far the runs of a row were, where only the words for its session say it: '3x150 r 8min' beside three times."""

import dataclasses
import re

import polars as pl

from pipelines.layouts.words.evidence import look
from pipelines.layouts.words.headings import read_heading
from pipelines.layouts.words.said import distances_in
from pipelines.layouts.words.titled import texts_of
from schemas.intake import TextTable

RUNS = re.compile(
    r"\s*\d{1,2}\s*[x×*]\s*(\d{2,3}\s*(?:m|mts|yd|yds)?)(?![\d.,]|\s*(?:kg|lbs?|reps|s|sec|min|@))\b.*", re.I
)
SHORTEST = 20  # metres: '3x10' may be sets of ten. Own choice
NEARLY_ALL = 0.9
KINDS = ("kind",)


def with_distance_of_work(table: TextTable) -> TextTable:
    """Return a table of runs with a column of how far each was, where nothing else of it says that: one column of
    words for a session names in every row how many runs over which distance, and one of times stands beside it.
    """
    said = [read_heading(place, text) for place, text in enumerate(table.header)]
    far = any("distance_m" in one.names or one.gate_m is not None or "exercise" in one.names for one in said)
    if far or table.turned != "athletes" or any(distances_in(text) for text in texts_of(table)):
        return table
    worked = [one for one in said if one.names[:1] == KINDS and f"c{one.place}" in table.rows.columns]
    times = [one for one in said if "elapsed_s" in one.names or one.text == "value"]
    if len(worked) != 1 or len(times) != 1:
        return table
    seen = look(table.rows[f"c{times[0].place}"])
    cells = [cell or "" for cell in table.rows[f"c{worked[0].place}"]]
    found = [one[1].strip() if (one := RUNS.fullmatch(cell)) is not None else None for cell in cells]
    known = [text for text in found if text and int(re.findall(r"\d+", text)[0]) >= SHORTEST]
    if seen.numbers < NEARLY_ALL or seen.whole == 1 or len(known) < NEARLY_ALL * len(cells):
        return table
    width = len(table.header)
    rows = table.rows.with_columns(pl.Series(f"c{width}", found, dtype=pl.String))
    header = [("Time" if place == times[0].place else text) for place, text in enumerate(table.header)]
    order = [*(f"c{n}" for n in range(width + 1) if f"c{n}" in rows.columns), "_line"]
    return dataclasses.replace(table, header=[*header, "Distance"], rows=rows.select(order))
