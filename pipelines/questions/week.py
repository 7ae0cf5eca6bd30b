"""The sentences over lines of the weekly sheet that somebody may see, chosen in whatever way."""

from collections.abc import Collection, Mapping, Sequence
from typing import Any

import polars as pl

from pipelines.derived.week.squad_words import SheetCounts, count_sheet, say_lede, say_since_closing

COLUMNS = {
    "training_call": pl.String, "hamstring_level": pl.String, "progress_word": pl.String, "checkin_missing": pl.Boolean,
    "is_coming_back": pl.Boolean,
}  # fmt: skip


def lede_of(rows: Sequence[Mapping[str, Any]], missing: Collection[str] = ()) -> str:
    """Return the sentences over some lines of the sheet, by the rule of ``squad_week``; ``missing``: never entered."""
    frame = pl.DataFrame([{name: row.get(name) for name in COLUMNS} for row in rows], schema=COLUMNS)
    return say_lede(SheetCounts(**frame.select(**count_sheet()).row(0, named=True)), missing)


def since_closing(changed: Sequence[tuple[str, str]]) -> str:
    """Say on top of a closed review what has changed since: pairs of name and what."""
    return say_since_closing(changed)
