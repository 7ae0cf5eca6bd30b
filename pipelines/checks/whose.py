"""Rows that hold for several people: everybody, or those of a group that a column, a tab or a title names."""

import dataclasses
import datetime as dt
import re
from collections.abc import Sequence

import polars as pl

from pipelines.cells.spoken import EVERYBODY_WORDS, bare_group, group_of, is_missing
from pipelines.checks.asking import Asking
from pipelines.checks.faults import SET_ASIDE, as_written, set_aside
from pipelines.checks.names import Roster
from schemas.intake import EVERYBODY, GROUPS, NAMED_SCHEMA, NOBODY, OF_A_SPAN, OF_SEVERAL, LaidOut, Question
from schemas.reading import Fact
from schemas.shape import table_shape
from schemas.spelling import fold
from schemas.vocabulary import EVENT_GROUPS

ABSENT = {"absent", "absents", "missing", "away", "not there", "fehlt", "fehlend", "abwesend", "ausente",
          "ausentes", "assenti", "franvarande", "afwezig", "afwezigen", "out"}  # fmt: skip
SEXES = {"f": {"women", "girls", "ladies", "frauen", "damen", "madchen", "femmes", "filles", "mujeres", "chicas",
               "donne", "dames", "vrouwen", "meisjes", "meiden", "damer", "kvinnor", "kvinner", "kvinder"},
         "m": {"men", "boys", "herren", "manner", "jungs", "jungen", "hommes", "garcons", "hombres", "chicos",
               "uomini", "heren", "mannen", "jongens", "herrar", "herrer", "menn", "maend"}}  # fmt: skip
PLANNED = {"plan", "season_phase", "rest_day"}
JOINED = re.compile(r"\s*(?:[+/&,;]|\b(?:and|und|et|y|och|og|ed|e|en)\b)\s*", re.I)


def may_be_several(one: LaidOut) -> bool:
    """Return whether rows of a table may hold for several people: a plan, a log, phases of a season, days off."""
    return any(part.is_main and part.table in OF_SEVERAL for part in one.parts)


def for_several(one: LaidOut, roster: Roster) -> tuple[LaidOut, list[Question]] | None:
    """Return a table with a row for each person that its rows hold for, and what is still to be asked; None where its
    rows are for one person each.

    A row keeps its line. Whom a word means is told by the answers, then by the words for everybody, the event groups
    of the vocabulary, the roster's own squads and names. A word that tells nobody is asked, its rows are set aside.
    """
    if not may_be_several(one) or not roster.names:
        return None
    asked = one.facts.get("athlete_id")
    is_open = asked is not None and not asked.text
    asking = Asking(one)
    if is_open:
        words = _group_words(one)
        if one.options.who == EVERYBODY:
            meant: list[list[str | None]] = [list(roster.names) for _ in range(one.rows.height)]
        elif words is not None and (one.options.who == GROUPS or _says_whose(one, roster, words)):
            meant = _meant(one, roster, words, asking)
            one = dataclasses.replace(one, asked=tuple(question for question in one.asked if question.ask != "who"))
        else:
            if one.options.who is None and words is not None:
                _meant(one, roster, words, asking)  # asked together with whose rows they are
            return (one, asking.questions) if asking.questions else None
    else:
        named = next(
            (p.frame["athlete_id"].to_list() for p in one.parts if p.is_main and "athlete_id" in p.frame), None
        )
        if named is None or not any(_is_group(text, one, roster) for text in set(named)):
            return None
        words = [text if _is_group(text, one, roster) else None for text in named]
        meant = [
            group if word is not None else [None]
            for word, group in zip(words, _meant(one, roster, words, asking), strict=True)
        ]
    return _expanded(one, roster, meant, words, is_open=is_open), asking.questions


def _says_whose(one: LaidOut, roster: Roster, words: Sequence[str | None]) -> bool:
    """Return whether every row of a plan, a phase or days off names a group whose people are known: nobody plans the
    session of one athlete for 'All' or 'Hurdles'. What was done and felt may be one person's, and is asked.
    """
    is_planned = any(part.is_main and part.table in PLANNED for part in one.parts)
    said = {word for word in words if word is not None and not is_missing(word)}
    return (
        one.options.who is None and is_planned and None not in words
        and all(said_members(word, one, roster) is not None for word in said)
    )  # fmt: skip


