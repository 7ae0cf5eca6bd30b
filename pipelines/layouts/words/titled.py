"""What titles, sheet and file name say of the values below them: one quantity, or that of columns 'L' and 'R'."""

import dataclasses
import re
from collections.abc import Sequence
from itertools import pairwise
from typing import Any

from pipelines.cells.languages import said_of
from pipelines.layouts.words.evidence import Evidence, looks_like_name, to_number
from pipelines.layouts.words.headings import TEST_SIDE_WORDS, TRIALS, Heading, read_heading, read_test, spellings
from pipelines.layouts.words.said import distances_in, find_day
from pipelines.layouts.words.step_keys import counted, key_of, keys_in, pair_in
from schemas.checkin import of_scale
from schemas.intake import TextTable
from schemas.reading import Fact
from schemas.spelling import fold
from schemas.unit_words import unit_word

BRACKETED = re.compile(r"[\(\[]([^)\]]*)[\)\]]")
TIMES_LONG, TIMES_SHORT = ("minute", "hour"), ("second", "millisecond")
LENGTHS = ("meter", "centimeter", "millimeter", "inch", "foot")
# Quantities that a whole sheet may hold, and the units their cells may have; () where they have none.
QUANTITIES: dict[str, tuple[str, ...]] = {
    "body_mass_kg": ("kilogram", "pound", "stone"), "height_m": LENGTHS, "duration_min": TIMES_LONG,
    "planned_min": TIMES_LONG, "effort_0_10": (),
    **{item.name: TIMES_LONG for item in of_scale("hours")},
    **{item.name: () for item in (*of_scale("five"), *of_scale("ten")) if item.is_judged},
    "step_length_m": LENGTHS, "contact_s": TIMES_SHORT, "flight_s": TIMES_SHORT,
}  # fmt: skip
OF_A_SESSION, MOST_EFFORT, MOST_BORG = ("duration_min", "effort_0_10"), 10.0, 20.0
STEP_VALUES = ("step_length_m", "contact_s", "flight_s")
STEP_WORDS = ("step", "steps", "schritt", "schritte", "foulee", "foulees", "pas", "paso", "pasos", "zancada",
              "zancadas", "stride", "strides", "schrittlange", "schrittlangen", "passo", "passi", "steg", "stap",
              "passen", "stappen")  # fmt: skip
SMALL_WORDS = {"the", "of", "der", "die", "das", "des", "de", "la", "le", "les", "du", "el", "los", "del", "l", "in"}
FEWEST_LETTERS = 3
# Columns of one side: what may stand beside the side, folded. Common practice, no source.
BESIDE_SIDES = {"best", "max", "peak", "side", "leg", "bein", "jambe", "pierna", "ham", "hamstring", "hams", "ischio",
                "isquio", "force", "kraft", "seite", "cote", "lado", "trial", "rep", "n", "newton", "been", "kant",
                "zijde", "kracht"}  # fmt: skip
# 'left V1', 'links Versuch 1': a letter or a word for a trial beside its number; common practice, no source.
OF_TRIALS = {*TRIALS, "v", "t"}
JUMP_WORDS = ("jump", "sprong", "sprung", "saut", "salto", "hopp")  # 'Jump 1': a trial of the test the title names
HAMS = ("hamstring", "hamstrings", "ham", "hams", "hammy", "hammies", "ischio", "ischios", "isquio", "isquios",
        "isquiotibiales", "oberschenkelruckseite", "oberschenkel", "beinbeuger", "baksida",
        "ischiocrurali", *said_of("felt", "hamstring"))  # fmt: skip
FORCES = ("force", "kraft", "fuerza", "forza", "nordic", "nordics", "ecc", "eccentric", "exzentrisch", "exzentrische",
          "excentrique", "excentrica", "newton", "n", "strength", "kracht", "excentrische", "nordique", "nordiques",
          "eccentrica", *said_of("force", "force"), *said_of("force", "eccentric"))  # fmt: skip
