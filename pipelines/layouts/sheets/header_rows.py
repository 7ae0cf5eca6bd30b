"""Where the header of a table stands: one row, two rows of which the upper spans several columns, or below titles."""

import dataclasses
import re
from collections.abc import Callable, Iterator, Sequence
from itertools import pairwise
from typing import Any

from pipelines.cells.dates import is_day
from pipelines.layouts.words.evidence import is_run_time, to_number
from pipelines.layouts.words.headings import Heading, read_heading
from pipelines.layouts.words.run_words import ORDINAL, PLAIN_LETTERS
from pipelines.layouts.words.titled import side_of
from schemas.intake import NotRead, TextTable
from schemas.reading import Block
from schemas.spelling import fold
from schemas.unit_words import unit_word

TITLE_ROWS = 10  # rows below the supposed header that may be the header in truth
SAMPLE_ROWS = 30  # rows with which a header is tried
LONG_TITLE = 3  # words
FEWEST_NUMBERS = 2  # below each other, for two rows to be values; own choice
PERSON_OR_DAY = {"athlete_id", "display_name", "first_name", "last_name", "date"}

UNIT_SAID = re.compile(r"[(\[]\s*[^\W\d_]{1,3}\s*[)\]]\s*$")  # 'Zork (m)'
TRY_OF = re.compile(r"[(\[]\s*[^\W\d_]{1,3}\s*[)\]]\s+\D*\d\D{0,2}$")  # 'Zork (m) Try 1'
Try = Callable[[TextTable], tuple[Block, list[Any]] | NotRead]


def settle(table: TextTable, attempt: Try) -> TextTable:
    """Return the table with the header it can be understood by; as it is where there is none.

    Tried in this order: the header with the row above it, the header with the row below it, the header alone, one of
    the next rows (titles stood above). Two rows are one header where the upper spans several columns ('Run 1' over
    '10 m' and '20 m') or the lower gives the units, and every column is understood at least as well as by one row.
    """
    plain = attempt(_head(table))
    best, heard = table, _heard(plain)
    for joined in _joined(table):
        said = attempt(_head(joined))
        gains = _heard(said) > heard or _is_worth_joining(joined, table)
        is_apart = any(TRY_OF.search(text) and not _is_heard(read_heading(0, text)) for text in joined.header)
        if not isinstance(said, NotRead) and gains and _heard(said) >= (1 if is_apart else max(heard, 1)):
            best, heard = joined, _heard(said) + 1
    if heard >= 0:
        return dataclasses.replace(best, above=[])
    for lower in range(min(TITLE_ROWS, table.rows.height - 1)):
        if not _may_be_header(_texts(table, lower)) or _is_row_of_days(table, lower) or _goes_on(table, lower):
            continue
        again = _with_header(table, lower)
        for one in (*_joined(again), again):
            if not isinstance(attempt(_head(one)), NotRead):
                return dataclasses.replace(one, above=[])
    return table


def _may_be_header(texts: list[str]) -> bool:
    """Return whether a row may be a header: it has two headings that are understood, and no number with decimals."""
    heard = sum(1 for place, text in enumerate(texts) if text and _is_heard(read_heading(place, text)))
    bare = [int(text) for text in texts if re.fullmatch(r"\d{1,4}", text)]
    if any(one >= other for one, other in pairwise(bare)):  # gates and runs count upwards: these are values
        return False
    return heard >= 2 and not any(re.fullmatch(r"\d+[.,]\d+", text) or is_run_time(text) for text in texts)


def _is_row_of_days(table: TextTable, place: int) -> bool:
    """Return whether a row has a day where the row below has one too: both are measurements, neither is a header."""
    here, below = _texts(table, place), _texts(table, place + 1)
    return any(is_day(one) and is_day(other) for one, other in zip(here, below, strict=True) if one and other)


