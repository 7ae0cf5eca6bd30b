"""Questions that a layout leaves open: the day, whose rows, a scale, columns that no table has. With the cells
they are about.
"""

from pipelines.cells.ratings import EFFORTS, NONE_TO_TEN, ONE_TO_FIVE
from pipelines.cells.spoken import rating_of
from pipelines.layouts.evidence import Evidence
from pipelines.layouts.headings import Heading
from pipelines.layouts.scales import SaidScale
from pipelines.layouts.sheet_shape import SheetShape
from schemas.intake import LayoutOptions, Question, TextTable, fingerprint
from schemas.reading import NOT_USED
from schemas.shape import table_shape

EXAMPLES = 5
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


def place_of(table: TextTable) -> str:
    """Return how an answer for one sheet of one file names it."""
    return f"{table.source} › {table.sheet}" if table.sheet else table.source


def about_day(table: TextTable, main: str) -> Question:
    """Ask on which day the rows of a sheet were measured."""
    title = next((" ".join(cell for cell in cells if cell) for _, cells in table.titles), "")
    what = "were weight and height measured" if main == "athlete" else "was this"
    said = f" The title says '{title}'." if title else ""
    return _question(
        table, "days", place_of(table), f"On which day {what}? Neither a column nor a title nor a name says it.{said}",
        [("2026-10-03", "a day, as year-month-day")], is_free=True, holds_rows=main != "athlete",
    )  # fmt: skip


def about_who(table: TextTable) -> Question:
    """Ask whose rows they are where no column names athletes."""
    return _question(
        table, "who", "", "Whose rows are these? No column names an athlete.",
        [("everybody", "each row holds for everybody on the roster"), ("name", "the name of one athlete")],
        is_free=True,
    )  # fmt: skip


def about_scale(table: TextTable, one: Heading, said: SaidScale, cells: Evidence) -> Question:
    """Ask for the ends of a scale and which of them is good."""
    shown = ", ".join(cells.texts[:EXAMPLES])
    if said.least is not None and said.most is not None:
        ends = [(said.least, said.most)]
    else:
        top = 5 if cells.most <= 5 else 7 if cells.most <= 7 else 10 if cells.most <= 10 else 100
        least = [0, 1] if cells.least <= 0 else [1, 0]
        ends = [(float(low), float(high)) for high in dict.fromkeys((top, 10)) for low in least if high >= top]
    answers = []
    for low, high in ends:
        answers += [
            (f"{low:g} to {high:g}, {high:g} is good", f"from {low:g} to {high:g}; {high:g} is the good end"),
            (f"{low:g} to {high:g}, {low:g} is good", f"from {low:g} to {high:g}; {low:g} is the good end"),
        ]
    return _question(
        table, "scales", one.text,
        f"'{one.text}' ({shown}): which are the ends of the scale, and which end is good? Nothing says it.",
        answers, is_free=True, rows=cells.filled, cells=cells.texts[:EXAMPLES],
    )  # fmt: skip


def about_columns(table: TextTable, found: SheetShape, seen: dict[int, Evidence]) -> list[Question]:
    """Ask what columns are that no table has; unanswered, nothing is taken from them."""
    asked = []
    for one in found.match.ignored:
        cells = seen.get(one.place)
        if cells is None or cells.is_empty or not one.text:
            continue
        shown = ", ".join(cells.texts[:EXAMPLES])
        asked.append(
            _question(
                table, "columns", one.text, f"What is '{one.text}' ({shown})? Nothing is taken from it.",
                [(NOT_USED, "nothing is taken from it"),
                 ("other_measure", "kept as it is: exported, drawn, never judged"),
                 ("session.note", "a column of ours, as table.column")],
                holds_rows=False, is_free=True, rows=cells.filled, cells=cells.texts[:EXAMPLES],
            )
        )  # fmt: skip
    return asked


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