ECCENTRIC = ("nordic", "nordics", "ecc", "eccentric", "exzentrisch", "exzentrische", "excentrique", "excentrica",
             "nordique", "nordiques", "eccentrica", "excentrische", "excentrisch",
             *said_of("force", "eccentric"))  # fmt: skip
MOST_TIGHTNESS, LEAST_FORCE = 10.0, 40.0  # a rating is at most ten; a leg's force in newtons is more than forty


# What stands over numbers and does not say what they are, folded; common practice, no source.
VALUES = {"value", "values", "result", "results", "wert", "werte", "ergebnis", "valeur", "valeurs", "resultat",
          "resultats", "valor", "valores", "resultado", "valore", "risultato", "waarde", "varde", "verdi"}  # fmt: skip
BARE_COUNT = re.compile(r"(?:try|trial|attempt|essai|versuch|intento|poging|prova|forsok)? ?\d{1,2}")
WORD_OF_TITLE = re.compile(r"[^\W\d_]{3,}")


def texts_of(table: TextTable) -> list[str]:
    """Return what stands above a table and what names it, the nearest first."""
    titles = [" ".join(cell for cell in cells if cell) for _, cells in reversed(table.titles)]
    return [*titles, table.sheet, re.sub(r"\.[A-Za-z0-9]{1,5}$", "", table.source.rsplit("/", maxsplit=1)[-1])]


def full_name(heading: str, table: TextTable) -> str:
    """Return a heading that says nothing alone ('Left', 'R 2', 'Value', 'Try 1') with the title above it: 'Seated
    twist, N: Left'; any other as it is, and all where no title has words or it may be of a person.
    """
    bare = fold(BRACKETED.sub(" ", heading))
    if "athlete_id" in table.facts:
        return heading
    if side_of(heading) is None and bare not in VALUES and BARE_COUNT.fullmatch(bare) is None:
        return heading
    titles = [" ".join(cell for cell in cells if cell) for _, cells in reversed(table.titles)]
    worded = [text.strip() for text in titles if WORD_OF_TITLE.search(text.replace(find_day(text) or "\n", " "))]
    worded = [text for text in worded if not (looks_like_name(text) and text == text.title())]
    return f"{worded[0]}: {heading}" if worded else heading


def value_heading(table: TextTable, places: Sequence[int] = ()) -> str | None:
    """Return the heading of what stands below days or people, from the title, the sheet and the file; None if
    unsaid.

    Args:
        table: The sheet.
        places: Its columns of values, which tell minutes from effort where a title names both.
    """
    for text in texts_of(table):
        distances = distances_in(text)
        if len(distances) == 1:
            return distances[0]
        both = _minutes_and_effort(text)
        found = _one_of(both, table, places) if len(both) > 1 else test_in(text) or quantity_in(text)
        if found is not None:
            return found
    return None


def _minutes_and_effort(text: str) -> dict[str, str]:
    """Return how a title spells minutes and effort, those of the two that it names: 'min and RPE of each'."""
    words = [word for word in fold(BRACKETED.sub(" ", text)).split() if word not in SMALL_WORDS]
    found: dict[str, str] = {}
    for size in (1, 2, 3):
        for begin in range(len(words) - size + 1):
            phrase = " ".join(words[begin : begin + size])
            for name in spellings().get(phrase, ())[:1]:
                if name in OF_A_SESSION:
                    found[name] = phrase
    return found


def _one_of(both: dict[str, str], table: TextTable, places: Sequence[int]) -> str | None:
    """Return which of minutes and effort the columns of values hold; None where it cannot be told.

    It is the one that has no column of its own. Where neither has, nobody's session takes ten minutes at most, and no
    effort is above twenty (Borg, 1970); what lies between may be either.
    """
    own = {name for text in table.header if text for name in read_heading(0, text).names[:1]}
    left = [name for name in OF_A_SESSION if name not in own]
    if len(left) == 1:
        return both[left[0]]
    cells = [cell for place in places if f"c{place}" in table.rows.columns for cell in table.rows[f"c{place}"]]
    numbers = [number for cell in cells if cell and (number := to_number(cell)) is not None]
    if not numbers or not left:
        return None
    if max(numbers) <= MOST_EFFORT:
        return both["effort_0_10"]
    return both["duration_min"] if max(numbers) > MOST_BORG else None


