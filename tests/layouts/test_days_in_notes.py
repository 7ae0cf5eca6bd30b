"""Days written with points in notes of a phone, and lines of any kind: no text may stop a reading."""

import datetime as dt

from hypothesis import given
from hypothesis import strategies as st

from pipelines.layouts import plain_tables
from pipelines.readers import read_tables
from tests.intake import rows, take_in
from tests.layouts.test_british_club import KNOWN

PEOPLE = frozenset({"ana berg", "bea lund", "cleo dahl"})


def test_days_with_points_head_the_lines_below_them():
    text = (
        "Campo mar 12.5.26\n60 m in piedi, a mano\nAna 7.9 7.8\nBea 8.1\n\nbuy tape\n\n"
        "ven 15.5.26\n150 m in piedi, a mano\nAna 19.1 19.0\n\nRing the hall\n\n"
        "6.10.26\n80 m in piedi, a mano\nCleo 10.1\n"
    )
    checked = take_in(text, "phone.txt", KNOWN)
    made = rows(checked, "split", "session_date", "athlete_id", "distance_m", "elapsed_s")
    may, later, october = dt.date(2026, 5, 12), dt.date(2026, 5, 15), dt.date(2026, 10, 6)
    assert sorted(made) == [
        (may, "ana-berg", 60.0, 7.8), (may, "ana-berg", 60.0, 7.9), (may, "bea-lund", 60.0, 8.1),
        (later, "ana-berg", 150.0, 19.0), (later, "ana-berg", 150.0, 19.1), (october, "cleo-dahl", 80.0, 10.1),
    ]  # fmt: skip
    assert set(checked.accepted["rep"]["timing_kind"].to_list()) == {"hand"}
    assert "athlete" not in checked.accepted


def test_days_with_a_stroke_alone_head_the_lines_below_them_and_a_hand_may_stand_behind_the_time():
    text = "3/12\nAna fly 30s 3.41, 3.38 electric\n\n3/19\nBea 30 m blocks 4.5 by hand\n\n4/2\nCleo 30 m 4.41\n"
    checked = take_in(text, "phone.txt", KNOWN, year="2026")
    made = rows(checked, "split", "session_date", "athlete_id", "distance_m", "elapsed_s")
    assert [(str(day), who, far, time) for day, who, far, time in sorted(made)] == [
        ("2026-03-12", "ana-berg", 30.0, 3.38), ("2026-03-12", "ana-berg", 30.0, 3.41),
        ("2026-03-19", "bea-lund", 30.0, 4.5), ("2026-04-02", "cleo-dahl", 30.0, 4.41),
    ]  # fmt: skip
    assert set(rows(checked, "rep", "athlete_id", "start_kind", "timing_kind")) == {
        ("ana-berg", "rolling", "electronic"),
        ("bea-lund", "blocks", "hand"),
        ("cleo-dahl", None, None),
    }


def test_gates_with_a_stroke_alone_are_no_days():
    checked = take_in("5 March 2026 blocks\n10/20\nAna 1.91 3.12\nBea 1.99 3.25\n", "phone.txt", KNOWN)
    assert set(rows(checked, "split", "session_date", "distance_m")) == {
        (dt.date(2026, 3, 5), 10.0), (dt.date(2026, 3, 5), 20.0),
    }  # fmt: skip


def test_what_may_be_a_minute_or_a_day_is_neither_and_the_lines_below_are_of_no_day():
    text = "12.5.26\n60 m\nAna 7.9\nBea 8.1\nTeo 1.05.20\nCleo 8.4\n"
    checked = take_in(text, "phone.txt", KNOWN)
    assert {who for (who,) in rows(checked, "split", "athlete_id")} == {"ana-berg", "bea-lund"}
    assert 6 in checked.set_aside["source_line"].to_list()


WORDS = st.sampled_from(
    ["Ana", "Bea", "Teo", "Noe:", "mar", "Fri", "60 m", "30m", "10/20/30", "gates", "kg", "s", "x", "4x", "rec", "fly",
     "hand", ":", "-", ",", "week", "12.5.26", "1.05.20", "7h30", "²", "٣"]
)  # fmt: skip
NUMBERS = st.text("0123456789.,:/'²", min_size=1, max_size=9)
LINES = st.lists(WORDS | NUMBERS, min_size=1, max_size=6).map(" ".join)


@given(st.lists(LINES, min_size=2, max_size=8))
def test_no_line_of_a_note_stops_the_reading(lines):
    for table in read_tables("phone.txt", "\n".join(["Ana 7.9 7.8", *lines, "Bea 8.1"]).encode()):
        assert isinstance(plain_tables(table, PEOPLE), list)


def test_a_test_whose_cells_are_days_stops_no_reading():
    text = "1\t4921/.2\ns\t:90\t41\t41\nCMJ\tDate\n:21\t9/,\u00b249\t6\t31.02.26\ngates\t12.5.26\t\u00b2\tfly"
    checked = take_in(text, "phone.txt", KNOWN)
    assert not any(frame.height for frame in checked.accepted.values())
