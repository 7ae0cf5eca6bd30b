"""Blocks below each other, each with its own day and distance in a line of several cells: none inherits another's."""

import datetime as dt

import pytest

from pipelines.layouts import plain_tables
from pipelines.readers import read_tables
from tests.intake import rows, take_in
from tests.layouts.test_british_club import KNOWN
from tests.layouts.test_found_by_strangers import book

MARCH, APRIL = dt.date(2026, 3, 12), dt.date(2026, 4, 2)
TITLES = [[MARCH, "3 x 150 m", "rec 6'", "a mano, partenza in piedi"], [APRIL, "2 x 200 m", "rec 8'", "a mano"]]


def splits(checked):
    if "split" not in checked.accepted:
        return []
    return sorted(rows(checked, "split", "session_date", "athlete_id", "rep_no", "distance_m", "elapsed_s"))


@pytest.mark.parametrize("sign", ["^", "°", "ª", "."])
@pytest.mark.parametrize("gap", [[[]], []])
def test_each_block_has_the_day_and_the_distance_of_the_line_above_it(sign, gap):
    one, two, three = (f"{n}{sign}" for n in (1, 2, 3))
    sheet = [
        TITLES[0], ["atleta", one, two, three], ["Ana", 19.1, 19.3, 19.2], ["Bea", 20.2, 20.4, 20.3], *gap,
        TITLES[1], ["atleta", one, two], ["Cleo", '26"4', '27"1'], ["Ana", '25"9', '26"0'],
    ]  # fmt: skip
    checked = take_in(book(runs=sheet), "runs.xlsx", KNOWN)
    assert splits(checked) == [
        (MARCH, "ana-berg", 1, 150.0, 19.1), (MARCH, "ana-berg", 2, 150.0, 19.3), (MARCH, "ana-berg", 3, 150.0, 19.2),
        (MARCH, "bea-lund", 1, 150.0, 20.2), (MARCH, "bea-lund", 2, 150.0, 20.4), (MARCH, "bea-lund", 3, 150.0, 20.3),
        (APRIL, "ana-berg", 1, 200.0, 25.9), (APRIL, "ana-berg", 2, 200.0, 26.0),
        (APRIL, "cleo-dahl", 1, 200.0, 26.4), (APRIL, "cleo-dahl", 2, 200.0, 27.1),
    ]  # fmt: skip
    assert set(checked.accepted["rep"]["timing_kind"].to_list()) == {"hand"}
    assert checked.set_aside.height == 0


def test_under_headings_that_nobody_knows_nothing_of_april_stands_under_march():
    sheet = [
        TITLES[0], ["atleta", "giro uno", "giro due"], ["Ana", 19.1, 19.3], ["Bea", 20.2, 20.4], ["Dora", 20.1, 20.5],
        ["Eve", 21.2, 21.4], ["Fay", 21.2, 21.4], ["Gia", 21.2, 21.4], [],
        TITLES[1], ["atleta", "giro uno", "giro due"], ["Cleo", 26.4, 27.1], ["Ana", 25.9, 26.0], ["Dora", 26.1, 26.5],
        ["Eve", 27.2, 27.4], ["Fay", 27.2, 27.4],
    ]  # fmt: skip
    [read] = read_tables("runs.xlsx", book(runs=sheet))
    made = plain_tables(read, frozenset({"ana berg", "cleo dahl"}))
    under = {one.facts["date"].text: one for one in made}
    assert set(under) == {"2026-03-12", "2026-04-02"}
    assert "Cleo" not in under["2026-03-12"].rows["c0"].to_list()
    assert under["2026-03-12"].header[1] == "3 x 150 m"
    assert under["2026-04-02"].header[1] == "2 x 200 m"


def test_a_day_between_rows_that_says_another_distance_is_asked():
    same = [["12 March 2026 - standing, by hand"], ["atleta", "150 m"], ["Ana", 19.1], ["Bea", 20.2]]
    far = [*same, [APRIL, "2 x 200 m"], ["Cleo", 26.4], ["Ana", 25.9]]
    assert splits(take_in(book(runs=far), "runs.xlsx", KNOWN)) == [
        (MARCH, "ana-berg", 1, 150.0, 19.1), (MARCH, "bea-lund", 1, 150.0, 20.2),
    ]  # fmt: skip
    near = [*same, [APRIL, "2 x 150 m"], ["Cleo", 20.4]]
    assert (APRIL, "cleo-dahl", 1, 150.0, 20.4) in splits(take_in(book(runs=near), "runs.xlsx", KNOWN))


@pytest.mark.parametrize(
    ("titles", "later", "wanted"),
    [  # the title and the line under it, then the same of a later block, or a word in the midst of it
        (
            [["Starts 2026-03-12"], ["by hand"]],
            [["Starts 2026-04-02"], ["by hand"], ["", 10, 20]],
            {MARCH: 2, APRIL: 2},
        ),
        ([["2026-03-12"]], [["2026-04-02"], ["from blocks"]], {MARCH: 2, APRIL: 2}),
        ([["2026-03-12"]], [["from blocks"]], {MARCH: 4}),  # says no day: the first one's holds
    ],
)
def test_a_day_holds_until_the_next_day_also_where_a_second_line_stands_below_it(titles, later, wanted):
    sheet = [*titles, ["", 10, 20], ["Ana Berg", 2.01, 3.2], ["Bea Lund", 2.1, 3.3], [],
             *later, ["Ana Berg", 2.02, 3.21], ["Cleo Dahl", 2.2, 3.4]]  # fmt: skip
    checked = take_in(book(runs=sheet), "runs.xlsx", KNOWN)
    under = checked.accepted["rep"].group_by("session_date").len()
    assert dict(under.rows()) == wanted
