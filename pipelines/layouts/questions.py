"""Questions that a layout leaves open: the day, whose rows, a scale, columns that no table has. With the cells
they are about.
"""

import re
from functools import cache

import polars as pl

from pipelines.cells.ratings import EFFORTS, NONE_TO_TEN, ONE_TO_FIVE
from pipelines.cells.spoken import rating_of
from pipelines.layouts.block_names import block_of
from pipelines.layouts.by_cells import MOST_STARTS, fits
from pipelines.layouts.evidence import Evidence
from pipelines.layouts.headings import BRACKETS, Heading, spellings
from pipelines.layouts.match import Match, targets_of
from pipelines.layouts.said import days_it_may_be
from pipelines.layouts.scales import ON_BOTH_SIDES, SaidScale
from pipelines.layouts.sheet_shape import SheetShape
from schemas.intake import EVERYBODY, GROUPS, LayoutOptions, Question, TextTable, fingerprint
from schemas.labels import RECORD_TITLES
from schemas.reading import NOT_USED, Fact
from schemas.shape import ColumnShape, all_shapes, table_shape
from schemas.spelling import fold
from schemas.unit_words import unit_word

EXAMPLES = 5
MAXIMUM = re.compile(r"(?:^| |e|est)1 ?rm\b|\b1 ?rep max|\bone rep max")  # folded: 'e1RM', 'Squat 1 RM', 'est 1RM'
SHOWN_TITLES = 2  # nearest above a block
SHOWN_CELLS, MOST_MEANINGS = 3, 4  # in the question of a column; own choice
NEAR_ENOUGH = 0.5  # of the words: a record column further from the header is not offered; own choice
IN_SECONDS = ("second", "millisecond")
WORDY = 3  # words of a cell; one with more is a remark whatever numbers are in it
NEVER_BROUGHT = {"review_line", "reference_value", "trial_lot", "film", "consent"}  # written by the program alone
MOST_WORDS = 9  # different words of a rating that are asked for


def _question(
    table: TextTable, ask: str, about: str, sentence: str, answers: list[tuple[str, str]], *, holds_rows: bool = True,
    is_free: bool = False, rows: int | None = None, cells: tuple[str, ...] = (),
) -> Question:  # fmt: skip
    return Question(
        layout=fingerprint(table.header), ask=ask, about=about, sentence=sentence, answers=tuple(answers),
        rows=table.rows.height if rows is None else rows, holds_rows=holds_rows, header=tuple(table.header),
        source=table.source, sheet=table.sheet, is_free=is_free, cells=cells,
    )  # fmt: skip


def about_day(table: TextTable, main: str) -> Question:
    """Ask on which day the rows of a block were measured: its own title, its first cells and days it may be."""
    titles = [text for _, cells in table.titles if (text := " / ".join(cell for cell in cells if cell))]
    what = "were weight and height measured" if main == "athlete" else "was this"
    first = table.rows.drop("_line").row(0) if table.rows.height else ()
    cells = tuple(cell for cell in first if cell)[:EXAMPLES]
    likely = {day: said for text in titles for day, said in days_it_may_be(text).items()}
    why = "Neither a column nor a title nor a name says it."
    if likely:
        why = "What its titles say does not agree."
    said = f" Above it stands {', '.join(repr(text) for text in titles[-SHOWN_TITLES:])}." if titles else ""
    begins = f" It begins with {', '.join(repr(cell) for cell in cells)}." if cells else ""
    answers = list(likely.items()) or [("YYYY-MM-DD", "a day, as year-month-day")]
    return _question(
        table, "days", block_of(table), f"On which day {what}? {why}{said}{begins}", answers, is_free=True,
        holds_rows=main != "athlete", cells=cells,
    )  # fmt: skip


def about_who(
    table: TextTable, group: Heading | None, said: Fact | None, seen: dict[int, Evidence], *, is_for_several: bool
) -> Question:
    """Ask whose rows they are where no column names athletes; of a plan or a log, whether they hold for several."""
    answers = [("name", "the name of one athlete")]
    sentence = "Whose rows are these? No column names an athlete."
    cells: tuple[str, ...] = ()
    if is_for_several:
        answers.insert(0, (EVERYBODY, "each row holds for everybody on the roster"))
    if is_for_several and group is not None:
        cells = seen[group.place].texts[:EXAMPLES] if group.place in seen else ()
        answers.insert(0, (GROUPS, f"each row holds for everybody of the group that '{group.text}' names"))
        sentence += f" '{group.text}' names groups ({', '.join(cells)})."
    elif said is not None and said.text:
        answers.append((GROUPS, f"all rows hold for everybody of the group that is named here: '{said.text}'"))
    return _question(table, "who", "", sentence, answers, is_free=True, cells=cells)


