"""A coach's diary of sessions: '14/10/26 - starts 6x30 m. 95 min.', and below it 'RPE: Ana 7, Bea 6', or 'Ana 7, Bea
absent' where a line above the first day says what the numbers are. Made sessions of each who gave an effort; every
other line is a remark of its day.
"""

import dataclasses
import re

import polars as pl

from pipelines.cells.spoken import is_absent
from pipelines.cells.weekdays import is_weekday
from pipelines.layouts.sheets.people import is_known, is_part_of_one
from pipelines.layouts.text.notes import REMARK
from pipelines.layouts.text.race_lines import day_before
from pipelines.layouts.words.evidence import looks_like_name
from pipelines.layouts.words.headings import read_heading
from pipelines.layouts.words.said import find_day
from pipelines.layouts.words.scales import said_in
from schemas.intake import TextTable
from schemas.spelling import fold

DAY_LINE = re.compile(r"(.{4,30}?)(?:\s+[-–—]\s+|\s*:\s+)(.+)")
# The minutes of a session are the end of its line, or a sentence of their own; '8 min' behind a rest is one.
MINUTES = re.compile(r"(?:^|[.;,–(-]\s*)(\d{2,3})\s*(?:min|mins|minutes|minuten|minutos|minuti|')\.?\s*\)?\s*$", re.I)
NOT_SAID = "Number behind the name"  # where no line says what it is: asked
RATED = re.compile(r"\s*([^\W\d_][^\d,;:]*?)\s*[:=]?\s*(\d{1,2}(?:[.,]\d)?)\s*\.?\s*")
AWAY, FEWEST = re.compile(r"\s*[^\W\d_][^\d,;:]*?\s+([^\W\d_]+)\s*"), 2
AND = ("y", "and", "und", "et", "e", "en", "og", "och", "i", "a", "&")
MOST_LINES, MOSTLY = 400, 0.6
Row = tuple[int, list[str]]


def diary(table: TextTable, known: frozenset[str]) -> list[TextTable]:
    """Return the tables that a diary makes: sessions with minutes and effort, and remarks; [] where it is none.

    It is one where below a line of a day stands a line that names people with a number each, all of it understood, and
    most of the people are known. What the number is is said before them, or above the first day, or asked.

    Args:
        table: A text file, with its lines as they are written.
        known: Names of the people who are known, folded.
    """
    lines = [(line, text.strip()) for line, text in table.written if text.strip()]
    if table.sheet or not 1 < len(lines) <= MOST_LINES:
        return []
    day, what, minutes = "", "", ""
    heading, absent = "", 0
    rows: list[Row] = []
    remarks: list[Row] = []
    for line, text in lines:
        if (begun := _of_day(text, known)) is not None:
            day, what, minutes = begun
            continue
        rated, away, is_effort = _rated(text)
        if rated and day:
            rows += [(line, [day, name, what, minutes, number]) for name, number in rated]
            heading, absent = heading or ("RPE" if is_effort else NOT_SAID), absent + away
        elif not day and (said := _effort_in(text)):
            heading = said
        elif day:
            remarks.append((line, [day, _whose(text, known), text]))
        else:
            remarks.append((line, ["", "", text]))
    sure = sum(1 for _, cells in rows if is_known(cells[1], known) or is_part_of_one(cells[1], known))
    if not rows or sure < MOSTLY * len(rows):
        return []
    made = [_table(table, ["Date", "Name", "Session", "Minutes", heading], rows)]
    if absent:
        made[0] = dataclasses.replace(made[0], passed=f"{absent} times somebody is said to have been away")
    return [*made, _table(table, ["Date", "Name", REMARK], remarks)] if remarks else made


def _of_day(text: str, known: frozenset[str]) -> tuple[str, str, str] | None:
    """Return the day, the words and the minutes of a line that begins with a day; None for others."""
    parts = DAY_LINE.fullmatch(text)
    day = find_day(parts[1]) if parts is not None else None
    rest = parts[2] if parts is not None else ""
    if day is None:
        day, rest = day_before(text)
        if not day or _whose(rest, known):
            return None
    elif parts is not None and (left := fold(parts[1].replace(day, " ", 1))) and not is_weekday(left):
        return None
    said = MINUTES.search(rest)
    words = rest[: said.start()] if said is not None else rest
    return day, words.strip(" .;,–-("), said[1] if said is not None else ""


def _effort_in(text: str) -> str:
    """Return the heading that a line above the first day gives to the numbers: '0 to 10, how hard it was'; else ''."""
    one = read_heading(0, text)
    if "effort_0_10" not in (*one.names[:1], *one.loose[:1]):
        return ""
    said = said_in(text, "high")
    return "RPE" if said.least is None or said.most is None else f"RPE ({said.least:g}-{said.most:g})"


def _rated(text: str) -> tuple[list[tuple[str, str]], int, bool]:
    """Return the people of a line with their numbers, how many were away, and whether it says that these are efforts;
    nobody where not all of it is understood.
    """
    head, sign, rest = text.partition(":")
    is_effort = bool(sign) and read_heading(0, head.strip()).names[:1] == ("effort_0_10",)
    if sign and not is_effort:
        return [], 0, False
    told = re.split(r"[,;]\s+", (rest if is_effort else text).strip().rstrip("."))
    parts = [RATED.fullmatch(part) for part in told]
    away = sum(1 for part in told if (one := AWAY.fullmatch(part)) is not None and is_absent(one[1]))
    found = [(part[1].strip(), part[2]) for part in parts if part is not None]
    is_whole = len(found) + away == len(told) and len(found) >= (1 if is_effort else FEWEST)
    if not is_whole or not all(looks_like_name(name) for name, _ in found):
        return [], 0, False
    return found, away, is_effort


def _whose(text: str, known: frozenset[str]) -> str:
    """Return the person known whose name a remark begins with, "" where it begins with none, or with several."""
    words = text.split()
    if len(words) > 1 and words[1].strip(",").lower() in AND:
        return ""
    for size in (3, 2, 1):
        name = " ".join(words[:size]).strip(" :,.")
        if len(words) > size and (is_known(name, known) or is_part_of_one(name, known)):
            return name
    return ""


def _table(table: TextTable, header: list[str], rows: list[Row]) -> TextTable:
    columns = {
        f"c{place}": pl.Series([cells[place] or None for _, cells in rows], dtype=pl.String)
        for place in range(len(header))
    }
    frame = pl.DataFrame({**columns, "_line": pl.Series([line for line, _ in rows], dtype=pl.Int64)})
    return dataclasses.replace(
        table, header=header, header_line=table.written[0][0], rows=frame, facts={}, titles=(), above=[],
        turned="notes",
    )  # fmt: skip