def two_headings(table: TextTable) -> tuple[str, str] | None:
    """Return the two quantities that a title names around a stroke, 'Minutes / effort'; None where none does."""
    for text in texts_of(table):
        parts = [quantity_in(part) for part in text.split("/")]
        for one, other in pairwise(parts):
            if one is not None and other is not None and one != other:
                return one, other
    return None


def _unit_in(text: str) -> str:
    said = [inside for inside in BRACKETED.findall(text) if unit_word(inside)]
    if said:
        return said[0]
    last = re.search(r"\bin (cm|m|mm|kg|lbs?|min|minutes|inches|newton|n)\b", text, re.I)
    return last[1] if last else ""


def test_in(text: str) -> str | None:
    """Return the one test that a text names, spelled as there, with its unit; the longest spelling counts."""
    words = [word for word in fold(BRACKETED.sub(" ", text)).split() if unit_word(word) is None]
    for size in (3, 2, 1):
        for begin in range(len(words) - size + 1):
            phrase = " ".join(words[begin : begin + size])
            if read_test(0, phrase) is not None:
                unit = _unit_in(text)
                return f"{phrase} ({unit})" if unit else phrase
    return None


def quantity_in(text: str) -> str | None:
    """Return the one quantity that a title names, spelled as there, with its unit; the longest spelling counts."""
    words = [word for word in fold(BRACKETED.sub(" ", text)).split() if word not in SMALL_WORDS]
    unit = _unit_in(text)
    for size in (4, 3, 2, 1):
        for begin in range(len(words) - size + 1):
            phrase = " ".join(words[begin : begin + size])
            if len(phrase) < FEWEST_LETTERS and phrase != "bw":
                continue
            said = spellings().get(phrase) or spellings().get(re.sub(r"(?<=[a-z]{3})s$", "", phrase), ())
            named = [name for name in said if name in QUANTITIES]
            if unit:
                named = [name for name in named if not QUANTITIES[name] or unit_word(unit) in QUANTITIES[name]]
            if any(name in STEP_VALUES for name in named) and not set(words) & set(STEP_WORDS):
                continue
            if named:
                spelled = phrase if spellings().get(phrase) else phrase.removesuffix("s")
                return f"{spelled} ({unit})" if unit else spelled
    return None


# What somebody is called whom a title names and whose the rows are not; common practice, no source
OF_STAFF = re.compile(
    r"(?<![^\W\d_])(?:coach\w*|trainer\w*|tester\w*|test leader|time ?keeper\w*|timer|timed|starter|measured|recorded"
    r"|written|filled in|sheet|(?:hand[ -]?)?timed|zeitnehmer\w*|zeitnahme|gestoppt|gemessen|erfasst|betreuer\w*"
    r"|entra[iî]neur\w*|chronom[ée]tr\w*|mesur[ée]e?s?|saisi\w*|entrenador\w*|cronometrad\w*|cronometrist\w*"
    r"|medid[oa]s?|allenat\w*|cronometrat\w*|misurat\w*|treinador\w*|tr[äe]nare|tidtag\w*|tidtak\w*|tijdwaarnemer"
    r"|opgemeten|geklokt)(?![^\W\d_])\s*(?:by|von|durch|par|por|da|door|av|af)?[\s:;,(–-]*$", re.I,
)  # fmt: skip


