"""Notes as they are typed into a phone: 'Teo 1.88 3.12 4.26', 'Asa: 30m 4.35, 4.31', '3/11 Ines: tight left calf',
'Tom - squat 3x3 @ 140; RDL 3x6 90kg'.

A line of times becomes runs, exercises with their sets a gym log, one that begins with a day and a person (or stands
below a day) a remark of theirs; what a remark is kept as is asked. No diagnosis is made of a sentence, and a line that
is not wholly understood waits.
"""

import dataclasses
import re
from collections.abc import Iterable, Sequence
from itertools import pairwise

import polars as pl

from pipelines.cells.phrases import VOCABULARY, word_said
from pipelines.cells.spoken import kind_of
from pipelines.cells.weekdays import is_weekday
from pipelines.layouts.sheets.blocks import is_header
from pipelines.layouts.text.day_lines import day_first, without_part_of_day
from pipelines.layouts.text.days_alone import days_alone, named_months
from pipelines.layouts.text.messages import NAME, without_sender
from pipelines.layouts.text.noted_efforts import STAMP, without_stamp
from pipelines.layouts.text.noted_lifts import lifts_in
from pipelines.layouts.text.noted_masses import weighed_in
from pipelines.layouts.text.noted_sessions import sessions_of
from pipelines.layouts.text.noted_sleds import PULLED, with_pulled
from pipelines.layouts.text.told_lines import Told, made_table
from pipelines.layouts.words.evidence import looks_like_name
from pipelines.layouts.words.headings import FLY, read_heading
from pipelines.layouts.words.said import FLYING, RUN_IN, distances_in, find_day, said_by
from schemas.intake import TextTable
from schemas.spelling import fold

MOST_LINES = 400
ENOUGH, SHORTEST = 0.6, 3  # of the lines, that must read like notes; letters of a name typed small; own choice
SURE = 2  # lines of people who are known, wholly understood: notes, however much is told beside them; own choice
WORDY, REMARK = 4, "What the line says"  # words of a cell that is no heading
TIME = r"\d{1,2}[.,:]\d{1,3}(?:[.,]\d{1,2})?"
TIMES = re.compile(
    rf"(?<![\d.,:]){TIME}(?:\s*(?:[,;/|]|\s-\s|\s(?:and|und|et|y|e|og|och|en)\s|\s)\s*{TIME})*(?![\d])(?!\s*(?:kg|h\b|min|m\b|%))"
)
PLAIN_GATES = re.compile(r"(?:(?:timing |light )?(?:gates?|splits?|at|tore?|portes?|poortjes?)\s*(?:at)?\s*:?\s*)?"
                         r"(\d{1,3}(?:\s*[/,\s-]\s*\d{1,3})*)\s*(?:m|metres?|meters?)?", re.I)  # fmt: skip
GATES_INSIDE = re.compile(r"(?:gates?|splits?|poortjes?)\s*(?:at)?\s*:?\s*(\d{1,3}(?:\s*[/,-]\s*\d{1,3})+)", re.I)
BULLET = re.compile(r"^\s*(?:[-*•–]|\d{1,2}\))\s+")
SMALL = {"m", "x", "by", "in", "the", "from", "of", "reps", "rep", "runs", "run", "times", "time", "sec", "secs", "s",
         "mit", "aus", "dem", "a", "au", "de", "en", "uit", "van", "met"}  # fmt: skip
PLAIN_TIME = re.compile(r"[0-9]+[.,][0-9]+")
DOTTED = re.compile(r"\d{1,2}\.\d{1,2}\.(?:\d{4}|\d{2})$")
MAY_BE_TIME = re.compile(r"[1-9]\.\d\d\.\d\d$")  # '1.05.20': a minute and five seconds, or a day in May
# '30s' beside how they start are runs over 30 m; '60s rest' is a minute. Common practice, no source.
RUNS = re.compile(
    r"(?<![\d.,:x×])([1-9]\d{1,2})['’]?s(?![^\W\d_])(?!\s*(?:rest|rec|recovery|pause|off|hold|walk|between))", re.I
)
BESIDE_NAME = re.compile(r"(\([^()\d]*\))\s*:?\s*")  # 'Ana (guest): 7.9'
# 'Gym. Ana squat 3x5': what was done that day, before the name.
DONE_FIRST = re.compile(r"([^\W\d_]+)[.:]\s+(?=[^\W\d_])")
PHRASES = ("start_kind", "clock_start", "timing_kind", "resistance_kind")


