"""Minutes and effort in each other's column: the impossible one is told, and its partner goes in no more."""

import polars as pl

from pipelines.checks.faults import SET_ASIDE
from schemas.intake import Part
from schemas.phrase import phrase

PAIRS = {"session": ("duration_min", "effort_0_10"), "plan": ("planned_min", "planned_effort_0_10")}
LEAST_MIN, MOST_MIN, MOST_EFFORT = 15, 300, 10  # what may be minutes and no effort, what may be an effort; own choice


def swapped(table: str, frame: pl.DataFrame, part: Part) -> pl.DataFrame:
    """Return the cells of minutes that seem to be the effort of their row: _row, value, reason.

    The effort beside them was no effort (its cell is empty by now) and would be minutes, and they would be an effort.
    Neither is turned round: nobody said so.

    Args:
        table: Name of a record table.
        frame: Its rows from the part: _row and the columns, those that cannot be read empty.
        part: The cells as they are written.
    """
    minutes, effort = PAIRS[table]
    nothing = pl.DataFrame(schema={"_row": pl.UInt32, "value": pl.String, "reason": pl.String})
    if not {minutes, effort} <= set(frame.columns) or not {minutes, effort} <= set(part.frame.columns):
        return nothing
    short = frame.filter(pl.col(effort).is_null() & pl.col(minutes).is_between(0, MOST_EFFORT))
    if short.is_empty():
        return nothing
    written = part.frame.select(minutes, effort)[short["_row"].to_list()]
    number = written[effort].str.strip_chars().str.replace(",", ".", literal=True).cast(pl.Float64, strict=False)
    told = short.select("_row").with_columns(
        value=written[minutes].str.strip_chars(), _effort=written[effort].str.strip_chars(), _number=number
    )
    told = told.filter(pl.col("_number").is_between(LEAST_MIN, MOST_MIN))
    names = (part.cells[minutes].header, part.cells[effort].header)
    why = phrase(
        "'{}' stands under {} and '{}' under {}: they look changed round, as {} is no effort and {} would be one. {} "
        "Mend the cells that are wrong.",
        "value", pl.lit(names[0]), "_effort", pl.lit(names[1]), "_effort", "value", pl.lit(SET_ASIDE),
    )  # fmt: skip
    return told.select("_row", "value", reason=why)
