"""The phases of a season as lines of a text: 'General preparation: 14 September 2026 to 8 November 2026'."""

import dataclasses

import polars as pl

from pipelines.cells.spoken import is_phase
from pipelines.layouts.sheets.season_phases import first_and_last
from schemas.intake import TextTable

FEWEST, MOST = 2, 0.75  # lines of a phase, and the share of the lines they are at least; own choice


def phase_lines(table: TextTable) -> list[TextTable]:
    """Return the phases that most lines of a text name with their first and last day; [] where it is no such text."""
    lines = [(number, text.strip()) for number, text in table.written if text.strip()]
    said = [(number, found) for number, text in lines if (found := _phase_of(text)) is not None]
    if table.sheet or len(said) < FEWEST or len(said) < MOST * (len(lines) - 1):  # and a title
        return []
    rows = {f"c{n}": pl.Series([found[n] for _, found in said], dtype=pl.String) for n in range(3)}
    frame = pl.DataFrame({**rows, "_line": pl.Series([number for number, _ in said], dtype=pl.Int64)})
    return [dataclasses.replace(table, header=["phase", "from_on", "until_on"], rows=frame, titles=(), above=[],
                                facts={}, turned="phases")]  # fmt: skip


def _phase_of(text: str) -> tuple[str, str, str] | None:
    phase, sign, days = text.lstrip("-*• ").partition(":")
    said = first_and_last(days.strip(" .")) if sign and is_phase(phase) else None
    return None if said is None else (phase.strip(), *said)
