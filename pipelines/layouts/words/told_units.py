"""Units that no heading gives: the one that titles, sheet or file name say, and those that cells name themselves."""

import dataclasses
import re
from collections.abc import Iterable, Sequence

from pipelines.cells.numbers import WITH_UNIT
from pipelines.layouts.words.step_keys import counts_pictures
from pipelines.layouts.words.titled import LENGTHS, TIMES_LONG, TIMES_SHORT, texts_of
from schemas.intake import Cells, Part, TextTable
from schemas.shape import table_shape
from schemas.unit_words import unit_word

MASSES = ("kilogram", "pound", "stone", "gram")
FORCES = ("newton", "kilonewton", "kilogram_force", "pound_force")
AS_FORCE = {"pound": "pound_force", "kilogram": "kilogram_force"}  # of a pull or push, where no unit of force is named
# Columns whose unit a title may say, and the units their values may have. Distances are none: '30 m fly' is no unit.
FITTING: dict[str, tuple[str, ...]] = {
    "body_mass_kg": MASSES, "load_kg": MASSES, "resistance_load_kg": MASSES, "peak_force_n": FORCES,
    "jump_height_m": LENGTHS, "jump_length_m": LENGTHS, "height_m": LENGTHS, "step_length_m": LENGTHS,
    "contact_s": TIMES_SHORT, "flight_s": TIMES_SHORT, "elapsed_s": TIMES_SHORT, "time_s": TIMES_SHORT,
    "duration_min": TIMES_LONG, "planned_min": TIMES_LONG,
}  # fmt: skip
# Units that are a unit wherever they stand; 'm', 'N', 'h', 'min', 'foot', are one in brackets or after 'in'.
PLAIN = {"kilogram", "pound", "kilonewton", "kilogram_force", "pound_force", "centimeter", "millimeter",
         "inch"}  # fmt: skip
STEP_TIMES = ("contact_s", "flight_s")
WORD = re.compile(r"[^\W\d_]+")
NUMBER_BEFORE = re.compile(r"\d[\s-]*$")  # '20 kg vest', '40 cm box': a value, and no unit of the column
PER_BEFORE = re.compile(r"(?:\bper|\bpro|\bpar|\bpor|\b[nw]\s*/)\s*$", re.I)  # 'N/kg'
IN_BEFORE = re.compile(r"\b(?:in|en|i)\s+$", re.I)


def said_units(texts: Iterable[str]) -> dict[str, str]:
    """Return the units that titles and names say: unit -> the word as written there."""
    found: dict[str, str] = {}
    for text in texts:
        for word in WORD.finditer(text):
            unit, before = unit_word(word[0]), text[: word.start()]
            if unit is None or NUMBER_BEFORE.search(before) or PER_BEFORE.search(before):
                continue
            is_preposition = word[0].lower() == "in"
            if unit not in PLAIN and unit != "newton" and word[0] != word[0].lower():  # 'Men (M)'
                continue
            inside = _bracket_around(text, word.start(), word.end())
            is_sure = (unit in PLAIN and not is_preposition) or word[0] == "ms"
            if is_sure or inside or (IN_BEFORE.search(before) and not is_preposition):
                found.setdefault(unit, word[0])
    return found


def _bracket_around(text: str, start: int, end: int) -> bool:
    """Return whether a word stands alone in brackets, or in a list of units there: '(lbs)', '(s, m)'."""
    for inside in re.finditer(r"[(\[]([^)\]]*)[)\]]", text):
        if inside.start() < start and end < inside.end():
            return all(unit_word(one) for one in re.split(r"[,;/&]", inside[1]))
    return False


def fitting(said: dict[str, str], column: str) -> dict[str, str]:
    """Return those of the said units that values of a record column may have: unit -> the word as written."""
    fits = {unit: word for unit, word in said.items() if unit in FITTING.get(column, ())}
    if column == "peak_force_n" and not fits:
        fits = {AS_FORCE[unit]: word for unit, word in said.items() if unit in AS_FORCE}
    return fits


