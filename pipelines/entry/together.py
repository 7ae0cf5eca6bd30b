"""Files given together: what one leaves open another may settle, and who they name is looked at as one list."""

import dataclasses
import difflib
import re
from collections.abc import Iterator, Mapping

import polars as pl

from pipelines.cells import dates
from pipelines.cells.phrases import tells
from pipelines.checks.names import is_no_name
from pipelines.intake.passage import Given
from schemas.intake import SQUAD, LaidOut
from schemas.shape import table_shape
from schemas.spelling import fold

MOST_NAMES = 2000  # different names of a file that are looked at
SLIP = 0.85  # of the letters in order that two words share, for one to be a slip of the other; own choice
SLASHED = re.compile(r"\d{1,2}\s*[/-]\s*\d{1,2}\s*[/-]\s*\d{2,4}.*")


def settled(given: Mapping[int, Given], known: frozenset[str]) -> dict[int, Given]:
    """Return files given together with what they settle for each other.

    A '13/9/2026' in one says for all of them that the day stands first, where none says the other; a roster among them
    tells the others who is who; a name that none of them can place is looked at by all.
    """
    made = _with_roster(dict(given), known)
    of_all = _order(made)
    others = _others(made, known)
    for place, one in made.items():
        laid = one.laid
        told = one.options
        order = _order({place: one}) or of_all  # a file settles its own sheets before others do
        if order is not None:
            laid = [_in_order(sheet, order) for sheet in laid]
            open_ = {
                sheet.layout for sheet in one.laid
                if sheet.options.date_order is None and not sheet.days_differ and _dates_of(sheet)
            }  # fmt: skip
            layouts = {**told.layouts, **{name: {**told.layouts.get(name, {}), "date_order": order} for name in open_}}
            told = dataclasses.replace(told, layouts=layouts)
        made[place] = dataclasses.replace(one, laid=laid, options=dataclasses.replace(told, others=others))
    return made


def _in_order(sheet: LaidOut, order: dates.Order) -> LaidOut:
    if sheet.options.date_order is not None or sheet.days_differ:
        return sheet
    return dataclasses.replace(sheet, options=dataclasses.replace(sheet.options, date_order=order))


def _dates_of(sheet: LaidOut) -> list[str]:
    """Return the different texts of a sheet that are days written with slashes or hyphens."""
    found: dict[str, None] = {}
    for part in sheet.parts:
        shape = table_shape(part.table)
        for name in part.cells:
            if name in shape.columns and shape.columns[name].dtype == pl.Date and name in part.frame.columns:
                said = part.frame[name].drop_nulls().unique()
                found |= dict.fromkeys(
                    text for text in said.head(MOST_NAMES).to_list() if SLASHED.fullmatch(text.strip())
                )
        if part.is_main:
            break
    return list(found)


def _order(given: Mapping[int, Given]) -> dates.Order | None:
    """Return the order that some of the files tell by their own days and none contradicts; None where none does."""
    told = set()
    for one in given.values():
        for sheet in one.laid:
            texts = [] if sheet.days_differ else _dates_of(sheet)
            order = dates.find_order(texts) if texts else None
            if order is not None:
                told.add(order)
    return told.pop() if len(told) == 1 else None


def names_of(sheet: LaidOut) -> Iterator[str]:
    """Yield the different names of athletes that a sheet writes."""
    for part in sheet.parts:
        column = "athlete_id" if "athlete_id" in part.frame.columns else "display_name"
        if column in part.frame.columns:
            yield from part.frame[column].drop_nulls().unique().head(MOST_NAMES).to_list()
            return


def _rosters(given: Mapping[int, Given]) -> list[str]:
    return [
        name for one in given.values() for sheet in one.laid
        if any(part.table == "athlete" for part in sheet.parts) for name in names_of(sheet)
    ]  # fmt: skip


def _called(given: Mapping[int, Given]) -> list[str]:
    """Return what the rosters among the files say that people are called, and their codes."""
    return [
        name for one in given.values() for sheet in one.laid for part in sheet.parts
        for column in ("call_name", "code") if part.table == "athlete" and column in part.frame.columns
        for name in part.frame[column].drop_nulls().unique().head(MOST_NAMES).to_list()
    ]  # fmt: skip


def _with_roster(given: dict[int, Given], known: frozenset[str]) -> dict[int, Given]:
    """Lay out again what was not understood or has people as columns, once a roster among the files tells who
    there is.
    """
    named = frozenset(fold(name) for name in (*_rosters(given), *_called(given))) - known
    if not named:
        return given
    from pipelines.intake.passage import read_given

    for place, one in given.items():
        if one.kind != "file" or not (one.problem or one.waits_for_names):
            continue
        again = read_given(one.name, one.content, one.options, one.kind, known=known | named)
        given[place] = dataclasses.replace(again, options=one.options)
    return given


def _others(given: Mapping[int, Given], known: frozenset[str]) -> list[str]:
    """Return the names of all files that are nobody's of the record, the folder's own rosters left out."""
    listed = {fold(name) for name in _rosters(given)}
    shared = {word for name in (*listed, *known) for word in name.split() if len(word) > 2}
    found: dict[str, None] = {}
    for one in given.values():
        answered = {*one.options.athletes, *one.options.layouts.get(SQUAD, {}).get("athletes", {})}
        for sheet in one.laid:
            for name in names_of(sheet):
                folded = fold(name)
                if tells(name):  # a remark says nothing of who else there is
                    continue
                words = {word for word in folded.split() if len(word) > 2}
                is_new = len(words) > 1 and words & shared and folded not in listed and folded not in known
                is_new = is_new and not is_no_name(name) and not _lists_several(name)
                if is_new and name.strip() not in answered and not _is_short_or_slip(words, {*listed, *known}):
                    found.setdefault(" ".join(name.split()))
    return sorted(found) if len(found) <= MOST_NAMES else []


def _lists_several(name: str) -> bool:
    """Return whether a text lists several people, a relay's 'Vale I (Ana, Bea, Cleo)' or 'Ana/Bea': it is nobody's
    name, and leaves each of them the only one of that first name.
    """
    return name.count(",") > 1 or re.search(r"[/&+;]", name) is not None


def _is_short_or_slip(words: set[str], full: set[str]) -> bool:
    """Return whether a name is a part of one full name, or nearly so: 'Iker Zubeldia', 'Iker Zubelda' of a longer one.

    Such a name speaks for nobody else, so that a first name alone is still the one person's.
    """
    near = {
        name for name in full
        if all(any(difflib.SequenceMatcher(None, word, own).ratio() >= SLIP for own in name.split()) for word in words)
    }  # fmt: skip
    return len({" ".join(sorted(name.split())) for name in near}) == 1
