"""A second row of headings that counts trials: '10 m', '10 m' over '1', '2'. Made one row of headings."""

import dataclasses
from collections import Counter

from pipelines.layouts.words.headings import read_heading
from schemas.intake import TextTable
from schemas.spelling import fold


def with_trial_row(table: TextTable) -> TextTable:
    """Return a table whose first row numbers the columns of one heading, 1, 2, 3, with those numbers in its headings.

    Below headings that stand once the row is empty; a row with a name, a day or another number is a row of data.
    """
    times = Counter(fold(text) for text in table.header if text)
    again = [place for place, text in enumerate(table.header) if text and times[fold(text)] > 1]
    if not again or table.rows.is_empty():
        return table
    first = table.rows.row(0, named=True)
    filled = {
        name: str(cell).strip() for name, cell in first.items() if name.startswith("c") and cell and str(cell).strip()
    }
    if {*filled} != {f"c{place}" for place in again}:
        return table
    counted: Counter[str] = Counter()
    header = list(table.header)
    for place in again:
        counted[fold(header[place])] += 1
        number = counted[fold(header[place])]
        if filled[f"c{place}"].removesuffix(".0") != str(number):
            return table
        is_gate = read_heading(place, header[place]).gate_m is not None
        header[place] = f"{header[place]} ({number})" if is_gate else f"{header[place]} {number}"
    return dataclasses.replace(table, header=header, rows=table.rows.slice(1))
