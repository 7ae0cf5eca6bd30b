"""Cells mended by hand: a fix is a source of its own, and it is used again wherever the same row comes once more.

A correction names the row as it was written, cell by cell, and what should stand in some of them. It is used on every
row of a file of that name that still reads so; where none does, the file was mended or the row is gone: that is told.
"""

import dataclasses
import datetime as dt
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import polars as pl

from pipelines.errors import ThirdstepError
from schemas.intake import TextTable, cell_names

MEND_FORMAT = "thirdstep-mend-1"
Row = dict[str, str]  # name of the column -> cell as written; empty cells are left out
Correction = dict[str, Any]  # sheet, line, row (as written), fixes (column -> text), by, on; drop (lines) of a conflict
KEEP, BOTH, DISMISS = "keep", "both", "dismiss"  # how a conflict is settled


@dataclass(frozen=True)
class Mend:
    """One row mended by hand."""

    name: str  # of the source it mends
    sha256: str
    kind: str  # "file" or "entry"
    correction: Correction
    resolves: list[int]  # waiting cells it settles


def write_mend(mend: Mend, by: str, at: dt.datetime) -> bytes:
    """Return a mend as the bytes of a source: who, when, where, the row as written and what should stand there."""
    told = {"format": MEND_FORMAT, "by": by, "at": at.isoformat(), **vars(mend)}
    return json.dumps(told, ensure_ascii=False, sort_keys=True, separators=(",", ":")).encode("utf-8")


def read_mend(content: bytes) -> Mend:
    """Return a mend from its bytes."""
    told = json.loads(content)
    return Mend(**{name: told[name] for name in Mend.__dataclass_fields__})


def row_at(texts: Sequence[TextTable], sheet: str, line: int) -> Row:
    """Return the filled cells of one row of a source as they are written.

    Raises:
        ThirdstepError: There is no such row.
    """
    for text in texts:
        if (text.sheet or "") == (sheet or ""):
            row = text.rows.filter(pl.col("_line") == line)
            if row.height:
                return _written(text, row.row(0, named=True))
    raise ThirdstepError(f"Line {line} is not in the kept source any more. Load a corrected file instead.")


def columns_at(texts: Sequence[TextTable], sheet: str) -> list[str]:
    """Return the names of the columns of one table of a source."""
    return next((_names(text) for text in texts if (text.sheet or "") == (sheet or "")), [])


def use(
    texts: Sequence[TextTable], corrections: Sequence[Mapping[str, Any]]
) -> tuple[list[TextTable], list[Mapping[str, Any]]]:
    """Return the tables with their corrections in place, and the corrections that match no row any more."""
    if not corrections:
        return list(texts), []
    texts = [_without_dropped(text, corrections) for text in texts]
    corrections = [one for one in corrections if one["fixes"] or not one.get("settle")]
    left = list(corrections)
    made = []
    for text in texts:
        own = [one for one in corrections if (one["sheet"] or "") == (text.sheet or "")]
        changed, used = _use(text, own) if own else (text, [])
        left = [one for one in left if one not in used]
        made.append(changed)
    return made, left


def _without_dropped(text: TextTable, corrections: Sequence[Mapping[str, Any]]) -> TextTable:
    """Return a table without the rows that lost a conflict."""
    lines = [
        line for one in corrections if (one["sheet"] or "") == (text.sheet or "") for line in one.get("drop", [])
    ]  # fmt: skip
    if not lines:
        return text
    kept = text.rows.filter(~pl.col("_line").is_in(lines))
    return dataclasses.replace(text, rows=kept, written=tuple(one for one in text.written if one[0] not in lines))


def _use(text: TextTable, corrections: Sequence[Mapping[str, Any]]) -> tuple[TextTable, list[Mapping[str, Any]]]:
    names = _names(text)
    rows = text.rows
    used = []
    for one in corrections:
        written: Row = one["row"]
        if not {*written, *one["fixes"]} <= set(names):
            continue
        places = {name: f"c{place}" for place, name in enumerate(names)}
        same = pl.all_horizontal(pl.col(places[name]).eq_missing(pl.lit(written.get(name))) for name in names)
        hit = text.rows.select(same).to_series()
        if not hit.any():
            continue
        used.append(one)
        rows = rows.with_columns(
            pl.when(hit).then(pl.lit(fix or None, dtype=pl.String)).otherwise(pl.col(places[name])).alias(places[name])
            for name, fix in one["fixes"].items()
        )
    return dataclasses.replace(text, rows=rows, written=_lines_anew(text, rows)), used


def _lines_anew(text: TextTable, rows: pl.DataFrame) -> tuple[tuple[int, str], ...]:
    """Return the lines of a short text as they are written, those of which a cell was mended with it in its place."""
    if not text.written:
        return ()
    cells = [name for name in rows.columns if name != "_line"]
    before, after = (
        {row[0]: row[1:] for row in frame.select("_line", *cells).iter_rows()} for frame in (text.rows, rows)
    )
    changed = {line: ",".join(cell for cell in row if cell) for line, row in after.items() if row != before[line]}
    return tuple((line, changed.get(line, written)) for line, written in text.written)


def said(one: Mapping[str, Any]) -> str:
    """Return a correction in words: 'line 17, Time: 2.9O -> 2.95 (coach, 2026-11-20)'."""
    changes = ", ".join(
        f"{name}: {one['row'].get(name, 'empty')} \u2192 {fix or 'empty'}" for name, fix in one["fixes"].items()
    )
    sheet = f"sheet '{one['sheet']}' " if one["sheet"] else ""
    return f"{sheet}line {one['line']}, {changes} ({one['by']}, {one['on']})"


def _names(text: TextTable) -> list[str]:
    return cell_names(text.header, len(text.rows.columns) - 1)


def _written(text: TextTable, row: Mapping[str, Any]) -> Row:
    return {name: row[f"c{place}"] for place, name in enumerate(_names(text)) if row[f"c{place}"] is not None}
