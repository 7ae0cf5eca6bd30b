"""The tables of a sheet: blocks below each other and side by side, headings between rows, groups of columns.

What comes out are plain tables, each with one header and with what its titles say as facts. A line of the sheet may
give rows to several of them. No row of a plain table ever holds cells of two blocks.
"""

import dataclasses
from collections.abc import Iterator, Sequence

import polars as pl

from pipelines.cells.dates import is_day
from pipelines.cells.spoken import group_of, is_phase
from pipelines.cells.weekdays import weekdays_beside
from pipelines.layouts.sheets import midway
from pipelines.layouts.sheets.own_days import begins_by_days, with_names
from pipelines.layouts.words.evidence import MINUTES_AND_EFFORT, is_run_time, looks_like_name, to_number
from pipelines.layouts.words.fitting import kinds
from pipelines.layouts.words.groups_said import group_and_sex
from pipelines.layouts.words.headings import Heading, read_heading
from pipelines.layouts.words.lines import heads_people, is_comment
from pipelines.layouts.words.said import distances_in, find_day, said_by, sex_said
from pipelines.layouts.words.tab_titles import Line, facts_of_titles, is_title, of_the_tab
from schemas.intake import TextTable
from schemas.reading import Fact
from schemas.spelling import fold

LONG = 5000  # rows; a longer table is one block, looked at by its first lines alone
HEADER_LINES = 60  # within which the header stands
FEWEST_HEADS = 2
FEWEST_WEEKDAYS = 3
PERSON = {"athlete_id", "display_name", "first_name"}
GROUP_FACTS = ("date", "start_kind", "resistance_kind", "resistance_load_kg", "clock_start", "timing_kind")

PARTS_OF_DAY = (  # folded; common practice, no source
    {"morning", "am", "vormittag", "vormittags", "morgens", "matin", "manana", "mattina", "formiddag", "ochtend"},
    {"afternoon", "pm", "nachmittag", "nachmittags", "tarde", "pomeriggio", "eftermiddag", "ettermiddag", "middag"},
    {"evening", "abend", "abends", "soir", "soiree", "noche", "sera", "kvall", "kveld", "avond"},
)


def heads(cells: Sequence[str]) -> list[Heading | None]:
    """Return the headings of a row of cells, None where a cell is empty or no heading that is understood."""
    return [one if text and is_heard(one := read_heading(place, text)) else None for place, text in enumerate(cells)]


def is_heard(heading: Heading) -> bool:
    """Return whether a heading is understood."""
    told = (heading.gate_m, heading.number, heading.run_no)
    return bool(heading.names) or bool(heading.loose) or any(one is not None for one in told)


def is_header(cells: Sequence[str]) -> bool:  # noqa: PLR0911 - one for each thing that no header has
    """Return whether a row is a header: most of its cells are headings, and none is a value.

    Days, or people, may stand as the headings of columns; a bare number is a heading among gates only.
    """
    filled = [text for text in cells if text]
    if len(filled) < FEWEST_HEADS or any(is_run_time(text) or MINUTES_AND_EFFORT.fullmatch(text) for text in filled):
        return False
    numbers = [text for text in filled if to_number(text) is not None]
    days = [text for text in filled if is_day(text)]
    if any("." in text or "," in text for text in numbers) or (len(set(numbers)) < len(numbers) and numbers):
        return False
    heard = [one for one in heads(cells) if one is not None]
    texts = [one for one in heard if not one.is_bare_number]
    if _has_day_in_corner(cells, heard) or _is_of_groups(filled, texts):
        return True
    if days and not (len(days) >= 2 and len(days) + len(texts) >= len(filled)):
        return False
    if numbers and not (len(texts) >= 2 and len(numbers) >= 2):
        return False
    weekdays = weekdays_beside(filled)
    if len(weekdays) >= FEWEST_WEEKDAYS and len(weekdays) >= len(filled) - 2:  # a week's plan: a column a day
        return True
    if len(texts) >= FEWEST_HEADS and 2 * (len(texts) + len(numbers)) >= len(filled):
        return True
    people = sum(1 for text in filled if looks_like_name(text))
    return len(texts) == 1 and (len(days) >= 2 or (bool(set(texts[0].names) & {"date"}) and people >= 2))


