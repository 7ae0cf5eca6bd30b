"""Entries from the track: kept once however often they are sent, taken back alone, no word or number by guess."""

import pytest

from pipelines import flow
from pipelines.errors import ThirdstepError
from tests.flow.squad import fill, write

pytestmark = pytest.mark.usefixtures("small_derived")

ROSTER = "athlete_id,display_name,event_group\nada-reed,Ada Reed,hurdles\nbo-lind,Bo Lind,short_sprints\n"
COACH = flow.Writer("coach", "head_coach")
STAFF = flow.Writer("assistant", "staff", event_groups=("hurdles",))
ADA = flow.Writer("ada", "athlete", athlete_id="ada-reed")
DAY = {"session_date": "2025-11-03", "session_no": "1"}


def run(entry, no, time, who="ada-reed", **more):
    row = {**DAY, "athlete_id": who, "rep_no": str(no), "start_kind": "blocks", "clock_start": "first_gate",
           "timing_kind": "electronic", "10 m": time, **more}  # fmt: skip
    return {"id": entry, "table": "rep", "row": row}


def end(entry, effort, who="ada-reed", **more):
    return {"id": entry, "table": "session", "row": {**DAY, "athlete_id": who, "effort_0_10": effort, **more}}


def send(home, *entries, by=COACH, sheet="sheet1", back=()):
    return flow.track.keep(home, {"sheet": sheet, "entries": list(entries), "taken_back": list(back)}, by)


def times(home):
    rows = flow.table(home, "split").select("athlete_id", "rep_no", "elapsed_s").iter_rows()
    return {(who, no): time for who, no, time in rows}


def efforts(home):
    return dict(flow.table(home, "session").select("athlete_id", "effort_0_10").iter_rows())


def load_groups(home):
    flow.load(home, write(home.root.parent / "in", roster=ROSTER), by=COACH, derive_after=False)


@pytest.fixture
def squad(home):
    return fill(home, load_groups)


def test_an_entry_sent_twice_is_kept_once_and_confirmed_twice(squad):
    first = send(squad, run("run1", 1, "1.74"), end("end1", "7", duration_min="90"))
    loads = flow.loads(squad).height
    assert sorted(first.kept) == ["end1", "run1"]
    assert sorted(send(squad, run("run1", 1, "1.74"), end("end1", "7", duration_min="90")).kept) == ["end1", "run1"]
    assert flow.loads(squad).height == loads
    assert times(squad) == {("ada-reed", 1): 1.74}


def test_an_entry_that_somebody_undid_is_not_brought_back_by_a_late_sending(squad):
    send(squad, run("run1", 1, "1.74"))
    flow.undo(squad, flow.loads(squad)["load_no"].max(), COACH, derive_after=False)
    assert send(squad, run("run1", 1, "1.74")).kept == ["run1"]
    assert times(squad) == {}


def test_a_decimal_comma_is_a_decimal_point(squad):
    send(squad, run("run1", 1, "1,74"), run("run2", 2, "1.802"))
    assert times(squad) == {("ada-reed", 1): 1.74, ("ada-reed", 2): 1.802}


@pytest.mark.parametrize("word", ["Dreipunktstart", "3 point", "tres apoyos", "three_point", "THREE POINT"])
def test_a_word_is_read_in_several_languages(squad, word):
    send(squad, run("run1", 1, "1.74", start_kind=word))
    assert flow.table(squad, "rep")["start_kind"].to_list() == ["three_point"]


def test_an_unknown_word_is_refused_and_never_stored_as_another(squad):
    told = send(squad, run("run1", 1, "1.74", start_kind="hovering"), run("run2", 2, "1.80"))
    assert told.kept == ["run2"]
    assert [(one.entry, one.is_there) for one in told.refused] == [("run1", False)]
    assert "hovering" in told.refused[0].why
    assert list(times(squad)) == [("ada-reed", 2)]
    assert flow.rejected(squad).is_empty()  # it stays on the phone, not among the rows set aside


@pytest.mark.parametrize("missing", ["session_no", "session_date", "rep_no", "athlete_id"])
def test_what_must_be_said_is_never_made_up(squad, missing):
    entry = run("run1", 1, "1.74")
    entry["row"][missing] = ""
    told = send(squad, entry)
    assert told.kept == []
    assert "nothing is taken in its place" in told.refused[0].why
    assert times(squad) == {}


def test_one_impossible_time_holds_up_no_other_entry(squad):
    told = send(squad, run("run1", 1, "174"), run("run2", 2, "1.80"), run("run3", 3, "1.79"))
    assert (told.kept, [one.entry for one in told.refused]) == (["run2", "run3"], ["run1"])


