"""What a title explains of a mark, or of what is marked, is said of those rows and of no others."""

import pytest

from pipelines.layouts.words.said import said_by
from tests.intake import rows, take_in


@pytest.mark.parametrize(
    "title",
    [
        "Standing start, 50 cm behind first gate. h = hand timed (stopwatch)",
        "Standing start, 50 cm behind first gate (h: hand timed)",
        "* hand timed. Standing start, 50 cm behind first gate",
        "Standing start, 50 cm behind first gate; hand timed runs marked h",
        "Standing start, 50 cm behind first gate. Handzeiten sind mit h markiert",
        "Standing start, 50 cm behind first gate, hand times in red",
    ],
)
def test_the_key_of_a_mark_is_no_word_on_all_rows(title: str):
    said = {column: fact.text for column, fact in said_by(title, "title").items()}
    assert "timing_kind" not in said
    assert (said["start_kind"], said["gate_offset_m"]) == ("standing", "50 cm")


@pytest.mark.parametrize(
    "title", ["All hand timed, standing start", "Timing: hand timed", "10 m: hand timed", "Handzeiten"]
)
def test_what_a_title_says_of_all_rows_still_holds(title: str):
    assert said_by(title, "title")["timing_kind"].text == "hand"


def test_runs_below_such_a_key_are_not_stored_as_timed_by_hand():
    text = (
        "Standing start. h = hand timed (stopwatch);;;\nName;Date;10 m;30 m\nAna Berg;2026-11-03;1.82;3.99\n"
        "Bea Lund;2026-11-03;1.95;4.38\n"
    )
    checked = take_in(text, timing_kind="electronic")
    assert set(rows(checked, "rep", "timing_kind")) == {("electronic",)}
    assert len(rows(checked, "split", "elapsed_s")) == 4
