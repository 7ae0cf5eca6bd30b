"""What stands inside one cell or one heading beside another thing: '90/7', '20 m fly', '3 L'. Made columns and rows."""

import dataclasses
import re
from collections.abc import Sequence

import polars as pl

from pipelines.layouts.rows.side_by_side import MEASURES
from pipelines.layouts.sheets.blocks import PERSON, heads, is_heard
from pipelines.layouts.sheets.groups import DayColumn, days_down
from pipelines.layouts.words.evidence import MINUTES_AND_EFFORT, look, looks_like_name
from pipelines.layouts.words.headings import BRACKETS, TEST_SIDE_WORDS, read_heading
from pipelines.layouts.words.run_words import FLY
from pipelines.layouts.words.said import RUN_IN
from pipelines.layouts.words.titled import two_headings
from schemas.intake import TextTable
from schemas.reading import Fact
from schemas.spelling import fold

PAIR = re.compile(r"(\d{1,3}(?:[.,]\d+)?)\s*/\s*(\d{1,2}(?:[.,]\d+)?)")
STEP_OF_SIDE = re.compile(r"(\d{1,2})\s*\.?\s*([^\W\d_]+)")
FEWEST_STEPS = 3
MOST_ROWS = 20_000
HALF = 0.5


def days_of_pairs(table: TextTable, others: Sequence[int], days: Sequence[DayColumn]) -> TextTable | None:
    """Return a table with a row for each athlete and day where days stand as columns and a cell holds two values:
    '90/7' below a title 'Minutes / effort', or "75' RPE 7", which says it itself. None where it is no such table.

    A cell of another form stays whole under the first, and is told there.
    """
    texts = [text for one in days for text in look(table.rows[f"c{one.place}"]).texts if any(map(str.isdigit, text))]
    said = sum(1 for text in texts if MINUTES_AND_EFFORT.fullmatch(text.strip()))
    pair, named = (MINUTES_AND_EFFORT, ("Minutes", "RPE")) if said else (PAIR, two_headings(table))
    if named is None or not texts or sum(1 for text in texts if pair.fullmatch(text.strip())) < HALF * len(texts):
        return None
    down = days_down(table, others, [dataclasses.replace(one, heading="") for one in days], "value")
    place = len(down.header) - 1
    cell = pl.col(f"c{place}")
    whole = f"(?i)^\\s*{pair.pattern}\\s*$"
    first = cell.str.extract(whole, 1)
    rows = down.rows.with_columns(
        pl.coalesce(first, cell).alias(f"c{place}"), cell.str.extract(whole, 2).alias(f"c{place + 1}")
    )
    order = [*(f"c{n}" for n in range(place + 2) if f"c{n}" in rows.columns), "_line"]
    return dataclasses.replace(down, header=[*down.header[:-1], *named], rows=rows.select(order))


def flying_apart(table: TextTable) -> TextTable:
    """Return a table in which cells like '20 m fly' under a distance are the distance, and the start beside it rolling.

    Left alone where a column says the start.
    """
    said = heads(table.header)
    if table.rows.height > MOST_ROWS or any(one is not None and "start_kind" in one.names for one in said):
        return table
    for place, one in enumerate(said):
        name = f"c{place}"
        if one is None or "distance_m" not in one.names or name not in table.rows.columns:
            continue
        texts = table.rows[name].drop_nulls().unique().to_list()
        flown = {
            text: match["gate"] or match["before"]
            for text in texts
            if (match := FLY.fullmatch(fold(BRACKETS.sub(" ", RUN_IN.sub(" ", text)))))
        }
        if not flown:
            continue
        width = len(table.header)
        start = pl.when(pl.col(name).is_in(list(flown))).then(pl.lit("rolling")).otherwise(pl.lit(None, pl.String))
        metres = {text: f"{far} m" for text, far in flown.items()}
        rows = table.rows.with_columns(start.alias(f"c{width}"), pl.col(name).replace(metres))
        order = [*(f"c{n}" for n in range(width + 1) if f"c{n}" in rows.columns), "_line"]
        return dataclasses.replace(table, header=[*table.header, "Start"], rows=rows.select(order))
    return table


def steps_with_sides(table: TextTable) -> TextTable:
    """Return a table of steps as columns whose headings say the foot ('1 L', '2 R') with the foot as a row of its own.

    The column beside them names what was measured. Where its heading is a person's name, the steps are that person's.
    """
    sides: dict[int, tuple[int, str]] = {}
    for place, text in enumerate(table.header):
        match = STEP_OF_SIDE.fullmatch(text.strip())
        side = next((s for s in ("l", "r") if match and fold(match[2]) in TEST_SIDE_WORDS[s]), None)
        if match is not None and side is not None:
            sides[place] = (int(match[1]), side)
    numbers = [number for number, _ in sides.values()]
    if len(sides) < FEWEST_STEPS or numbers != list(range(numbers[0], numbers[0] + len(numbers))):
        return table
    others = [place for place in range(len(table.header)) if place not in sides]
    named = [
        place for place in others
        if f"c{place}" in table.rows.columns and (texts := table.rows[f"c{place}"].drop_nulls().unique().to_list())
        and all(set(read_heading(place, text).names) & set(MEASURES) for text in texts)
    ]  # fmt: skip
    if len(named) != 1 or table.rows.height == 0:
        return table
    place = named[0]
    header = [f"Step {sides[n][0]}" if n in sides else text for n, text in enumerate(table.header)]
    facts = dict(table.facts)
    has_person = any(one is not None and set(one.names) & PERSON for one in heads(table.header))
    over = table.header[place]
    if over and not is_heard(read_heading(place, over)) and looks_like_name(over) and not has_person:
        facts.setdefault("athlete_id", Fact(over, "line above"))
        header[place] = "Measure"
    feet: dict[str, object] = {f"c{n}": side for n, (_, side) in sides.items()}
    whose = [name for name in table.rows.columns if name not in feet and name not in (f"c{place}", "_line")]
    runs = table.rows.unique(whose, keep="first", maintain_order=True) if whose else table.rows.head(1)
    told = [pl.lit(side).alias(name) for name, side in feet.items()]
    extra = runs.with_columns(*told, pl.lit("side").alias(f"c{place}"))
    return dataclasses.replace(table, header=header, rows=pl.concat([table.rows, extra]), facts=facts, turned="steps")
