"""What the commands print: summaries for people, JSON and CSV for programs, progress while long work runs."""

from __future__ import annotations

import datetime as dt
import json
import sys
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

from pipelines.entry.grouping import kind_of_reason, reason_groups

if TYPE_CHECKING:  # what prints for people is imported when something is printed for them
    from rich.console import Console

    from pipelines.record.loading import Outcome
    from pipelines.record.looking import Rows
    from schemas.intake import Question

REASONS_SHOWN = 5  # a file; the rest is one command away
ALIKE_SHOWN = 3  # cells of a file that wait for one reason; own choice
ROWS_SHOWN = 40
WIDE = 400  # characters a line, where the answer goes to a file or another program
COUNTS = ("rows_read", "stored", "unchanged", "replaced", "set_aside")


def out() -> Console:
    """Return the console for answers."""
    from rich.console import Console

    is_person = sys.stdout.isatty()
    return Console(file=sys.stdout, highlight=False, width=None if is_person else WIDE, soft_wrap=not is_person)


@contextmanager
def progress(quiet: bool) -> Iterator[Callable[[int, int, str], None]]:
    """Show how far long work is, on the error stream; keep quiet where nobody looks."""
    if quiet or not sys.stderr.isatty():
        yield lambda _done, _all, _next: None
        return
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TextColumn

    columns = (TextColumn("{task.description}"), BarColumn(), TextColumn("{task.completed}/{task.total}"))
    with Progress(*columns, console=Console(file=sys.stderr), transient=True) as bar:
        task = bar.add_task("", total=None)
        yield lambda done, all_, next_: bar.update(task, completed=done, total=all_, description=next_[:60])


def print_outcomes(outcomes: Sequence[Outcome], *, tried: bool) -> None:
    """Print what became of each file: its counts, then the first reasons for what was set aside."""
    from rich import box
    from rich.table import Table
    from rich.text import Text

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
    from pipelines.intake.answers import gathered

    print_questions(console, gathered(question for one in outcomes for question in one.questions))
    if tried:
        console.print("Checked only: nothing was stored.")


def _print_reasons(console: Console, one: Outcome) -> None:
    from rich.text import Text

    if one.problem:
        console.print(Text(f"Not loaded: {one.problem}"))
    for note in one.notes:
        console.print(Text(f"{one.file}: {note}"))
    groups = reason_groups([one])
    for group in groups[:REASONS_SHOWN]:
        place = where(place_of(one.file, group["sheet"], None) + f" line {group['lines']}", group["column"])
        console.print(Text(f"  set aside: {place}: {group['reason']}"))
    if len(groups) > REASONS_SHOWN:
        console.print(f"  ... and {len(groups) - REASONS_SHOWN} more reasons: thirdstep rejected")


def print_questions(console: Console, questions: Sequence[Question]) -> None:
    """Print what was left open as an answers file to fill in; what only stays unknown is named in one line."""
    from rich.text import Text

    from pipelines.intake.answers import as_toml

    holding = [question for question in questions if question.holds_rows or question.ask == "columns"]
    if holding:
        layouts = {question.layout for question in holding}
        console.print("\nOpen questions. Fill in the answers, keep this in a file, load again with --answers FILE:\n")
        console.print(Text(as_toml(one for one in questions if one.layout in layouts or one.also)))
    questions = [question for question in questions if not question.holds_rows and question.ask != "columns"]
    unsaid = sorted({question.source for question in questions})
    if unsaid:
        named = ", ".join(unsaid[:3]) + (f" and {len(unsaid) - 3} more" if len(unsaid) > 3 else "")
        words = ", ".join(sorted({question.ask for question in questions if not question.holds_rows}))
        console.print(Text(f"Stays unknown until it is answered for the layout: {words} of {named}."))


