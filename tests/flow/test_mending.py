"""Rows set aside and mended by hand: a fix is a source, it holds for the same row of later files, and can be undone."""

import json

import pytest

from pipelines import flow
from pipelines.errors import ThirdstepError
from tests.flow.squad import ROSTER, tables, write

pytestmark = pytest.mark.usefixtures("small_derived")

HEAD = "Name;Date;10m;20m;30m;Note\n"
GOOD = "Ada Reed;2025-11-03;1,80;2,95;4,00;\n"
BAD = "Bo Lind;2025-11-03;1,84;3,O1;4,10;\n"


def load(home, tmp_path, text, name="times"):
    [outcome] = flow.load(home, write(tmp_path / "in", **{name: text}), by="coach", derive_after=False)
    return outcome


def fill(home):
    load(home, home.root.parent, ROSTER, "roster")
    load(home, home.root.parent, HEAD + GOOD + BAD)


@pytest.fixture
def squad(home, filled_once):
    return filled_once(home, fill)


def waiting(home):
    return flow.rejected(home)["reject_no"].to_list()


def test_a_cell_mended_in_place_brings_its_row_in_under_its_own_file_and_line(squad):
    [cell] = waiting(squad)
    outcome = flow.mend(squad, cell, {"20m": "3,01"}, "assistant")
    assert (outcome.rows_read, outcome.stored, outcome.set_aside) == (1, 1, 0)
    assert waiting(squad) == []
    row = flow.table(squad, "split").row(-2, named=True)
    assert (row["athlete_id"], row["distance_m"], row["elapsed_s"]) == ("bo-lind", 20.0, 3.01)
    assert (row["source_name"], row["source_line"]) == ("times.csv", 3)


def test_the_raw_value_stays_beside_the_fix_with_who_and_when(squad):
    flow.mend(squad, waiting(squad)[0], {"20m": "3,01"}, "assistant")
    [told] = flow.table(squad, "mended").to_dicts()
    assert (told["column"], told["was"], told["value"], told["athlete_id"]) == ("20m", "3,O1", "3,01", "bo-lind")
    load_row = flow.loads(squad).row(-1, named=True)
    assert (load_row["kind"], load_row["loaded_by"], load_row["source_name"]) == ("mend", "assistant", "times.csv")
    kept = json.loads(next(squad.sources.rglob(load_row["source_sha256"])).read_bytes())
    assert kept["correction"]["row"]["20m"] == "3,O1"


def test_a_fix_that_leaves_the_row_wrong_is_not_stored(squad):
    [cell] = waiting(squad)
    with pytest.raises(ThirdstepError, match=r"would still be set aside.*13 m/s"):
        flow.mend(squad, cell, {"20m": "1,90"}, "coach")
    assert waiting(squad) == [cell]
    assert flow.loads(squad).height == 2


@pytest.mark.parametrize(
    ("column", "value", "said"), [("25m", "3", "no column '25m'"), ("20m", "3,O1", "Nothing would change")]
)
def test_a_fix_of_nothing_says_so(squad, column, value, said):
    with pytest.raises(ThirdstepError, match=said):
        flow.mend(squad, waiting(squad)[0], {column: value}, "coach")


def test_the_next_file_with_the_same_row_gets_the_same_fix(squad, tmp_path):
    flow.mend(squad, waiting(squad)[0], {"20m": "3,01"}, "coach")
    longer = load(squad, tmp_path, HEAD + "Ada Reed;2025-11-10;1,79;2,94;3,99;\n" + GOOD + BAD)
    assert (longer.rows_read, longer.stored, longer.unchanged, longer.set_aside) == (3, 1, 2, 0)
    assert waiting(squad) == []


def test_a_correction_that_matches_no_row_any_more_is_reported(squad, tmp_path):
    flow.mend(squad, waiting(squad)[0], {"20m": "3,01"}, "coach")
    mended = load(squad, tmp_path, HEAD + GOOD + BAD.replace("3,O1", "3,02"))
    assert any("matches no row" in note and "3,O1 → 3,01" in note for note in mended.notes)
    values = flow.table(squad, "split").filter(athlete_id="bo-lind", distance_m=20.0)["elapsed_s"].to_list()
    assert values == [3.02]  # the corrected file is the newer word


def test_an_undone_fix_waits_again(squad):
    [cell] = waiting(squad)
    done = flow.mend(squad, cell, {"20m": "3,01"}, "coach")
    flow.undo(squad, done.load_no, "coach")
    assert waiting(squad) == [cell]
    assert flow.table(squad, "split").filter(athlete_id="bo-lind")["distance_m"].to_list() == [
        10.0,
        30.0,
    ]  # the rest stays