def _goes_on(table: TextTable, place: int) -> bool:
    """Return whether a row has numbers below those of the row above it: both are values, and neither is a header.

    A header of bare gates stands below a title or below nothing; what stands above a header is not read.
    """
    if place == 0:
        return False
    above, here = _texts(table, place - 1), _texts(table, place)
    numbers = [[to_number(text) is not None for text in texts] for texts in (above, here)]
    return sum(1 for one, other in zip(*numbers, strict=True) if one and other) >= FEWEST_NUMBERS


def _is_worth_joining(joined: TextTable, table: TextTable) -> bool:
    """Return whether two rows tell more than the header alone: it repeats itself, or the row below gives units."""
    lower = [fold(text) for text in table.header if text]
    below = joined.header_line != table.header_line
    return below or len(set(lower)) < len(lower)


def _head(table: TextTable) -> TextTable:
    return dataclasses.replace(table, rows=table.rows.head(SAMPLE_ROWS))


def _heard(said: tuple[Block, list[Any]] | NotRead) -> int:
    """Return how many headings were understood, -1 where the table was not."""
    if isinstance(said, NotRead):
        return -1
    return sum(1 for use in said[0].uses if use.table)


def _with_header(table: TextTable, place: int) -> TextTable:
    cells = table.rows.row(place, named=True)
    header = _texts(table, place)
    while header and not header[-1]:
        header.pop()
    above = _texts(table, place - 1) if place else table.header
    return dataclasses.replace(
        table, header=header, header_line=cells["_line"], rows=table.rows.slice(place + 1), above=above
    )


def _texts(table: TextTable, place: int) -> list[str]:
    cells = table.rows.row(place, named=True)
    return [" ".join((cells[f"c{number}"] or "").split()) for number in range(len(table.rows.columns) - 1)]


def _joined(table: TextTable) -> Iterator[TextTable]:
    """Yield the table with two rows as one header: the row above with the header, the header with the row below."""
    if any(table.above) and not _is_sentence(table.above) and not _is_whose(table):
        header = _two_rows(table.above, table.header)
        if header is not None:
            yield dataclasses.replace(table, header=header)
    if table.rows.height > 1:
        header = _two_rows(table.header, _texts(table, 0))
        if header is not None:
            line, titles = table.rows["_line"][0], table.titles
            if header == [text for text in _texts(table, 0) if text]:  # nothing of the upper row is in it: a title
                titles = (*titles, (table.header_line, tuple(table.header)))
            yield dataclasses.replace(table, header=header, header_line=line, rows=table.rows.slice(1), titles=titles)


def _is_sentence(above: list[str]) -> bool:
    """Return whether the row above a header is one long text at its left: a title, and over no column of its own."""
    filled = [place for place, text in enumerate(above) if text]
    return filled == [0] and ("," in above[0] or len(above[0].split()) > LONG_TITLE)


def _is_whose(table: TextTable) -> bool:
    """Return whether the row above a header is the one name whose rows are below it."""
    filled = [text for text in table.above if text]
    return len(filled) == 1 and "athlete_id" in table.facts and table.facts["athlete_id"].text == filled[0]


def _two_rows(upper: list[str], lower: list[str]) -> list[str] | None:
    """Return two rows of cells as one header, None where they cannot be one.

    A cell of the upper row stands over the empty ones to its right, or says the same in each: so are merged cells told.
    Below the name of a person or a day nothing else may stand: that row would be data.
    """
    width = max(len(upper), len(lower))
    upper, lower = ([*cells, *[""] * (width - len(cells))] for cells in (upper, lower))
    if not any(lower) or not any(upper) or any(is_run_time(text) for text in (*upper, *lower)):
        return None
    spans = any(
        text and low and (not after or (after == text and first and first != low))
        for (text, after), (first, low) in zip(pairwise(upper), pairwise(lower), strict=True)
    )
    is_units = all(not text or _is_unit(text) for text in lower) or _are_units_and_names(upper, lower)
    if not spans and not is_units:
        return None
    header, over = [], ""
    for top, low in zip(upper, lower, strict=True):
        over = top or (over if low else "")
        if top and low and top != low and set(read_heading(0, top).names) & PERSON_OR_DAY:
            return None
        header.append(_one_heading(over, low))
    while header and not header[-1]:
        header.pop()
    return None if _loses_what_tells_apart(upper, header) else header


