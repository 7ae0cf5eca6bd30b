"""Questions that a layout leaves open: the day, whose rows, a scale, columns that no table has. With the cells
they are about.
"""

import re

from pipelines.cells.done import says_done
from pipelines.cells.ratings import EFFORTS, NONE_TO_TEN, ONE_TO_FIVE
from pipelines.cells.spoken import rating_of
from pipelines.layouts.reading import sleds
from pipelines.layouts.reading.block_names import block_of
from pipelines.layouts.reading.meanings import (
    alike,
    completed,
    further_meanings,
    likely_meanings,
    needed_beside,
    other_meanings,
    title_of,
)
from pipelines.layouts.reading.no_home import is_hurdled
from pipelines.layouts.reading.own_runs import runs_in_doubt
from pipelines.layouts.rows.not_done import LOGS
from pipelines.layouts.rows.sheet_shape import SheetShape
from pipelines.layouts.words.contacts import are_contacts
from pipelines.layouts.words.evidence import Evidence
from pipelines.layouts.words.headings import Heading, read_heading
from pipelines.layouts.words.said import days_it_may_be
from pipelines.layouts.words.scales import SaidScale
from pipelines.layouts.words.stamps import STAMP
from pipelines.layouts.words.titled import texts_of
from schemas.intake import EVERYBODY, GROUPS, LayoutOptions, Question, TextTable, fingerprint
from schemas.reading import NOT_USED, Fact
from schemas.shape import table_shape
from schemas.spelling import fold

EXAMPLES = 5
MAXIMUM = re.compile(r"(?:^| |e|est)1 ?rm\b|\b1 ?rep max|\bone rep max")  # folded: 'e1RM', 'Squat 1 RM', 'est 1RM'
SHOWN_TITLES = 2  # nearest above a block
SHOWN_CELLS = 3  # in the question of a column; own choice
NEAR_ENOUGH = 0.5  # of the cells, for a column to be one of names; own choice
MOST_WORDS = 9  # different words of a rating that are asked for


def _question(
    table: TextTable, ask: str, about: str, sentence: str, answers: list[tuple[str, str]], *, holds_rows: bool = True,
    is_free: bool = False, rows: int | None = None, cells: tuple[str, ...] = (),
    more: tuple[tuple[str, str], ...] = (),
) -> Question:  # fmt: skip
    return Question(
        layout=fingerprint(table.header), ask=ask, about=about, sentence=sentence, answers=tuple(answers),
        rows=table.rows.height if rows is None else rows, holds_rows=holds_rows, header=tuple(table.header),
        source=table.source, sheet=table.sheet, is_free=is_free, cells=cells, more=more,
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
        why = "What its titles say does not settle it."
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
        answers.append((GROUPS, f"the rows hold for everybody of the group named above them, here '{said.text}'"))
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


def about_columns(table: TextTable, found: SheetShape, seen: dict[int, Evidence]) -> list[Question]:
    """Ask what columns are that no table has; unanswered, nothing is taken from them."""
    asked: list[Question] = []
    for one in found.match.ignored:
        cells = seen.get(one.place)
        if cells is None or cells.is_empty or not one.text or _numbers_lines(cells, found):
            continue
        is_done = found.match.main in LOGS and says_done(one.text, cells.texts)
        if one.names == (STAMP,) or is_done or (not one.is_told and are_contacts(one.text, cells.texts)):
            continue  # rows that were not done are set aside by the one that says it
        if found.shape == "others" and one.names[:1] == ("side",) and not one.is_told:
            continue  # it says which side of what the columns beside it turn out to be
        shown = ", ".join(f"'{text}'" for text in cells.texts[:SHOWN_CELLS])
        sentence = f"What is '{one.text}'? It holds {shown}. Nothing is taken from it until you say."
        if MAXIMUM.search(fold(one.text)):
            sentence += (
                " A maximum for one repetition, computed elsewhere or lifted on a day of its own, can be kept beside: "
                "it is never counted among lifted sets."
            )
        completing: list[tuple[str, str]] = []
        if one.is_told:
            was = f"{one.names[0].replace('_', ' ')}" if one.names else "what was said"
            needs = needed_beside(one, found)
            completing = completed(one, needs)
            because = f"{title_of(one.told_table)} also need {needs}: answer which column that is" if needs else (
                f"{title_of(found.match.main)} have no place for it"
            )  # fmt: skip
            sentence = f"'{one.text}' was said to be {was}, and {because}. {sentence}"
        if any(one.text == other.about for other in asked):  # a heading that stands twice has one answer
            continue
        several = alike(one, found, texts_of(table))
        if several is not None and one is not several[2][0] and not one.is_told:
            continue  # asked once, with the first of them
        named = [other.place for other in found.match.ignored
                 if other.place in seen and seen[other.place].names >= NEAR_ENOUGH]  # fmt: skip
        likely = likely_meanings(one, cells, found, is_first_name=one.place == min(named, default=one.place))
        if several is not None:
            likely.insert(0, several[:2])
        if (far := read_heading(0, one.text).gate_m) is not None and not one.is_told and is_hurdled(table):
            likely.insert(0, (f"{far:g} m", f"a time over {far:g} m on the flat, without hurdles"))
            sentence += " Above it hurdles are named, and the record keeps no training runs over hurdles."
        if either := _either(one, cells, found, table):
            likely, why = either
            sentence += why
        kept = [("other_measure", "kept as it is: exported, drawn, never judged")] if cells.numbers >= 0.5 else []
        more = further_meanings(one, cells, found, likely)
        rest = other_meanings(one, cells, found, [*likely, *more])
        if not (likely or kept or more or rest) and found.shape != "others" and not one.is_told:
            continue  # one choice is no question: that nothing is taken from it is said
        asked.append(
            _question(
                table, "columns", one.text,
                sentence,
                [*completing, *likely, *kept, *more, (NOT_USED, "nothing is taken from it")],
                holds_rows=found.shape == "others" and not found.others, is_free=True, rows=cells.filled,
                cells=cells.texts[:EXAMPLES], more=tuple(rest),
            )
        )  # fmt: skip
    return asked


def _either(
    one: Heading, cells: Evidence, found: SheetShape, table: TextTable
) -> tuple[list[tuple[str, str]], str] | None:
    """Return the two meanings of a column of which only the coach can know, and why; None for others."""
    own_runs = runs_in_doubt(table)
    if one.text in own_runs and not one.is_told:
        far = read_heading(0, one.text).gate_m
        own = (f"{far:g} m run {own_runs[one.text]}", f"a run of its own over {far:g} m")
        gate = (f"{far:g} m", f"the time at {far:g} m of one run, with the other distances beside it")
        return [own, gate], " Its distances may be gates of one run, or a run each."
    if not one.names and found.match.main in ("rep", "split") and sleds.is_in_doubt(one, cells, table):
        return list(sleds.MEANINGS), ""
    return None


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
