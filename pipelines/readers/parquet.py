"""Parquet files: one table, every value as the text that says the same."""

import io

import polars as pl

from pipelines.errors import UnreadableSource
from pipelines.readers.budget import CELL_CHARACTERS, refuse_grid
from pipelines.readers.table import MOST_COLUMNS
from pipelines.readers.values import as_text
from schemas.intake import TextTable

LEAST_CELLS_A_BYTE = 2  # beyond it a file says the same again rather than more
MOST_UNPACKED = 2_000_000_000  # bytes a file may unpack to


def read(name: str, content: bytes) -> tuple[list[TextTable], list[tuple[str, str]]]:
    """Read a Parquet file. Lines are numbered as in a text file: the first row is line 2, below the names.

    Raises:
        UnreadableSource: Damaged, without columns or rows, with nested columns, or unpacking to a flood.
    """
    try:
        lazy = pl.scan_parquet(io.BytesIO(content))
        schema = lazy.collect_schema()
        rows = lazy.select(pl.len()).collect().item()
    except (pl.exceptions.PolarsError, OSError, ValueError) as error:
        raise UnreadableSource(
            name, f"the Parquet file is damaged ({type(error).__name__}).", "Write it again."
        ) from error
    if len(schema) > MOST_COLUMNS:
        raise UnreadableSource(name, f"it has {len(schema):,} columns; {MOST_COLUMNS:,} are read at most.")
    nested = [column for column, kind in schema.items() if kind.is_nested() or kind == pl.Binary]
    if nested:
        raise UnreadableSource(name, f"column '{nested[0]}' holds lists or bytes, not single values.", "Leave it out.")
    if rows == 0 or not schema:
        raise UnreadableSource(name, "the table has no rows.", "Write it again with its rows.")
    if rows * len(schema) > LEAST_CELLS_A_BYTE * len(content):  # more than its bytes can spell out: repeats
        refuse_grid(name, rows, len(schema))
    if rows * len(schema) * 8 > MOST_UNPACKED:
        told = f"it unpacks to {rows:,} rows of {len(schema)} columns, more than is read at once."
        raise UnreadableSource(name, told, "Write it in parts.")
    try:
        frame = lazy.collect()
    except (pl.exceptions.PolarsError, OSError, ValueError) as error:
        raise UnreadableSource(
            name, f"the Parquet file is damaged ({type(error).__name__}).", "Write it again."
        ) from error
    made = frame.select(as_text(frame[column]).alias(f"c{place}") for place, column in enumerate(frame.columns))
    longest = made.select(pl.max_horizontal(pl.all().str.len_chars().max())).item() or 0
    if longest > CELL_CHARACTERS:
        why = f"a cell holds {longest:,} characters; {CELL_CHARACTERS:,} are read at most."
        raise UnreadableSource(name, why, "Leave the column out.")
    made = made.with_columns(pl.int_range(2, rows + 2, dtype=pl.Int64).alias("_line"))
    return [TextTable(sheet="", header=list(frame.columns), header_line=1, rows=made, source=name)], []
