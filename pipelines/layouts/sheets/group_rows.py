"""Groups down the side of a week without a heading: 'Short' and 'Long' beside what each does on its days."""

import dataclasses
import re
from collections.abc import Collection

from pipelines.cells.spoken import EVERYBODY_WORDS, is_kind_word
from pipelines.cells.weekdays import is_weekday
from pipelines.layouts.sheets.blocks import PARTS_OF_DAY
from pipelines.layouts.words.headings import read_heading, read_test
from schemas.intake import TextTable
from schemas.spelling import fold

FEWEST, LONGEST = 2, 4  # rows of groups, words of a group's name; own choice
PART_OF_DAY = frozenset().union(*PARTS_OF_DAY)
# What is done within a session, down the side of a week; common practice, no source
PART_OF_SESSION = re.compile(
    r"(?:warm|main|cool|drill|mobil|gym|note|focus|aim|theme|core|plyo|lift|session|aufwarm|haupt|auslauf|echauff"
    r"|calent|riscald|uppvarm|warming|inhalt|ziel|objectif|objetivo|obiettivo|place|where|time|ort|zeit|lieu|heure)"
)


def with_groups_named(table: TextTable, days: Collection[int]) -> TextTable:
    """Return a table of words below days whose first column, without a heading, names a group in each row, with
    'Group' above it; others as they are. Whom a group means is told by the roster, or asked.
    """
    if not table.header or table.header[0] or 0 in days or "c0" not in table.rows.columns or (
        "athlete_id" in table.facts
    ):  # fmt: skip
        return table
    cells = [(cell or "").strip() for cell in table.rows["c0"]]
    if len(cells) < FEWEST or len({fold(cell) for cell in cells}) < len(cells) or not all(map(_may_be_group, cells)):
        return table
    return dataclasses.replace(table, header=["Group", *table.header[1:]])


def _may_be_group(text: str) -> bool:
    """Return whether a text may name a group: a few words, and none for a part of the day, of a session or its kind."""
    said = fold(text)
    if said in EVERYBODY_WORDS:
        return True
    is_other = is_weekday(text) or is_kind_word(text) or said in PART_OF_DAY or PART_OF_SESSION.match(said) is not None
    is_heard = read_test(0, text) is not None or "date" in read_heading(0, text).names
    return bool(said) and said[0].isalpha() and len(said.split()) <= LONGEST and not (is_other or is_heard)
