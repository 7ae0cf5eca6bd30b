"""Plans and logs by weekday: the weeks that titles or a column say, and a row for each day and group of them."""

import dataclasses
import datetime as dt
import re
from collections.abc import Sequence

import polars as pl

from pipelines.cells.dates import DayMonth, find_order, is_day, read_date, without_year
from pipelines.cells.spoken import bare_group, group_of
from pipelines.cells.weekdays import is_weekday, weekdays_named
from pipelines.layouts.words.evidence import look
from pipelines.layouts.words.headings import read_heading
from pipelines.layouts.words.said import WEEK_OF, days_in, find_week, find_year
from pipelines.layouts.words.titled import texts_of
from schemas.intake import TextTable
from schemas.reading import Fact
from schemas.spelling import fold

LONG = 5000
LAST = dt.date(2100, 1, 1)
WEEK = "week_of"  # among facts, until the days are known: the week all rows of a table are of
MOST_WEEKS = 16  # of one plan; own choice
FEWEST = 2
HALF = 0.5
FULL = 0.8  # of the cells of a column of days; own choice
ISO_WEEK = re.compile(
    r"(?P<year>20\d\d)\s*[-/]?\s*(?:w|kw|wk|week|cw|s|v|u)\.?\s*(?P<week>\d{1,2})"
    r"|(?:w|kw|wk|week|cw|woche|semaine|semana|vecka|uke|s|v)\.?\s*(?P<before>\d{1,2})\s*[-/,]?\s*(?P<behind>20\d\d)",
    re.I,
)  # fmt: skip
UNCLEAR = "unclear"  # in place of a fact: why the table cannot be read
WEEK_HEADS = {"week from", "week start", "week starting", "monday of",
              "w c", "wc", "week", "week of", "week commencing", "week beginning", "w b", "wk", "woche", "woche ab",
              "woche vom", "semaine", "semaine du", "semana", "semana del", "week van", "week vanaf", "vecka",
              "settimana", "uke", "uge", "viikko", "kw", "kalenderwoche", "tyden", "tydzien"}  # fmt: skip
RANGE = re.compile(r"\s(?:-|–|—|to|until|till|bis|au|al|t/m|tot|til|till)\s|(?<=\d)\s?[-–—]\s?(?=\d)")
NUMBERS = re.compile(
    r"(?<![^\W\d_])(?:weeks?|wks?|kw|wochen?|semaines?|semanas?|weken|veckor|settimane)\.?\s*"
    r"(\d{1,2}(?:\s*(?:[-–,/+&]|to|and|und|et|y|en|och|bis|t/m)\s*\d{1,2})+)(?!\d|[./]\d)", re.I
)  # fmt: skip


def find_weeks(texts: Sequence[str]) -> list[dt.date]:
    """Return the Mondays of all the weeks that some texts name, one or several: 'w/c 9 Nov - 22 Nov 2026', 'weeks 46,
    47 2026', 'weeks of 9/11 and 16/11/2026'. [] where none is named or texts differ.
    """
    one = find_week(texts)
    found: set[tuple[dt.date, ...]] = {(one,)} if one is not None else set()
    year = find_year(texts)
    for text in texts:
        several = _weeks_of(text, year)
        if several:
            found.add(tuple(several))
    longest = max(found, key=len, default=())
    return list(longest) if all(set(other) <= set(longest) for other in found) else []


def _weeks_of(text: str, year: int | None) -> list[dt.date]:
    days = days_in(text, year)
    if len(days) >= FEWEST and len(set(days)) == len(days):
        mondays = [day - dt.timedelta(days=day.weekday()) for day in days]
        is_range = len(days) == FEWEST and RANGE.search(text) is not None
        if is_range and (days[1] - days[0]).days >= 7:
            many = (mondays[1] - mondays[0]).days // 7 + 1
            return [mondays[0] + dt.timedelta(weeks=n) for n in range(many)] if many <= MOST_WEEKS else []
        if not is_range and WEEK_OF.search(text) and len(set(mondays)) == len(days):
            return mondays
    numbers = NUMBERS.search(text)
    if numbers is None or days or year is None:
        return []
    said = [int(one) for one in re.findall(r"\d{1,2}", numbers[1])]
    if len(said) == FEWEST and re.search(r"[-–]|to|bis|t/m", numbers[1]):
        said = list(range(said[0], said[1] + 1))
    if not 1 < len(said) <= MOST_WEEKS or any(not 1 <= week <= 52 for week in said):
        return []
    return [dt.date.fromisocalendar(year, week, 1) for week in said]


