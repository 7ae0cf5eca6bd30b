"""An empty cell for a name is the name above it only where nothing else may say that the row is of somebody else."""

import pytest

from tests.intake import lines_set_aside, rows, take_in


@pytest.mark.parametrize(
    "roster",
    [
        "athlete_id,name,sex,group\nx8,New One,f,sprints\nx9,,m,hurdles\nx10,Other Two,f,hurdles\nx11,,m,jumps\n",
        "name,birth date\nNew One,2008-03-01\n,2009-04-02\nOther Two,2007-05-03\n,2006-06-04\n",
        "name,sex,group\nNew One,f,short sprints\n,f,short sprints\nOther Two,f,hurdles\n,f,hurdles\n",
    ],
)
def test_a_line_of_a_roster_without_a_name_is_nobody_and_no_other_line(roster: str):
    checked = take_in(roster, "roster.csv")
    assert sorted(rows(checked, "athlete", "display_name")) == [("New One",), ("Other Two",)]
    assert lines_set_aside(checked) == [3, 5]


def test_a_time_without_a_name_beside_another_group_is_not_of_the_one_above():
    text = (
        "Date,Name,Group,10 m,30 m\n2026-11-03,Ana Berg,hurdles,1.82,3.99\n2026-11-03,,jumps,1.95,4.38\n"
        "2026-11-03,Bea Lund,jumps,1.90,4.20\n2026-11-03,,jumps,1.91,4.22\n"
    )
    checked = take_in(text, "times.csv")
    assert {one[0] for one in rows(checked, "split", "elapsed_s")} == {1.82, 3.99, 1.90, 4.20}
    assert lines_set_aside(checked) == [3, 5]


def test_a_second_run_of_the_same_person_and_group_may_leave_the_name_out():
    text = (
        "Date,Name,Group,10 m,30 m\n2026-11-03,Ana Berg,hurdles,1.82,3.99\n2026-11-03,,hurdles,1.85,4.08\n"
        "2026-11-03,Bea Lund,jumps,1.90,4.20\n2026-11-03,,jumps,1.91,4.22\n"
    )
    assert len(rows(take_in(text, "times.csv"), "split", "athlete_id", "elapsed_s")) == 8