def _group_words(one: LaidOut) -> list[str | None] | None:
    """Return the word for the group of each row, None where neither a column nor a name says one."""
    if one.group_column and one.group_column in one.rows.columns:
        return one.rows[one.group_column].to_list()
    fact = one.facts.get("group")
    return None if fact is None or not fact.text else [fact.text] * one.rows.height


def _is_group(text: str | None, one: LaidOut, roster: Roster) -> bool:
    """Return whether a text in a column of athletes is a group for certain, or was said to be one."""
    if text is None or is_missing(text) or roster.exact(text) is not None:
        return False
    plain = text.strip()
    if plain in one.options.athletes:
        return False
    return plain in one.options.groups or bool(members(plain, roster))


def _meant(one: LaidOut, roster: Roster, words: Sequence[str | None], asking: Asking) -> list[list[str | None]]:
    found: dict[str, list[str | None]] = {}
    for word in dict.fromkeys(words):
        if word is None or is_missing(word):
            continue
        who = said_members(word, one, roster)
        if who is None:
            asking.group(word.strip(), roster, sum(1 for other in words if other == word))
        found[word] = list(who or ())
    return [found.get(word, []) if word is not None else [] for word in words]


def said_members(word: str, one: LaidOut, roster: Roster) -> list[str] | None:
    """Return who a word means by the answers given, else by what it says; None where it is to be asked."""
    answer = one.options.groups.get(word.strip())
    if answer is None:
        return members(word, roster) or None
    if answer.strip() == NOBODY:
        return []
    return _of_answer(answer, roster) or None


def _of_answer(answer: str, roster: Roster) -> list[str]:
    found: list[str] = []
    for part in answer.split(","):
        word = part.strip()
        if word == EVERYBODY:
            found += roster.names
        elif word in EVENT_GROUPS:
            found += roster.having("event_group", word)
        elif word.startswith("squad:"):
            found += roster.having("squad", word.removeprefix("squad:").strip())
        elif word in ("women", "men"):
            found += roster.having("sex", "f" if word == "women" else "m")
        elif (athlete_id := roster.exact(word)) is not None:
            found.append(athlete_id)
        else:
            return []
    return list(dict.fromkeys(found))


def members(word: str, roster: Roster) -> list[str]:
    """Return who a word names by itself: everybody, an event group, women or men, a squad, somebody; [] if unsure."""
    whole = _members_of_one(word, roster)
    if whole:
        return whole
    parts = [part for part in JOINED.split(word) if part.strip()]
    begin = parts[0].rpartition(" ")[0] if parts else ""
    if begin and any(not _members_of_one(part, roster) for part in parts[1:]):  # 'Sprint A + B' is A and B of Sprint
        parts = [parts[0], *(part if _members_of_one(part, roster) else f"{begin} {part}" for part in parts[1:])]
    each = [_members_of_one(part, roster) for part in parts]
    if len(parts) < 2 or not all(each):
        return []
    return list(dict.fromkeys(one for some in each for one in some))


def _members_of_one(word: str, roster: Roster) -> list[str]:
    said = fold(word)
    if said in EVERYBODY_WORDS:
        return list(roster.names)
    sex = next((sex for sex, words in SEXES.items() if said in words), None)
    if sex is not None:
        return roster.having("sex", sex)
    squad = roster.having("squad", word) or roster.having("squad", bare_group(word))
    group = group_of(word)
    here = roster.having("event_group", group) if group is not None else []
    if squad and here and set(squad) != set(here):
        return []  # the word means two things: asked
    if squad or here:
        return squad or here
    athlete_id, _ = roster.find(word)
    return [athlete_id] if athlete_id is not None else []