def about_scale(table: TextTable, one: Heading, said: SaidScale, cells: Evidence) -> Question:
    """Ask for the ends of a scale and which of them is good; of an effort, which always rises, for its ends alone."""
    is_effort = any(name in EFFORTS for name in one.names)
    shown = ", ".join(cells.texts[:EXAMPLES])
    if said.least is not None and said.most is not None:
        ends = [(said.least, said.most)]
    else:
        top = 5 if cells.most <= 5 else 7 if cells.most <= 7 else 10 if cells.most <= 10 else 100
        least = [0, 1] if cells.least <= 0 else [1, 0]
        ends = [(float(low), float(high)) for high in dict.fromkeys((top, 10)) for low in least if high >= top]
        if is_effort and cells.most > 10 and cells.least >= 6:
            ends = [(6.0, 20.0), *ends]  # the scale of perceived exertion of Borg (1970), from memory
    answers = []
    for low, high in ends:
        upwards = f"{low:g} to {high:g}, {high:g} is good"
        if is_effort:
            answers.append((upwards, f"from {low:g} to {high:g}; {high:g} is the hardest"))
            continue
        answers += [
            (upwards, f"from {low:g} to {high:g}; {high:g} is the good end"),
            (f"{low:g} to {high:g}, {low:g} is good", f"from {low:g} to {high:g}; {low:g} is the good end"),
        ]
    asked = "which are the ends of the scale of effort?" if is_effort else (
        "which are the ends of the scale, and which end is good?"
    )  # fmt: skip
    return _question(
        table, "scales", one.text, f"'{one.text}' ({shown}): {asked} Nothing says it.",
        answers, is_free=True, rows=cells.filled, cells=cells.texts[:EXAMPLES],
    )  # fmt: skip


def _names_nobody(match: Match) -> bool:
    """Return whether no column of a sheet says whose its rows are."""
    return match.first_name is None and not {name for _, name in match.columns} & {"athlete_id", "display_name"}


def likely_meanings(
    one: Heading, cells: Evidence, found: SheetShape, *, is_first_name: bool = True
) -> list[tuple[str, str]]:
    """Return the record columns a column may be, the likeliest first: free ones of the tables the sheet fills, whose
    cells fit, by the share of words that their names and the header have in common; a remark is last.
    """
    taken = set(found.match.columns)
    is_open = found.shape == "others"  # what the sheet holds is not known: any table may be meant
    own = (
        [name for name in all_shapes() if name not in NEVER_BROUGHT]
        if is_open
        else [name for name, _ in taken] + targets_of(table_shape(found.match.main))
    )
    tables = list(dict.fromkeys([found.match.main, *own]))
    said = " ".join(word for word in fold(BRACKETS.sub(" ", one.text)).split() if unit_word(word) is None)
    near: list[tuple[float, str, str]] = []
    for name in tables:
        shape = table_shape(name)
        for column in shape.values:
            if (
                (name, column) in taken
                or column == "note"
                or (column.endswith("_kg") and any("%" in text for text in (one.text, *cells.texts)))
                or not fits(column, cells)
                or not _in_range(cells, shape.columns[column])
                or _is_of_words(shape.columns[column], cells)
                or (column.endswith("_min") and one.unit in IN_SECONDS)
            ):
                continue
            near.append((max(_nearness(said, word) for word in _words_of(column)), name, column))
    names_whose = cells.names >= NEAR_ENOUGH and is_first_name and _names_nobody(found.match)
    if is_open and names_whose and not found.match.has_athlete:
        return [("athlete_id", "whose row it is")]
    if is_open and cells.days >= 0.5:
        return [("date", "the day of the row")]
    best = [one for one in sorted(near, key=lambda told: -told[0]) if one[0] >= NEAR_ENOUGH][:MOST_MEANINGS]
    made = [(f"{name}.{column}", _meant_by(name, column)) for _, name, column in best]
    for whole, sides in ON_BOTH_SIDES.items():  # one number and no side: it may be of both
        if {*sides} <= {column for _, _, column in best}:
            name = next(table for _, table, column in best if column in sides)
            made.insert(0, (f"{name}.{whole}", "one number for both sides: kept on the left and on the right"))
    if names_whose:
        made.insert(0, ("athlete_id", "whose row it is"))
    if _may_count_runs(cells, found):
        made = [("rep.rep_no", "the number of the run or start of that athlete and day")]
    note = next((name for name in tables if "note" in table_shape(name).columns and (name, "note") not in taken), None)
    notes = ["session", "checkin"] if is_open and found.match.has_athlete else [note] if note is not None else []
    if cells.words >= 0.5 or any(len(text.split()) > WORDY for text in cells.texts):
        made += [(f"{name}.note", f"a remark beside the {_title(name)}") for name in notes]
    return made


def _meant_by(table: str, column: str) -> str:
    if column == "jump_length_m":  # no other jump of the record has a length
        return "the length of a standing long jump"
    return f"{column.replace('_', ' ')} of {_title(table)}"


