"""Checks: text becomes typed values in SI units; every source row is accepted whole or set aside with its reasons."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date

import polars as pl

from pipelines.checks.faults import SET_ASIDE_SCHEMA
from pipelines.checks.names import Roster
from pipelines.checks.sheet import SheetCheck
from schemas.intake import LaidOut, Question

__all__ = ["Checked", "Known", "check", "sentence"]


@dataclass(frozen=True)
class Known:
    """What the record knows already, and the day it is looked at from."""

    athletes: pl.DataFrame  # athlete_id, display_name
    as_of: date
    shown: frozenset[str] | None = None  # whose names may be told to who brings the file; null: everybody's


@dataclass(frozen=True)
class Checked:
    """What became of the rows of a file: ``rows_read`` = source rows accepted + source rows set aside."""

    rows_read: int
    accepted: dict[str, pl.DataFrame]  # record table -> its columns that the file gives, source_sheet, source_line
    set_aside: pl.DataFrame  # source_sheet, source_line, column, value, reason, row_json; one or more for each row
    notes: list[str] = field(default_factory=list)  # what was taken to be so, as sentences
    questions: list[Question] = field(default_factory=list)  # what it leaves open


def check(laid: Sequence[LaidOut], known: Known) -> Checked:
    """Check the tables of one file. Rosters first, so that an athlete of one sheet is known in the next.

    A row is whole or set aside: one bad cell, and nothing of the row is stored.
    """
    roster = Roster(known.athletes, known.shown)
    rows_read = 0
    accepted: dict[str, list[pl.DataFrame]] = {}
    aside = [pl.DataFrame(schema=SET_ASIDE_SCHEMA)]
    notes: list[str] = []
    questions: list[Question] = []
    for one in sorted(laid, key=lambda table: "athlete" not in table.tables):
        result = SheetCheck(one, roster, known.as_of).run()
        roster = roster.with_new(result.new_athletes) if result.new_athletes else roster
        rows_read += result.rows_read
        aside.append(result.set_aside)
        notes += [f"sheet '{one.sheet}': {note}" if one.sheet else note for note in result.notes]
        questions += result.questions
        for table, frame in result.accepted.items():
            accepted.setdefault(table, []).append(frame)
    return Checked(
        rows_read,
        {table: pl.concat(frames, how="diagonal") for table, frames in accepted.items()},
        pl.concat(aside),
        notes,
        questions,
    )


def sentence(source: str, sheet: str, line: int, column: str, reason: str) -> str:
    """Return where and why in one sentence: 'squad.csv line 7, body_mass_kg: 6.8 kg is outside 25 to 180 kg. ...'"""
    place = f"{source}{f' sheet {sheet!r}' if sheet else ''} line {line}"
    return f"{place}, {column}: {reason}" if column else f"{place}: {reason}"