def weeks_apart(table: TextTable) -> list[TextTable]:
    """Return a table by weekdays for each of the weeks its titles say; the table itself where they say one or none."""
    if not 0 < table.rows.height <= LONG or not _is_by_weekday(table):
        return [table]
    weeks = find_weeks(texts_of(table))
    named = [f"week of {monday.isoformat()}" for monday in weeks] if weeks else _weeks_of_no_year(texts_of(table))
    if len(named) < FEWEST:
        return [table]
    kept = tuple((line, cells) for line, cells in table.titles if not _names_week(" ".join(c for c in cells if c)))
    facts = {name: fact for name, fact in table.facts.items() if name != "date"}
    return [
        dataclasses.replace(
            table, facts={**facts, WEEK: Fact(told, "title")}, titles=(*kept, (table.header_line, (told,))),
        )
        for told in named
    ]  # fmt: skip


def week_texts(table: TextTable) -> list[str]:
    """Return the texts that may say of which week a table is: the one it was cut out for, else all that name it."""
    return [table.facts[WEEK].text] if WEEK in table.facts else texts_of(table)


def _weeks_of_no_year(texts: Sequence[str]) -> list[str]:
    """Return the weeks of a span without a year as texts: 'w/c 9 Nov - 22 Nov' is of 9 and of 16 November."""
    for text in texts:
        bare = _bare_days(text)
        if len(bare) != 2 or not WEEK_OF.search(text) or not RANGE.search(text):
            continue
        first, last = (dt.date(2026, one.month, one.day) for one in bare)
        many = (last - first).days // 7 + 1
        if last > first and 1 < many <= MOST_WEEKS and last.month != 2:
            starts = [first + dt.timedelta(weeks=n) for n in range(many)]
            return [f"w/c {day.day} {day:%B}" for day in starts]
    return []


def _names_week(text: str) -> bool:
    return bool(find_weeks([text])) or find_week([text]) is not None or bool(days_in(text, None))


def _is_by_weekday(table: TextTable) -> bool:
    if sum(1 for text in table.header if text and is_weekday(text)) >= FEWEST:
        return True
    return any(_weekdays(table, place) is not None for place in range(len(table.header)))


def _weekdays(table: TextTable, place: int) -> dict[str, int] | None:
    """Return which weekday each cell of a column is, None where it is no column of weekdays."""
    name = f"c{place}"
    if name not in table.rows.columns:
        return None
    said = table.rows[name].drop_nulls().unique(maintain_order=True).to_list()
    return weekdays_named(said) if len(said) >= FEWEST and all(is_weekday(one) for one in said) else None


def weekdays_as_days(table: TextTable) -> TextTable:
    """Return a table whose column of weekdays alone is one of days, where a column or a title says the week. Beside a
    column of days, which say more, it stays as it is.
    """
    if table.rows.height > LONG or _has_days(table):
        return table
    for place, text in enumerate(table.header):
        days = _weekdays(table, place) if text or place == 0 else None
        said = table.rows[f"c{place}"].drop_nulls().unique(maintain_order=True).to_list() if days is None and text and (
            f"c{place}" in table.rows.columns) else []  # fmt: skip
        if days is None and len(said) == 1 and is_weekday(said[0]) and _week_column(table, place) is not None:
            days = weekdays_named(said)
        if days is None and len(said) >= FEWEST and all(is_weekday(one) for one in said):
            return _unclear(table, said, "and they mean other days in other languages.")
        if days is None:
            continue
        by_row = _by_week_column(table, place, days)
        if by_row is not None:
            return by_row
        meant = days_of_week(table, days, table.facts.get("date"))
        if not meant:
            return _unclear(table, list(days), "and neither a title nor a name says of which week they are.")
        rows = table.rows.with_columns(pl.col(f"c{place}").replace(meant))
        facts = {key: one for key, one in table.facts.items() if key != "date"}
        header = [*table.header[:place], text or "Date", *table.header[place + 1 :]]
        return dataclasses.replace(table, header=header, rows=rows, facts=facts)
    return table


