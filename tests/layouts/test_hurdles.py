"""Races over hurdles, as people shorten them in cells and in titles."""

import pytest

from tests.intake import reasons, rows, take_in

# Short forms in the languages of the reader: common practice, from memory.
SPELLED = {
    "100 hs": "100h", "110mH": "110h", "60 vs": "60h", "100 obst.": "100h", "100 m haies": "100h", "60 m hk": "60h",
    "80m Hürden": "80h", "100 metros con vallas": "100h", "60 plotki": "60h", "100 m häck": "100h", "400H": "400h",
    "100 m lisos": "100", "60 flat": "60", "200 m plat": "200", "60 m": "60",
}  # fmt: skip
TIMES = {"60": "8.99", "80": "11.9", "100": "14.62", "110": "15.1", "200": "25.3", "400": "58.7"}


@pytest.mark.parametrize("cell", SPELLED)
def test_events_of_a_list_of_races(cell):
    time = TIMES[SPELLED[cell].rstrip("h")]
    checked = take_in(f"Date,Athlete,Event,Time\n2026-06-20,Ana Berg,{cell},{time}\n")
    assert rows(checked, "race_result", "event", "time_s") == [(SPELLED[cell], float(time))]


@pytest.mark.parametrize("cell", ["3000 obst.", "100 PR", "4x100", "110 mH (0.99)"])
def test_what_is_surely_no_event_of_ours_is_set_aside(cell):
    """Barriers of a steeplechase, a personal record, a relay; lower hurdles are another event."""
    checked = take_in(f"Date,Athlete,Event,Time\n2026-06-20,Ana Berg,{cell},14.62\n")
    assert "race_result" not in checked.accepted
    assert "cannot be used as event" in reasons(checked)


TITLED = "Date,Athlete,Time\n2026-06-20,Ana Berg,14.62\n"


@pytest.mark.parametrize("title", ["100 mH", "100 m hurdles", "100 m Hürden, Halle", "Meeting, 100 m haies"])
def test_a_title_that_names_a_race_over_hurdles_makes_no_run_on_the_flat_and_no_session(title):
    for text, name in ((f"{title}\n\n{TITLED}", "list.csv"), (TITLED, f"{title}.csv")):
        checked = take_in(text, name)
        assert rows(checked, "race_result", "event", "time_s") == [("100h", 14.62)]
        assert not {"split", "session"} & set(checked.accepted)
