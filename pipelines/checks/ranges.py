"""Ranges and words: the Pandera model of a table on typed values, its failures told by row in a coach's words."""

from decimal import Decimal

import polars as pl

from pipelines.checks.faults import SET_ASIDE
from schemas.shape import ColumnShape, table_shape


def range_faults(table: str, frame: pl.DataFrame) -> list[tuple[int, int, str, object]]:
    """Validate a frame against the model of its table; return each failure as (_row, _part, column, value).

    Key columns are taken to be filled: an empty one is told before. ``_row`` and ``_part`` say where a row came from.
    """
    if frame.height == 0:
        return []
    from schemas.records import RECORDS

    shape = table_shape(table)
    whole = frame.select(
        pl.col(name) if name in frame.columns else pl.lit(None, dtype=column.dtype).alias(name)
        for name, column in shape.columns.items()
    )
    if RECORDS[table].to_schema().is_met_by(whole):
        return []
    import pandera.errors as pandera_errors  # only where something is to be told: pandas comes with it

    try:
        RECORDS[table].validate(whole, lazy=True)
    except pandera_errors.SchemaErrors as errors:
        cases = pl.DataFrame(errors.failure_cases)
    else:
        return []
    if cases["index"].null_count():  # no row: the frame does not have the form of the table, a mistake of ours
        raise AssertionError(f"{table}: {cases.filter(pl.col('index').is_null()).to_dicts()}")
    places = cases.select(pl.col("index").cast(pl.Int64), "column").unique(maintain_order=True)
    rows, parts = frame["_row"], frame["_part"]
    return [(rows[place], parts[place], name, whole[name][place]) for place, name in places.iter_rows()]


def shown(value: object) -> str:
    """Return a value as a sentence writes it."""
    return f"{value:.10g}" if isinstance(value, float) else str(value)


def why_outside(value: object, column: ColumnShape, written: str = "") -> str:
    """Return the sentence for a value outside a column's range or words; ``written`` is the cell where it differs."""
    unit = f" {column.unit}" if column.unit else ""
    if value is None:
        return f"{column.name} is empty, and without it the row says nothing. {SET_ASIDE} Fill in the cell."
    if column.words:
        return f"'{value}' is not one of {', '.join(column.words)}. {SET_ASIDE}"
    if column.least is not None or column.most is not None:
        said = f"'{written}' ({_short(value)}{unit})" if written else f"{shown(value)}{unit}"
        return (
            f"{said} is outside {_bound(column.least)} to {_bound(column.most)}{unit}. {SET_ASIDE} "
            f"{'Check the unit or the decimal point.' if column.unit else 'Check the number.'}"
        )
    return f"'{value}' does not have the form {column.name} needs. {SET_ASIDE} Check the spelling."


def _short(value: object) -> str:
    return f"{value:.4g}" if isinstance(value, float) and abs(value) < 10_000 else shown(value)


def _bound(value: float | None) -> str:
    return "any" if value is None else f"{Decimal(repr(value)).normalize():f}"
