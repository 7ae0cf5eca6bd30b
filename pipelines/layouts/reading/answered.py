"""What was answered of columns, obeyed: each as the record column it was said to be, as a heading that says it, or,
where several are of a person or a day each, made rows.
"""

import dataclasses
import re
from collections.abc import Mapping, Sequence

from pipelines.layouts.reading.meanings import columns_like, day_in_heading
from pipelines.layouts.sheets.blocks import PERSON, heads, is_heard
from pipelines.layouts.sheets.groups import DayColumn, days_down
from pipelines.layouts.sheets.people import each_of
from pipelines.layouts.sheets.season import numbered_days
from pipelines.layouts.words.evidence import to_number
from pipelines.layouts.words.fitting import kinds
from pipelines.layouts.words.headings import Heading, read_heading
from pipelines.layouts.words.plan_words import names_plan
from pipelines.layouts.words.scales import ON_BOTH_SIDES
from pipelines.layouts.words.titled import texts_of, value_heading
from schemas.intake import TextTable, fingerprint
from schemas.reading import ARE_DAYS, ARE_PEOPLE, NOT_USED
from schemas.shape import all_shapes

OTHER, LENGTH = "other_measure", "jump_length_m"


def as_answered(table: TextTable, answers: Mapping[str, str]) -> TextTable:
    """Return a table in which the columns that were said to be people, or days, are rows; else as it is.

    Args:
        table: A plain table.
        answers: What was said of its columns, by header.
    """
    said = {answer for text in table.header if (answer := answers.get(text, ""))} & {ARE_PEOPLE, ARE_DAYS}
    if len(said) != 1:
        return table
    answer = said.pop()
    told = [text for text in table.header if answers.get(text) == answer]
    numbered = numbered_days(table.header, texts_of(table))
    places = columns_like(table.header, told, answer, {text for text in answers if answers[text] != answer}, numbered)
    others = [place for place in range(len(table.header)) if place not in places and table.header[place]]
    kept = [one for one in heads([table.header[place] for place in others]) if one is not None]
    if answer == ARE_PEOPLE and not any(set(one.names) & PERSON for one in kept):
        made = each_of(table, others, {table.header[place]: place for place in places})
    elif answer == ARE_DAYS and not any("date" in one.names for one in kept):
        meant = {place: numbered.get(table.header[place]) or day_in_heading(table.header[place]) for place in places}
        days = [DayColumn(place, day or "", "") for place, day in meant.items()]
        made = days_down(table, others, days, value_heading(table, places) or _of_words(table, places))
    else:
        return table
    return dataclasses.replace(made, was=(*table.was, fingerprint(table.header)))


def _of_words(table: TextTable, places: Sequence[int]) -> str:
    """Return what stands below days: words of a file that is called a plan are one, anything else is asked about."""
    cells = [cell for place in places for cell in table.rows[f"c{place}"].drop_nulls()]
    is_of_words = sum(1 for cell in cells if to_number(cell) is None) > len(cells) / 2
    return "Plan" if is_of_words and names_plan(texts_of(table)) else "value"


def is_understood(answer: str) -> bool:
    """Return whether an answer says what a column is: one of ours, people or days, or what a heading would say."""
    if answer in (NOT_USED, OTHER, ARE_PEOPLE, ARE_DAYS):
        return True
    table, _, name = answer.rpartition(".")
    shapes = all_shapes()
    if table in shapes:
        is_nobodys = all(name not in one.columns for one in shapes.values())
        is_helper = name in {*kinds(), *ON_BOTH_SIDES} or is_heard(read_heading(0, name))  # 'first_name'
        return name in shapes[table].columns or (is_nobodys and is_helper)
    return (not table and name in {*kinds(), *ON_BOTH_SIDES}) or is_heard(read_heading(0, answer))


def as_told_by(headings: Sequence[Heading], answers: Mapping[str, str]) -> list[Heading]:
    """Return headings as the coach said what a column is, two for one that is of both sides; times said of several
    columns are of runs side by side.
    """
    made = []
    said = {one.place: answers[one.text] for one in headings if answers.get(one.text)}
    times = [place for place, answer in said.items() if answer.rsplit(".", maxsplit=1)[-1] == "elapsed_s"]
    for one in headings:
        answer = said.get(one.place, "")
        name = answer if answer in (NOT_USED, OTHER) else answer.rsplit(".", maxsplit=1)[-1]
        if not name:
            made.append(one)
        elif (as_written := _as_heading(one, answer)) is not None:
            made.append(as_written)
        elif one.place in times and len(times) > 1:
            run = one.run_no or times.index(one.place) + 1
            made.append(dataclasses.replace(one, names=(), run_no=run, number=None, is_told=True))
        else:
            table = answer.rpartition(".")[0]
            made += [
                Heading(one.place, one.text, (column,), one.unit, is_told=True, told_table=table)
                for column in ON_BOTH_SIDES.get(name, (name,))
            ]
    return made


def _as_heading(one: Heading, answer: str) -> Heading | None:
    """Return a column of which was said what a heading would say of it, '30 m' or 'CMJ (cm)'; None for other answers.

    A number in its own heading is that of the trial or run, where the answer names none.
    """
    if answer in (NOT_USED, OTHER) or answer.rsplit(".", maxsplit=1)[-1] in kinds():
        return None
    meant = read_heading(one.place, answer)
    if not (meant.names or meant.gate_m is not None or meant.run_no is not None):
        return None
    number = meant.number or (one.number or one.run_no if meant.at else None)
    run_no = meant.run_no or (one.run_no or one.number if meant.gate_m is not None else None)
    return dataclasses.replace(
        meant, text=one.text, unit=meant.unit or one.unit, number=number, run_no=run_no, is_told=True,
        is_bare_number=False, is_exact=False,
    )  # fmt: skip


def as_long_jumps(headings: list[Heading]) -> list[Heading]:
    """Return columns said to be lengths of jumps as trials of the standing long jump, the one test that has a length;
    where a column names the tests of the rows it decides.
    """
    said = [one for one in headings if one.is_told and one.told_table == "jump_test" and one.names == (LENGTH,)]
    if any("test" in one.names for one in headings if one not in said):
        return headings
    made = []
    for one in headings:
        number = re.search(r"[^\W\d_]\s*(\d{1,2})$", one.text)
        trial = int(number[1]) if number is not None and int(number[1]) >= 1 else None
        jump = dataclasses.replace(one, number=trial, at=(("test", "standing_long_jump"),))
        made.append(jump if one in said else one)
    return made
