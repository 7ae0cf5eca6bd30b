"""What a line of notes says, and the tables that lines make."""

import dataclasses

import polars as pl

from schemas.intake import TextTable
from schemas.reading import Fact


@dataclasses.dataclass(frozen=True)
class Told:
    """What one line says: of whom, on which day, times over distances, exercises with their sets, and the remark."""

    line: int
    day: str
    name: str
    runs: tuple[tuple[tuple[str, str], ...], ...] = ()  # each run: (distance, time) of its gates
    facts: tuple[tuple[str, str], ...] = ()
    remark: str = ""
    lifts: tuple[tuple[str, str], ...] = ()  # exercise and sets


def made_table(
    table: TextTable, header: list[str], rows: list[tuple[int, list[str]]], facts: dict[str, str]
) -> TextTable:
    """Return a table of the text with these cells by line, and what holds for all of them."""
    columns = {
        f"c{place}": pl.Series([cells[place] or None for _, cells in rows], dtype=pl.String)
        for place in range(len(header))
    }
    frame = pl.DataFrame({**columns, "_line": pl.Series([line for line, _ in rows], dtype=pl.Int64)})
    told = {name: Fact(text, "line above") for name, text in facts.items()}
    return dataclasses.replace(
        table, header=header, header_line=table.written[0][0], rows=frame, facts=told, titles=(), above=[],
        turned="notes",
    )  # fmt: skip