def noted(table: TextTable, known: frozenset[str]) -> list[TextTable]:
    """Return the tables that the lines of a short text make, [] where they are no such notes.

    Args:
        table: A text file as it was read, with its lines as they are written.
        known: Full names of the people who are known, folded.
    """
    lines = [
        (line, without_part_of_day(BULLET.sub("", without_stamp(text)).strip()))
        for line, text in table.written if text.strip()
    ]  # fmt: skip
    if table.sheet or not 1 < len(lines) <= MOST_LINES or _is_table(table):
        return []
    messages = {line for line, text in table.written if STAMP.match(text)}
    people = _people(known)
    told: list[Told] = []
    open_: list[tuple[int, str]] = []
    day = whose = ""
    days_below: bool | None = None  # whether names stand over their days, as the first name of the notes does
    gates: list[str] = []
    facts, of_all = dict[str, str](), dict[str, str]()
    weighed, alone = weighed_in(lines, people, table.source), days_alone(text for _, text in lines)
    masses = {line for line, _ in weighed}
    for line, text in [one for one in lines if one[0] not in masses]:
        if people.get(fold(text.rstrip(" :"))):  # a name alone: the exercises below are theirs
            whose = text.rstrip(" :")
            days_below = not day if days_below is None else days_below
            day = "" if days_below else day
            continue
        if (dotted := text if text in alone else _dotted_day(text, people)) is not None:
            day, gates, facts = dotted, [], of_all
            if not day:
                open_.append((line, text))
            continue
        own_day, rest = day_first(text)
        rest = without_sender(rest, people) if line in messages else rest
        one = _line_of(line, own_day or day, rest, people, gates, facts)
        if one is None and not own_day and (lifts := lifts_in(text))[0]:  # without a name they wait for one
            one = Told(line, day, whose, remark=lifts[1], lifts=lifts[0])
        elif one is not None or own_day:
            whose = ""
        if one is not None:
            told.append(one)
            continue
        if line in messages:  # somebody's, and no title of what is below it
            open_.append((line, text))
            continue
        said = _context(rest, own_day) if own_day else _context(text, "")
        if said is None or (told and not any(said)):  # words in the midst of the notes are somebody's
            open_.append((line, text))
            continue
        gates = said[1] if said[0] else said[1] or gates  # those of another day are not this one's
        day = said[0] or day
        whose = "" if said[0] and not days_below else whose
        of_all = {**of_all, **said[2]} if not day and not told else of_all  # above the first day: of all days
        facts = with_pulled(of_all if said[0] else facts, said[2])
    is_chat = len(messages) >= ENOUGH * len(lines)  # most of what is written there is about other things
    if not (told or masses) or not (is_chat or _are_notes(told, len(masses), len(open_), people)):
        return []
    days = named_months(one.day for one in told)
    told = [dataclasses.replace(one, day=days.get(one.day, one.day)) for one in told]
    sessions, told = sessions_of(table, told, people)
    return [
        *_runs(table, told),
        *_lifts(table, told),
        *sessions,
        *([made_table(table, ["Date", "Name", "Body mass"], weighed, {})] if weighed else []),
        *_remarks(table, told, open_),
    ]


def _are_notes(told: Sequence[Told], masses: int, open_: int, people: dict[str, int]) -> bool:
    """Return whether most lines are understood, or enough of them wholly, of people who are known."""
    heard = len(told) + masses
    sure = sum(1 for one in told if (one.runs or one.lifts) and people.get(fold(one.name)))
    return heard >= ENOUGH * (heard + open_) or sure >= SURE


def _is_table(table: TextTable) -> bool:
    """Return whether the first line heads columns: words for them, and cells below in more than the first of them."""
    is_head = is_header(table.header) and all(len(text.split()) < WORDY for text in table.header)
    beside = [name for name in table.rows.columns if name not in ("_line", "c0")]
    lone = table.rows.select(~pl.any_horizontal(pl.col(beside).is_not_null())).to_series().sum() if beside else 0
    return is_head and lone < ENOUGH * table.rows.height


def with_names_of_notes(table: TextTable, known: frozenset[str]) -> TextTable:
    """Return a table of days and notes alone, whose notes begin with people who are known, with a column of them.

    A note that begins with nobody known has no name, and waits.
    """
    said = [read_heading(place, text) for place, text in enumerate(table.header)]
    named = any(set(one.names) & {"athlete_id", "display_name", "first_name"} for one in said)
    dated = "date" in table.facts or any("date" in one.names for one in said)
    notes = [one.place for one in said if "note" in one.names and f"c{one.place}" in table.rows.columns]
    if named or not dated or len(notes) != 1 or "athlete_id" in table.facts or not known or len(said) > WORDY:
        return table
    people = _people(known)
    cells = table.rows[f"c{notes[0]}"].to_list()
    split = [_name_first(cell.strip(), people) if cell else None for cell in cells]
    sure = [one if one is not None and people.get(fold(one[0])) else None for one in split]
    if sum(1 for one in sure if one) < ENOUGH * max(1, sum(1 for cell in cells if cell)):
        return table
    width = len(table.header)
    rows = table.rows.with_columns(
        pl.Series(f"c{width}", [one[0] if one else None for one in sure], dtype=pl.String),
        pl.Series(f"c{notes[0]}", [one[1] if one else cell for one, cell in zip(sure, cells, strict=True)]),
    )
    order = [*(f"c{n}" for n in range(width + 1) if f"c{n}" in rows.columns), "_line"]
    return dataclasses.replace(table, header=[*table.header, "Name"], rows=rows.select(order), turned="notes")