def waiting_lines(waiting: Sequence[Mapping[str, Any]], *, every: bool) -> Iterator[str]:
    """Yield the cells that wait, file by file; of many for one reason the first ones, with the numbers of the rest."""
    files: dict[str, dict[tuple[str, str], list[Mapping[str, Any]]]] = {}
    for row in waiting:
        alike = (row["column"] or "", kind_of_reason(row["reason"]))
        files.setdefault(row["source_name"], {}).setdefault(alike, []).append(row)
    for name, groups in files.items():
        yield f"{name}: {sum(map(len, groups.values()))} cells"
        for some in groups.values():
            for row in some if every else some[:ALIKE_SHOWN]:
                place = where(place_of(name, row["source_sheet"], row["source_line"]), row["column"])
                yield f"{row['reject_no']:>5}  load {row['load_no']}  {place}: {row['reason']}"
            left = [] if every else some[ALIKE_SHOWN:]
            if left:
                first, last = left[0]["reject_no"], left[-1]["reject_no"]
                yield f"       ... and {len(left)} more for this reason, {first} to {last}; --all lists them"


def layout_said(answer: Mapping[str, Any]) -> str:
    """Return which tables an answer is for: every file, or those with the headers it was first asked for."""
    from schemas.intake import SQUAD  # who only looks need not wait for it

    if answer["layout"] == SQUAD:
        return "for every file"
    told = [str(answer[name]) for name in ("source", "headers") if answer[name]]
    if not told and answer["ask"] == "days":
        return str(answer["about"])  # of answers kept before headers were printed with them
    return ": ".join(told) or "headers not kept"


def in_one_line(one: Outcome) -> str:
    """Return what became of a file in one line."""
    if one.problem:
        return f"{one.file}: not loaded. {one.problem}"
    counts = ", ".join(f"{getattr(one, count):,} {count.replace('_', ' ')}" for count in COUNTS)
    return f"{one.file}: {counts}."


def receipt(one: Outcome, sha256: str) -> str:
    """Return the receipt of a file: its bytes, its counts, what was set aside and why, what is open."""
    lines = [in_one_line(one), f"load {one.load_no}" if one.load_no else "no new load", f"sha-256 {sha256}"]
    lines += [f"note: {note}" for note in one.notes]
    for reason in one.reasons:
        place = where(place_of(one.file, reason["sheet"], reason["line"]), reason["column"])
        lines.append(f"set aside: {place}: {reason['reason']}")
    from pipelines.intake.answers import as_toml

    holding = [question for question in one.questions if question.holds_rows]
    return "\n".join([*lines, *(["", as_toml(holding)] if holding else [])]) + "\n"


def where(place: str, column: str | None) -> str:
    """Return a place with the column, where there is one."""
    return f"{place}, {column}" if column else place


def place_of(file: str, sheet: str | None, line: int | None) -> str:
    """Return where a row stands, in words: file, sheet, line."""
    named = f", sheet '{sheet}'" if sheet else ""
    return f"{file}{named}{f' line {line}' if line is not None else ''}"


def outcome_json(one: Outcome) -> str:
    """Return what became of a file as one line of JSON."""
    told: dict[str, Any] = {"file": one.file, **{c: getattr(one, c) for c in COUNTS}}
    told |= {"reasons": one.reasons, "tables": one.tables, "load_no": one.load_no, "notes": one.notes}
    told["questions"] = [vars(question) for question in one.questions]
    return as_json(told | {"problem": one.problem or None})


def as_json(told: Any) -> str:
    """Return JSON on one line, dates in ISO 8601."""

    def spell(value: Any) -> str:
        return value.isoformat() if isinstance(value, dt.date) else str(value)

    return json.dumps(told, ensure_ascii=False, default=spell)


def print_rows(rows: Rows) -> None:
    """Print the first rows of a table; unknown values are blank."""
    from rich import box
    from rich.table import Table
    from rich.text import Text

    console = out()
    table = Table(box=box.SIMPLE_HEAD, pad_edge=False)
    for name, is_number in zip(rows.columns, rows.is_number, strict=True):
        table.add_column(name, justify="right" if is_number else "left", overflow="fold")
    for row in rows.values:
        table.add_row(*(Text("" if value is None else _short(value)) for value in row))
    console.print(table)
    left = rows.count - len(rows.values)
    if left > 0:
        console.print(f"... and {left:,} more rows. '--csv -' prints them all, '--count' their number.")


def _short(value: Any) -> str:
    return f"{value:.6g}" if isinstance(value, float) else str(value)


def due_line(row: Mapping[str, Any]) -> str:
    """Write one answer waited for, as one line."""
    if row["kind"] == "checkin":
        return f"{row['display_name']}: check-in of {row['day_on']}"
    return f"{row['display_name']}: minutes and effort of the session on {row['day_on']}"