def _is_of_groups(filled: Sequence[str], heard: Sequence[Heading]) -> bool:
    """Return whether a row heads a plan: a heading of days beside groups ('Day', 'Sprints', '400'), or phases alone."""
    groups = sum(1 for text in filled if group_of(text) is not None)
    return (groups >= FEWEST_HEADS and any("date" in one.names for one in heard)) or all(map(is_phase, filled))


def _has_day_in_corner(cells: Sequence[str], heard: Sequence[Heading]) -> bool:
    """Return whether a row is a header whose first cell is a day in place of 'Name': the day of all below it."""
    gates = [one for one in heard if one.gate_m is not None and not one.is_bare_number]
    filled = [text for text in cells if text]
    return bool(cells) and find_day(cells[0]) is not None and len(gates) >= 2 and len(gates) >= len(filled) - 2


def blocks_of(table: TextTable) -> list[TextTable]:
    """Return the plain tables of a sheet; the sheet itself where it is one plain table."""
    said = [read_heading(place, text) for place, text in enumerate(table.header)]
    is_own = len(said) >= FEWEST_HEADS and all(one.is_exact for one in said)  # the record's own names: one table
    if table.rows.height > LONG or not table.header or is_own:
        return [dataclasses.replace(table, facts=facts_of_titles(_title_texts(table), {}))]
    lines = _lines(table)
    found: list[TextTable] = []
    below = list(_below_each_other(table, lines))
    parts = [_part_of_day(titles) for titles, _, _ in below]
    order = sorted({part for part in parts if part is not None})
    days, tab = _days_above(below), of_the_tab(below)
    for number, ((titles, header, rows), part) in enumerate(zip(below, parts, strict=True)):
        if number and (not titles or _folded(header) == _folded(below[0][1])):
            titles = [*days, *titles]  # noqa: PLW2901 - the day above all blocks is also that of one without a title
        if number:
            titles = [*(line for line in tab if line not in titles), *titles]  # noqa: PLW2901 - nearer ones count
        for first, last in _side_by_side(header[1], rows):
            is_alone = (first, last) == (0, _width(header, rows))
            one = _cut(table, titles, *with_names(header, rows, first, last), first, last, is_alone=is_alone)
            if one is not None and len(order) > 1 and part is not None:  # morning and evening are two sessions
                session = Fact(str(order.index(part) + 1), "title")
                one = dataclasses.replace(one, facts={**one.facts, "session_no": session})
            if one is not None:
                found += _sections(one)
    return found or [table]


def _title_texts(table: TextTable) -> list[str]:
    return [" ".join(cell for cell in cells if cell) for _, cells in table.titles]


def _lines(table: TextTable) -> list[Line]:
    made: list[Line] = [(line, list(cells)) for line, cells in table.titles]
    made.append((table.header_line, list(table.header)))
    columns = [name for name in table.rows.columns if name != "_line"]
    for row in table.rows.select("_line", *columns).iter_rows():
        made.append((row[0], [cell if cell and cell.strip() else "" for cell in row[1:]]))
    return made


def _width(header: Line, rows: Sequence[Line]) -> int:
    return max(len(header[1]), max((_last(cells) for _, cells in rows), default=0))


def _last(cells: Sequence[str]) -> int:
    return max((place + 1 for place, cell in enumerate(cells) if cell), default=0)


