"""Faults: which source row cannot be stored, where, and why, in a coach's words."""

from collections.abc import Mapping
from dataclasses import dataclass

import polars as pl

from pipelines.cells import SET_ASIDE, listed
from schemas.intake import LaidOut, cell_names

__all__ = ["SET_ASIDE", "Faults", "as_written", "listed", "set_aside", "without"]

FAULT_SCHEMA = {
    "_row": pl.UInt32, "_part": pl.UInt32, "column": pl.String, "value": pl.String, "reason": pl.String,
    "holds": pl.String,
}  # fmt: skip
SET_ASIDE_SCHEMA = {
    "source_sheet": pl.String, "source_line": pl.Int64, "column": pl.String, "value": pl.String, "reason": pl.String,
    "row_json": pl.String, "athlete_id": pl.String,
}  # fmt: skip
ROW, RECORD, CELL = "row", "record", "cell"  # what a fault holds back: the source row, one record of it, one cell
ONLY_CELL = "Only this cell is set aside."


class Faults:
    """The faults of one table of a file, gathered as frames of _row, _part, column, value, reason, holds.

    What a fault holds back: a whole source row where the cell is key for all of it; one record (one gate of a wide
    sheet, ``_part`` says which) where that means nothing without the cell; the cell alone otherwise.
    """

    def __init__(self, named: pl.DataFrame) -> None:
        whole = named.with_columns(_part=pl.lit(None, pl.UInt32), holds=pl.lit(ROW))
        self._frames: list[pl.DataFrame] = [whole.select(list(FAULT_SCHEMA)).cast(FAULT_SCHEMA)]  # type: ignore[arg-type]
        self.holds, self.part = ROW, 0  # of the faults that are added without saying it

    def at(self, holds: str, part: int) -> None:
        """Say what the faults added from now on hold back."""
        self.holds, self.part = holds, part

    def add(
        self,
        rows: pl.Series,
        column: str,
        values: pl.Series | str | None,
        reasons: pl.Series | str,
        *,
        holds: str | None = None,
        part: int | None = None,
    ) -> None:
        """Add one fault for each row."""
        if len(rows) == 0:
            return
        frame = pl.DataFrame({"_row": rows.cast(pl.UInt32)}).with_columns(
            _part=pl.lit(self.part if part is None else part, pl.UInt32), holds=pl.lit(holds or self.holds)
        )
        self._append(
            frame.with_columns(
                column=pl.lit(column),
                value=pl.lit(values, dtype=None if isinstance(values, pl.Series) else pl.String),
                reason=pl.lit(reasons),
            )
        )

    def add_frame(self, frame: pl.DataFrame) -> None:
        """Add faults that are a frame already; one that says nothing of it holds back its source row."""
        if not frame.height:
            return
        if "holds" not in frame.columns:
            frame = frame.with_columns(holds=pl.lit(ROW))
        if "_part" not in frame.columns:
            frame = frame.with_columns(_part=pl.lit(None, pl.UInt32))
        self._append(frame)

    def _append(self, frame: pl.DataFrame) -> None:
        told = (
            pl.when(pl.col("holds") == ROW).then("reason").otherwise(pl.col("reason").str.replace(SET_ASIDE, ONLY_CELL))
        )
        frame = frame.with_columns(reason=told)
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
    def bad(self) -> "Bad":
        """The rows and the records that are held back."""
        every = pl.concat([frame.select("_row", "_part", "holds") for frame in self._frames])
        rows = every.filter(pl.col("holds") == ROW)["_row"].unique().sort()
        return Bad(rows, every.filter(pl.col("holds") == RECORD).select("_row", "_part").unique())

    @property
    def told(self) -> pl.Series:
        """The rows that have a fault, of whatever kind."""
        return pl.concat([frame["_row"] for frame in self._frames]).unique().sort()


@dataclass(frozen=True)
class Bad:
    """Source rows, and single records, that are held back."""

    rows: pl.Series
    records: pl.DataFrame  # _row, _part


def without(frame: pl.DataFrame, bad: Bad) -> pl.DataFrame:
    """Return a frame without the rows of a source, and without the records, that have a fault."""
    if len(bad.rows):
        frame = frame.filter(~pl.col("_row").is_in(bad.rows.implode()))
    if bad.records.height and "_part" in frame.columns:
        frame = frame.join(bad.records, on=["_row", "_part"], how="anti", maintain_order="left")
    return frame


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


def told_apart(faults: pl.DataFrame, laid: LaidOut) -> pl.DataFrame:
    """Return faults whose header stands there more than once with the name of their own column: '10 m (6)'."""
    again = {text for text in laid.header if text and laid.header.count(text) > 1}
    if not again or not faults.height:
        return faults
    cells = [name for name in laid.rows.columns if name.startswith("c")]
    names = dict(zip(cells, cell_names(laid.header, len(cells)), strict=True))
    column = pl.col("column")
    for n, part in enumerate(laid.parts):
        for one in part.cells.values():
            if one.header in again and names.get(one.origin, one.header) != one.header:
                here = (pl.col("_part") == n) & (pl.col("column") == one.header)
                column = pl.when(here.fill_null(False)).then(pl.lit(names[one.origin])).otherwise(column)
    return faults.with_columns(column=column)


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
