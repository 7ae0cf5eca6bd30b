"""A staff member's file: rows about athletes of other groups are set aside, with nothing of them kept in the record."""

import pytest

from pipelines import flow
from pipelines.errors import ThirdstepError

pytestmark = pytest.mark.usefixtures("small_derived")

ROSTER = (
    "athlete_id,display_name,event_group\nada-reed,Ada Reed,hurdles\nbo-lind,Bo Lind,short_sprints\ncy-moe,Cy Moe,\n"
)
CHECKINS = (
    "athlete_id,checked_on,sleep_h,note\n"
    "ada-reed,2025-11-03,7.5,fine\nbo-lind,2025-11-03,6.5,knee sore\ncy-moe,2025-11-03,8,ok\n"
)
HURDLES = flow.Writer("assistant", "staff", event_groups=("hurdles",), reads_injuries=True)


def with_roster(home):
    flow.load_bytes(home, "roster.csv", ROSTER.encode(), "coach", derive_after=False)


@pytest.fixture
def squad(home, filled_once):
    return filled_once(home, with_roster)


def bring(home, text=CHECKINS, by=HURDLES, name="checkins.csv"):
    return flow.load_bytes(home, name, text.encode(), by, derive_after=False)


def test_rows_about_others_are_set_aside_with_a_sentence_and_none_of_their_values(squad):
    outcome = bring(squad)
    assert (outcome.rows_read, outcome.stored, outcome.set_aside) == (3, 1, 2)
    assert flow.table(squad, "checkin")["athlete_id"].to_list() == ["ada-reed"]
    waits = flow.rejected(squad)
    assert waits["source_line"].to_list() == [3, 4]  # of another group, and of none
    assert all("none of your event groups (hurdles)" in said for said in waits["reason"])
    assert "knee sore" not in str(waits.to_dicts())


def test_what_is_shown_before_loading_keeps_to_the_groups_too(squad):
    outcome = flow.preview(squad, "checkins.csv", CHECKINS.encode(), by=HURDLES)
    assert (outcome.stored, outcome.set_aside) == (1, 2)
    assert outcome.accepted["checkin"]["athlete_id"].to_list() == ["ada-reed"]


def test_a_roster_brings_nobody_over_and_nobody_new(squad):
    told = "athlete_id,display_name,event_group\nbo-lind,Bo Lind,hurdles\ndi-ray,Di Ray,hurdles\ned-fox,Ed Fox,jumps\n"
    assert bring(squad, told, name="mine.csv").set_aside == 3
    rows = dict(flow.table(squad, "athlete").select("athlete_id", "event_group").iter_rows())
    assert rows == {"ada-reed": "hurdles", "bo-lind": "short_sprints", "cy-moe": None}


def test_the_head_coach_loads_the_same_file_whole_and_nothing_waits_any_more(squad):
    bring(squad)
    outcome = bring(squad, by=flow.Writer("coach", "head_coach"))
    assert (outcome.stored, outcome.unchanged, outcome.set_aside) == (2, 1, 0)
    assert flow.rejected(squad).is_empty()


def test_a_rebuild_sets_the_same_rows_aside(squad):
    bring(squad)
    flow.rebuild(squad)
    assert flow.table(squad, "checkin")["athlete_id"].to_list() == ["ada-reed"]
    assert flow.rejected(squad)["source_line"].to_list() == [3, 4]


def test_a_mended_row_is_not_given_to_somebody_of_another_group(squad):
    bring(squad, "athlete_id,checked_on,sleep_h\nada-reed,2025-11-04,70\n")
    [cell] = flow.rejected(squad)["reject_no"].to_list()
    with pytest.raises(ThirdstepError, match="none of your event groups"):
        flow.mend(squad, cell, {"athlete_id": "bo-lind", "sleep_h": "7"}, HURDLES)
    assert flow.mend(squad, cell, {"sleep_h": "7"}, HURDLES).stored == 1