def _below_each_other(table: TextTable, lines: list[Line]) -> Iterator[tuple[list[Line], Line, list[Line]]]:
    """Yield the blocks that stand below each other: their titles, their header, their rows.

    A later line is the header of a new block where it is one by its cells and differs from the one in force, or where
    it is the same and a title stands right above it. Under a header of the record's own names alone, words that read
    like headings are words: a row begins a block only where it holds own names alone as well.
    """
    own = next(i for i, (line, _) in enumerate(lines) if line == table.header_line)
    start = next((i for i, (_, cells) in enumerate(lines[:HEADER_LINES]) if is_header(cells)), own)
    if own - start == 1 and is_header(lines[own][1]):  # two rows are one header: the lower is the header
        start = own
    begins, again = [midway.head_of_weekdays(lines, start)], {-1}  # again: those with the same header below a day
    for i in range(begins[0] + 1, len(lines)):
        cells, in_force = lines[i][1], lines[begins[-1]][1]
        if midway.begins_again(in_force, lines, begins[-1], i):
            begins.append(i)
            again.add(i)
            continue
        if in_force and find_day(in_force[0]) is not None and midway.is_day_line(in_force, cells):
            begins.append(i)  # the header is itself such a line of a day: what it says holds to the next one
            continue
        is_head = is_header(cells) or midway.heads_people_again(in_force, cells)
        if i == begins[-1] + 1 or not is_head or not midway.may_head(in_force, cells):
            continue
        close = lines[i][0] - lines[i - 1][0] == 1 and not _is_caption(lines[i - 1][1])
        if (midway.are_own_names(in_force) and not midway.are_own_names(cells)) or midway.is_row_midway(
            in_force, cells, is_close=close, first=lines[begins[-1] + 1][1]
        ):
            continue
        is_same = [fold(text) for text in cells if text] == [fold(text) for text in in_force if text]
        both = is_same and midway.stands_again([cells for _, cells in lines[: i + 1]], begins[-1])
        if is_same and not both and not _is_caption(lines[i - 1][1]):
            continue
        begins.append(i)
        if both or midway.is_titled_by_day(in_force, lines, begins[-2], i - 1):
            again.add(i)
    begins = [i for i in begins if i == begins[0] or _has_rows(lines, i, begins)]
    titles = lines[: begins[0]]
    for number, begin in enumerate(begins):
        end = begins[number + 1] if number + 1 < len(begins) else len(lines)
        rows = lines[begin + 1 : end]
        is_last = number + 1 == len(begins)
        below = [rows.pop()] if not is_last and begins[number + 1] in again and rows else []
        if not is_last:
            while rows and _is_caption(rows[-1][1]):
                below.insert(0, rows.pop())
        yield titles, lines[begin], rows
        titles = below


def _has_rows(lines: list[Line], begin: int, begins: Sequence[int]) -> bool:
    """Return whether rows stand below a line that reads like a header: one without any is a row itself."""
    end = next((i for i in begins if i > begin), len(lines))
    if midway.heads_people_again(lines[begins[0]][1], lines[begin][1]):
        return True  # 'Athlete' is nobody's row
    return any(any(cells) and not _is_caption(cells) for _, cells in lines[begin + 1 : end])


def _folded(line: Line) -> list[str]:
    return [fold(text) for text in line[1] if text]


def _is_caption(cells: Sequence[str]) -> bool:
    """Return whether a line is a title, or one that names a part of the day beside other words: 'abends | Hürden'."""
    said = [cell for cell in cells if cell]
    is_wordy = bool(said) and not any(char.isdigit() for cell in said for char in cell)
    return is_title(cells) or (is_wordy and _part_of_day([(0, list(cells))]) is not None)


def _part_of_day(titles: Sequence[Line]) -> int | None:
    """Return which part of the day the titles of a block name: 0 the morning, 1 the afternoon, 2 the evening."""
    words = {word for _, cells in titles for cell in cells for word in fold(cell).split()}
    named = [part for part, some in enumerate(PARTS_OF_DAY) if words & some]
    return named[0] if len(named) == 1 else None


def _days_above(blocks: Sequence[tuple[list[Line], Line, list[Line]]]) -> list[Line]:
    """Return the title of the first of several blocks that says the day, where no other block says one of its own."""
    (first, _, _), *others = blocks if blocks else [([], (0, []), [])]
    own = [cells for titles, header, _ in others for cells in (*(cells for _, cells in titles), header[1])]
    if any(find_day(cell) is not None for cells in own for cell in cells if cell):
        return []
    said = [line for line in first if is_title(line[1]) and find_day(" ".join(line[1])) is not None]
    return said if len(said) == 1 else []


