"""What one file brings to the record, before any of it is stored: whole rows, with the rows they belong to."""

import json
from collections.abc import Iterable, Mapping, Sequence

import polars as pl

from pipelines.record.shape import Shape, in_shape

PLACE = ["source_sheet", "source_line"]
MOST_LINES = 2**40  # of a sheet
SAME_ROW_SHARE = 0.5  # share of cells that must read as before for a line to be the same row mended; own choice


def without_lines(frames: Mapping[str, pl.DataFrame], aside: pl.DataFrame) -> dict[str, pl.DataFrame]:
    """Leave out every row of a source line that is set aside: a source row is whole or set aside."""
    if aside.is_empty():
        return dict(frames)
    lines = aside.select(PLACE).unique()
    near = lines["source_line"].unique().implode()

    def left(frame: pl.DataFrame) -> pl.DataFrame:
        if not frame["source_line"].is_in(near).any():  # as it is after the checks: no copy of a long file
            return frame
        return frame.join(lines, on=PLACE, how="anti", nulls_equal=True)

    return {name: left(frame) for name, frame in frames.items()}


def lines_without(aside: pl.DataFrame, frames: Iterable[pl.DataFrame]) -> int:
    """Return of how many source lines something was set aside and nothing else is kept: the others are in with the
    rest.
    """
    if aside.is_empty():
        return 0
    lines = aside.select(PLACE).unique()
    near = lines["source_line"].unique().implode()
    for frame in frames:
        beside = frame.lazy().select(PLACE).filter(pl.col("source_line").is_in(near)).collect()  # of a long file few
        lines = lines.join(beside, on=PLACE, how="anti", nulls_equal=True)
    return lines.height


def with_parents(frames: Mapping[str, pl.DataFrame], shapes: Mapping[str, Shape]) -> dict[str, pl.DataFrame]:
    """Add the rows that other rows belong to and that the file does not spell out: a split makes its run and session.

    An implied row holds its key and the first place that implied it. A parent that needs more than its key (an athlete
    needs a name) is never implied.
    """
    out = {name: frame for name, frame in frames.items() if not frame.is_empty()}
    for name in list(out):
        for parent in shapes[name].parents:
            shape = shapes[parent]
            if shape.required or not set(shape.key) <= set(shapes[name].key):
                continue
            implied = _first_of_each(out[name].select(*shape.key, *PLACE), shape.key)
            if parent in out:
                implied = implied.join(out[parent], on=shape.key, how="anti")
                out[parent] = pl.concat([out[parent], in_shape(implied, shape)])
            else:
                out[parent] = in_shape(implied, shape)
    return {name: out[name] for name in shapes if name in out}


def _first_of_each(frame: pl.DataFrame, key: list[str]) -> pl.DataFrame:
    """Return the first row of each key. Rows of one key mostly stand together, which is quick to see."""
    begins = pl.any_horizontal(pl.col(name).ne_missing(pl.col(name).shift()) for name in key)
    is_first = pl.int_range(pl.len()) == 0
    return frame.filter(is_first | begins).unique(subset=key, keep="first", maintain_order=True)


def one_row_a_key(frame: pl.DataFrame, shape: Shape) -> pl.DataFrame:
    """Put rows of one key together: per column the last value said, a blank cell saying nothing."""
    if _is_single(frame, shape.key):
        return frame
    last_said = [pl.col(name).drop_nulls().last() for name in shape.values]
    return (
        frame.group_by(shape.key, maintain_order=True)
        .agg(*last_said, *(pl.col(name).last() for name in PLACE))
        .select(frame.columns)
    )


def _is_single(frame: pl.DataFrame, key: list[str]) -> bool:
    """Return whether no two rows have one key; as many different hashes as rows are quick to see and prove it."""
    keys = frame.select(key)
    return keys.hash_rows().n_unique() == keys.height or bool(keys.is_unique().all())


def count_effects(fresh: Iterable[pl.DataFrame], effects: Sequence[pl.DataFrame]) -> tuple[int, int]:
    """Return how many source rows add something and replace nothing, and how many replace something.

    Args:
        fresh: Rows of tables that hold nothing yet: each adds something.
        effects: Rows of the others that do something: source_sheet, source_line, adds, replaces.
    """
    sheets: dict[str | None, int] = {}
    adding = _places([*fresh, *(one.filter("adds") for one in effects)], sheets)
    replacing = _places((one.filter("replaces") for one in effects), sheets)
    both = int(adding.is_in(replacing.implode()).sum()) if len(replacing) else 0
    return len(adding) - both, len(replacing)


def _places(frames: Iterable[pl.DataFrame], sheets: dict[str | None, int]) -> pl.Series:
    """Return the places of rows, each once, as whole numbers: pairs of text and number take ten times the memory."""
    codes = [pl.Series(dtype=pl.Int64)]
    for frame in frames:
        code = pl.col("source_line").fill_null(0)
        for sheet in frame["source_sheet"].unique().to_list():
            number = sheets.setdefault(sheet, len(sheets))
            if number:
                here = pl.col("source_sheet").eq_missing(pl.lit(sheet, pl.String))
                code = code + here.cast(pl.Int64) * (number * MOST_LINES)
        codes.append(frame.select(code).to_series())
    return pl.concat(codes).unique()


def lacking(frame: pl.DataFrame, shape: Shape, known: pl.DataFrame) -> pl.DataFrame:
    """Return the rows that lack a value they cannot do without, where the record does not have it either.

    Args:
        frame: Rows in shape.
        shape: The table.
        known: Key columns of the rows that the record holds already.

    Returns:
        source_sheet, source_line, column.
    """
    empty = [frame.filter(pl.col(c).is_null()).with_columns(column=pl.lit(c)) for c in shape.required]
    if not empty:
        return frame.head(0).select(*PLACE, column=pl.lit("", pl.String))
    return pl.concat(empty).join(known, on=shape.key, how="anti").select(*PLACE, "column").unique()


def rows_seen_again(waiting: Iterable[Mapping[str, object]], cells: Mapping[tuple[str, int], list[str]]) -> list[int]:
    """Return the numbers of the waiting rows that a newer file of the same name brings again, mended or not.

    A row is the same one when it stands at the same place and at least half of its filled cells read as before; so a
    different file that happens to bear the same name settles nothing.

    Args:
        waiting: Rows of ``rejected`` (reject_no, source_sheet, source_line, row_json).
        cells: The new file's cells by sheet and line.
    """
    again = []
    for row in waiting:
        new = cells.get((str(row["source_sheet"] or ""), int(str(row["source_line"]))))
        old = _cells_of(str(row["row_json"] or ""))
        if new is None or not old:
            continue
        left = [cell.strip() for cell in new]
        same = 0
        for cell in old:
            if cell in left:
                left.remove(cell)
                same += 1
        if same >= SAME_ROW_SHARE * len(old):
            again.append(int(str(row["reject_no"])))
    return again


def _cells_of(row_json: str) -> list[str]:
    try:
        told = json.loads(row_json)
    except ValueError:
        return []
    cells = told.values() if isinstance(told, dict) else told if isinstance(told, list) else []
    return [str(cell).strip() for cell in cells if cell is not None and str(cell).strip()]
