"""Loads logged by earlier versions with one reading a header: which reading each block under it was loaded by.

Until 30 November 2026 the log kept, of several blocks under the same headers, the reading of the last. Loaded again by
it, the others may become something else. They are read anew instead, where that is sure: where the last block is read
today as it was logged, so are those before it. Where it is not, the log is obeyed and the load is named.
"""

import json
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any

from pipelines.errors import ThirdstepError
from schemas.intake import LaidOut, LayoutOptions
from schemas.reading import block_logged, reading_key

OF_A_PLACE = ("header_lines", "first_line", "last_line", "why")  # differ from block to block that is read alike

DOUBT = (
    "several blocks under one header were logged with one reading, by an earlier version, and are read otherwise now. "
    "They are loaded again by that one reading, which may not be how they were loaded. Undo the load and load the file "
    "again: each block is then logged with its own."
)


def logged_blocks(laid: Iterable[LaidOut]) -> dict[str, dict[int, dict[str, Any]]]:
    """Return the readings of the tables of a source as they are logged, by layout and by their number under it."""
    told: dict[str, dict[int, dict[str, Any]]] = {}
    for one in laid:
        if one.block is not None and one.block.shape != "own":
            told.setdefault(one.layout, {})[one.nth] = block_logged(one.block)
    return told


def is_one_reading(blocks: Iterable[Mapping[str, Any]]) -> bool:
    """Return whether blocks are read alike, wherever they stand."""
    return len({json.dumps(_without_place(one), sort_keys=True) for one in blocks}) <= 1


def _without_place(told: Mapping[str, Any]) -> dict[str, Any]:
    columns = [{name: one[name] for name in one if name not in OF_A_PLACE} for one in told.get("column", [])]
    return {**{name: told[name] for name in told if name not in OF_A_PLACE}, "column": columns}


def kept_one_a_header(options: LayoutOptions, layouts: Sequence[str]) -> list[str]:
    """Return the headers of several blocks for which a log of before kept one reading."""
    if options.each_block:
        return []
    return [
        layout
        for layout in dict.fromkeys(layouts)
        if layouts.count(layout) > 1
        and isinstance(options.readings.get(layout), Mapping)  # a coach's own reading is no plain data, and holds
        and reading_key(layout, 0) not in options.readings
    ]


def as_each_was(
    laid: list[LaidOut], layout: str, logged: Mapping[str, Any], read: Callable[[LaidOut], LaidOut]
) -> tuple[list[LaidOut], str]:
    """Return the tables of a source, each under a header read as it was loaded; and what is in doubt, "" for nothing.

    Args:
        laid: The tables, read by the one reading that was logged.
        layout: The header.
        logged: That reading.
        read: Reads a table anew, by no reading.
    """
    try:
        anew = {one.nth: read(one) for one in laid if one.layout == layout}
    except ThirdstepError:
        return laid, DOUBT
    blocks = logged_blocks(anew.values()).get(layout, {})
    if is_one_reading([*blocks.values(), logged]):
        return laid, ""
    if not blocks or not is_one_reading([blocks[max(blocks)], logged]):
        return laid, DOUBT
    return [anew[one.nth] if one.layout == layout else one for one in laid], ""