def _has_days(table: TextTable) -> bool:
    """Return whether a column of no weeks holds the day of each row."""
    return any(
        f"c{place}" in table.rows.columns and fold(text) not in WEEK_HEADS
        and "date" in read_heading(place, text).names and look(table.rows[f"c{place}"]).days >= 0.9
        and not is_weekday(table.rows[f"c{place}"].drop_nulls()[0])
        for place, text in enumerate(table.header)
    )  # fmt: skip


def days_of_week(table: TextTable, days: dict[str, int], said: Fact | None = None) -> dict[str, str]:
    """Return the day that each word for a weekday is in the week a table is of, {} where nothing says the week.

    Args:
        table: Its titles, tab and file may name the week.
        days: Which weekday each word is.
        said: A day of the week, where no week is named.
    """
    monday = find_week(week_texts(table))
    if monday is None and said is not None:
        read = read_date(said.text, None, LAST, ahead=True)[0]
        monday = read - dt.timedelta(days=read.weekday()) if read is not None else None
    if monday is None:
        return _of_no_year(table, days)
    return {one: (monday + dt.timedelta(days=day)).isoformat() for one, day in days.items()}


def _unclear(table: TextTable, said: Sequence[str], why: str) -> TextTable:
    told = f"its days are weekdays ({', '.join(list(said)[:3])}), {why}"
    return dataclasses.replace(table, facts={**table.facts, UNCLEAR: Fact(told, "title")})


def _of_no_year(table: TextTable, days: dict[str, int]) -> dict[str, str]:
    """Return weekdays as days without a year where a title says the Monday of the week so: 'w/c 9 Nov'. The year is
    then asked as of any day without one.
    """
    for text in week_texts(table):
        if not WEEK_OF.search(text):
            continue
        bare = _bare_days(text)
        if len(bare) == 1 and not (bare[0].month == 2 and bare[0].day > 22):
            first = dt.date(2026, bare[0].month, bare[0].day)  # any year: months are of one length in each
            return {
                one: f"{(first + dt.timedelta(days=day)).day} {first + dt.timedelta(days=day):%B}"
                for one, day in days.items()
            }
    return {}


BARE_DAY = re.compile(r"\d{1,2}(?:st|nd|rd|th|\.)?\s+[^\W\d_]{3,10}|[^\W\d_]{3,10}\s+\d{1,2}(?!\d)|\d{1,2}\.\d{1,2}\.")


def _bare_days(text: str) -> list[DayMonth]:
    found = (without_year(match[0]) for match in BARE_DAY.finditer(text))
    return [one for one in found if one is not None]


def _by_week_column(table: TextTable, place: int, days: dict[str, int]) -> TextTable | None:
    """Return a table in which a column says the week and another the weekday: 'w/c | Day'. Both become the day."""
    weeks = _week_column(table, place)
    if weeks is None:
        return None
    cells = table.rows[f"c{weeks}"].fill_null(strategy="forward")
    said = cells.drop_nulls().unique(maintain_order=True).to_list()
    first = _iso_mondays(said) or mondays(said)
    if first is None or cells.null_count():
        return None
    made = [
        None if weekday is None else (first[week] + dt.timedelta(days=days[weekday])).isoformat()
        for week, weekday in zip(cells.to_list(), table.rows[f"c{place}"].to_list(), strict=True)
    ]
    kept = [n for n in range(len(table.header)) if n != weeks]
    columns = [
        (pl.Series(made, dtype=pl.String) if old == place else table.rows[f"c{old}"]).alias(f"c{new}")
        for new, old in enumerate(kept) if f"c{old}" in table.rows.columns
    ]  # fmt: skip
    rows = table.rows.select("_line", *columns)
    rows = rows.select(*(name for name in rows.columns if name != "_line"), "_line")
    header = ["Date" if old == place else table.header[old] for old in kept]
    return dataclasses.replace(table, header=header, rows=rows, turned="weeks")


def _week_column(table: TextTable, but: int) -> int | None:
    """Return the place of the column that says the week of each row, by a day of it or its number in a year."""
    for place, text in enumerate(table.header):
        if place == but or fold(text) not in WEEK_HEADS or f"c{place}" not in table.rows.columns:
            continue
        cells = table.rows[f"c{place}"]
        if look(cells).days >= 0.9 or _iso_mondays(cells.drop_nulls().to_list()):
            return place
    return None


