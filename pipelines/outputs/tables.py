"""Rows as files for other programs: CSV and workbook, with no text that a spreadsheet would run as a formula."""

import datetime as dt
import io
import json
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import polars as pl

from pipelines.errors import ThirdstepError
from pipelines.home.durable import write_durably
from pipelines.home.trouble import plain_words

# Signs a spreadsheet program takes for the start of a formula (OWASP, CSV injection). A text that begins so gets an
# apostrophe before it, which spreadsheets do not show and our reader takes away again.
FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")
GUARD = "'"
SHEET_NAME_LENGTH = 31  # characters a workbook allows
WIDEST = 60  # characters of a column
MOST_SHEET_ROWS = 1_048_575  # rows below the header of a sheet (ECMA-376)
DAYS = ("day_on", "week_of", "month_of")  # the day of a derived table, where its key has none of the record's


def narrowed(
    frame: pl.DataFrame, athletes: tuple[str, ...] = (), first: dt.date | None = None, last: dt.date | None = None
) -> pl.DataFrame:
    """Return the rows of some athletes and of some days, first and last included.

    Raises:
        ThirdstepError: The table has no athletes or no day.
    """
    if athletes:
        if "athlete_id" not in frame.columns:
            raise ThirdstepError("This table has no athletes to choose from. Leave out --athlete.")
        frame = frame.filter(pl.col("athlete_id").is_in(list(athletes)))
    if first or last:
        day = next((name for name, kind in frame.schema.items() if kind == pl.Date and _is_day(name)), None)
        if day is None:
            raise ThirdstepError("The rows of this table have no day. Leave out --from and --to.")
        frame = frame.filter(pl.col(day).is_between(first or dt.date.min, last or dt.date.max))
    return frame


def _is_day(name: str) -> bool:
    return name.endswith("_on") or name in (*DAYS, "session_date")


def csv_bytes(frame: pl.DataFrame, *, safe: bool = True) -> bytes:
    """Return a table as CSV after RFC 4180: comma, CRLF, quotes where needed, UTF-8, a blank for unknown."""
    text = _spelled(frame, safe=safe).write_csv(line_terminator="\r\n", datetime_format="%Y-%m-%dT%H:%M:%S%.f")
    return text.encode("utf-8")


def parquet_bytes(frame: pl.DataFrame) -> bytes:
    """Return a table as Parquet, every column in its own type."""
    told = io.BytesIO()
    frame.write_parquet(told)
    return told.getvalue()


def rows_file(rows: Sequence[Mapping[str, Any]], ending: str, name: str) -> bytes:
    """Return rows as the bytes of a .csv (RFC 4180, a blank for unknown) or an .xlsx file.

    Raises:
        ThirdstepError: Another kind of file is asked for.
    """
    frame = pl.DataFrame([dict(row) for row in rows], infer_schema_length=None)
    if ending == "csv":
        return csv_bytes(frame, safe=True)
    if ending == "xlsx":
        return workbook_bytes(frame, name)
    raise ThirdstepError(f"Rows are written as csv or xlsx, not as '{ending}'.")


def workbook_bytes(frame: pl.DataFrame, name: str) -> bytes:
    """Return a frame as a workbook of one sheet. Texts are stored as texts: never as formulas or links.

    Raises:
        ThirdstepError: It has more rows than a sheet holds.
    """
    if frame.height > MOST_SHEET_ROWS:
        raise ThirdstepError(f"{frame.height:,} rows do not fit a sheet ({MOST_SHEET_ROWS:,}). Write them as CSV.")
    import xlsxwriter

    content = io.BytesIO()
    options = {
        "in_memory": True,
        "strings_to_formulas": False,
        "strings_to_urls": False,
        "nan_inf_to_errors": True,
        "default_date_format": "yyyy-mm-dd",
    }
    with xlsxwriter.Workbook(content, options) as book:
        sheet = book.add_worksheet(name[:SHEET_NAME_LENGTH])
        bold = book.add_format({"bold": True})
        moment = book.add_format({"num_format": "yyyy-mm-dd hh:mm:ss"})
        sheet.freeze_panes(1, 0)
        for column, (title, kind) in enumerate(frame.schema.items()):
            sheet.write_string(0, column, title, bold)
            values = [_cell(value) for value in frame[title].to_list()]
            for line, value in enumerate(values, start=1):
                if value is not None:
                    sheet.write(line, column, value, *([moment] if isinstance(kind, pl.Datetime) else []))
            longest = max([len(title), *(len(str(v)) for v in values[:200] if v is not None)])
            sheet.set_column(column, column, min(longest + 2, WIDEST))
    return content.getvalue()


def _cell(value: Any) -> Any:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        return ", ".join("" if v is None else str(v) for v in value)
    return value


def _spelled(frame: pl.DataFrame, *, safe: bool) -> pl.DataFrame:
    """Return a table with yes and no in words, lists as JSON, and texts guarded."""
    spelled = []
    for name, kind in frame.schema.items():
        column = pl.col(name)
        if kind == pl.Boolean:
            column = pl.when(column).then(pl.lit("yes")).when(~column).then(pl.lit("no")).alias(name)
        elif isinstance(kind, pl.List):
            column = column.map_elements(lambda values: json.dumps(list(values)), return_dtype=pl.String)
        elif kind == pl.String and safe:
            starts = pl.any_horizontal(column.str.starts_with(start) for start in (*FORMULA_STARTS, GUARD))
            column = pl.when(starts).then(pl.lit(GUARD) + column).otherwise(column).alias(name)
        spelled.append(column)
    return frame.select(spelled)


def write_file(target: Path, content: bytes) -> None:
    """Write an export whole or not at all."""
    with plain_words(target):
        write_durably(target, content)
