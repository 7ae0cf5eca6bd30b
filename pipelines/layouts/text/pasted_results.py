"""Results pasted from a page as text: a meeting with its day, an event, '1. Ana Berg (Club)  7.51  h2' a line.

A line is a result only where all of it is understood, below an event and a day; what a line besides says waits.
"""

import dataclasses
import re
from collections.abc import Sequence
from typing import NamedTuple

import polars as pl

from pipelines.cells.dates import without_year
from pipelines.cells.events import event_of
from pipelines.layouts.sheets.people import is_part_of_one
from pipelines.layouts.text.noted_efforts import without_stamp
from pipelines.layouts.text.race_lines import apart, day_before
from pipelines.layouts.words.evidence import looks_like_name, to_number
from pipelines.layouts.words.said import SEXES, find_day, find_year
from schemas.intake import TextTable
from schemas.outcome_words import ENDED_RACE
from schemas.spelling import fold

MOST_LINES, FEWEST, ENOUGH = 2000, 2, 0.6  # results, and the share of the lines with times they must be; own choice
HEADER = ["Date", "Event", "Round", "Place", "Name", "Time", "Wind", "Note"]
TIME_AT, OF_A_RACE = 5, (2, 3, 6, 7)  # in a row: its time; its round, place, wind and note
REMARK = "What the line says"
PLACE = re.compile(r"\s*(\d{1,3})(?:\s*[.):]\s*|\s+|(?:st|nd|rd|th|er|ère|re|ème|e|º|°|ª|a|o)\s+)(?=[^\W\d_])", re.I)
TIME = re.compile(r"\d{1,2}:\d{2}[.,]\d{1,2}|\d{1,2}(?:[.,]|[\"”″])\d{1,2}")
CLUB = re.compile(r"\s*(?:\(([^()\d]*)\)|\[([^\[\]\d]*)\]|[,;|\t]\s*([^,;|\t\d]+?))\s*$")
# Behind a name: '(2004) Nordhamn AC', '04, Nordhamn'
BORN = re.compile(r"(.*?[^\W\d_])[\s,]*[(\[]?\s*(?:(?:19|20)\d{2}|\d{2})\s*[)\]]?(?:[\s,;]+[^\d,;]*)?")
BARE = re.compile(r"\d{2,4}\s+m\s*:?")  # a distance alone may be of training
SECONDS = re.compile(r"[\"”″]")
WOMEN, MEN = re.compile(r"\d\s?m\s+F\b"), re.compile(r"(?<=\dm)\s+H\b|(?<=\d m)\s+H\b")  # '100m F', '100 m H'
ROUND = re.compile(r"(?:h(?:eat)?|r(?:ace)?|sf|semi(?:[- ]?final)?|qf|f(?:inal)?|a|b)\s*\d{0,2}", re.I)
SAID_ROUND = re.compile(
    r"\b(?:h\d{1,2}|heats?\s*\d{0,2}|semi[- ]?finals?\s*\d{0,2}|finals?(?:\s*[a-d]\b|\s*\d)?)\b", re.I
)
WIND_WORD = re.compile(r"(?<![^\W\d_])(?:w(?:ind)?|vent|viento|vento|vind)\s*:?\s*(?=[+-])", re.I)
WIND = re.compile(rf"\(?(?:{WIND_WORD.pattern})?([+-]\d{{1,2}}[.,]\d)(?:\s*m/s)?\)?", re.I)
MARK = re.compile(r"\(?(?:q|pb|pr|sb|=pb|=sb|wl|cr|mr|nr)\)?", re.I)
PLACED = re.compile(r"\(?(\d{1,2})(?:st|nd|rd|th|\.)\)?")
REACTION = 0.9  # s; a bare number below may be a reaction time, and is not understood


class Result(NamedTuple):
    """One line of results."""

    place: str
    name: str
    time: str
    round: str
    wind: str
    note: str