def with_person_of_title(table: TextTable, known: frozenset[str]) -> TextTable:
    """Return a table without a column of people as that of the one known person whose full name its titles, sheet or
    file say: 'Rehab log - Cleo Sandys'.
    """
    if "athlete_id" in table.facts or not known or any(
        set(read_heading(0, text).names) & {"athlete_id", "display_name", "first_name"} for text in table.header if text
    ):  # fmt: skip
        return table
    found: dict[str, str] = {}
    for text in texts_of(table):
        words = [word for word in re.split(r"[^\w'’-]+|_", text) if word.strip("-")]
        for size in (2, 3, 4):
            for begin in range(len(words) - size + 1):
                name = " ".join(words[begin : begin + size])
                if fold(name) in known and not OF_STAFF.search(text.partition(name)[0]):
                    found[fold(name)] = name
    if len(found) != 1:
        return table
    return dataclasses.replace(table, facts={**table.facts, "athlete_id": Fact(found.popitem()[1], "title")})


# --- columns that a title names --------------------------------------------------------------------------------------


def side_of(text: str) -> tuple[str, int | None] | None:
    """Return the side a heading names, and which of its kind it is: 'Left (N)', 'L 2', 'Gauche'; None for others."""
    words = [word for word in fold(BRACKETED.sub(" ", text)).split() if unit_word(word) != "newton"]
    words = [part for word in words for part in re.findall(r"[a-z#%°]+|\d+", word)]
    number = next((int(word) for word in words if word.isdigit() and len(word) == 1), None)
    left = [word for word in words if not word.isdigit() and word not in BESIDE_SIDES]
    if number is not None and len(left) > 1:  # 'left V1', 'links Versuch 1': the word is that of a trial
        left = [word for word in left if word not in OF_TRIALS]
    if len(left) != 1:
        return None
    side = next((name for name in ("l", "r") if left[0] in TEST_SIDE_WORDS[name]), None)
    return None if side is None else (side, number)


def with_sides(headings: Sequence[Heading], table: TextTable, seen: dict[int, Evidence]) -> list[Heading]:
    """Name columns 'L' and 'R' by what titles, sheet and file say of them: a test of force, or how tight they feel.

    Where those say hamstring and nothing else, the cells decide: no rating is above ten, no force in newtons so small.
    """
    sided = {one.place: said for one in headings if _is_open(one) and (said := side_of(one.text)) is not None}
    both = [sum(1 for one, _ in sided.values() if one == side) for side in ("l", "r")]
    if both[0] != both[1] or not sided:
        return list(headings)
    words = set(fold(" ".join(texts_of(table))).split()) | {word for one in headings for word in fold(one.text).split()}
    cells = [seen[place] for place in sided]
    most = max((one.most for one in cells), default=0.0)
    is_force = most >= LEAST_FORCE
    named = next((told for text in texts_of(table) if (told := test_in(text)) is not None), None)
    test = read_test(0, named) if named is not None else None
    if is_force and test is not None and test.names == ("peak_force_n",):
        kind = dict(test.at).get("test", "")
    elif is_force and words & set(ECCENTRIC):
        kind = "eccentric_hamstring"
    elif not is_force and words & set(HAMS) and not words & set(FORCES) and most <= MOST_TIGHTNESS:
        return [
            dataclasses.replace(one, names=(f"hamstring_tightness_{sided[one.place][0]}",))
            if one.place in sided and sided[one.place][1] is None else one for one in headings
        ]  # fmt: skip
    else:  # 'L1 L2 R1 R2' are two sides, and never lengths of steps
        return [
            dataclasses.replace(one, names=(), number=None) if one.place in sided and one.names else one
            for one in headings
        ]  # fmt: skip
    made: list[Heading] = []
    for one in headings:
        if one.place in sided:
            side, number = sided[one.place]
            unit = one.unit or (test.unit if test is not None else None)
            at = (("test", kind), ("side", side))
            meant: dict[str, Any] = {"names": ("peak_force_n",), "at": at, "unit": unit, "number": number}
            made.append(dataclasses.replace(one, **meant, run_no=None, loose=()))
        else:
            made.append(one)
    return made


