"""What the commands print: summaries for people, JSON and CSV for programs, progress while long work runs."""

import datetime as dt
import json
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from typing import Any

import polars as pl
from rich import box
from rich.console import Console
from rich.progress import BarColumn, Progress, TextColumn
from rich.table import Table
from rich.text import Text

from pipelines.loading import Outcome

REASONS_SHOWN = 5  # a file; the rest is one command away
ROWS_SHOWN = 40
WIDE = 400  # characters a line, where the answer goes to a file or another program
COUNTS = ("rows_read", "stored", "unchanged", "replaced", "set_aside")
_FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")


def out() -> Console:
    """Return the console for answers."""
    is_person = sys.stdout.isatty()
    return Console(file=sys.stdout, highlight=False, width=None if is_person else WIDE, soft_wrap=not is_person)


@contextmanager
def progress(quiet: bool) -> Iterator[Callable[[int, int, str], None]]:
    """Show how far long work is, on the error stream; keep quiet where nobody looks."""
    if quiet or not sys.stderr.isatty():
        yield lambda _done, _all, _next: None
        return
    columns = (TextColumn("{task.description}"), BarColumn(), TextColumn("{task.completed}/{task.total}"))
    with Progress(*columns, console=Console(file=sys.stderr), transient=True) as bar:
        task = bar.add_task("", total=None)
        yield lambda done, all_, next_: bar.update(task, completed=done, total=all_, description=next_[:40])


def print_outcomes(outcomes: Sequence[Outcome], *, tried: bool) -> None:
    """Print what became of each file: its counts, then the first reasons for what was set aside."""
    console = out()
    table = Table(box=box.SIMPLE_HEAD, pad_edge=False)
    for head in ("file", "fills"):
        table.add_column(head, overflow="fold")
    for head in COUNTS:
        table.add_column(head.replace("_", " "), justify="right")
    for one in outcomes:
        if not one.problem:
            table.add_row(Text(one.file), ", ".join(one.tables), *(f"{getattr(one, c):,}" for c in COUNTS))
    if table.row_count:
        console.print(table)
    for one in outcomes:
        _print_reasons(console, one)
    if tried:
        console.print("Checked only: nothing was stored.")


def _print_reasons(console: Console, one: Outcome) -> None:
    if one.problem:
        console.print(Text(f"Not loaded: {one.problem}"))
    for note in one.notes:
        console.print(Text(f"{one.file}: {note}"))
    for reason in one.reasons[:REASONS_SHOWN]:
        console.print(Text(f"  set aside: {place_of(one.file, reason['sheet'], reason['line'])}: {reason['reason']}"))
    if len(one.reasons) > REASONS_SHOWN:
        console.print(f"  ... and {len(one.reasons) - REASONS_SHOWN} more reasons: thirdstep rejected")


def place_of(file: str, sheet: str | None, line: int | None) -> str:
    """Return where a row stands, in words: file, sheet, line."""
    named = f", sheet '{sheet}'" if sheet else ""
    return f"{file}{named}{f' line {line}' if line is not None else ''}"


def outcome_json(one: Outcome) -> str:
    """Return what became of a file as one line of JSON."""
    told: dict[str, Any] = {"file": one.file, **{c: getattr(one, c) for c in COUNTS}}
    told |= {"reasons": one.reasons, "tables": one.tables, "load_no": one.load_no, "notes": one.notes}
    return as_json(told | {"problem": one.problem or None})


def as_json(told: Any) -> str:
    """Return JSON on one line, dates in ISO 8601."""

    def spell(value: Any) -> str:
        return value.isoformat() if isinstance(value, dt.date) else str(value)

    return json.dumps(told, ensure_ascii=False, default=spell)


def print_frame(frame: pl.DataFrame, *, shown: int = ROWS_SHOWN) -> None:
    """Print the first rows of a table; unknown values are blank."""
    console = out()
    table = Table(box=box.SIMPLE_HEAD, pad_edge=False)
    for name, kind in frame.schema.items():
        table.add_column(name, justify="right" if kind.is_numeric() else "left", overflow="fold")
    for row in frame.head(shown).iter_rows():
        table.add_row(*(Text("" if value is None else _short(value)) for value in row))
    console.print(table)
    if frame.height > shown:
        console.print(f"... and {frame.height - shown:,} more rows. '--csv -' prints them all, '--count' their number.")


def _short(value: Any) -> str:
    return f"{value:.6g}" if isinstance(value, float) else str(value)


def csv_bytes(frame: pl.DataFrame, *, safe: bool = False) -> bytes:
    """Return a table as CSV after RFC 4180: comma, CRLF, quotes where needed, UTF-8, a blank for unknown.

    Texts are written as they are, so that an exported table loads back unchanged. ``safe`` puts an apostrophe before a
    text that a spreadsheet would take for a formula (one that starts with = + - @, a tab or a carriage return).
    """
    spelled = []
    for name, kind in frame.schema.items():
        column = pl.col(name)
        if kind == pl.Boolean:
            column = pl.when(column).then(pl.lit("yes")).when(~column).then(pl.lit("no")).alias(name)
        elif isinstance(kind, pl.List):
            column = column.map_elements(lambda values: json.dumps(list(values)), return_dtype=pl.String)
        elif kind == pl.String and safe:
            starts = pl.any_horizontal(column.str.starts_with(start) for start in _FORMULA_STARTS)
            column = pl.when(starts).then(pl.lit("'") + column).otherwise(column).alias(name)
        spelled.append(column)
    text = frame.select(spelled).write_csv(line_terminator="\r\n", datetime_format="%Y-%m-%dT%H:%M:%S%.f")
    return text.encode("utf-8")