def pasted_results(table: TextTable, known: frozenset[str] = frozenset()) -> list[TextTable]:
    """Return the results that the lines of a text hold, and what else its lines say; [] where it is no such list."""
    lines = [(number, text.strip()) for number, text in table.written if text.strip()]
    if table.sheet or not FEWEST <= len(lines) <= MOST_LINES:
        return []
    found: list[tuple[int, list[str]]] = []
    open_: list[tuple[int, list[str]]] = []
    day = event = round_said = wind = ""
    if any(WOMEN.search(text) for _, text in lines):  # then 'H' beside it is men, and no hurdles
        lines = [(number, MEN.sub("", text)) for number, text in lines]
    trained = 0  # lines of a person and an event without anything that only a race has: they may be of training
    for number, text in lines:
        own = _after_its_event(text, known)
        one = own[1][0] if own is not None else _result(text, known)
        if own is not None and day:
            (of, in_round, blown), results = own
            found += [
                (number, [day, of, one.round or in_round, one.place, one.name, one.time, one.wind or blown, one.note])
                for one in results
            ]
            continue
        if own is None and (alone := _of_one_race(text, day, known)) is not None:
            found.append((number, alone))
            trained += not any(alone[n] for n in OF_A_RACE) and fold(alone[TIME_AT]) not in ENDED_RACE
            continue
        if one is not None and day and event:
            said = [day, event, one.round or round_said, one.place, one.name, one.time, one.wind or wind, one.note]
            found.append((number, said))
            continue
        own_day = find_day(text) if one is None else None
        headed = _event_line(text.replace(own_day or "\n", " ")) if not own_day or text[:1].isdigit() else None
        if headed is not None and own_day:  # '100 m men (14 June)'
            day = f"{own_day} {year}" if without_year(own_day) and (year := find_year([day])) else own_day
        if headed is not None:
            event, round_said, wind = headed
        elif one is None and (told := find_day(text)) is not None and not _holds_result(text.replace(told, " ")):
            day, event, round_said, wind = told, "", "", ""
        elif one is not None or _holds_result(text):
            open_.append((number, [day, "", text]))
    if len(found) < FEWEST or len(found) < ENOUGH * (len(found) + len(open_)) or 2 * trained > len(found):
        return []
    made = [_table(table, HEADER, found)]
    return [*made, _table(table, ["Date", "Name", REMARK], open_)] if open_ else made


def _of_one_race(text: str, day: str, known: frozenset[str]) -> list[str] | None:
    """Return the cells of a line that says a person who is known, an event and a result, and its day where none stands
    above; None for others.
    """
    own_day, rest = day_before(without_stamp(text))
    said = apart(rest, known) if own_day or day else None
    one = _result(said[1], known) if said is not None else None
    if said is None or one is None:
        return None
    return [own_day or day, said[0], one.round, one.place, one.name, one.time, one.wind, one.note]


def _holds_result(text: str) -> bool:
    return TIME.search(text) is not None


def _after_its_event(text: str, known: frozenset[str]) -> tuple[tuple[str, str, str], list[Result]] | None:
    """Return the event and the results of a line that says both: '100m h1: Ana 10.91 (+0.4) 2nd Q', or several with
    commas between; None for others.
    """
    before, colon, after = text.partition(": ")
    headed = _event_line(before) if colon else None
    if headed is None:
        return None
    whole = _result(after, known)
    results = [whole] if whole is not None else [_result(one.strip(), known) for one in re.split(r"[,;]\s+", after)]
    told = [one for one in results if one is not None]
    return (headed, told) if told and len(told) == len(results) else None