def _people(known: Iterable[str]) -> dict[str, int]:
    """Return full names and first names of the people who are known, folded, with how many have each."""
    found: dict[str, int] = {}
    for name in known:
        for one in {name, name.split()[0]} if name else ():
            found[one] = found.get(one, 0) + 1
    return found


def _dotted_day(text: str, people: dict[str, int]) -> str | None:
    """Return the day of a line of words and a day alone, 'Hall Tue 12.5.26'; '' where it may be a time as well, for
    then the lines below are of no day that is known. None for other lines, and those of somebody who is known.
    """
    found = DOTTED.search(text)
    if found is None or any(char.isdigit() for char in text[: found.start()]) or find_day(found[0]) is None:
        return None
    words = text[: found.start()].split()
    named = _name_first(text, people)
    if named is not None and people.get(fold(named[0])):
        return None
    is_day = not words or any(is_weekday(word) for word in words) or not MAY_BE_TIME.match(found[0])
    return found[0] if is_day else ""


def _name_first(text: str, people: dict[str, int]) -> tuple[str, str] | None:
    """Return the person a line begins with, and the rest: a known name, or words of a name before a colon or times."""
    match = NAME.match(text)
    if match is None:
        return None
    words = match[0].split()
    for size in range(len(words), 0, -1):
        name = " ".join(words[:size]).rstrip(".")
        if people.get(fold(name)):
            return name, _after(text, size)
    begin, sign, rest = text.partition(":")
    if not sign:
        begin, rest = match[0], text[match.end() :]
        if not re.match(r"\s*(?:[-–]\s*)?\d", rest):
            return None
    name = begin.strip()
    heard = read_heading(0, name)
    is_word = bool(heard.names or heard.loose) or any(word_said(name, words) for words in VOCABULARY.values())
    is_name = looks_like_name(name) and name[0].isupper()
    is_small = not sign and name.isalpha() and len(name) >= SHORTEST  # 'fem 7,9 7,8': asked as any name
    return (name, rest.strip(" -–")) if (is_name or is_small) and not is_word else None


def _after(text: str, size: int) -> str:
    rest = text
    for _ in range(size):
        rest = re.sub(r"^\s*\S+", "", rest, count=1)
    begun = text.split()[size - 1]
    tail = re.search(r"[:,]+$", begun)
    return rest.strip(" :,-–") if tail or rest else ""


def _line_of(
    line: int, day: str, text: str, people: dict[str, int], gates: Sequence[str], facts: dict[str, str]
) -> Told | None:
    done = DONE_FIRST.match(text)
    if done is not None and kind_of(done[1]) is not None and not people.get(fold(done[1])):
        text = text[done.end() :]
    if (named := _name_first(text, people)) is None:
        return None
    name, rest = named
    lifts, more = lifts_in(rest)
    if lifts:
        return Told(line, day, name, remark=more, lifts=lifts)
    beside = BESIDE_NAME.match(rest)
    rest = rest[beside.end() :] if beside is not None else rest
    times = TIMES.search(rest)
    if times is None:
        rest = rest if beside is None else f"{beside[0]} {rest}".strip()
        return Told(line, day, name, remark=rest) if day and rest and people.get(fold(name)) else None
    runs = _runs_of(rest[: times.start()], re.findall(TIME, times[0]), gates)
    if runs is None:  # which distance they are of is not known
        return Told(line, day, name, remark=rest) if people.get(fold(name)) or ":" in text else None
    own = {key: word for key in PHRASES if (word := word_said(rest[: times.start()], VOCABULARY[key]))}
    if (taken := word_said(rest[times.end() :], VOCABULARY["timing_kind"])) is not None:  # '4.48 by hand'
        own.setdefault("timing_kind", taken)
    if FLYING.search(rest[: times.start()]):
        own["start_kind"] = "rolling"
    left = rest[times.end() :].strip(" .,;-–()")
    own |= {"timing_kind": taken} if (taken := word_said(left, VOCABULARY["timing_kind"])) else {}  # '4.4 by hand'
    remark = rest if any(char.isdigit() for char in left) else left  # what has numbers of its own keeps all beside it
    return Told(line, day, name, runs, tuple(sorted({**facts, **own}.items())), remark)


