"""A week as lines of a text: 'Plan week of 12 October 2026', below it 'Mon: Gym', 'Tue: Blocks 6x20 m'."""

import dataclasses
import re

import polars as pl

from pipelines.cells.weekdays import is_weekday
from pipelines.layouts.sheets.weeks import find_weeks
from pipelines.layouts.words.plan_words import names_plan
from schemas.intake import TextTable

FEWEST, MOST_TITLES = 3, 2  # lines of a weekday each, and lines above them; own choice
DAY_LINE = re.compile(r"[-*•\s]*([^\W\d_]{2,12})\.?\s*[:–-]\s*(\S.*)")


def week_lines(table: TextTable) -> TextTable:
    """Return a text whose lines are the days of a week, which its title says, as a table of days; others as they
    are.
    """
    lines = [(number, text.strip()) for number, text in table.written if text.strip()]
    said = [(number, one[1], one[2].strip()) for number, text in lines if (one := _day_of(text)) is not None]
    above = lines[: len(lines) - len(said)]
    if table.sheet or len(said) < FEWEST or not 0 < len(above) <= MOST_TITLES or above[-1][0] > said[0][0]:
        return table
    titles = tuple((number, (text,)) for number, text in above)
    if len(find_weeks([text for _, text in above])) != 1 or len({day for _, day, _ in said}) < len(said):
        return table
    value = "Plan" if names_plan(text for _, text in above) else "Session"
    frame = pl.DataFrame({
        "c0": pl.Series([day for _, day, _ in said], dtype=pl.String),
        "c1": pl.Series([words for _, _, words in said], dtype=pl.String),
        "_line": pl.Series([number for number, _, _ in said], dtype=pl.Int64),
    })  # fmt: skip
    return dataclasses.replace(table, header=["Day", value], rows=frame, titles=titles, above=[], written=())


def _day_of(text: str) -> re.Match[str] | None:
    one = DAY_LINE.fullmatch(text)
    return one if one is not None and is_weekday(one[1]) else None
