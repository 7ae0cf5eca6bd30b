"""A calendar as a sheet: a week in each row, the weekdays as columns, 'Week of | Mon | Tue | Wed'. Made days."""

import dataclasses
import datetime as dt

import polars as pl

from pipelines.cells.weekdays import is_weekday, weekdays_named
from pipelines.layouts.evidence import look
from pipelines.layouts.said import find_year
from pipelines.layouts.titled import texts_of
from pipelines.layouts.weeks import LONG, WEEK_HEADS, mondays
from schemas.intake import TextTable
from schemas.spelling import fold

FEWEST = 2  # weekdays as columns


def days_of_grid(table: TextTable, value: str) -> TextTable | None:
    """Return a table with a row for each week and weekday that has words, None where it is no such calendar.

    The first day of each week stands in a column: with its year, or with the month and the year that the titles name.
    Where those days are not all Mondays in one order of day and month, it is no such calendar.

    Args:
        table: A plain table.
        value: What its cells are called: a plan or what was done.
    """
    named = {place: text for place, text in enumerate(table.header) if text and is_weekday(text)}
    weekdays = weekdays_named(named.values())
    if weekdays is None or len(named) < FEWEST or not 0 < table.rows.height <= LONG:
        return None
    for weeks, text in enumerate(table.header):  # 'Week' may number them beside 'w/c', which has their days
        if fold(text) not in WEEK_HEADS or f"c{weeks}" not in table.rows.columns:
            continue
        cells = table.rows[f"c{weeks}"].fill_null(strategy="forward")
        first = mondays(cells.drop_nulls().unique(maintain_order=True).to_list(), find_year(texts_of(table)))
        if first is not None and not cells.null_count():
            break
    else:
        return None
    others = [
        place for place, text in enumerate(table.header)
        if text and place != weeks and place not in named and f"c{place}" in table.rows.columns
        and not (fold(text) in WEEK_HEADS and look(table.rows[f"c{place}"]).whole == 1)  # the weeks numbered beside
    ]  # fmt: skip
    parts = []
    for order, (place, text) in enumerate(named.items()):
        if f"c{place}" not in table.rows.columns:
            continue
        days = [(first[week] + dt.timedelta(days=weekdays[text])).isoformat() for week in cells]
        parts.append(
            table.rows.select(
                pl.Series("c0", days, dtype=pl.String),
                pl.col(f"c{place}").alias("c1"),  # before the week's own columns: 'Focus' is of all its days
                *(pl.col(f"c{old}").alias(f"c{new}") for new, old in enumerate(others, start=2)),
                "_line",
                _order=pl.int_range(pl.len()) * len(named) + order,
            ).filter(pl.col("c1").is_not_null())
        )
    rows = pl.concat(parts).sort("_order").drop("_order")
    header = ["Date", value, *(table.header[place] for place in others)]
    return dataclasses.replace(table, header=header, rows=rows, above=[], turned="weeks")