def _runs_of(before: str, times: Sequence[str], gates: Sequence[str]) -> tuple[tuple[tuple[str, str], ...], ...] | None:
    """Return the runs that times are: one through all gates, or one for each time over the distance that stands there.

    None where the words before them are not all understood, or the times are neither.
    """
    plain = re.sub(r"\d{1,2}\s*x\s*(?=\d)", "", RUN_IN.sub(" ", before))
    own = distances_in(plain)
    fly = FLY.fullmatch(re.sub(r"(?<=\d)s(?![a-z])", "", fold(plain)))  # 'fly 30s'
    if fly is not None:
        own = [f"{fly['gate'] or fly['before']} m"]
    words = [word for word in re.sub(r"\d+", " ", fold(plain)).split() if word not in SMALL]
    said = " ".join(words)
    if words and fly is None and not any(word_said(said, VOCABULARY[name]) for name in PHRASES):
        return None
    if any(DOTTED.fullmatch(time) and find_day(time) is not None for time in times):
        return None  # '12.5.26' is a day, and '1.05.20' may be one
    here = own or list(gates)
    if len(here) == 1:
        return tuple(((here[0], time),) for time in times)
    counts = [float(time.replace(",", ".")) for time in times if PLAIN_TIME.fullmatch(time)]
    rises = len(counts) == len(times) and all(one < other for one, other in pairwise(counts))
    if len(here) == len(times) > 1 and rises:
        return (tuple(zip(here, times, strict=True)),)
    return None


def _context(text: str, day: str) -> tuple[str, list[str], dict[str, str]] | None:
    """Return what a line says of those below it: the day, the gates, the start; None where it says nothing of them."""
    plain = PLAIN_GATES.fullmatch(text)
    day = day or find_day(GATES_INSIDE.sub(" ", text)) or ""
    if plain is not None and (not day or text != day):
        metres = [int(one) for one in re.findall(r"\d+", plain[1])]
        if all(one < other for one, other in pairwise(metres)):
            return day if day not in text else "", [f"{one} m" for one in metres], {}
    inside = GATES_INSIDE.search(text)
    gates = [f"{one} m" for one in re.findall(r"\d+", inside[1])] if inside else distances_in(text)
    facts = {name: fact.text for name, fact in said_by(text, "title").items() if name in (*PHRASES, PULLED)}
    if not gates and "start_kind" in facts and len(runs := RUNS.findall(text)) == 1:  # 'Blocks 30s, hand'
        gates = [f"{runs[0]} m"]
    if day or gates or facts:
        return day, gates, facts
    is_caption = not any(char.isdigit() for char in text) and len(text.split()) <= 4
    return ("", [], {}) if is_caption else None


def _runs(table: TextTable, told: Sequence[Told]) -> list[TextTable]:
    """Return a table of splits for each way of starting that the notes name."""
    made = []
    counted: dict[tuple[str, str], int] = {}
    groups: dict[tuple[tuple[str, str], ...], list[tuple[int, list[str]]]] = {}
    for one in told:
        for run in one.runs:
            number = counted[one.day, fold(one.name)] = counted.get((one.day, fold(one.name)), 0) + 1
            for distance, time in run:
                groups.setdefault(one.facts, []).append((one.line, [one.day, one.name, str(number), distance, time]))
    for facts, rows in groups.items():
        made.append(made_table(table, ["Date", "Name", "Run", "Distance", "Time"], rows, dict(facts)))
    return made


def _lifts(table: TextTable, told: Sequence[Told]) -> list[TextTable]:
    rows = [(one.line, [one.day, one.name, exercise, sets]) for one in told for exercise, sets in one.lifts]
    return [made_table(table, ["Date", "Name", "Exercise", "Sets x reps"], rows, {})] if rows else []


def _remarks(table: TextTable, told: Sequence[Told], open_: Sequence[tuple[int, str]]) -> list[TextTable]:
    """Return a table of what stands beside times or sets, which is of that session, and one of what else is said."""
    beside = [one for one in told if (one.runs or one.lifts) and one.remark and one.day
              and not any(char.isdigit() for char in one.remark)]  # fmt: skip
    ours = [(one.line, [one.day, one.name, "1", one.remark]) for one in beside]
    rows = [
        (one.line, [one.day, one.name, one.remark]) for one in told
        if one not in beside and (one.remark or not (one.runs or one.lifts))
    ]  # fmt: skip
    rows += [(line, ["", "", text]) for line, text in open_]
    made = [made_table(table, ["Date", "Name", "session_no", "note"], ours, {})] if ours else []
    return [*made, *([made_table(table, ["Date", "Name", REMARK], sorted(rows), {})] if rows else [])]