def with_keys(headings: Sequence[Heading], table: TextTable) -> list[Heading]:
    """Name columns 'C1', 'V1', 'C2' by the key a title gives of their letters, or by their letters where the cells
    agree; one that stands once is no row of steps.
    """
    keys = {letter: column for text in reversed(texts_of(table)) for letter, column in keys_in(text).items()}
    if not keys:
        keys = pair_in({one.text: _numbers_below(one, table) for one in headings if counted(one.text) is not None})
    said = {one.place: told for one in headings if (told := key_of(one.text, keys)) is not None}
    if len(said) < 2 or len(set(said.values())) < len(said):
        return list(headings)
    return [
        Heading(one.place, one.text, (said[one.place][0],), one.unit, number=said[one.place][1])
        if one.place in said else one
        for one in headings
    ]  # fmt: skip


def _numbers_below(one: Heading, table: TextTable) -> list[float]:
    cells = table.rows[f"c{one.place}"].head(MOST_LOOKED_AT).drop_nulls()
    return [number for cell in cells if (number := to_number(cell)) is not None]


MOST_LOOKED_AT = 500  # rows of a long sheet; own choice
TIMED = re.compile(r"[^\W\d_]+ ?\d{1,2}")  # a word and a number, without a unit: 'T1', 'tempo 2'


def with_counted(headings: Sequence[Heading], table: TextTable | None = None) -> list[Heading]:
    """Take numbers that count from one, also over again ('1', '2', '1', '2'), for runs and not for gates.

    'T1', 'T2' likewise where a column beside them says how far: no gates stand a metre apart from the first metre on
    (common practice, no source); or where a title names a test, whose trials they are. Where none does they may be
    gates or runs, and mean nothing before that is said.
    """
    bare = [one for one in headings if one.is_bare_number and one.gate_m is not None]
    timed = [one for one in headings if one.gate_m is not None and TIMED.fullmatch(fold(one.text))]
    is_far_said = any("distance_m" in one.names[:1] for one in headings)
    named = value_heading(table) if table is not None and timed and not is_far_said else None
    is_of_test = named is not None and read_test(0, named) is not None
    for some, are_runs in ((bare, True), (timed, is_far_said or is_of_test)):
        said = {one.gate_m for one in some}
        if len(some) < 2 or said != {float(n) for n in range(1, len(said) + 1)}:
            continue
        number = {one.place: int(one.gate_m or 0) if are_runs else None for one in some}
        return [
            dataclasses.replace(one, gate_m=None, is_bare_number=False, run_no=number[one.place])
            if one.place in number else one
            for one in headings
        ]  # fmt: skip
    return list(headings)


def _is_open(one: Heading) -> bool:
    return not one.at and one.gate_m is None and not one.is_exact and (
        not one.names or set(one.names) & {"step_length_m", "side", "rep_no"} != set()
    )  # fmt: skip


def with_value_of_title(headings: Sequence[Heading], table: TextTable) -> list[Heading]:
    """Name columns of trials, steps and turned values by the test or the quantity that the title names."""
    trials = [one for one in headings if one.run_no is not None and one.gate_m is None]
    values = [one for one in headings if one.text == "value" and not one.names]
    steps = [one for one in headings if one.number is not None and not set(one.names) - {"step_no"} and not one.at]
    jumps = [
        one for one in headings
        if one.number is not None and set(one.names) <= {"test"} and fold(one.text).split()[0] in JUMP_WORDS
    ]  # fmt: skip
    if not trials and not values and not steps and not jumps:
        return list(headings)
    named = value_heading(table)
    if named is None:
        return list(headings)
    test, quantity = read_test(0, named), read_heading(0, named)
    made = []
    for one in headings:
        if test is not None and (one in trials or one in values or one in jumps):
            made.append(dataclasses.replace(test, place=one.place, text=one.text, number=one.run_no or one.number))
        elif one in steps and set(quantity.names) & set(STEP_VALUES):
            of_step = tuple(name for name in quantity.names if name in STEP_VALUES)
            made.append(dataclasses.replace(one, names=of_step, unit=one.unit or quantity.unit))
        else:
            made.append(one)
    return made
