"""What a row of a sheet says: rows that say nothing, outcomes that are no value, runs and sessions without content."""

from dataclasses import dataclass

import polars as pl

from pipelines.cells.spoken import is_outcome
from pipelines.checks.faults import SET_ASIDE, Faults
from pipelines.checks.told import RUN_CONTENT
from schemas.intake import LaidOut
from schemas.shape import table_shape

OF_A_DAY = {"session", "checkin"}  # tables that a grid of people and days fills, also where nobody was there
IMPLIED = {"rep", "session"}  # tables that a row of another table brings along


@dataclass(frozen=True)
class Contents:
    """Tells which rows of one sheet hold something to store."""

    laid: LaidOut
    rows: pl.Series  # the rows that are checked, by their place in the sheet
    faults: Faults

    def is_main(self, table: str) -> bool:
        """Return whether a table is what the sheet is about, not what its rows bring along."""
        return any(part.is_main for part in self.laid.parts if part.table == table)

    def leave_out_ended(self, tables: dict[str, pl.DataFrame]) -> None:
        """Leave out splits without a time whose run says how it ended: the run is kept."""
        ended = told_runs(tables)
        split = tables.get("split")
        if ended and split is not None and "elapsed_s" in split.columns and split["elapsed_s"].null_count():
            rows = ended[0].unique().implode()
            tables["split"] = split.filter(pl.col("elapsed_s").is_not_null() | ~pl.col("_row").is_in(rows))

    def require(self, tables: dict[str, pl.DataFrame]) -> None:
        """Tell rows that name an athlete and a day and say nothing of them."""
        told = [self._said(name, frame) for name, frame in tables.items() if name not in IMPLIED or self.is_main(name)]
        told += told_runs(tables)
        is_run_sheet = any(name in RUN_CONTENT for name in tables)
        if not told or not is_run_sheet:
            told += [self._said(name, frame) if self.is_main(name) else frame["_row"] for name, frame in tables.items()]
        silent = self.rows.filter(~self.rows.is_in(pl.concat([*told, self.faults.told]).unique().implode()))
        if self.laid.block is not None and self.laid.block.turned == "steps":  # one line of the sheet is several rows
            lines = self.laid.rows["_line"]
            given = lines.gather(self.rows.filter(~self.rows.is_in(silent.implode()))).unique()
            silent = silent.filter(~lines.gather(silent).is_in(given.implode()))
        silent = self._name_outcomes(silent)
        why = f"there is no value in this row, so nothing to store. {SET_ASIDE} Nothing to do if that is right."
        self.faults.add(silent, "", None, why)

    def _said(self, table: str, frame: pl.DataFrame) -> pl.Series:
        """Return the rows that say something: a session or a morning of which nothing is told ('-', 'ill') was none."""
        values = values_of(table, frame)
        if table not in OF_A_DAY or not values or self.laid.is_canonical:
            return frame["_row"]
        return frame.filter(pl.any_horizontal(pl.col(values).is_not_null()))["_row"]

    def _name_outcomes(self, silent: pl.Series) -> pl.Series:
        """Name the rows that say why there is no value (not started, injured); return the others."""
        cells = self.laid.rows[silent.to_list()] if len(silent) else self.laid.rows.head(0)
        left = []
        for row, one in zip(silent.to_list(), cells.drop("_line").iter_rows(), strict=True):
            words = [text for text in one if text is not None and is_outcome(text)]
            if words:
                self.faults.add(pl.Series([row]), "", words[0], no_value(words[0]))
            else:
                left.append(row)
        return pl.Series(left, dtype=pl.UInt32)

    def leave_out_empty(self, tables: dict[str, pl.DataFrame]) -> None:
        """Leave out main rows of which nothing is left once their bad cells are out."""
        told = self.faults.told
        for name, frame in list(tables.items()):
            values = values_of(name, frame)
            if not self.is_main(name) or not values or name == "athlete" or not len(told):
                continue
            hollow = pl.all_horizontal(pl.col(values).is_null()) & pl.col("_row").is_in(told.implode())
            tables[name] = frame.filter(~hollow)

    def only_with_content(self, tables: dict[str, pl.DataFrame]) -> dict[str, pl.DataFrame]:
        """Leave out runs and sessions of rows whose own cells gave none of their content."""
        content = [frame["_row"] for name, frame in tables.items() if name in RUN_CONTENT]
        if not content:
            return tables
        content += told_runs(tables)
        if not any(len(one) for one in content) and not any(name in RUN_CONTENT for name in tables):
            return tables
        rows = pl.concat(content).unique().implode() if len(content) > 1 else content[0]
        if len(content) == 1 and len(content[0]) == len(self.rows):
            return tables  # every row gave some
        rows = rows if isinstance(rows.dtype, pl.List) else rows.unique().implode()
        return {
            name: frame.filter(pl.col("_row").is_in(rows)) if name in IMPLIED else frame
            for name, frame in tables.items()
        }


def values_of(table: str, frame: pl.DataFrame) -> list[str]:
    """Return the columns of a frame that are values of its table, no keys."""
    return [name for name in table_shape(table).values if name in frame.columns]


def no_value(text: str) -> str:
    """Say of a cell that holds an outcome that there is no value to store."""
    return f"'{text.strip()}' is an outcome and no error: there is no value to store. {SET_ASIDE} Nothing to do."


def told_runs(tables: dict[str, pl.DataFrame]) -> list[pl.Series]:
    """Return the rows of runs that say how they ended or began, with or without times: a false start is a run."""
    runs = tables.get("rep")
    said = [name for name in ("outcome", "reaction_s") if runs is not None and name in runs.columns]
    return [runs.filter(pl.any_horizontal(pl.col(said).is_not_null()))["_row"]] if runs is not None and said else []
