"""Columns worked out from those beside them: 'best', 'mean', 'wellness total', 'load (AU)', 'asymmetry'. Told by their
numbers, so that no value is stored twice and nobody is asked what a sum is.
"""

import dataclasses
import math
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import combinations

from pipelines.cells.ratings import EFFORTS, RATED
from pipelines.layouts.words.by_cells import PER_KILOGRAM
from pipelines.layouts.words.evidence import to_number
from pipelines.layouts.words.headings import Heading, read_heading
from pipelines.layouts.words.lines import SUMMARY_WORDS
from schemas.intake import TextTable
from schemas.spelling import fold

MOST_ROWS = 5_000  # of a table that is looked through; a longer one is an export, not a coach's sheet. Own choice
FEWEST_ROWS, FEWEST_OF_A_SHARE = 2, 3  # rows that must agree; of an asymmetry, which is written in several ways
NEARLY_ALL = 0.7  # of the rows that can be compared; in the others the numbers beside it count, and that is told
COUNTED = {str(number) for number in range(1, 10)}  # headings of trials that are nothing but their number
MOST_TRIALS, BESIDE = 12, 4  # columns that may go into one; how far left of an asymmetry its two sides may stand
VOLUMES = (("duration_min", "effort_0_10"), ("set_count", "reps", "load_kg"), ("reps", "load_kg"))
Numbers = dict[int, list[float | None]]
Made = Callable[[Sequence[float]], list[float]]  # the numbers that may stand in such a column, of a row's others

STEP_SAID = re.compile(r"\d\s*[=:]\s*[^\W\d_]")  # 'Stress (1 = none, 5 = very)': what somebody is asked
THE_SUM = "the sum of"  # alone is looked for under a heading that says nothing: it is no number of any of them


@dataclass(frozen=True)
class Found:
    """How a column is worked out, and in which rows it is that and in which something else."""

    how: str
    agree: list[int]
    against: list[int]


WAYS: dict[str, Made] = {
    "the best of": lambda given: [max(given), min(given)],
    "the mean of": lambda given: [sum(given) / len(given)],
    THE_SUM: lambda given: [sum(given)],
}


def without_sums(table: TextTable) -> TextTable:
    """Return a table without the cells that are worked out from others of their row; which they were is told.

    A column counts as worked out where its heading says so ('best', 'Mittel', 'total') or says nothing that is known,
    and where its numbers are those that come out, to the last place written, in nearly all rows that can be compared:
    the best, the mean or the sum of the columns left of it; minutes times effort; sets times repetitions times load;
    the share by which two columns differ. The heading stays, so that what was answered of the sheet holds.
    """
    if not FEWEST_ROWS <= table.rows.height <= MOST_ROWS:
        return table
    headings = {place: read_heading(place, text) for place, text in enumerate(table.header) if text}
    texts = {place: table.rows[f"c{place}"].to_list() for place in headings if f"c{place}" in table.rows.columns}
    numbers: Numbers = {place: [to_number(_bare(cell)) if cell else None for cell in cells]
                        for place, cells in texts.items()}  # fmt: skip
    empty: dict[int, list[int]] = {}
    told = []
    for place, one in headings.items():
        if not any(number is not None for number in numbers.get(place, [])) or not _may_be(one):
            continue
        found = _worked_out(one, headings, numbers, [_places(cell) for cell in texts[place]])
        if found is not None:
            empty[place] = [*found.agree, *found.against]
            told.append(f"'{one.text}' is {found.how} and is not stored a second time." + _said(found.against, table))
    if not told:
        return table
    columns = [table.rows[f"c{place}"].scatter(rows, None) for place, rows in empty.items()]
    passed = " ".join([*([table.passed] if table.passed else []), *told])
    return dataclasses.replace(table, rows=table.rows.with_columns(columns), passed=passed)


def _may_be(one: Heading) -> bool:
    """Return whether a heading leaves it open that its column is worked out."""
    if PER_KILOGRAM.search(one.text):
        return True
    if STEP_SAID.search(one.text) and not _says_so(one):
        return False
    if one.is_exact or "date" in one.names or one.phrases or (one.gate_m is not None and one.run_no is None):
        return False
    return _says_so(one) or not (one.names or one.at or one.number or one.run_no) or _may_be_a_load(one)


def _may_be_a_load(one: Heading) -> bool:
    """Return whether a heading may mean minutes times effort though it is a word for another column: 'Belastung'."""
    return bool({"load_kg", "effort_0_10"} & set(one.names))


def _says_so(one: Heading) -> bool:
    return bool(set(fold(one.text).split()) & set(SUMMARY_WORDS))


def _said(against: list[int], table: TextTable) -> str:
    if not against:
        return ""
    lines = ", ".join(str(table.rows["_line"][row]) for row in against)
    return f" In line {lines} it says something else: the numbers beside it are taken; look at them."


