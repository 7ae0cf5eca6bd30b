"""Columns of speeds over a distance, 'Fly 20 (m/s)' or 'Speed (km/h)' beside 'Zone (m)': read as the times they are."""

import dataclasses
import re

from pipelines.layouts.words.evidence import to_number
from pipelines.layouts.words.headings import BRACKETS, Heading, read_heading
from pipelines.layouts.words.run_in import STRETCH_WORDS
from schemas.intake import TextTable
from schemas.spelling import fold
from schemas.unit_words import unit_word

# Unit of a speed -> metres in a second of one of them.
METRES_A_SECOND = {"meter / second": 1.0, "kilometer / hour": 1 / 3.6, "mile / hour": 0.44704}  # exact (mile: 1959)
SLOWEST_MS, FASTEST_MS = 2.0, 13.0  # of anybody who sprints, with room on both sides; own choice
HIGHEST = {"top", "max", "maximum", "maximal", "maximale", "peak", "highest", "vmax", "maxima", "massima", "hochste"}
NUMBERED = re.compile(r"(?<!\d)([1-9])(?!\d)")
MOST_ROWS = 5_000


def with_times_of_speeds(table: TextTable) -> TextTable:
    """Return a table in which a mean speed over a known distance is the time it took: distance divided by speed.

    The distance is that of the heading, else of the one column of distances beside it. A highest speed is no mean
    one. Written to 0.001 s; a speed written to 0.01 m/s gives a time over 20 m to 0.001 or 0.002 s. Where a time
    stands beside it, where no distance is said, or where a cell is no speed that anybody runs, the column stays as it
    is: it is asked about.
    """
    if table.rows.height > MOST_ROWS:
        return table
    read = [read_heading(place, text) for place, text in enumerate(table.header)]
    found = [one for one in read if f"c{one.place}" in table.rows.columns and _speed_unit(one) is not None]
    if not found or any("elapsed_s" in one.names for one in read):
        return table
    header, rows, told = list(table.header), table.rows, []
    place, beside = _distances_beside(table, read)
    found = [one for one in found if _has_cells(table, one)]
    beside_one = [one for one in found if one.gate_m is None]
    number = {one.place: counted[1] for one in beside_one if (counted := NUMBERED.search(BRACKETS.sub(" ", one.text)))}
    if len(beside_one) > 1 and len(set(number.values())) < len(beside_one):
        return table  # of two speeds over one stretch, one is of something else
    for one in found:
        own = one.gate_m - (one.from_m or 0.0) if one.gate_m is not None else None
        far = [own] * rows.height if own else [] if set(fold(one.text).split()) & HIGHEST else beside
        if not far:
            continue
        times = [_time(cell, distance, _speed_unit(one) or "") for cell, distance in zip(
            rows[f"c{one.place}"].to_list(), far, strict=True)]  # fmt: skip
        if None in times or not any(times):
            continue
        bare = BRACKETS.sub(" ", one.text).strip()
        header[one.place] = f"{bare} (s)" if own else f"Run {number[one.place]} (s)" if number else "Time (s)"
        if not own:
            header[place] = "Distance (m)"
        rows = rows.with_columns(rows[f"c{one.place}"].scatter(range(rows.height), [time or None for time in times]))
        told.append(f"'{one.text}' holds speeds; what is kept is the time, distance divided by speed, to 0.001 s.")
    if not told:
        return table
    passed = " ".join([*([table.passed] if table.passed else []), *told])
    return dataclasses.replace(table, header=header, rows=rows, passed=passed)


def _has_cells(table: TextTable, one: Heading) -> bool:
    """Return whether a column has cells."""
    return table.rows[f"c{one.place}"].count() > 0


def _speed_unit(one: Heading) -> str | None:
    """Return the unit of a speed that a heading gives, None where it gives another or is of the wind."""
    if "wind_ms" in one.names:
        return None
    words = [*BRACKETS.findall(one.text), one.text.split(" ")[-1]]
    return next((unit for word in words if (unit := unit_word(word)) in METRES_A_SECOND), None)


def _distances_beside(table: TextTable, read: list[Heading]) -> tuple[int, list[float | None]]:
    """Return the place of the one column of distances and what it says of each row; [] for none, or several."""
    columns = [
        one for one in read
        if f"c{one.place}" in table.rows.columns
        and ("distance_m" in one.names or fold(BRACKETS.sub(" ", one.text)) in STRETCH_WORDS)
    ]  # fmt: skip
    if len(columns) != 1:
        return -1, []
    cells = table.rows[f"c{columns[0].place}"].to_list()
    said = [to_number(cell.lower().removesuffix("m").strip()) if cell else None for cell in cells]
    return columns[0].place, said


def _time(cell: str | None, distance_m: float | None, unit: str) -> str | None:
    """Return the time of a run as text, "" of an empty cell, None where it cannot be told."""
    if cell is None or not cell.strip():
        return ""
    speed = to_number(cell)
    speed_ms = speed * METRES_A_SECOND[unit] if speed is not None else None
    if speed_ms is None or not distance_m or not SLOWEST_MS <= speed_ms <= FASTEST_MS:
        return None
    return f"{distance_m / speed_ms:.3f}"
