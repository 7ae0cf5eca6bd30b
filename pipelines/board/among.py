"""Fresh rows of some athletes put among a table's other rows, without sorting these again."""

from bisect import bisect_left

import polars as pl

from pipelines.board.delta import ATHLETE

MOST_PIECES = 64  # that a table is left in; own choice


def put_among(before: pl.DataFrame, fresh: pl.DataFrame, *, keep: pl.Series) -> pl.DataFrame:
    """Return the rows of the athletes to keep, and the fresh rows of others among them, in the order of athletes.

    Args:
        before: A table in the order of a key that begins with the athlete.
        fresh: Rows of athletes who are not to be kept, in the same order.
        keep: Athletes whose rows are taken over. Neither table is sorted again: that was most of a new run's cost.
    """
    places = before.select(ATHLETE, _end=pl.int_range(1, pl.len() + 1)).group_by(ATHLETE).agg(pl.col("_end").max())
    ends: dict[str, int] = dict(places.iter_rows())
    kept, new = set(keep.to_list()), fresh.partition_by(ATHLETE, as_dict=True, maintain_order=True)
    others = sorted({*ends, *(who for (who,) in new)} - kept)
    pieces, start, known = [], 0, sorted(ends)
    for who in others:  # what stands before this athlete is kept, what stands for this athlete is not
        place = bisect_left(known, who)
        until = ends[known[place - 1]] if place else 0
        pieces.append(before[start:until])
        pieces += [new[who,]] if (who,) in new else []
        start = ends.get(who, until)
    pieces.append(before[start:])
    return pl.concat(pieces, rechunk=len(pieces) > MOST_PIECES)