def _worked_out(one: Heading, headings: dict[int, Heading], numbers: Numbers, decimals: list[int]) -> Found | None:  # noqa: PLR0912 - one a way
    """Return how the numbers of a column come out of others, and in which rows; None where they do not."""
    for names in VOLUMES:
        factors = [_of(name, headings, one.place) for name in names]
        if all(place in numbers for place in factors):
            how = _listed([headings[place] for place in factors], " times ")
            if rows := _agreeing(one.place, factors, numbers, decimals, _product, FEWEST_ROWS):
                return Found(how, *rows)
    if _may_be_a_load(one) and not _says_so(one):
        return None
    rated = [place for place, other in headings.items() if place != one.place and set(other.names) & {*RATED, *EFFORTS}]
    for places in (*_left_of(one.place, headings, numbers), rated):
        for said, made in WAYS.items():
            fewest_columns = 2 if _says_so(one) else 3 if said == THE_SUM else MOST_TRIALS + 1
            if len(places) < fewest_columns:
                continue
            if rows := _agreeing(one.place, places, numbers, decimals, made, FEWEST_ROWS):
                return Found(f"{said} {_listed([headings[place] for place in places], ', ')}", *rows)
    if PER_KILOGRAM.search(one.text) and (mass := _of("body_mass_kg", headings, one.place)) in numbers:
        for place in (place for place in numbers if place not in (one.place, mass)):
            rows = _agreeing(one.place, (place, mass), numbers, decimals, _share_of_mass, FEWEST_OF_A_SHARE)
            if rows:
                return Found(f"'{headings[place].text}' by kilogram of body mass", *rows)
    near = [place for place in range(one.place - BESIDE, one.place) if place in numbers]
    for pair in combinations(near, 2):
        rows = _agreeing(one.place, pair, numbers, decimals, _shares, FEWEST_OF_A_SHARE)
        if rows:
            return Found(f"how far {_listed([headings[place] for place in pair], ' and ')} lie apart", *rows)
    return None


def _of(name: str, headings: dict[int, Heading], but: int) -> int:
    return next((place for place, one in headings.items() if place != but and name in one.names[:1]), -1)


def _left_of(place: int, headings: dict[int, Heading], numbers: Numbers) -> list[list[int]]:
    """Return the columns of numbers left of one without a gap, the longest row of them first."""
    run: list[int] = []
    while len(run) < MOST_TRIALS and (at := place - 1 - len(run)) in numbers:
        one = headings[at]
        is_counted = one.text.strip() in COUNTED
        is_gate = one.gate_m is not None and one.run_no is None and not is_counted
        if is_gate or "date" in one.names or all(number is None for number in numbers[at]):
            break
        run.append(at)
    counted = [at for at in run if headings[at].number or headings[at].run_no or headings[at].text.strip() in COUNTED]
    return [sorted(some[:length]) for some in (counted, run) for length in range(len(some), 1, -1)]


def _product(given: Sequence[float]) -> list[float]:
    return [math.prod(given)]


def _share_of_mass(given: Sequence[float]) -> list[float]:
    force, mass = given
    return [force / mass] if mass else []


def _shares(given: Sequence[float]) -> list[float]:
    """Return by how much two numbers may be said to differ: in their unit and as shares of one of them, in per cent."""
    one, other = given
    apart = one - other
    of = [size for size in (one, other, (one + other) / 2, one + other) if size]
    return [apart, -apart, *(sign * 100 * apart / size for size in of for sign in (1, -1))]


def _agreeing(
    place: int, of: Sequence[int], numbers: Numbers, decimals: list[int], made: Made, fewest: int
) -> tuple[list[int], list[int]] | None:
    """Return the rows in which a column is what is made of others, and those in which it is not.

    None where too few are or too many are not. Rows whose others are all alike tell nothing: of three equal trials the
    best is also the mean. A product and a share need all of their columns, a best and a sum those that are filled.
    """
    fewest_given = len(of) if made in (_product, _shares, _share_of_mass) else 1
    agree: list[int] = []
    against: list[int] = []
    telling = 0
    for row, said in enumerate(numbers[place]):
        given = [number for other in of if (number := numbers[other][row]) is not None]
        if said is None or len(given) < fewest_given:
            continue
        room = 0.5 * 10 ** -decimals[row] + 1e-9
        does = any(abs(said - number) <= room for number in made(given))
        telling += does and len(set(given)) > 1
        (agree if does else against).append(row)
    return (agree, against) if telling >= fewest and len(agree) >= NEARLY_ALL * len([*agree, *against]) else None


def _bare(cell: str) -> str:
    return cell.strip().removesuffix("%").strip()


def _places(cell: str | None) -> int:
    """Return how many decimals a cell is written with."""
    plain = _bare(cell or "").replace(",", ".")
    return len(plain.rpartition(".")[2]) if "." in plain else 0


def _listed(headings: Sequence[Heading], between: str) -> str:
    return between.join(f"'{one.text}'" for one in headings)
