"""Codes of people: said once on the roster, read in the place of names from then on."""

import pytest

from pipelines.checks import Known
from tests.intake import AS_OF, ROSTER, pl, reasons, rows, take_in

CODED = Known(
    pl.DataFrame({"athlete_id": list(ROSTER), "display_name": list(ROSTER.values()), "code": ["S01", "S02", None]}),
    AS_OF,
)


@pytest.mark.parametrize("head", ["ID", "Athlete ID", "Code", "Kürzel", "#"])
def test_a_code_of_each_person_on_a_roster_is_kept(head):
    checked = take_in(f"{head},First name,Last name,Sex\nS01,Dora,Vale,F\nS02,Emil,Roth,M\n", "roster.csv")
    assert sorted(rows(checked, "athlete", "athlete_id", "code")) == [("dora-vale", "S01"), ("emil-roth", "S02")]
    assert not checked.questions


@pytest.mark.parametrize("cells", [("1", "2"), ("S01", "S01"), ("S01", "new")])
def test_what_only_counts_lines_or_is_not_everybodys_own_is_no_code(cells):
    text = f"No,First name,Last name,Sex\n{cells[0]},Dora,Vale,F\n{cells[1]},Emil,Roth,M\n"
    assert "code" not in take_in(text, "roster.csv").accepted["athlete"].columns


@pytest.mark.parametrize("head", ["ID", "Athlete ID", "Athlete", "Code"])
def test_a_code_names_the_person_in_another_file(head):
    checked = take_in(
        f"{head},Date,10 m,20 m\nS01,2026-10-05,1.91,3.18\ns02,2026-10-05,1.99,3.30\n", "times.csv", CODED
    )
    assert sorted(set(rows(checked, "split", "athlete_id"))) == [("ana-berg",), ("bea-lund",)]
    assert not [one for one in checked.questions if one.ask in ("who", "athletes")]


def test_a_code_that_is_nobodys_is_nobody():
    checked = take_in(
        "Athlete,Date,10 m,20 m\nS01,2026-10-05,1.91,3.18\nS09,2026-10-05,1.99,3.30\n", "times.csv", CODED
    )
    assert set(rows(checked, "split", "athlete_id")) == {("ana-berg",)}
    assert "S09" in reasons(checked, 3)


def test_a_code_that_two_people_have_is_asked():
    two = Known(CODED.athletes.with_columns(code=pl.lit("S01")), AS_OF)
    checked = take_in("Athlete,Date,10 m,20 m\nS01,2026-10-05,1.91,3.18\n", "times.csv", two)
    assert "split" not in checked.accepted
    assert "may be" in reasons(checked)


def test_a_number_is_a_code_where_the_heading_says_it_is_a_persons():
    roster = "athlete_id,name,sex\n101,Dora Vale,F\n102,Emil Roth,M\n"
    assert sorted(rows(take_in(roster, "roster.csv"), "athlete", "display_name", "code")) == [
        ("Dora Vale", "101"), ("Emil Roth", "102"),
    ]  # fmt: skip
    known = Known(pl.DataFrame({"athlete_id": ["dora-vale"], "display_name": ["Dora Vale"], "code": ["101"]}), AS_OF)
    checked = take_in("Athlete No,Date,10 m,20 m\n101,2026-10-05,1.91,3.18\n", "times.csv", known)
    assert set(rows(checked, "split", "athlete_id")) == {("dora-vale",)}


def test_short_forms_of_names_on_a_roster_are_their_codes_and_elsewhere_whose_rows_they_are():
    checked = take_in("Name,Kürzel,sex,born\nDora Vale,DVa,f,2001-03-14\nEmil Roth,ERo,m,2002-05-01\n", "roster.csv")
    assert sorted(rows(checked, "athlete", "athlete_id", "code")) == [("dora-vale", "DVa"), ("emil-roth", "ERo")]
    tests = "Date,afk.,Nordic L (N),Nordic R (N)\n2026-01-12,ABe,295,298\n2026-01-12,BLu,266,280\n"
    people = pl.DataFrame(
        {"athlete_id": list(ROSTER), "display_name": list(ROSTER.values()), "code": ["ABe", "BLu", None]}
    )
    found = rows(take_in(tests, "tests.csv", Known(people, AS_OF)), "force_test", "athlete_id", "side", "peak_force_n")
    assert sorted(found) == [("ana-berg", "l", 295.0), ("ana-berg", "r", 298.0), ("bea-lund", "l", 266.0),
                             ("bea-lund", "r", 280.0)]  # fmt: skip