def test_the_record_with_its_fixes_is_made_again_from_its_sources(squad, tmp_path):
    flow.mend(squad, waiting(squad)[0], {"20m": "3,01"}, "coach")
    load(squad, tmp_path, HEAD + GOOD + BAD + "Ada Reed;2025-11-10;1,79;2,94;3,99;\n")
    before = tables(squad, ("split", "rep", "rejected", "mended", "load"))
    assert flow.rebuild(squad) == []
    after = tables(squad, before)
    assert [name for name, frame in before.items() if not frame.equals(after[name])] == []


def test_the_same_file_again_after_a_fix_changes_nothing(squad, tmp_path):
    flow.mend(squad, waiting(squad)[0], {"20m": "3,01"}, "coach")
    loads, splits = flow.loads(squad).height, flow.table(squad, "split")
    again = load(squad, tmp_path, HEAD + GOOD + BAD)
    assert (again.rows_read, again.unchanged, again.set_aside) == (2, 2, 0)
    assert flow.table(squad, "split").equals(splits)
    assert flow.loads(squad).height == loads


def test_a_row_set_aside_says_whose_it_is_where_that_is_known(squad, tmp_path):
    load(squad, tmp_path, HEAD + "Nobody;2025-11-03;1,80;2,95;4,00;\n", "others")
    assert flow.rejected(squad)["athlete_id"].to_list() == ["bo-lind", None]


def test_a_typed_row_is_tried_before_it_is_stored(squad):
    row = {"athlete_id": "ada-reed", "measured_on": "2025-11-03", "body_mass_kg": 6.8}
    assert flow.check_entry(squad, "body_measure", [row], "coach").set_aside == 1
    tried = flow.check_entry(squad, "body_measure", [{**row, "body_mass_kg": 61.5}], "coach")
    assert (tried.stored, tried.load_no) == (1, None)
    assert flow.table(squad, "body_measure").is_empty()


def test_runs_and_their_gates_are_typed_in_one_row(squad):
    row = {"athlete_id": "ada-reed", "session_date": "2025-11-04", "session_no": 1, "rep_no": 2, "start_kind": "blocks"}
    done = flow.enter(squad, "rep", [{**row, "10 m": 1.81, "30 m": 4.02}], "coach")
    assert (done.stored, done.set_aside) == (1, 0)
    typed = flow.table(squad, "split").filter(athlete_id="ada-reed").tail(2)
    assert typed.select("rep_no", "distance_m", "elapsed_s").rows() == [
        (2, 10.0, 1.81),
        (2, 30.0, 4.02),
    ]
    # A key with a digit looks like no name, and is one; a replay reads it so too.
    flow.enter(squad, "athlete", [{"athlete_id": "ada-reed-2", "display_name": "Ada Reed Two"}], "coach")
    done = flow.enter(squad, "rep", [{**row, "athlete_id": "ada-reed-2", "10 m": 1.83}], "coach")
    assert (done.stored, done.set_aside) == (1, 0)
    assert flow.rebuild(squad) == []
    assert flow.table(squad, "split").filter(athlete_id="ada-reed-2")["elapsed_s"].to_list() == [1.83]


def test_steps_are_typed_by_their_frames(squad):
    base = {"athlete_id": "ada-reed", "session_date": "2025-11-04", "session_no": 1, "rep_no": 1, "frame_rate_hz": 240}
    rows = [
        {**base, "step_no": 1, "contact_frame": 100, "toeoff_frame": 148},
        {**base, "step_no": 2, "contact_frame": 160, "toeoff_frame": 202},
    ]
    assert flow.enter(squad, "step", rows, "coach").stored == 2
    # by hand: 48 / 240 = 0.2 s, 12 / 240 = 0.05 s, 42 / 240 = 0.175 s; no contact after the last toe-off
    assert flow.table(squad, "step").select("contact_s", "flight_s").rows() == [(0.2, 0.05), (0.175, None)]


def test_a_cell_below_a_header_of_two_rows_is_mended_by_the_name_it_was_set_aside_under(squad, tmp_path):
    text = "Name,Date,Run 1,,Run 2,\n,,10 m,20 m,10 m,20 m\nAda Reed,2025-11-03,1.80,2.9O,1.82,2.95\n"
    load(squad, tmp_path / "b", text, "two_row_header")
    told = flow.rejected(squad).row(-1, named=True)
    assert (told["column"], told["value"], told["source_line"]) == ("Run 1 20 m", "2.9O", 3)
    flow.mend(squad, told["reject_no"], {"Run 1 20 m": "2.90"}, "coach")
    assert "two_row_header.csv" not in flow.rejected(squad)["source_name"].to_list()