def _iso_mondays(texts: Sequence[str]) -> dict[str, dt.date]:
    """Return the Monday of each week that is written with its year, '2026-W11' (ISO 8601), 'KW 11/2026'; {} for others.

    A number alone may be a week of a training block, and is none.
    """
    found: dict[str, dt.date] = {}
    for text in texts:
        said = ISO_WEEK.fullmatch(text.strip())
        year, week = (said["year"] or said["behind"], said["week"] or said["before"]) if said else ("", "")
        if said is None or not 1 <= int(week) <= 53:
            return {}
        found[text] = dt.date.fromisocalendar(int(year), min(int(week), 52), 1) + dt.timedelta(weeks=int(week) == 53)
    return found


def mondays(texts: Sequence[str], year: int | None = None) -> dict[str, dt.date] | None:
    """Return the Monday that each text is; None unless all are days with a year, and Mondays in one order of day and
    month alone where it is open.

    With ``year``, days without one ('4/6', '13.4.') are of it.
    """
    dated = {text: text for text in texts}
    if year is not None:
        dated = {text: _with_year(text, year) for text in texts}
    order = find_order(list(dated.values()))
    found = []
    for one in (order,) if order is not None else ("day", "month"):
        read = {
            text: read_date(day, one, LAST, year=year, ahead=True)[0]
            for text, day in dated.items()
            if is_day(day) or (year is not None and without_year(day) is not None)
        }
        if len(read) == len(texts) and all(day is not None and day.weekday() == 0 for day in read.values()):
            found.append({text: day for text, day in read.items() if day is not None})
    return found[0] if found and all(one == found[0] for one in found) else None


def _with_year(text: str, year: int) -> str:
    return f"{text.strip()}/{year}" if re.fullmatch(r"\s*\d{1,2}/\d{1,2}\s*", text) else text


def without_week(table: TextTable) -> TextTable:
    """Return a table without the week it was cut out for, once its days are known."""
    if WEEK not in table.facts:
        return table
    return dataclasses.replace(table, facts={name: fact for name, fact in table.facts.items() if name != WEEK})


# --- groups as columns -----------------------------------------------------------------------------------------------


def _names_group(text: str) -> bool:
    """Return whether a heading names a group: one that is known, or any behind the word for one, 'Group B'."""
    return group_of(text) is not None or bare_group(text) not in ("", fold(text))


def groups_down(table: TextTable) -> TextTable:
    """Return a plan with groups as columns below its days with a row for each day and group: 'Day | Sprints | 400'."""
    seen = {n: look(table.rows[f"c{n}"]) for n in range(len(table.header)) if f"c{n}" in table.rows.columns}
    wordy = [
        n for n, text in enumerate(table.header) if text and n in seen and seen[n].filled and seen[n].numbers < HALF
    ]
    places = [place for place in wordy if _names_group(table.header[place])]
    more = [place for place in wordy if place in places or not read_heading(place, table.header[place]).names]
    if places and len(more) == sum(1 for text in table.header if text) - 1:  # all beside the day: groups of their own
        places = more
    days = [place for place, one in seen.items() if one.days >= FULL]
    others = [place for place, text in enumerate(table.header) if (text or place in days) and place not in places]
    dated = [place for place in others if place in days or "date" in read_heading(place, table.header[place]).names]
    if len(places) < FEWEST or not (dated or "date" in table.facts) or len(others) > 3:
        return table
    parts = [
        table.rows.select(
            *(pl.col(f"c{old}").alias(f"c{new}") for new, old in enumerate(others)),
            pl.lit(table.header[place]).alias(f"c{len(others)}"), pl.col(f"c{place}").alias(f"c{len(others) + 1}"),
            "_line", _order=pl.int_range(pl.len()) * len(places) + order,
        ).filter(pl.col(f"c{len(others) + 1}").is_not_null())
        for order, place in enumerate(places)
    ]  # fmt: skip
    rows = pl.concat(parts).sort("_order").drop("_order")
    header = [*(table.header[place] for place in others), "Group", "Plan"]
    return dataclasses.replace(table, header=header, rows=rows, above=[], turned="groups")
