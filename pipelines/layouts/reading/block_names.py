"""How an answer about one block of one file names it, so that it holds for no other and is known again."""

import hashlib

from schemas.intake import LayoutOptions, TextTable

MARK_LETTERS = 6
FIRST_LETTER, LETTERS = ord("A"), 26


def place_of(table: TextTable) -> str:
    """Return the sheet a table stands on: file, and tab where there are tabs."""
    return f"{table.source} › {table.sheet}" if table.sheet else table.source


def block_of(table: TextTable) -> str:
    """Return a name for a block: its sheet, its first row, and a mark of what stands in that row.

    The same sheet grown below keeps the name; another file of the same name has other cells there.
    """
    first = table.rows.row(0, named=True) if table.rows.height else {"_line": table.header_line}
    cells = [str(value or "").strip() for name, value in first.items() if name != "_line"]
    mark = hashlib.sha256("\n".join([*table.header, *cells]).encode()).hexdigest()[:MARK_LETTERS]
    beside = f", column {_column(table.first_column)}" if table.first_column else ""
    return f"{place_of(table)} › row {first['_line']}{beside} ({mark})"


def _column(place: int) -> str:
    """Return a column as a spreadsheet letters it: 0 is A, 26 is AA."""
    before, last = divmod(place, LETTERS)
    return (_column(before - 1) if before else "") + chr(FIRST_LETTER + last)


def day_answered(table: TextTable, answers: LayoutOptions, *, says_day: bool) -> str:
    """Return the day that was answered for a block, "" where none was.

    An answer for the whole sheet, as logs of before have it, is for the blocks that say no day themselves.
    """
    if not answers.days:
        return ""
    return answers.days.get(block_of(table), "") or ("" if says_day else answers.days.get(place_of(table), ""))
