"""Faults: which source row cannot be stored, where, and why, in a coach's words."""

from collections.abc import Iterable, Mapping

import polars as pl

from schemas.intake import cell_names

FAULT_SCHEMA = {"_row": pl.UInt32, "column": pl.String, "value": pl.String, "reason": pl.String}
SET_ASIDE_SCHEMA = {
    "source_sheet": pl.String, "source_line": pl.Int64, "column": pl.String, "value": pl.String, "reason": pl.String,
    "row_json": pl.String, "athlete_id": pl.String,
}  # fmt: skip
SET_ASIDE = "Row set aside."


class Faults:
    """The faults of one table of a file, gathered as frames of _row, column, value, reason."""

    def __init__(self, named: pl.DataFrame) -> None:
        self._frames: list[pl.DataFrame] = [named.select(list(FAULT_SCHEMA)).cast(FAULT_SCHEMA)]  # type: ignore[arg-type]

    def add(self, rows: pl.Series, column: str, values: pl.Series | str | None, reasons: pl.Series | str) -> None:
        """Add one fault for each row."""
        if len(rows) == 0:
            return
        frame = pl.DataFrame({"_row": rows.cast(pl.UInt32)})
        self._frames.append(
            frame.select(
                "_row",
                column=pl.lit(column),
                value=pl.lit(values, dtype=None if isinstance(values, pl.Series) else pl.String),
                reason=pl.lit(reasons),
            )
        )

    def add_frame(self, frame: pl.DataFrame) -> None:
        """Add faults that are a frame already."""
        if frame.height:
            self._frames.append(frame.select(list(FAULT_SCHEMA)).cast(FAULT_SCHEMA))  # type: ignore[arg-type]

    @property
    def frame(self) -> pl.DataFrame:
        """All faults, in the order of the rows; the same fault of a row once."""
        return (
            pl.concat(self._frames)
            .unique(["_row", "column", "reason"], maintain_order=True)
            .sort("_row", maintain_order=True)
        )

    @property
    def bad(self) -> pl.Series:
        """The rows that have a fault."""
        rows = pl.concat([frame["_row"] for frame in self._frames])
        return rows.unique().sort()


def without(frame: pl.DataFrame, bad: pl.Series) -> pl.DataFrame:
    """Return a frame without the rows of a source that have a fault."""
    return frame if len(bad) == 0 else frame.filter(~pl.col("_row").is_in(bad.implode()))


def set_aside(
    faults: pl.DataFrame, rows: pl.DataFrame, header: list[str], sheet: str, whose: pl.DataFrame
) -> pl.DataFrame:
    """Return the set-aside rows as they are kept: place, column, value, reason, the whole row as JSON, and whose it is.

    ``whose`` holds _row and athlete_id; a row whose athlete is not known has none, and is the head coach's to see.
    """
    if faults.height == 0:
        return pl.DataFrame(schema=SET_ASIDE_SCHEMA)
    columns = [name for name in rows.columns if name.startswith("c")]
    names = dict(zip(columns, cell_names(header, len(columns)), strict=True))
    numbered = rows.with_row_index("_row").filter(pl.col("_row").is_in(faults["_row"].unique().implode()))
    written = numbered.select(
        "_row",
        source_line=pl.col("_line"),
        row_json=pl.struct([pl.col(name).alias(text) for name, text in names.items()]).struct.json_encode(),
    )
    told = faults.join(written, on="_row", how="left", maintain_order="left")
    told = told.join(whose.unique("_row"), on="_row", how="left", maintain_order="left")
    return told.select(
        source_sheet=pl.lit(sheet), source_line="source_line", column="column", value="value", reason="reason",
        row_json="row_json", athlete_id="athlete_id",
    )  # fmt: skip


def as_written(faults: pl.DataFrame, rows: pl.DataFrame, header: list[str], columns: Mapping[str, str]) -> pl.DataFrame:
    """Return faults with each cell named by its header and shown as the file writes it, where it is a cell of its own.

    Args:
        faults: _row, column, value, reason.
        rows: The rows as read.
        header: Their header.
        columns: Record column -> header, for faults that name the record's column.
    """
    if faults.height == 0:
        return faults
    cells = [name for name in rows.columns if name.startswith("c")]
    places = dict(zip(cell_names(header, len(cells)), cells, strict=True))
    faults = faults.with_columns(column=pl.col("column").replace(columns)) if columns else faults
    value = faults["value"]
    for column in faults["column"].unique().to_list():
        if column in places:
            written = rows[places[column]].gather(faults["_row"])
            here = (faults["column"] == column) & value.is_not_null() & written.is_not_null()
            value = written.zip_with(here, value)
    return faults.with_columns(value=value)


def listed(words: Iterable[str], joint: str = "or") -> str:
    """Return words as a list in a sentence: 'a, b or c'."""
    every = list(words)
    return every[0] if len(every) == 1 else f"{', '.join(every[:-1])} {joint} {every[-1]}" if every else ""
