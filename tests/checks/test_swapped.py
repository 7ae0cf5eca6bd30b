"""Minutes and effort in each other's column are told together; neither goes in, and neither is turned round."""

import pytest

from tests.intake import reasons, rows, take_in

LOG = "Date,Athlete,Minutes,RPE (0-10)\n2026-03-17,Ana Berg,75,6\n2026-03-17,Bea Lund,80,7\n"


def test_minutes_that_are_the_effort_of_their_row_do_not_go_in_alone():
    checked = take_in(LOG + "2026-03-18,Ana Berg,7,75\n2026-03-19,Ana Berg,70,6\n", "log.csv")
    assert rows(checked, "session", "duration_min", "effort_0_10") == [(75.0, 6.0), (80.0, 7.0), (70.0, 6.0)]
    assert sorted(checked.set_aside["value"]) == ["7", "75"]
    assert "'7' stands under Minutes and '75' under RPE (0-10): they look changed round" in reasons(checked, 4)


@pytest.mark.parametrize(
    ("row", "kept"),
    [
        ("70,65", (70.0, None)),  # an effort of 6.5 without its point, beside minutes that are no effort
        ("7,12", (7.0, None)),  # 12 may be anything
        ("7,", (7.0, None)),
        ("9,8", (9.0, 8.0)),
    ],
)
def test_what_may_be_as_it_is_written_is_left(row, kept):
    checked = take_in(f"{LOG}2026-03-18,Ana Berg,{row}\n", "log.csv")
    assert rows(checked, "session", "duration_min", "effort_0_10")[-1] == kept
    assert "changed round" not in reasons(checked)


def test_an_effort_of_a_hundred_once_that_is_said_is_no_swap():
    text = "Date,Athlete,Minutes,RPE\n2026-03-17,Ana Berg,75,60\n2026-03-18,Ana Berg,7,75\n"
    assert "changed round" in reasons(take_in(text, "log.csv"))
    checked = take_in(text, "log.csv", scales={"RPE": "0 to 100, 100 is good"})
    assert rows(checked, "session", "duration_min", "effort_0_10") == [(75.0, 6.0), (7.0, 7.5)]
    assert checked.set_aside.is_empty()