def _loses_what_tells_apart(upper: Sequence[str], header: Sequence[str]) -> bool:
    """Return whether two columns got the same heading though different words stand over them: 'Free' and 'Sled' over
    '1', '2', '1', '2'.
    """
    over, last = [], ""
    for text in upper:
        last = text or last
        over.append(fold(last))
    seen: dict[str, str] = {}
    return any(text and seen.setdefault(fold(text), above) != above for text, above in zip(header, over, strict=False))


def _are_units_and_names(upper: list[str], lower: list[str]) -> bool:
    """Return whether a row has units below names, and names of its own where none stands above: 'Left', 'Right' over
    'Date', 'Athlete', 'N', 'N'.
    """
    under = [low for top, low in zip(upper, lower, strict=True) if top and low]
    alone = [low for top, low in zip(upper, lower, strict=True) if low and not top]
    is_named = all(_is_heard(read_heading(0, low)) for low in alone)
    return len(under) >= FEWEST_NUMBERS and all(_is_unit(low) for low in under) and is_named


def _one_heading(over: str, low: str) -> str:
    """Return the heading two cells make: both together where that is understood, else the lower, else the upper.

    A side over the number of a trial stays with it: 'Left' over '1st' is 'Left 1', 'Left (lb)' over 'try 1' is
    'Left 1 (lb)'.
    """
    if not low or low == over:
        return over
    if not over:
        return low
    number, unit = _trial(low)
    if number and side_of(over) is not None:
        side, bracket, own_unit = over.partition("(")
        return f"{side.strip()} {number} {bracket}{own_unit}".strip()
    for text in (f"{over} {number}{unit}", f"{over} ({number}){unit}") if number else ():
        one = read_heading(0, text)
        if (one.at or one.gate_m is not None) and number in (str(one.number), str(one.run_no)):
            return text
    if _is_try(read_heading(0, low)) and UNIT_SAID.search(over) and not _is_heard(read_heading(0, over)):
        return f"{over} {low}"  # tries of a measure nobody knows, and of none beside it
    together = f"{over} {low}" if not _is_unit(low) or low[0] in "([" else f"{over} ({low})"
    # a unit alone names nothing; a word nobody knows is never dropped, 'SD' below 'CMJ (cm)' is no trial of it
    texts = (together, over) if _is_unit(low) else (together, low)
    return next((text for text in texts if _is_heard(read_heading(0, text))), together)


def _trial(low: str) -> tuple[str, str]:
    """Return the number of a trial and its unit in brackets: '1st', '2', 'try 3', '1ª (m)'; "" for what is none."""
    bare, _, unit = (part.strip() for part in low.partition("("))
    plain = bare.lower().translate(PLAIN_LETTERS)
    found = ORDINAL.fullmatch(plain) or re.fullmatch(r"([1-9])", plain)
    one = read_heading(0, bare)
    is_count = one.gate_m is None and set(one.names) <= {"rep_no", "trial_no"}
    said = found[1] if found is not None else str(one.run_no or one.number or "") if is_count else ""
    return said, f" ({unit}" if unit and said else ""


def _is_heard(heading: Heading) -> bool:
    return bool(heading.names) or any(one is not None for one in (heading.gate_m, heading.number, heading.run_no))


def _is_try(heading: Heading) -> bool:
    return heading.gate_m is None and (heading.run_no is not None or heading.names == ("rep_no",))


def _is_unit(text: str) -> bool:
    return unit_word(re.sub(r"[()\[\]]", "", text)) is not None