def _may_count_runs(cells: Evidence, found: SheetShape) -> bool:
    """Return whether a column may hold the numbers of runs: it counts from one, and nothing else of the sheet does."""
    is_of_runs = found.match.main == "rep" and ("rep", "rep_no") not in found.match.columns
    return is_of_runs and cells.numbers == cells.whole == 1 and cells.least == 1 and cells.most <= MOST_STARTS


def _nearness(text: str, word: str) -> float:
    """Return the share of the shorter one's words that the other has too, or begins with four letters of."""
    some, others = sorted((text.split(), word.split()), key=len)
    if not some:
        return 0.0
    return sum(1 for one in some if any(one == other or one[:4] == other[:4] != "" for other in others)) / len(some)


@cache
def _words_of(column: str) -> tuple[str, ...]:
    return (column.replace("_", " "), *(word for word, names in spellings().items() if column in names))


def _title(table: str) -> str:
    return RECORD_TITLES.get(table, table.replace("_", " "))


def _is_of_words(column: ColumnShape, cells: Evidence) -> bool:
    """Return whether a column of the record holds words and the cells are numbers."""
    return column.dtype == pl.String and cells.numbers >= NEAR_ENOUGH


def _in_range(cells: Evidence, column: ColumnShape) -> bool:
    """Return whether the numbers of a column, as written, lie where the record's may; other cells always fit."""
    if cells.numbers < 0.5:
        return True
    return (column.least is None or cells.least >= column.least) and (column.most is None or cells.most <= column.most)


def about_columns(table: TextTable, found: SheetShape, seen: dict[int, Evidence]) -> list[Question]:
    """Ask what columns are that no table has; unanswered, nothing is taken from them."""
    asked = []
    for one in found.match.ignored:
        cells = seen.get(one.place)
        if cells is None or cells.is_empty or not one.text or _numbers_lines(cells, found):
            continue
        shown = ", ".join(f"'{text}'" for text in cells.texts[:SHOWN_CELLS])
        sentence = f"What is '{one.text}'? It holds {shown}. Nothing is taken from it until you say."
        if MAXIMUM.search(fold(one.text)):
            sentence += (
                " A maximum for one repetition, computed elsewhere or lifted on a day of its own, can be kept beside: "
                "it is never counted among lifted sets."
            )
        if one.is_told:
            was = f"{one.names[0].replace('_', ' ')}" if one.names else "what was said"
            sentence = (
                f"'{one.text}' was said to be {was}, and {_title(found.match.main)} have no place for it. {sentence}"
            )
        named = [other.place for other in found.match.ignored
                 if other.place in seen and seen[other.place].names >= NEAR_ENOUGH]  # fmt: skip
        likely = likely_meanings(one, cells, found, is_first_name=one.place == min(named, default=one.place))
        kept = [("other_measure", "kept as it is: exported, drawn, never judged")] if cells.numbers >= 0.5 else []
        if not likely and not kept and found.shape != "others" and not one.is_told:
            continue  # one choice is no question: that nothing is taken from it is said
        asked.append(
            _question(
                table, "columns", one.text,
                sentence,
                [*likely, *kept, (NOT_USED, "nothing is taken from it")],
                holds_rows=found.shape == "others" and not found.others, is_free=True, rows=cells.filled,
                cells=cells.texts[:EXAMPLES],
            )
        )  # fmt: skip
    return asked


def _numbers_lines(cells: Evidence, found: SheetShape) -> bool:
    """Return whether a column of a list of people counts its lines, 1, 2, 3: nobody asks what that is."""
    counted = cells.numbers == cells.whole == 1 and cells.least == 1 and cells.most == cells.filled == cells.distinct
    return found.match.main == "athlete" and counted


def about_words(table: TextTable, one: Heading, column: str, cells: Evidence, answers: LayoutOptions) -> list[Question]:
    """Ask what each word of a rating means that nothing says: '😀', 'a bit', 'heavy'."""
    shape = table_shape("session" if column in EFFORTS else "checkin").columns.get(column)
    if shape is None or cells.distinct > MOST_WORDS:
        return []
    least, most = int(shape.least or 0), int(shape.most or 0)
    asked = []
    for text in cells.texts:
        about = f"{one.text}: {text}"
        known = rating_of(text) is not None and column in ONE_TO_FIVE
        if any(char.isdigit() for char in text) or known or about in answers.words:
            continue
        asked.append(
            _question(
                table, "words", about, f"'{text}' under '{one.text}': which number from {least} to {most} is it?",
                [(str(number), _meaning(number, column, least, most)) for number in range(least, most + 1)],
                rows=cells.filled, cells=cells.texts[:EXAMPLES],
            )
        )  # fmt: skip
    return asked


def _meaning(number: int, column: str, least: int, most: int) -> str:
    best = least if column in NONE_TO_TEN else most
    worst = most if best == least else least
    if column in EFFORTS:
        return {least: "rest", most: "maximal"}.get(number, str(number))
    return {best: "the best answer", worst: "the worst answer"}.get(number, str(number))