def _result(text: str, known: frozenset[str] = frozenset()) -> Result | None:
    """Return the result that a line says; None where any of it is not understood.

    A name of one word is one only where it is that of a person alone who is known.
    """
    placed = PLACE.match(text)
    rest = text[placed.end() :] if placed is not None else text
    times = list(re.finditer(rf"(?<![\w.,:+-])(?:{TIME.pattern})(?![\w:]|[.,]\d)", rest))
    if len(times) == 1:
        before, time, after = rest[: times[0].start()], times[0][0], rest[times[0].end() :]
    elif not times and (ended := _ended(rest)) is not None:
        before, time, after = ended
    else:
        return None
    born = BORN.fullmatch(before.rstrip(" \t-–,;|"))
    before = born[1] if born is not None else before
    club = CLUB.search(before.rstrip(" \t-–,;|"))
    name = (before[: club.start()] if club is not None else before).strip(" \t-–,;|")
    is_whole = len(name.split()) >= FEWEST or is_part_of_one(name, known)
    if not looks_like_name(name) or not is_whole or event_of(name) is not None:
        return None
    round_said = wind_said = ""
    place = placed[1] if placed is not None else ""
    notes = []
    if not times and not any(char.isdigit() for char in after):  # 'DNS, calf felt tight'
        return Result(place, name, time, "", "", after.strip(" \t-–,;|()"))
    after = WIND_WORD.sub("", after)
    for word in re.split(
        r"\s{2,}|(?<=\))\s+|[\t;|]\s*|,(?!\d)\s*|\s+(?![\d])|\s+(?=\d{1,2}(?:st|nd|rd|th)\b)", after.strip()
    ):
        if not word:
            continue
        if (wind := WIND.fullmatch(word)) is not None and not wind_said:
            wind_said = wind[1]
        elif MARK.fullmatch(word):
            notes.append(word.strip("()"))
        elif ROUND.fullmatch(word) and not round_said:
            round_said = word
        elif (said := PLACED.fullmatch(word)) is not None and not place:
            place = said[1]
        else:
            return None
    return Result(place, name, SECONDS.sub(".", time), round_said, wind_said, " ".join(notes))


def _ended(text: str) -> tuple[str, str, str] | None:
    words = text.split()
    place = next((n for n, word in enumerate(words) if n and fold(word) in ENDED_RACE and word.isupper()), None)
    return None if place is None else (" ".join(words[:place]), words[place].strip(",;:"), " ".join(words[place + 1 :]))


def _event_line(text: str) -> tuple[str, str, str] | None:
    """Return the event, the round and the wind that a line says of those below it; None where it says more or less:
    '60m Hurdles Women', "Men's 200 m - Heat 2 (wind: +1.2)".
    """
    if not BARE.fullmatch(text.strip()):
        text = re.sub(r"(?<=\d)\s+m\b", "m", text)  # '100 m women': 'm' alone is men
    winds = list(WIND.finditer(text))
    plain = WIND.sub(" ", text) if len(winds) == 1 else text
    rounds = SAID_ROUND.findall(plain)
    plain = re.sub(r"[^\w\s]", " ", SAID_ROUND.sub(" ", plain))
    words = [word for word in fold(plain).split() if not any(word in said for said in SEXES.values())]
    words = [word for word in words if word not in ("s", "senior", "u20", "u23", "wind", "m s")]
    event = event_of(" ".join(words)) if words and re.match(r"\d{2,4}", words[0]) else None
    is_bare = len(words) == 1 and to_number(words[0]) is not None and not rounds
    if event is None or is_bare or len(rounds) > 1 or len(winds) > 1:
        return None
    return " ".join(words), rounds[0] if rounds else "", winds[0][1] if winds else ""


def _table(table: TextTable, header: Sequence[str], rows: Sequence[tuple[int, list[str]]]) -> TextTable:
    kept = [n for n in range(len(header)) if any(cells[n] for _, cells in rows) or header[n] in ("Date", "Name")]
    columns = {
        f"c{new}": pl.Series([cells[old] or None for _, cells in rows], dtype=pl.String) for new, old in enumerate(kept)
    }
    frame = pl.DataFrame({**columns, "_line": pl.Series([line for line, _ in rows], dtype=pl.Int64)})
    return dataclasses.replace(
        table, header=[header[n] for n in kept], header_line=table.written[0][0], rows=frame, facts={}, titles=(),
        above=[], turned="notes",
    )  # fmt: skip