def _side_by_side(header: list[str], rows: Sequence[Line]) -> list[tuple[int, int]]:
    """Return the first and last column of the blocks that stand side by side, each with a column of people of its
    own.
    """
    width = _width((0, header), rows)
    padded = [*header, *[""] * (width - len(header))]
    people = [i for i, one in enumerate(heads(padded)) if one is not None and set(one.names) & PERSON]
    full_names = {i for i in people if not {"first_name", "last_name"} & set(read_heading(i, padded[i]).names[:1])}
    groups = [i for i, text in enumerate(padded) if text and sex_said(text) and _are_names(rows, i)]
    if len(groups) >= 2 and not people:
        people, full_names = groups, set(groups)
    again = [i for i in people if i in full_names]
    same = {fold(padded[i]) for i in again}
    gaps = {i for i in range(width) if not padded[i] and not any(i < len(cells) and cells[i] for _, cells in rows)}
    if len(again) < 2 or not (
        len(same) < len(again) or len(groups) >= 2 or any(g in gaps for g in range(again[0], again[-1]))
    ):
        begins = begins_by_days(padded, rows, people, gaps)
        return [(begin, begins[n + 1] if n + 1 < len(begins) else width) for n, begin in enumerate(begins)]
    begins = []
    for place in again:
        begin = place
        while begin > 0 and begin - 1 not in gaps and (not begins or begin - 1 > begins[-1]):
            before = padded[begin - 1]
            if not before or (fold(before) not in {fold(padded[0]), "id", "no", "nr", "#", "datum", "date"}):
                break
            if begins and fold(before) not in {fold(text) for text in padded[begins[-1] : begins[-1] + 2]}:
                break
            begin -= 1
        begins.append(begin)
    begins[0] = 0
    return [(begin, begins[n + 1] if n + 1 < len(begins) else width) for n, begin in enumerate(begins)]


def _are_names(rows: Sequence[Line], place: int) -> bool:
    said = [cells[place] for _, cells in rows if place < len(cells) and cells[place]]
    return bool(said) and sum(1 for text in said if looks_like_name(text)) >= 0.8 * len(said)


def _cut(
    table: TextTable, titles: list[Line], header: Line, rows: list[Line], first: int, last: int, *, is_alone: bool
) -> TextTable | None:
    """Return the columns of one block as a table of their own, with the lines in which something stands."""
    names = [" ".join(text.split()) for text in header[1][first:last]]
    while names and not names[-1]:
        names.pop()
    kept = [(line, cells[first:last]) for line, cells in rows if any(cells[first:last])]
    if not names or not kept:
        return None
    facts: dict[str, Fact] = {}
    own_titles = _own_titles(titles, first, last, is_alone=is_alone)
    sex = sex_said(names[0])
    if sex is not None and _are_names(kept, 0):
        facts["sex"] = Fact(sex, "header")
        names[0] = "Name"
    for _, cells in own_titles:
        said = next((one for cell in cells if cell and (one := sex_said(cell))), None)
        if said is not None and not is_alone:
            facts["sex"] = Fact(said, "title")
    facts = facts_of_titles([" ".join(cell for cell in cells if cell) for _, cells in own_titles], facts)
    if find_day(names[0]) is not None and _are_names(kept, 0):
        facts |= said_by(names[0], "header")
        names[0] = "Name"
    above = own_titles[-1][1][first:last] if own_titles else []
    return _table_of(table, names, header[0], kept, facts, first, above, own_titles)


def _own_titles(titles: list[Line], first: int, last: int, *, is_alone: bool) -> list[Line]:
    """Return the titles of one block: those over its columns, and those that stand at the left over all of them.

    A title over another block is none of its own; one at the left is shared unless this block has one for itself.
    """
    if is_alone:
        return list(titles)
    own, shared = [], []
    for line, cells in titles:
        here = [cells[place] if first <= place < last else "" for place in range(len(cells))]
        if any(here):
            own.append((line, here))
        elif first and sum(1 for cell in cells if cell) == 1 and cells[0]:
            shared.append((line, cells))
    says_day = any("date" in said_by(cell, "title") for _, cells in own for cell in cells if cell)
    if says_day:  # the day at the left is the first block's
        shared = [one for one in shared if "date" not in said_by(one[1][0], "title")]
    return sorted([*shared, *own], key=lambda one: one[0])


