"""Days a year from the rows around them: told as a doubt, and kept as they are written."""

import bisect
import datetime as dt
from collections.abc import Iterator, Mapping, Sequence

import polars as pl

from schemas.shape import all_shapes

FAR_DAYS = 200  # from every other day of the sheet, for a year to be doubted; own choice
NEAR_DAYS = 45  # of the rows around it, the same day of another year, for that year to be likelier; own choice
FEWEST_RUNS = 3  # of rows of one day, for the rest to tell anything
MOST_TOLD = 5  # of a sheet
Run = tuple[dt.date, int, int]  # day, first and last line of rows that follow each other


def doubted(accepted: Mapping[str, Sequence[pl.DataFrame]]) -> list[str]:
    """Return a sentence for each day of a sheet that is a year from the rows around it, as a slip in a year would be.

    Args:
        accepted: Checked rows by record table, with source_sheet and source_line.
    """
    days: dict[str, dict[int, set[dt.date]]] = {}
    shapes = all_shapes()
    for table, frames in accepted.items():
        name = shapes[table].date
        for frame in frames if name is not None and table != "athlete" else ():
            if name in frame.columns and "source_line" in frame.columns:
                said = frame.select("source_sheet", "source_line", name).drop_nulls(["source_line", name]).unique()
                for sheet, line, day in said.iter_rows():
                    days.setdefault(sheet or "", {}).setdefault(line, set()).add(day)
    told = []
    for sheet, lines in days.items():
        place = f"sheet '{sheet}' " if sheet else ""
        for (day, first, last), other in list(_far(_runs(lines)))[:MOST_TOLD]:
            where = f"line {first}" if first == last else f"lines {first} to {last}"
            told.append(
                f"{place}{where}: {day:%Y-%m-%d} is a year from the days around it; {other:%Y-%m-%d} would stand among "
                "them. It is kept as it is written: if the year is a slip, mend it in the file and load that again."
            )
    return told


def _runs(lines: Mapping[int, set[dt.date]]) -> list[Run]:
    made: list[Run] = []
    for line in sorted(lines):
        if len(lines[line]) > 1:  # days as columns
            continue
        [day] = lines[line]
        if made and made[-1][0] == day:
            made[-1] = (day, made[-1][1], line)
        else:
            made.append((day, line, line))
    return made


def _far(runs: Sequence[Run]) -> Iterator[tuple[Run, dt.date]]:
    """Yield runs of rows far from every other day, with the same day of the year that lies among their neighbours."""
    if len(runs) < FEWEST_RUNS:
        return
    every = sorted({day for day, _, _ in runs})
    for place, run in enumerate(runs):
        day = run[0]
        at = bisect.bisect_left(every, day)
        beside = [every[n] for n in (at - 1, at + 1) if 0 <= n < len(every)]
        if not beside or any(abs((one - day).days) < FAR_DAYS for one in beside):
            continue
        around = [runs[n][0] for n in (place - 1, place + 1) if 0 <= n < len(runs)]
        for years in (1, -1):
            other = _in_year(day, day.year + years)
            if other is not None and all(abs((one - other).days) <= NEAR_DAYS for one in around):
                yield run, other


def _in_year(day: dt.date, year: int) -> dt.date | None:
    try:
        return day.replace(year=year)
    except ValueError:  # 29 February
        return None