def _expanded(
    one: LaidOut, roster: Roster, meant: list[list[str | None]], words: Sequence[str | None] | None, *, is_open: bool
) -> LaidOut:
    """Return a table with one row for each row and person; a row that is nobody's stays once, with its reason."""
    away = next((f"c{n}" for n, text in enumerate(one.header) if fold(text) in ABSENT), None)
    gone = one.rows[away].to_list() if away is not None and away in one.rows.columns else [None] * one.rows.height
    places: list[int] = []
    who: list[str | None] = []
    told: list[tuple[int, str, str | None, str]] = []
    header = _header_of_groups(one)
    marked = {row: (column, value, reason) for row, column, value, reason in one.named.iter_rows()}
    for row, people in enumerate(meant):
        if row in marked:  # a mean, a remark: no row of anybody
            told.append((len(places), *marked[row]))
            places.append(row)
            who.append(None)
            continue
        there: list[str | None] = []
        missing = set(fold(gone[row] or "").split())
        for athlete_id in people:
            name = roster.names.get(athlete_id or "") or athlete_id or ""
            if missing and set(fold(name).split()) & missing:
                why = f"{name} is named as absent, so the row does not hold for {name}. Nothing to do."
                told.append((len(places), "", name, why))
                places.append(row)
                who.append(athlete_id)
            else:
                there.append(athlete_id)
        if not people:
            told.append((len(places), header, words[row] if words else None, _why_nobodys(one, words, row)))
        for athlete_id in there if people else [None]:
            places.append(row)
            who.append(athlete_id)
    ids = pl.Series("athlete_id", who, dtype=pl.String)
    parts = []
    for part in one.parts:
        frame = part.frame[places]
        if "athlete_id" in frame.columns:
            frame = frame.with_columns(athlete_id=ids if is_open else pl.coalesce(ids, "athlete_id"))
        parts.append(dataclasses.replace(part, frame=frame))
    named = pl.DataFrame(told, schema=NAMED_SCHEMA, orient="row")
    facts = {**one.facts, "athlete_id": Fact(EVERYBODY, "answer")} if is_open else one.facts
    return dataclasses.replace(one, rows=one.rows[places], parts=parts, named=named, facts=facts, is_of_several=True)


def _header_of_groups(one: LaidOut) -> str:
    place = one.group_column.removeprefix("c")
    return one.header[int(place)] if place.isdigit() and int(place) < len(one.header) else ""


def _why_nobodys(one: LaidOut, words: Sequence[str | None] | None, row: int) -> str:
    word = (words[row] or "").strip() if words else ""
    if not word or is_missing(word):
        return f"no group stands here, so nobody knows for whom the row is. {SET_ASIDE} Write the group, or everybody."
    if one.options.groups.get(word, "").strip() == NOBODY:
        return f"'{word}' was said to be nobody of the squad. {SET_ASIDE} Nothing to do."
    return f"whom '{word}' means is not known yet. {SET_ASIDE} Say which group it is."


def in_force(
    laid: LaidOut, accepted: dict[str, pl.DataFrame], aside: pl.DataFrame, roster: Roster
) -> tuple[dict[str, pl.DataFrame], pl.DataFrame]:
    """Return the rows of a table for several people without those of days on which somebody was not with the squad:
    before the day of joining, or after that of leaving. A row that is left for nobody is told. One that holds from a
    day until another, as a phase does, is theirs where any of its days is.

    What is told of a line for one of them after the other is told once.
    """
    kept: dict[str, pl.DataFrame] = {}
    before: set[int] = set()
    after: set[int] = set()
    for name, frame in accepted.items():
        day = table_shape(name).date
        before |= set(frame["source_line"])
        if day is not None and day in frame.columns and "athlete_id" in frame.columns:
            last = "until_on" if name in OF_A_SPAN else day
            until = pl.col(last) if last in frame.columns else pl.lit(None, pl.Date)
            asked = frame.select("athlete_id", day, until.fill_null(dt.date.max).alias("_until"))
            here = pl.Series([roster.is_with_squad(*one) for one in asked.iter_rows()], dtype=pl.Boolean)
            left = frame.filter(here)
        else:
            left = frame
        after |= set(left["source_line"])
        if left.height:
            kept[name] = left
    aside = aside.with_columns(
        athlete_id=pl.when(pl.len().over("source_line", "column", "value", "reason") == 1).then("athlete_id")
    ).unique(["source_line", "column", "value", "reason"], keep="first", maintain_order=True)
    lines = sorted(before - after)
    if lines:
        first = laid.rows.with_row_index("_row").filter(pl.col("_line").is_in(lines)).unique("_line", keep="first")
        why = f"nobody it is for was with the squad on that day. {SET_ASIDE} Look at the days of joining and leaving."
        faults = first.select("_row", column=pl.lit(""), value=pl.lit(None, pl.String), reason=pl.lit(why)).sort("_row")
        nobody = pl.DataFrame(schema={"_row": pl.UInt32, "athlete_id": pl.String})
        faults = as_written(faults, laid.rows, laid.header, {})
        aside = pl.concat([aside, set_aside(faults, laid.rows, laid.header, laid.sheet, nobody)])
    return kept, aside