def _table_of(
    table: TextTable, names: list[str], line: int, rows: Sequence[Line], facts: dict[str, Fact], first: int,
    above: list[str], titles: Sequence[Line],
) -> TextTable:  # fmt: skip
    width = max(len(names), max((_last(cells) for _, cells in rows), default=0))
    columns: list[list[str | None]] = [[None] * len(rows) for _ in range(width)]
    for number, (_, cells) in enumerate(rows):
        for place, cell in enumerate(cells[:width]):
            if cell:
                columns[place][number] = cell
    frame = pl.DataFrame({f"c{n}": pl.Series(column, dtype=pl.String) for n, column in enumerate(columns)})
    frame = frame.with_columns(pl.Series("_line", [number for number, _ in rows], dtype=pl.Int64))
    return dataclasses.replace(
        table, header=names, header_line=line, rows=frame, above=list(above), facts=facts, first_column=first,
        titles=tuple((number, tuple(cells)) for number, cells in titles),
    )  # fmt: skip


# --- headings between the rows ---------------------------------------------------------------------------------------


def _sections(table: TextTable) -> Iterator[TextTable]:
    """Yield the parts of a block between lines that hold a single cell and say something of the rows below them."""
    columns = [name for name in table.rows.columns if name != "_line"]
    named = {name for one in heads(table.header) if one is not None for name in one.names}
    if table.rows.height > LONG:
        yield table
        return
    has_day = any(kinds().get(name) == "day" for name in named) or midway.has_days(table)
    is_narrow = len(columns) < FEWEST_HEADS + 1  # a cell alone, or a day beside a name, is a row as any other
    cuts: list[tuple[int, dict[str, Fact], Line]] = []
    for number, row in enumerate(table.rows.iter_rows()):
        filled = [cell for cell in row[:-1] if cell]
        if not filled or not row[0] or any(to_number(cell) is not None for cell in filled) or is_comment(filled[0]):
            continue
        if is_narrow and not midway.is_day_line(table.header, row[:-1]) and group_of(filled[0]) is None:
            continue
        if len(filled) == 1:
            facts = _section_facts(filled[0], has_day=has_day, has_person=bool(named & PERSON))
        else:
            facts = {} if has_day else _day_of_line(row[:-1], table.header)
        if facts or (len(filled) == 1 and heads_people(filled[0], is_after_another=bool(cuts))):
            cuts.append((number, facts, (row[-1], filled)))
    if not cuts or (cuts[-1][0] == table.rows.height - 1 and len(cuts) == 1):
        yield table
        return
    ends = [*(number for number, _, _ in cuts), table.rows.height]
    if cuts[0][0] > 0:
        yield dataclasses.replace(table, rows=table.rows.slice(0, cuts[0][0]))
    held: dict[str, Fact] = {}  # a day holds to the next day, another word to the rows below it
    told = table.titles
    for (number, said, line), end in zip(cuts, ends[1:], strict=True):
        held, told = {**held, **said}, (*told, (line[0], tuple(line[1])))
        rows, above = midway.without_heads(table.rows.slice(number + 1, end - number - 1), table.header)
        if rows.height:
            yield dataclasses.replace(table, rows=rows, facts={**table.facts, **held}, titles=(*told, *above))
            held, told = {key: fact for key, fact in held.items() if key == "date"}, table.titles


def _day_of_line(cells: Sequence[str | None], header: Sequence[str]) -> dict[str, Fact]:
    """Return what a line of several cells says of the rows below it: one with a day and no value in it, 'Test 2 | 14
    Nov'. Where it says another distance than the headings of the columns, the day is asked: nothing below is sure.
    """
    text = " ".join(cell for cell in cells if cell)
    figures = any(cell and any(char.isdigit() for char in cell) and find_day(cell) is None for cell in cells[1:])
    if figures and not midway.is_day_line(header, cells):
        return {}
    facts = said_by(text, "line above")
    if "date" not in facts:
        return {}
    far = {one for head in header for one in distances_in(head)}
    return {**facts, "date": Fact("", "answer")} if far and set(distances_in(text)) - far else facts


def _section_facts(text: str, *, has_day: bool, has_person: bool) -> dict[str, Fact]:
    if whose := group_and_sex([(text, "line above")]):
        return whose
    facts = said_by(text, "line above")
    facts.pop("rep_no", None)
    if has_day:
        facts.pop("date", None)
    if not has_person and "date" not in facts and looks_like_name(text) and len(text.split()) >= 2:
        return {"athlete_id": Fact(text, "line above")}
    return facts
