"""Checks: text becomes typed values in SI units; every source row is accepted whole or set aside with its reasons."""

import dataclasses
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date

import polars as pl

from pipelines.checks import whose
from pipelines.checks.far_days import doubted
from pipelines.checks.faults import SET_ASIDE_SCHEMA
from pipelines.checks.names import Roster
from pipelines.checks.sheet import SheetCheck
from schemas.intake import LaidOut, Question

__all__ = ["RUN_TABLES", "Checked", "Known", "check", "counted_on", "sentence"]

MOST_DOUBTED = 50_000  # rows of a file whose years are looked at; a longer one is a program's, and has no slips
RUN_TABLES = {"rep", "split", "step", "set_position", "technique_note", "start_trial"}
RUN_OF = ["athlete_id", "session_date", "session_no", "rep_no"]


@dataclass(frozen=True)
class Known:
    """What the record knows already, and the day it is looked at from."""

    athletes: pl.DataFrame  # athlete_id, display_name; event_group, squad, sex, joined_on, left_on where known
    as_of: date
    others: frozenset[str] = frozenset()  # names of the files given together who are nobody on the roster
    exercises: frozenset[str] = frozenset()  # whose family the squad's own list says
    shown: frozenset[str] | None = None  # whose names may be told to who brings the file; null: everybody's


@dataclass(frozen=True)
class Checked:
    """What became of the rows of a file: ``rows_read`` = source rows accepted + source rows set aside."""

    rows_read: int
    accepted: dict[str, pl.DataFrame]  # record table -> its columns that the file gives, source_sheet, source_line
    set_aside: pl.DataFrame  # source_sheet, source_line, column, value, reason, row_json; one or more for each row
    notes: list[str] = field(default_factory=list)  # what was taken to be so, as sentences
    questions: list[Question] = field(default_factory=list)  # what it leaves open
    made_numbers: list[str] = field(default_factory=list)  # sheets whose run numbers are ours, not the file's
    told_sessions: list[str] = field(default_factory=list)  # sheets that give the numbers of their sessions themselves


def check(laid: Sequence[LaidOut], known: Known) -> Checked:
    """Check the tables of one file. Rosters first, so that an athlete of one sheet is known in the next.

    A row is whole or set aside: one bad cell, and nothing of the row is stored.
    """
    roster = Roster(known.athletes, known.others, known.shown)
    read: dict[str, list[pl.Series]] = {}  # lines of each sheet: one may give rows to several tables side by side
    accepted: dict[str, list[pl.DataFrame]] = {}
    aside = [pl.DataFrame(schema=SET_ASIDE_SCHEMA)]
    notes: list[str] = []
    questions: list[Question] = []
    made_numbers: list[str] = []
    told_sessions: list[str] = []
    waiting = sorted(laid, key=_order_of)
    while waiting:
        first, *waiting = waiting
        one, asked = whose.for_several(first, roster) or (first, [])
        questions += asked
        result = SheetCheck(one, roster, known.as_of, known.exercises).run()
        if one.is_of_several:
            kept, told = whose.in_force(one, result.accepted, result.set_aside, roster)
            result = dataclasses.replace(result, accepted=kept, set_aside=told)
        if result.new_athletes:
            roster = roster.with_new(result.new_athletes, result.accepted.get("athlete"))
        read.setdefault(one.sheet, []).append(one.rows["_line"].cast(pl.Int64))
        if result.made_numbers and RUN_TABLES & set(result.accepted):
            if one.block is None or one.block.turned != "notes":  # a text in lines counted its runs through
                result = dataclasses.replace(result, accepted=_counted_on(accepted, result.accepted))
            made_numbers.append(one.sheet)
        if any("session_no" in part.cells for part in one.parts):
            told_sessions.append(one.sheet)
        aside.append(result.set_aside)
        notes += [f"sheet '{one.sheet}': {note}" if one.sheet else note for note in result.notes]
        questions += result.questions
        for table, frame in result.accepted.items():
            accepted.setdefault(table, []).append(frame)
    rows_read = sum(pl.concat(lines).n_unique() for lines in read.values())
    notes += doubted(accepted) if rows_read <= MOST_DOUBTED else []
    return Checked(
        rows_read,
        {table: pl.concat(frames, how="diagonal") for table, frames in accepted.items()},
        pl.concat(aside),
        notes,
        questions,
        made_numbers,
        told_sessions,
    )


def _order_of(laid: LaidOut) -> int:
    """Return when a table's turn is: rosters first, those whose rows may hold for several when all are known."""
    if "athlete" in laid.tables:
        return 0
    return 2 if whose.may_be_several(laid) else 1


def _counted_on(before: dict[str, list[pl.DataFrame]], now: dict[str, pl.DataFrame]) -> dict[str, pl.DataFrame]:
    """Return the runs of a sheet counted on from those of the sheets before it: two sheets of a day are two sets
    of runs.
    """
    earlier = [
        frame.select(RUN_OF)
        for name in RUN_TABLES
        for frame in before.get(name, [])
        if set(RUN_OF) <= set(frame.columns)
    ]
    if not earlier:
        return now
    last = pl.concat(earlier).group_by(RUN_OF[:3]).agg(_last=pl.col("rep_no").max())
    return {name: counted_on(frame, last) if name in RUN_TABLES else frame for name, frame in now.items()}


def counted_on(frame: pl.DataFrame, last: pl.DataFrame) -> pl.DataFrame:
    """Return rows of runs with their numbers counted on from the last one of that athlete's session.

    Args:
        frame: Rows with athlete_id, session_date, session_no, rep_no.
        last: athlete_id, session_date, session_no, _last.
    """
    joined = frame.join(last, on=RUN_OF[:3], how="left", maintain_order="left")
    return joined.with_columns(rep_no=pl.col("rep_no") + pl.col("_last").fill_null(0)).drop("_last")


def sentence(source: str, sheet: str, line: int, column: str, reason: str) -> str:
    """Return where and why in one sentence: 'squad.csv line 7, body_mass_kg: 6.8 kg is outside 25 to 180 kg. ...'"""
    place = f"{source}{f' sheet {sheet!r}' if sheet else ''} line {line}"
    return f"{place}, {column}: {reason}" if column else f"{place}: {reason}"
