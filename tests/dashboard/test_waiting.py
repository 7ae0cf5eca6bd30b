"""The list of those who have not answered, as it is copied."""

import datetime as dt

import pytest

from dashboard import wording

NAMES = {"a": "Åsa Invented", "b": "Bo Invented"}
MONDAY = dt.date(2026, 11, 16)


def test_the_list_says_what_and_which_day_and_names_everybody_once():
    waited = [
        {"athlete_id": "b", "kind": "checkin", "day_on": MONDAY},
        {"athlete_id": "a", "kind": "checkin", "day_on": MONDAY},
        {"athlete_id": "b", "kind": "session", "day_on": MONDAY - dt.timedelta(days=1)},
    ]
    assert wording.waiting_text(waited, NAMES).splitlines() == [
        f"Check-in, {wording.long_day(MONDAY)}: Bo Invented, Åsa Invented",
        f"Minutes and effort of the session, {wording.long_day(MONDAY - dt.timedelta(days=1))}: Bo Invented",
    ]


@pytest.mark.parametrize(
    ("athletes", "said"),
    [(0, "Everybody has answered"), (1, "One has not answered"), (2, "Two have not answered")],
)
def test_the_heading_counts_people(athletes: int, said: str):
    assert wording.waiting_heading(athletes) == said
