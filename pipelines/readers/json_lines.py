"""JSON: one object a line (JSON lines), or one list of objects; the names in them are the headers."""

import json
from collections.abc import Iterator
from typing import Any

from pipelines.errors import UnreadableSource
from pipelines.readers.budget import refuse_grid
from pipelines.readers.encoding import decode
from pipelines.readers.table import MOST_COLUMNS, Row, to_table
from schemas.intake import NotRead, TextTable

DEEPEST = 1  # an object in an object, one level, as 'outer inner'


def read(name: str, content: bytes) -> tuple[list[TextTable], list[tuple[str, str]]]:
    """Read JSON lines, or a list of objects, as one table. Every row keeps its line; of a list, its place + 1.

    Raises:
        UnreadableSource: It is no JSON, holds no objects, or a value is a list.
    """
    text = decode(name, content).lstrip("\ufeff")
    rows: list[tuple[int, dict[str, str]]] = []
    header: dict[str, None] = {}
    for line, told in _objects(name, text):
        cells = _cells(name, line, told)
        header.update(dict.fromkeys(cells))
        if len(header) > MOST_COLUMNS:
            raise UnreadableSource(name, f"it has more than {MOST_COLUMNS:,} names; so many columns are not read.")
        rows.append((line, cells))
        refuse_grid(name, len(rows), len(header))
    if not header:
        raise UnreadableSource(name, "it holds no objects with values.", "Write one object a line.")
    table: list[Row] = [(0, list(header)), *((line, [cells.get(n, "") for n in header]) for line, cells in rows)]
    made = to_table(name, "", table, header_at=0)
    if isinstance(made, NotRead):
        raise UnreadableSource(name, f"the file {made.why}.", "Write one object a line.")
    return [made], []


def _objects(name: str, text: str) -> Iterator[tuple[int, Any]]:
    if text.lstrip().startswith("["):
        try:
            listed = json.loads(text)
        except (ValueError, RecursionError) as error:
            raise UnreadableSource(name, f"it is no whole JSON ({_short(error)}).", "Export it again.") from error
        yield from enumerate(listed, 2)
        return
    for line, one in enumerate(text.split("\n"), 1):  # not splitlines: other separators may stand inside a text
        if one.strip():
            try:
                yield line, json.loads(one)
            except (ValueError, RecursionError) as error:
                raise UnreadableSource(
                    name, f"line {line} is no JSON object ({_short(error)}).", "Write one object a line."
                ) from error


def _cells(name: str, line: int, told: Any, before: str = "", depth: int = 0) -> dict[str, str]:
    if not isinstance(told, dict):
        raise UnreadableSource(name, f"line {line} is no object with names and values.", "Write one object a line.")
    cells: dict[str, str] = {}
    for key, value in told.items():
        if isinstance(value, dict) and depth < DEEPEST:
            cells |= _cells(name, line, value, f"{before}{key} ", depth + 1)
        elif isinstance(value, list | dict):
            raise UnreadableSource(
                name, f"line {line}: '{key}' holds a list, not a single value.", "Write a row for each."
            )
        elif value is not None:
            cells[f"{before}{key}"] = ("yes" if value else "no") if isinstance(value, bool) else _text(value)
    return cells


def _text(value: Any) -> str:
    return repr(value) if isinstance(value, float) else str(value)


def _short(error: Exception) -> str:
    return str(error).split(":", maxsplit=1)[0] if isinstance(error, ValueError) else "too deep"
