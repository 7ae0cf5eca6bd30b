"""Layouts: what a sheet is, proposed as a reading; and text cells moved under the columns of the record as a
reading says.
"""

from pipelines.errors import NotUnderstood
from pipelines.layouts.obey import obey
from pipelines.layouts.reading.answered import as_answered, is_understood
from pipelines.layouts.reading.propose import propose
from pipelines.layouts.sheets.cards import card_turned
from pipelines.layouts.sheets.header_rows import settle
from pipelines.layouts.sheets.keyed_blocks import keyed_blocks
from pipelines.layouts.sheets.people_over_days import people_over_days
from pipelines.layouts.sheets.person_above import with_person_above
from pipelines.layouts.sheets.person_in_corner import with_person_in_corner
from pipelines.layouts.sheets.turning import filled_down, turned
from pipelines.layouts.text.diary import diary
from pipelines.layouts.text.notes import noted, with_names_of_notes
from pipelines.layouts.text.pasted_results import pasted_results
from pipelines.layouts.text.phase_lines import phase_lines
from pipelines.layouts.text.week_lines import week_lines
from pipelines.layouts.words.titled import with_person_of_title
from schemas.intake import Cells, LaidOut, LayoutOptions, NotRead, Part, TextTable, fingerprint
from schemas.reading import Block, block_from_told, reading_key

__all__ = ["Cells", "LaidOut", "LayoutOptions", "NotUnderstood", "Part", "is_understood", "lay_out", "plain_tables"]

NOBODY: frozenset[str] = frozenset()


def plain_tables(
    table: TextTable, known: frozenset[str] = NOBODY, options: LayoutOptions | None = None
) -> list[TextTable]:
    """Return the plain tables of a sheet: blocks apart, columns of people and days made rows, each with its header.

    Args:
        table: A sheet as it was read.
        known: Names of the people who are known, folded.
        options: Answers, of which some say that columns are people or days.
    """
    made = _plain_tables(table, known)
    return made if options is None else [as_answered(one, options.of(fingerprint(one.header)).columns) for one in made]


def _plain_tables(table: TextTable, known: frozenset[str]) -> list[TextTable]:
    table = card_turned(week_lines(table))
    if table.written and (notes := _noted(table, known)):
        return notes
    if (own := people_over_days(table, known)) is not None:
        return [own]
    made = []
    for block in keyed_blocks(table):
        whose = with_person_of_title(with_person_above(with_person_in_corner(block, known), known), known)
        for one in turned(with_names_of_notes(whose, known), known):
            made.append(filled_down(settle(one, lambda tried: propose(tried, LayoutOptions(), known, is_trial=True))))
    return made


def _noted(table: TextTable, known: frozenset[str]) -> list[TextTable]:
    return phase_lines(table) or pasted_results(table, known) or diary(table, known) or noted(table, known)


def lay_out(
    table: TextTable, options: LayoutOptions | None = None, known: frozenset[str] = NOBODY, nth: int = 0
) -> LaidOut:
    """Move the cells of a plain table to record tables by its reading: the one that is kept, else the one proposed.

    ``nth`` counts the tables of a file under the same headers: each may have a reading of its own.

    Raises:
        NotUnderstood: Headers and cells do not say what the table holds; the message says what is missing.
    """
    options = options or LayoutOptions()
    layout = fingerprint(table.header)
    kept = options.readings.get(reading_key(layout, nth)) or options.readings.get(layout)
    if kept:
        return obey(table, kept if isinstance(kept, Block) else block_from_told(kept), options)
    said = propose(table, options, known)
    if isinstance(said, NotRead):
        what_to_do = said.what_to_do or "Give the columns headers of the template, or name the unknown ones."
        raise NotUnderstood(table.source, said.why, what_to_do, table.sheet)
    block, questions = said
    return obey(table, block, options, questions)
