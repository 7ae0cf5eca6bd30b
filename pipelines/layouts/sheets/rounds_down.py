"""Results with a column for each round: 'Event | Prelim | Wind | Final | Wind | Place'. Made a row for each round."""

import dataclasses

import polars as pl

from pipelines.layouts.sheets.blocks import PERSON, heads
from pipelines.layouts.words.evidence import is_run_time, to_number
from schemas.intake import TextTable
from schemas.spelling import fold

# What a round is called as a heading of times. Common practice, no source.
ROUNDS = {"prelim", "prelims", "heat", "heats", "round 1", "quarter", "quarters", "quarterfinal", "semi", "semis",
          "semifinal", "semifinals", "final", "finals", "vorlauf", "zwischenlauf", "halbfinale", "endlauf", "finale",
          "serie", "series", "eliminatoria", "semifinale", "batteria", "batterie", "voorronde", "halve finale",
          "forsok"}  # fmt: skip
OF_A_ROUND = {"wind_ms", "place", "reaction_s"}
FEWEST, HALF, MOST_ROWS = 2, 0.5, 2000


def rounds_down(table: TextTable) -> TextTable:
    """Return a table with a row for each round that somebody ran, where rounds stand as columns of times beside an
    event; else the table as it is.

    Wind, place and reaction right of a round are of that round. Where one stands in a row whose round has no time it
    may be of another, and the table is left as it is.
    """
    if not 0 < table.rows.height <= MOST_ROWS:
        return table
    said = heads(table.header)
    named = [set(one.names) if one is not None else set() for one in said]
    rounds = [place for place, text in enumerate(table.header) if fold(text) in ROUNDS and _are_times(table, place)]
    if len({fold(table.header[place]) for place in rounds}) < max(FEWEST, len(rounds)):
        return table
    if not any("event" in names for names in named) or not any(names & {*PERSON, "last_name"} for names in named):
        return table
    beside: dict[int, dict[str, int]] = {place: {} for place in rounds}
    for place in range(rounds[0], len(table.header)):
        is_of_round = place not in rounds and f"c{place}" in table.rows.columns and bool(named[place] & OF_A_ROUND)
        if is_of_round:
            beside[max(one for one in rounds if one < place)][fold(table.header[place])] = place
    taken = {*rounds, *(place for some in beside.values() for place in some.values())}
    for place, some in beside.items():
        is_said = pl.any_horizontal(pl.lit(False), *(pl.col(f"c{one}").is_not_null() for one in some.values()))
        if table.rows.filter(pl.col(f"c{place}").is_null() & is_said).height:
            return table
    others = [n for n, text in enumerate(table.header) if text and n not in taken and f"c{n}" in table.rows.columns]
    words = {word: place for some in beside.values() for word, place in some.items()}
    parts = []
    for order, (place, some) in enumerate(beside.items()):
        values = [pl.col(f"c{some[word]}") if word in some else pl.lit(None, pl.String) for word in words]
        parts.append(
            table.rows.select(
                *(pl.col(f"c{old}").alias(f"c{new}") for new, old in enumerate(others)),
                pl.lit(table.header[place]).alias(f"c{len(others)}"),
                pl.col(f"c{place}").alias(f"c{len(others) + 1}"),
                *(one.alias(f"c{len(others) + 2 + n}") for n, one in enumerate(values)),
                "_line",
                _order=pl.int_range(pl.len()) * len(rounds) + order,
            ).filter(pl.col(f"c{len(others) + 1}").is_not_null())
        )
    rows = pl.concat(parts).sort("_order").drop("_order")
    header = [*(table.header[n] for n in others), "Round", "Time", *(table.header[place] for place in words.values())]
    return dataclasses.replace(table, header=header, rows=rows, above=[], turned="rounds")


def _are_times(table: TextTable, place: int) -> bool:
    """Return whether half the cells of a column are times of a race; the others may say how it ended."""
    name = f"c{place}"
    cells = [cell for cell in table.rows[name].drop_nulls() if cell] if name in table.rows.columns else []
    times = [cell for cell in cells if is_run_time(cell) or ":" in cell or (to_number(cell) or 0) % 1]
    return bool(cells) and len(times) >= HALF * len(cells)
