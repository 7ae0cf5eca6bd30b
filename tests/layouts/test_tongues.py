"""The same four files in thirteen languages say the same: people, mornings, sessions, runs; no word is asked.

Keys by hand. A rating of 4 on 1 (fresh) to 10 (worn out) is 5 - 3/9 of 4 on the record's 1 to 5; a tightness of 2 on 1
(loose) to 10 is 1/9 of 10.
"""

import datetime as dt

import polars as pl
import pytest

from pipelines.checks import Known
from tests.intake import AS_OF, rows, take_in
from tests.layouts.tongues import PARTICLES, TONGUES, diary, form, gates, roster

KNOWN = Known(
    pl.DataFrame({"athlete_id": ["ana-berg", "ben-lund"], "display_name": ["Ana Berg", "Ben Lund"]}), AS_OF
)  # fmt: skip
D3, D5 = dt.date(2026, 3, 3), dt.date(2026, 3, 5)


@pytest.mark.parametrize("tongue", TONGUES)
def test_a_roster_says_names_birth_dates_and_sexes(tongue):
    nobody = Known(pl.DataFrame(schema={"athlete_id": pl.String, "display_name": pl.String}), AS_OF)
    checked = take_in(roster(tongue), known=nobody)
    particle = PARTICLES.get(tongue)
    assert rows(checked, "athlete", "display_name", "birth_date", "sex") == [
        ("Ana Berg" if particle is None else f"Ana {particle} Berg", dt.date(2003, 5, 12), "f"),
        ("Ben Lund", dt.date(2001, 11, 23), "m"),
    ]


@pytest.mark.parametrize("tongue", TONGUES)
def test_a_morning_form_says_all_its_items(tongue):
    checked = take_in(form(tongue), known=KNOWN)
    assert [(one.ask, one.about) for one in checked.questions] == []
    found = rows(checked, "checkin", "athlete_id", "checked_on", "sleep_h", "sleep_quality", "fatigue", "soreness",
                 "stress", "mood", "hamstring_tightness_l", "hamstring_tightness_r")  # fmt: skip
    key = [
        ("ana-berg", D3, 7.5, 2, 5 - 12 / 9, 5 - 12 / 9, 4, 3, 10 / 9, 30 / 9),
        ("ben-lund", D3, 8, 5, 5, 5, 5, 5, 0, 10),
        ("ana-berg", D5, 6.5, 4, 5 - 24 / 9, 1, 1, 1, 30 / 9, 0),
    ]
    assert [row[:2] for row in found] == [row[:2] for row in key]
    assert [row[2:] for row in found] == [pytest.approx(row[2:], abs=1e-5) for row in key]


@pytest.mark.parametrize("tongue", TONGUES)
def test_a_diary_says_whose_how_hard_and_how_long(tongue):
    checked = take_in(diary(tongue), known=KNOWN)
    assert rows(checked, "session", "athlete_id", "session_date", "effort_0_10", "duration_min") == [
        ("ana-berg", D3, 6.0, 75.0), ("ben-lund", D3, 8.0, 75.0), ("ana-berg", D5, 5.0, 90.0),
    ]  # fmt: skip


@pytest.mark.parametrize("tongue", TONGUES)
def test_a_sheet_of_gates_says_runs_and_starts(tongue):
    checked = take_in(gates(tongue), known=KNOWN)
    assert rows(checked, "rep", "athlete_id", "rep_no", "start_kind") == [
        ("ana-berg", 1, "blocks"), ("ana-berg", 2, "blocks"), ("ben-lund", 1, "blocks"),
    ]  # fmt: skip
    times = checked.accepted["split"].sort("athlete_id", "rep_no", "distance_m")["elapsed_s"].to_list()
    assert times == [1.95, 3.13, 4.22, 1.92, 3.09, 4.16, 1.81, 2.89, 3.89]
