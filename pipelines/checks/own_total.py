"""The total that a sheet of times gives beside the gates of each run: a row must not contradict itself."""

import polars as pl

from pipelines.checks.faults import RECORD, ROW, SET_ASIDE
from schemas.intake import LaidOut
from schemas.phrase import phrase

ROUNDING_S = 0.005  # s, half the last place that is usually written; of each stretch and of the total
SAME_SHARE, SAME_ROWS = 0.75, 3  # of rows in which a column must be the time at the last gate to be the total


def total_faults(split: pl.DataFrame, laid: LaidOut, *, is_summed: bool) -> pl.DataFrame:
    """Return the rows whose own total is not the time at their last gate, as faults.

    A total is a column from which nothing was taken and whose number is the time at the last gate (to the rounding of
    each stretch) in three rows of four or more; its name does not matter. One that says the same of all runs that an
    athlete made on a day is their best, not a total. Where the file writes a time for each stretch (``is_summed``) the
    whole row is set aside, as any of them may be the wrong one; else the last gate alone. ``split``: sound rows with
    ``_header``, several gates to a row of the source.
    """
    unused = _unused(laid)
    if not unused or split["_row"].n_unique() == split.height:  # one gate to a row: it has no other beside it
        return pl.DataFrame()
    last = _last_gates(split)
    if last.height < SAME_ROWS:
        return pl.DataFrame()
    room = ROUNDING_S * (pl.col("_gates") if is_summed else 1.0) + ROUNDING_S + 1e-9
    for column, header in unused:
        text = laid.rows[column].gather(last["_row"]).str.strip_chars().str.replace(",", ".", literal=True)
        told = last.with_columns(_total=text.cast(pl.Float64, strict=False), _room=room).drop_nulls("_total")
        same = told.filter((pl.col("_total") - pl.col("elapsed_s")).abs() <= pl.col("_room"))
        if same.height < max(SAME_ROWS, SAME_SHARE * told.height):
            continue
        if _is_best_of_day(told):
            continue
        wrong = told.join(same, on="_row", how="anti")
        seconds = pl.col("elapsed_s").round(3).cast(pl.String)
        if is_summed:
            why = phrase(
                "the stretches add up to {} s, and '{}' of the same row says {}. {} Mend the one that is wrong.",
                seconds, pl.lit(header), text_of("_total"), pl.lit(SET_ASIDE),
            )  # fmt: skip
            return _shape(wrong, pl.lit(header), text_of("_total"), why, ROW)
        why = phrase("the time at {} m is {} s, and '{}' of the same row says {}. {} Mend the one that is wrong.",
                     pl.col("distance_m").cast(pl.String).str.strip_suffix(".0"), seconds, pl.lit(header),
                     text_of("_total"), pl.lit(SET_ASIDE))  # fmt: skip
        return _shape(wrong, pl.col("_header"), seconds, why, RECORD)
    return pl.DataFrame()


def text_of(name: str) -> pl.Expr:
    """Write a number as a sentence does."""
    return pl.col(name).round(3).cast(pl.String)


def _last_gates(split: pl.DataFrame) -> pl.DataFrame:
    """Return the last gate of each row of the source that holds several, and as many as the fullest."""
    rows = split.group_by("_row").agg(
        pl.col("athlete_id", "session_date", "distance_m", "elapsed_s", "_part", "_header")
        .sort_by("distance_m")
        .last(),
        _gates=pl.len(),
    )
    return rows.filter((pl.col("_gates") > 1) & (pl.col("_gates") == pl.col("_gates").max())).sort("_row")


def _is_best_of_day(told: pl.DataFrame) -> bool:
    days = told.group_by("athlete_id", "session_date").agg(runs=pl.len(), kinds=pl.col("_total").n_unique())
    several = days.filter(pl.col("runs") > 1)
    return several.height > 0 and bool((several["kinds"] == 1).all())


def _unused(laid: LaidOut) -> list[tuple[str, str]]:
    used = {cells.origin for part in laid.parts for cells in part.cells.values()}
    columns = [name for name in laid.rows.columns if name.startswith("c")]
    return [(name, header) for name, header in zip(columns, laid.header, strict=False) if name not in used and header]


def _shape(wrong: pl.DataFrame, column: pl.Expr, value: pl.Expr, why: pl.Expr, holds: str) -> pl.DataFrame:
    return wrong.select("_row", "_part", column=column, value=value, reason=why, holds=pl.lit(holds))