def test_one_entry_is_taken_back_alone(squad):
    send(squad, run("run1", 1, "1.74"), run("run2", 2, "1.80"), run("run3", 1, "1.90", who="bo-lind"))
    assert send(squad, back=["run2"]).taken_back == ["run2"]
    assert times(squad) == {("ada-reed", 1): 1.74, ("bo-lind", 1): 1.90}
    loads = flow.loads(squad).height
    send(squad, back=["run2"])  # the answer was lost: sent again
    assert (flow.loads(squad).height, len(times(squad))) == (loads, 2)


def test_taking_one_back_leaves_a_later_correction_of_another_in_force(squad):
    send(squad, run("run1", 1, "1.74"), run("run2", 2, "1.80"))
    send(squad, run("run3", 1, "1.75"))
    send(squad, back=["run2"])
    assert times(squad) == {("ada-reed", 1): 1.75}
    send(squad, back=["run3"])
    assert times(squad) == {("ada-reed", 1): 1.74}


def test_taking_one_back_leaves_what_an_athlete_said_since(squad):
    send(squad, end("end1", "6"), end("end2", "5", who="bo-lind"))
    flow.enter(squad, "session", [{**DAY, "athlete_id": "bo-lind", "effort_0_10": "8"}], COACH, derive_after=False)
    send(squad, back=["end1"])
    assert efforts(squad) == {"bo-lind": 8.0}


def test_a_run_that_another_source_holds_is_asked_about(squad):
    flow.enter(squad, "rep", [{**DAY, "athlete_id": "ada-reed", "rep_no": "1", "10 m": "1.80"}], COACH,
               derive_after=False)  # fmt: skip
    told = send(squad, run("run1", 1, "1.74"))
    assert [(one.entry, one.is_there) for one in told.refused] == [("run1", True)]
    assert times(squad) == {("ada-reed", 1): 1.80}
    send(squad, {**run("run2", 1, "1.74"), "instead": True})
    assert times(squad) == {("ada-reed", 1): 1.74}


def test_an_athlete_s_own_effort_is_asked_about_before_it_is_put_otherwise(squad):
    flow.enter(squad, "session", [{**DAY, "athlete_id": "ada-reed", "effort_0_10": "8"}], COACH, derive_after=False)
    assert "effort 8, from coach" in send(squad, end("end1", "6")).refused[0].why
    assert send(squad, end("end2", "8", duration_min="90")).kept == ["end2"]


def test_staff_enter_for_their_groups_and_learn_nothing_of_others(squad):
    send(squad, run("run1", 1, "1.90", who="bo-lind"))
    told = send(squad, run("run2", 1, "1.74"), run("run3", 1, "1.95", who="bo-lind"), by=STAFF, sheet="sheet2")
    assert told.kept == ["run2"]
    assert [(one.entry, one.is_there) for one in told.refused] == [("run3", False)]
    assert "record" not in told.refused[0].why


def test_an_athlete_enters_nobody_s_runs(squad):
    assert send(squad, run("run1", 1, "1.74"), by=ADA).kept == []
    assert times(squad) == {}


@pytest.mark.parametrize(
    "told",
    [{}, {"sheet": "../../x", "entries": []},
     {"sheet": "sheet1", "entries": [{"id": "a b", "table": "rep", "row": {}}]},
     {"sheet": "sheet1", "entries": [{"id": "abcd1", "table": "consent", "row": {}}]},
     {"sheet": "sheet1", "entries": 7}, {"sheet": "sheet1", "entries": [{"id": f"run{n}", "table": "rep", "row": {}}
                                                                        for n in range(401)]}],
)  # fmt: skip
def test_what_is_no_sending_of_ours_is_refused_in_words(squad, told):
    with pytest.raises(ThirdstepError):
        flow.track.keep(squad, told, COACH)


def test_a_column_that_is_not_the_track_s_is_refused(squad):
    assert "not entered at the track" in send(squad, run("run1", 1, "1.74", reaction_s="0.1")).refused[0].why


def test_a_rebuild_gives_the_same_and_knows_what_was_seen(squad):
    send(squad, run("run1", 1, "1.74"), run("run2", 2, "1.80"))
    send(squad, back=["run1"])
    before = times(squad)
    assert flow.rebuild(squad) == []
    assert times(squad) == before
    assert send(squad, run("run1", 1, "1.74")).kept == ["run1"]
    assert times(squad) == before
