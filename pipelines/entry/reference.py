"""Reference tables of a federation taken into the record: one load, with where it came from, undone like any other."""

import hashlib
from pathlib import Path
from typing import Any

import polars as pl

from pipelines.entry import by_hand
from pipelines.errors import SourceError, ThirdstepError
from pipelines.home.folder import Home, Say, say_nothing
from pipelines.home.trouble import plain_words
from pipelines.record import opening, warehouse
from pipelines.record.loading import Outcome
from schemas.records.reference import ReferenceValue
from schemas.rights import Writer

TABLE = "reference_value"
MOST_BYTES = 5_000_000  # of a file; a quarter has some hundred lines; own choice


def take(home: Home, path: Path, by: str | Writer, say: Say = say_nothing) -> Outcome:
    """Store a file of reference tables, whole or not at all; what is in already is not stored again.

    Raises:
        ThirdstepError: It is none, a value in it cannot be, or its quarter is in already with other figures.
    """
    with plain_words(path):
        content = path.read_bytes()
    rows = read_reference(path.name, content)
    from_where = f"{path.name}, SHA-256 {hashlib.sha256(content).hexdigest()[:16]}"
    quarter = rows["quarter"][0]
    with opening.record(home, say, to_look=True) as con:
        there = warehouse.table(con, TABLE).filter(quarter=quarter)
    if there.height and there["note"].to_list() != [from_where] * there.height:
        load_no = int(max(there["load_no"]))
        raise ThirdstepError(
            f"Reference tables of {quarter} are in already, from another file (load {load_no}). Two files of one "
            f"quarter are never mixed. Take that one back first: thirdstep undo {load_no}"
        )
    told = [{name: value for name, value in row.items() if value is not None} for row in rows.to_dicts()]
    entered = [{**row, "note": from_where} for row in told]
    tried = by_hand.check_entry(home, TABLE, entered, by)  # else some lines could be in and others not
    if tried.set_aside:
        why = tried.reasons[0]["reason"] if tried.reasons else "they do not fit"
        raise ThirdstepError(f"{path.name}: {tried.set_aside} lines cannot be stored: {why} Nothing was stored.")
    if there.height:  # the same file again: a second load of it would stay when the first is undone
        return tried
    return by_hand.enter(home, TABLE, entered, by)


def read_reference(name: str, content: bytes) -> pl.DataFrame:
    """Return the rows of a file of reference tables.

    Raises:
        SourceError: It is none; or a value in it cannot be, with line and column.
    """
    columns = ReferenceValue.to_schema().columns
    ask = "Ask your federation for the file again."
    if len(content) > MOST_BYTES:
        raise SourceError(name, f"has {len(content) / 1e6:.0f} MB; reference tables are far smaller.", ask)
    try:
        written = pl.read_csv(content, infer_schema=False)
    except (pl.exceptions.PolarsError, UnicodeDecodeError) as trouble:
        first = str(trouble).strip().splitlines()[0][:120]
        raise SourceError(name, f"is no table of reference values ({first}).", ask) from trouble
    missing = [column for column in columns if column not in written.columns and column != "note"]
    if missing:
        raise SourceError(name, f"is no table of reference values: it has no column '{missing[0]}'.", ask)
    if not written.height:
        raise SourceError(name, "holds no line: nothing was told of that quarter.")
    kinds = {column: said.dtype.type for column, said in columns.items() if column != "note"}
    text = written.select(list(kinds))
    typed = text.select([pl.col(column).cast(kind, strict=False) for column, kind in kinds.items()])
    for column in kinds:
        lost = text[column].is_not_null() & typed[column].is_null()
        _hold(name, column, text[column], lost, "is no number")
        said = columns[column]
        if not said.nullable:
            _hold(name, column, text[column], typed[column].is_null(), "is missing")
        for check in said.checks:
            wrong = typed.select(check.broken_by(pl.col(column)).fill_null(value=False)).to_series()
            _hold(name, column, text[column], wrong, "cannot be")
    if typed["quarter"].n_unique() > 1:
        raise SourceError(name, f"holds several quarters ({', '.join(typed['quarter'].unique().sort())}).", ask)
    if typed.select("question", "cell").is_duplicated().any():
        raise SourceError(name, "says one cell twice.", ask)
    return typed


def _hold(name: str, column: str, written: pl.Series, wrong: pl.Series, what: str) -> None:
    """Say of the first wrong value where it stands."""
    place: Any = wrong.arg_max() if wrong.any() else None
    if place is not None:
        value = written[place]
        told = "the value" if value is None else f"'{value}'"
        raise SourceError(
            name, f"line {place + 2}, column '{column}': {told} {what}. Nothing was stored.",
            "Ask your federation for the file again.",
        )  # fmt: skip
