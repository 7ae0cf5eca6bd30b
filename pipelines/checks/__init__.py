"""Checks: text becomes typed values in SI units; every source row is accepted whole or set aside with its reasons."""

import dataclasses
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date

import polars as pl

from pipelines.checks.faults import SET_ASIDE_SCHEMA
from pipelines.checks.names import Roster
from pipelines.checks.sheet import SheetCheck
from schemas.intake import NAMED_SCHEMA, LaidOut, Question
from schemas.reading import Fact
from schemas.spelling import fold

__all__ = ["RUN_TABLES", "Checked", "Known", "check", "counted_on", "sentence"]

EVERYBODY = "everybody"  # the answer that the rows of a sheet without athletes hold for all of them
ABSENT = {"absent", "absents", "missing", "away", "not there", "fehlt", "fehlend", "abwesend", "ausente",
"ausentes", "assenti",
          "franvarande", "out"}  # fmt: skip
RUN_TABLES = {"rep", "split", "step", "set_position", "technique_note", "start_trial"}
RUN_OF = ["athlete_id", "session_date", "session_no", "rep_no"]


@dataclass(frozen=True)
class Known:
    """What the record knows already, and the day it is looked at from."""

    athletes: pl.DataFrame  # athlete_id, display_name
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


def check(laid: Sequence[LaidOut], known: Known) -> Checked:
    """Check the tables of one file. Rosters first, so that an athlete of one sheet is known in the next.

    A row is whole or set aside: one bad cell, and nothing of the row is stored.
    """
    roster = Roster(known.athletes, known.others, known.shown)
    rows_read = 0
    read: dict[str, set[int]] = {}  # lines of each sheet: one may give rows to several tables side by side
    accepted: dict[str, list[pl.DataFrame]] = {}
    aside = [pl.DataFrame(schema=SET_ASIDE_SCHEMA)]
    notes: list[str] = []
    questions: list[Question] = []
    made_numbers: list[str] = []
    waiting = sorted(laid, key=_order_of)
    while waiting:
        first, *waiting = waiting
        if _is_for_everybody(first, roster):
            first, *more = _for_everybody(first, roster)
            waiting = [*more, *waiting]
        one = first
        result = SheetCheck(one, roster, known.as_of, known.exercises).run()
        roster = roster.with_new(result.new_athletes) if result.new_athletes else roster
        lines = one.rows["_line"].unique().to_list()
        seen = read.setdefault(one.sheet, set())
        rows_read += len(set(lines) - seen)
        seen.update(lines)
        if result.made_numbers and RUN_TABLES & set(result.accepted):
            result = dataclasses.replace(result, accepted=_counted_on(accepted, result.accepted))
            made_numbers.append(one.sheet)
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
        made_numbers,
    )


def _order_of(laid: LaidOut) -> int:
    """Return when a table's turn is: rosters first, those whose rows hold for everybody when all are known."""
    if "athlete" in laid.tables:
        return 0
    return 2 if laid.options.who == EVERYBODY and "athlete_id" in laid.facts else 1


def _is_for_everybody(one: LaidOut, roster: Roster) -> bool:
    asked = one.facts.get("athlete_id")
    return one.options.who == EVERYBODY and asked is not None and not asked.text and bool(roster.names)


def _for_everybody(one: LaidOut, roster: Roster) -> Iterator[LaidOut]:
    """Yield a table whose rows hold for everybody once for each athlete, but for whom a row names as absent."""
    away = next((f"c{n}" for n, text in enumerate(one.header) if fold(text) in ABSENT), None)
    for athlete_id, name in sorted(roster.names.items()):
        rows = one.rows
        here = pl.Series([True] * rows.height)
        if away is not None and away in rows.columns:
            words = [set(fold(text or "").split()) for text in rows[away].to_list()]
            here = pl.Series([not set(fold(name or athlete_id).split()) & said for said in words])
        parts = [
            dataclasses.replace(part, frame=part.frame.with_columns(athlete_id=pl.when(here).then(pl.lit(athlete_id))))
            if "athlete_id" in part.frame.columns else part
            for part in one.parts
        ]  # fmt: skip
        gone = rows.with_row_index("_row").filter(~here).select("_row")
        why = "somebody is named as absent. Row set aside. Nothing to do."
        told = gone.select("_row", column=pl.lit(""), value=pl.lit(name), reason=pl.lit(why))
        named = told.cast(NAMED_SCHEMA)  # type: ignore[arg-type]
        facts = {**one.facts, "athlete_id": Fact(athlete_id, "answer")}
        named = pl.concat([one.named, named]).unique("_row", keep="first")
        yield dataclasses.replace(one, parts=parts, named=named, facts=facts)


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
