"""Columns that only count, 'C1 C2 C3', 'V1 [s]', '1er passage': gates where a title says how they stand, else runs."""

import dataclasses
import re
from collections.abc import Sequence
from statistics import median

from pipelines.layouts.words.evidence import to_number
from pipelines.layouts.words.headings import Heading
from pipelines.layouts.words.said import distances_in
from pipelines.layouts.words.titled import texts_of
from schemas.intake import TextTable
from schemas.speeds import FASTEST_MPS
from schemas.spelling import fold
from schemas.unit_words import unit_word

FEWEST = 2
SAMPLE = 60  # rows looked at
SLOWEST_RUN_MPS = 3.0  # of a whole run; a part of it said to be all of it is faster or slower; own choice
YARD_M = 0.9144  # exact; international yard, 1959 (from memory)
BRACKETED = re.compile(r"[\(\[]([^)\]]*)[\)\]]")
WORD_FIRST = re.compile(r"([a-z]+) ?(\d{1,2})")
NUMBER_FIRST = re.compile(r"(\d{1,2})(?:er|re|ere|e|eme|st|nd|rd|th|o|a)? ([a-z]+)")
FIRST = r"(?:first|1st|1|erste[rn]?|1te|1re|1ere|premiere|primera|1a|prima|eerste|1e|forsta|forste)"
GATE = (
    r"(?:gates?|beams?|lichtschranken?|schranken?|cellules?|portes?|fotocelulas?|celulas?|fotocellul[ae]|cellul[ae]"
    r"|poort(?:en|jes?)?|lichtpoort(?:en|jes?)?|fotocell(?:er)?)"
)
THEN = r"(?:then|puis|ensuite|dann|danach|luego|despues|poi|daarna|sedan|deretter)"
EVERY = r"(?:every|each|tous les|toutes les|alle|cada|ogni|om de|elke|var|hver)"
# 'first gate at 10 m, then every 10 m', '1re cellule a 5 m puis une tous les 5 m'; common practice, no source
SPACED = re.compile(
    rf"(?<![a-z0-9]){FIRST} {GATE}[^0-9]{{1,15}}(\d{{1,3}}) ?m(?:etres?|eter)?[ ,;]+(?:and |et |und |y |e )?"
    rf"{THEN} (?:[a-z]+ )?{EVERY} (\d{{1,3}}) ?m(?![a-z0-9])"
)
SPEED_UNITS = re.compile(r"(?<![a-z])(?:m\s?/\s?s(?:ec)?|km\s?/\s?h|kmh|mph)(?![a-z])")
SPEED_WORDS = re.compile(r"speed|veloc|vitesse|geschwind|snelheid|hastighe|hastighet")
GATES_SAID = re.compile(rf"(?<![a-z]){GATE}(?![a-z])")


def with_counted_of_title(headings: Sequence[Heading], table: TextTable) -> list[Heading]:
    """Name columns that only count by what a title says: the gates of a run, or runs over its one distance.

    They are gates where it says how those stand ('first gate at 10 m, then every 10 m'; gates at as many distances as
    there are columns), and the times are such as people run to them. They are runs side by side where it names one
    distance and each time is one of all of it: no part of a run is, so they are no gates of one.
    """
    counted = _counted(headings)
    if not counted or any(one.gate_m is not None for one in headings if one not in counted):
        return list(headings)
    for text in texts_of(table):
        stand = _stand(text, len(counted))
        if stand and _are_run([(one, far) for one, far in zip(counted, stand, strict=True)], table):
            gates = dict(zip((one.place for one in counted), stand, strict=True))
            return [
                Heading(one.place, one.text, (), one.unit or "s", gate_m=gates[one.place])
                if one.place in gates else one
                for one in headings
            ]  # fmt: skip
    if any({"distance_m", "event", "exercise", "test"} & {*one.names} for one in headings):
        return list(headings)
    said = next((far for text in texts_of(table) if len(far := distances_in(text)) == 1), [])
    if not said or _may_be_speeds(counted, table) or not _are_run([(one, _metres(said[0])) for one in counted], table):
        return list(headings)
    run_of = {one.place: number + 1 for number, one in enumerate(counted)}
    return [
        dataclasses.replace(one, names=(), loose=(), gate_m=None, number=None, run_no=run_of[one.place])
        if one.place in run_of else one
        for one in headings
    ]  # fmt: skip


def _counted(headings: Sequence[Heading]) -> list[Heading]:
    """Return the columns of one word that count from one, of which nothing else is known; none where there are two
    such words.
    """
    found: dict[str, list[tuple[int, Heading]]] = {}
    for one in headings:
        if (told := _number(one.text)) is not None:
            found.setdefault(told[0], []).append((told[1], one))
    rows = [some for some in found.values() if len(some) >= FEWEST]
    if len(rows) != 1 or [number for number, _ in rows[0]] != list(range(1, len(rows[0]) + 1)):
        return []
    counted = [one for _, one in rows[0]]
    is_open = all(
        not set(one.names) - {"rep_no", "trial_no"} and not one.at and not one.is_told and one.number is None
        for one in counted
    )
    units = {unit_word(said) for one in counted for said in BRACKETED.findall(one.text)}
    return counted if is_open and units <= {"second"} else []


def _may_be_speeds(counted: Sequence[Heading], table: TextTable) -> bool:
    """Return whether numbers may be how fast and not how long: a title gives such a unit, or speaks of speed above 'V'
    without a unit of time.
    """
    texts = " ".join(texts_of(table)).lower()
    is_v = all(one.text[:1] in "vV" and not BRACKETED.search(one.text) for one in counted)
    return SPEED_UNITS.search(texts) is not None or (is_v and SPEED_WORDS.search(texts) is not None)


def _number(text: str) -> tuple[str, int] | None:
    bare = fold(BRACKETED.sub(" ", text))
    if (match := WORD_FIRST.fullmatch(bare)) is not None:
        return match[1], int(match[2])
    match = NUMBER_FIRST.fullmatch(bare)
    return None if match is None else (match[2], int(match[1]))


def _stand(text: str, count: int) -> list[float]:
    """Return where a title says that so many gates stand (m); none where it does not."""
    plain = fold(text)
    if (spaced := SPACED.search(plain)) is not None:
        return [float(spaced[1]) + n * float(spaced[2]) for n in range(count)]
    far = [_metres(one) for one in distances_in(text)] if GATES_SAID.search(plain) else []
    return far if len(far) == count and far == sorted(set(far)) else []


def _metres(said: str) -> float:
    number, unit = said.split(" ")
    return float(number.replace(",", ".")) * (YARD_M if unit == "yd" else 1.0)


def _are_run(columns: Sequence[tuple[Heading, float]], table: TextTable) -> bool:
    """Return whether each column holds times in which its distance is run, from the start on."""
    for one, far in columns:
        name = f"c{one.place}"
        cells = table.rows[name].head(SAMPLE).drop_nulls().to_list() if name in table.rows.columns else []
        times = [number for cell in cells if (number := to_number(cell)) is not None and number > 0]
        if not times or not SLOWEST_RUN_MPS <= far / median(times) <= FASTEST_MPS:
            return False
    return True