def with_told_units(parts: Sequence[Part], table: TextTable) -> list[Part]:
    """Return parts whose columns without a unit have the one that title, tab or file name say, or what to ask.

    A heading's own unit, or a unit's word in the heading, wins; pounds and kilograms over a force are those of force.
    Each file says its title anew: a reading that is kept never carries it to another.
    """
    said = said_units(texts_of(table))
    pictures = counts_pictures(texts_of(table))
    named = _named_in_cells(parts)
    return [
        dataclasses.replace(
            part,
            cells={
                column: _told(
                    _as_force(cells, column), column, said, named.get((part.table, column, cells.header), ()), pictures
                )
                for column, cells in part.cells.items()
            },
        )
        for part in parts
    ]


def _as_force(cells: Cells, column: str) -> Cells:
    is_force = column == "peak_force_n" and cells.unit in AS_FORCE
    return dataclasses.replace(cells, unit=AS_FORCE[str(cells.unit)]) if is_force else cells


def _is_open(column: str, cells: Cells) -> bool:
    is_free = column in FITTING and cells.unit is None and not cells.unit_is_certain
    return is_free and not any(
        unit_word(word) in (*FITTING[column], *AS_FORCE) for word in WORD.findall(cells.header) if word.lower() != "in"
    )


def _told(
    cells: Cells, column: str, said: dict[str, str], in_cells: tuple[str, ...], pictures: bool | None = False
) -> Cells:
    if not _is_open(column, cells):
        return cells
    fits = fitting(said, column)
    if column in STEP_TIMES and pictures is not False and (pictures or not fits):
        return _of_pictures(cells, fits, is_counted=bool(pictures))
    if len(fits) == 1:
        ((unit, word),) = fits.items()
        return dataclasses.replace(cells, unit=unit, unit_word=word)
    if fits:
        return dataclasses.replace(cells, open_units=tuple(fits), unit_word=" and ".join(fits.values()))
    return dataclasses.replace(cells, open_units=in_cells)


def _of_pictures(cells: Cells, fits: dict[str, str], *, is_counted: bool) -> Cells:
    """Return what a title that speaks of pictures says of a time: pictures, or what to ask; 'contact in ms, flight in
    frames' does not say which of them is meant.
    """
    if fits:
        said = ", ".join(["pictures", *fits.values()])
        return dataclasses.replace(cells, open_units=(*fits, "frame"), unit_word=said)
    if is_counted:
        return dataclasses.replace(cells, unit="frame", unit_word="pictures counted")
    return dataclasses.replace(cells, open_units=("frame", "millisecond"), unit_word="pictures")


def _named_in_cells(parts: Sequence[Part]) -> dict[tuple[str, str, str], tuple[str, ...]]:
    """Return the units that cells of open columns of mass and force write themselves, where one is not the record's.

    Over all parts, for the sets of one cell stand in several. Times and lengths are left out: beside '1 h 20' a bare
    60 is minutes, and beside '182 cm' a bare 1.79 is metres.
    """
    found: dict[tuple[str, str, str], set[str]] = {}
    for part in parts:
        for column, cells in part.cells.items():
            if FITTING.get(column) not in (MASSES, FORCES) or not _is_open(column, cells):
                continue
            for text in part.frame[column].drop_nulls().unique().to_list():
                own = WITH_UNIT.fullmatch(text.strip())
                unit = unit_word(own[2]) if own is not None else None
                if unit in FITTING[column]:
                    found.setdefault((part.table, column, cells.header), set()).add(str(unit))
    plain = {column: table_shape(table).columns[column].unit for table, column, _ in found}
    return {
        key: tuple(sorted(units))
        for key, units in found.items()
        if units - {"kilogram" if plain[key[1]] == "kg" else "newton"}
    }
