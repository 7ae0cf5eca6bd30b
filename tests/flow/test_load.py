"""From files on the disk to the record: counts, order, what waits, what is tried only."""

import datetime as dt
import json
import random

import pytest

from pipelines import flow
from pipelines.record.sources import journal
from tests.flow.squad import FILES, ROSTER, SESSIONS, SPLITS, load_roster, load_squad, write, write_squad

pytestmark = pytest.mark.usefixtures("small_derived")


def counts(outcome):
    return outcome.rows_read, outcome.stored, outcome.unchanged, outcome.replaced, outcome.set_aside


def test_files_given_together_load_in_the_order_their_tables_need(home, tmp_path):
    paths = write(tmp_path / "in", splits=SPLITS, sessions=SESSIONS, roster=ROSTER)
    outcomes = flow.load(home, paths, by="coach")
    assert [one.file for one in outcomes] == ["splits.csv", "sessions.csv", "roster.csv"]  # as given
    assert [counts(one) for one in outcomes] == [(3, 3, 0, 0, 0), (2, 2, 0, 0, 0), (2, 2, 0, 0, 0)]
    assert flow.loads(home)["source_name"].to_list() == ["roster.csv", "sessions.csv", "splits.csv"]  # as needed


def test_every_row_knows_its_file_and_line(home, tmp_path):
    load_squad(home)
    last = flow.table(home, "split").row(-1, named=True)
    assert (last["source_name"], last["source_line"], last["distance_m"]) == ("splits.csv", 4, 30.0)
    assert len(last["source_sha256"]) == 64


def test_the_same_folder_again_changes_nothing(home, tmp_path):
    folder = write_squad(tmp_path / "in")
    flow.load(home, [folder], by="coach")
    before = {
        name: flow.table(home, name) for name in flow.table_names() if name in ("split", "load", "rejected", "rep")
    }
    board = flow.table(home, "load_day")
    again = flow.load(home, [folder], by="coach")
    assert [counts(one)[1:] for one in again] == [(0, 2, 0, 0), (0, 2, 0, 0), (0, 3, 0, 0)]
    assert all(flow.table(home, name).equals(frame) for name, frame in before.items())
    assert flow.table(home, "load_day").equals(board)
    assert journal.last_event_no(home.sources) == 3


def test_a_row_set_aside_is_tried_again_when_its_athlete_exists(home, tmp_path):
    splits, roster = write(tmp_path / "in", splits=SPLITS, roster=ROSTER)
    [alone] = flow.load(home, [splits], by="coach")
    assert counts(alone) == (3, 0, 0, 0, 3)
    assert flow.rejected(home)["source_line"].unique().sort().to_list() == [2, 3, 4]
    flow.load(home, [roster], by="coach")
    [again] = flow.load(home, [splits], by="coach")
    assert counts(again) == (3, 3, 0, 0, 0)
    assert flow.rejected(home).is_empty()


def test_a_corrected_file_of_the_same_name_settles_the_rows_it_mends(home, tmp_path):
    load_roster(home)
    [bad] = flow.load(home, write(tmp_path / "in", splits=SPLITS.replace("2.95", "2.9O")), by="coach")
    assert (bad.set_aside, flow.rejected(home).height >= 1) == (1, True)
    [good] = flow.load(home, write(tmp_path / "in", splits=SPLITS), by="coach")
    assert counts(good) == (3, 1, 2, 0, 0)
    assert flow.rejected(home).is_empty()
    assert flow.table(home, "rejected")["resolved_by_load"].to_list() == [3]


def test_one_file_that_cannot_be_read_stops_no_other(home, tmp_path):
    folder = write_squad(tmp_path / "in")
    (folder / "broken.xlsx").write_bytes(b"no workbook")
    (folder / "empty.csv").write_bytes(b"")
    outcomes = {one.file: one for one in flow.load(home, [folder], by="coach")}
    assert outcomes["broken.xlsx"].problem
    assert outcomes["empty.csv"].problem
    assert sum(one.stored for one in outcomes.values()) == 7


def test_check_only_says_the_same_and_makes_nothing(home, tmp_path):
    folder = write_squad(tmp_path / "in")
    tried = flow.load(home, [folder], by="coach", check_only=True)
    assert not home.root.exists()
    assert [counts(one) for one in tried] == [counts(one) for one in flow.load(home, [folder], by="coach")]


def test_check_only_on_a_full_record_leaves_it_as_it_is(home, tmp_path):
    load_squad(home)
    changed = write(tmp_path / "next", splits=SPLITS.replace("1.80", "1.84"))
    before = flow.table(home, "split")
    [tried] = flow.load(home, changed, by="coach", check_only=True)
    assert counts(tried) == (3, 0, 2, 1, 0)
    assert flow.table(home, "split").equals(before)
    assert flow.loads(home).height == 3


def test_an_upload_is_previewed_then_loaded_as_a_file_is(home, tmp_path):
    load_roster(home)
    seen = flow.preview(home, "splits.csv", SPLITS.encode())
    done = flow.load_bytes(home, "splits.csv", SPLITS.encode(), "coach")
    assert counts(seen) == counts(done) == (3, 3, 0, 0, 0)


def test_files_of_one_name_in_two_folders_stay_apart(home, tmp_path):
    write(tmp_path / "in" / "monday", splits=SPLITS)
    write(tmp_path / "in" / "tuesday", splits=SPLITS.replace("2025-11-03", "2025-11-04"))
    write(tmp_path / "in", roster=ROSTER)
    names = [one.file for one in flow.load(home, [tmp_path / "in"], by="coach")]
    assert names == ["monday/splits.csv", "roster.csv", "tuesday/splits.csv"]
    assert flow.table(home, "split").height == 6


@pytest.mark.parametrize("order", [list(FILES), list(FILES)[::-1]])
def test_files_one_after_another_in_any_order_end_alike_once_each_was_tried_again(home, tmp_path, order):
    folder = write_squad(tmp_path / "in")
    for _ in range(2):
        for name in order:
            flow.load(home, [folder / name], by="coach", derive_after=False)
    assert (flow.table(home, "split").height, flow.table(home, "session").height) == (3, 2)
    assert flow.rejected(home).is_empty()


def test_a_hand_entry_is_a_source_like_any_other(home, tmp_path):
    load_roster(home)
    row = {"athlete_id": "ada-reed", "week_of": "2025-11-03", "topic": "start_work", "call": "heavy sled twice"}
    done = flow.enter(home, "decision", [row], by="head coach")
    assert counts(done) == (1, 1, 0, 0, 0)
    log = flow.loads(home).row(-1, named=True)
    assert (log["kind"], log["loaded_by"]) == ("entry", "head coach")
    kept = next(home.sources.rglob(log["source_sha256"])).read_bytes()
    assert json.loads(kept)["rows"] == [row]


def test_a_value_typed_again_after_a_change_is_a_new_statement(home, tmp_path):
    load_roster(home)
    row = {"athlete_id": "ada-reed", "measured_on": "2025-11-03"}
    for mass in (61.5, 62.0, 61.5):
        flow.enter(home, "body_measure", [{**row, "body_mass_kg": mass}], by="coach", derive_after=False)
    assert flow.table(home, "body_measure")["body_mass_kg"].to_list() == [61.5]


def test_a_hand_entry_can_mend_a_row_that_waits(home, tmp_path):
    flow.load(home, write(tmp_path / "in", roster=ROSTER, splits=SPLITS.replace("2.95", "2.9O")), by="coach")
    waiting = flow.rejected(home)["reject_no"].to_list()
    row = {"athlete_id": "ada-reed", "session_date": "2025-11-03", "session_no": 1, "rep_no": 1}
    flow.enter(home, "split", [{**row, "distance_m": 20, "elapsed_s": 2.95}], by="coach", resolves=waiting)
    assert flow.rejected(home).is_empty()


def test_a_wrong_hand_entry_is_set_aside_with_its_reason(home, tmp_path):
    load_roster(home)
    row = {"athlete_id": "ada-reed", "measured_on": "2025-11-03", "body_mass_kg": 6.8}
    done = flow.enter(home, "body_measure", [row], by="coach")
    assert counts(done) == (1, 0, 0, 0, 1)
    assert flow.table(home, "body_measure").is_empty()
    assert flow.enter(home, "no_such_table", [row], by="coach").problem


@pytest.mark.parametrize("seed", [0, 1, *(pytest.param(one, marks=pytest.mark.long) for one in (2, 3))])
def test_messy_files_in_any_order_end_alike_and_a_second_time_adds_nothing(home, tmp_path, seed):
    rng = random.Random(seed)
    head = "Name;Date;10m;20m;30m\n"
    good = [f"{who};2025-11-{day:02d};1,8{day % 10};2,9{day % 10};4,0{day % 10}" for who, day in
            zip(["Ada Reed", "Bo Lind"] * 6, range(3, 15), strict=True)]  # fmt: skip
    bad = ["Mean;;1,80;2,95;4,00", "Nobody;2025-11-03;1,80;2,95;4,00", "Ada Reed;2025-13-40;1,80;2,95;4,00", ";;;;"]
    lines = [*good, *bad]
    rng.shuffle(lines)
    parts = {f"part{n}": head + "\n".join(lines[n::3]) + "\n" for n in range(3)}
    [roster] = flow.load(home, write(tmp_path / "in", roster=ROSTER), by="coach", derive_after=False)
    names = list(parts)
    rng.shuffle(names)
    first = [flow.load(home, write(tmp_path / "in", **{n: parts[n]}), by="coach", derive_after=False)[0] for n in names]
    for one in first:
        assert one.rows_read == one.stored + one.unchanged + one.replaced + one.set_aside
    # by hand: 12 good rows of 3 gates; the mean, the unknown name and the day that does not exist wait
    assert (sum(one.stored for one in first), sum(one.set_aside for one in first)) == (12, 3)
    splits = flow.table(home, "split").drop("load_no", "entered_at")
    assert splits.height == 36
    assert splits["elapsed_s"].round(2).to_list() == sorted_splits()
    again = [flow.load(home, write(tmp_path / "in", **{n: parts[n]}), by="coach", derive_after=False)[0] for n in names]
    assert sum(one.stored + one.replaced for one in again) == 0
    assert flow.table(home, "split").drop("load_no", "entered_at").equals(splits)
    assert roster.stored == 2


def sorted_splits():
    """Return the times of the good rows in the order of the record: athlete, day, gate."""
    rows = sorted((who, day) for who, day in zip(["Ada Reed", "Bo Lind"] * 6, range(3, 15), strict=True))
    return [round(gate + (day % 10) / 100, 2) for _, day in rows for gate in (1.80, 2.90, 4.00)]


def test_progress_moves_within_one_file_and_over_several(home, tmp_path):
    told = []
    flow.load(
        home, write(tmp_path / "1", roster=ROSTER), by="coach", derive_after=False, tell=lambda *one: told.append(one)
    )
    stages = ["reading", "laying out", "checking", "storing"]
    assert told == [*((done, 4, f"{stage} roster.csv") for done, stage in enumerate(stages)), (4, 4, "")]
    told.clear()
    paths = write(tmp_path / "2", splits=SPLITS, sessions=SESSIONS)
    paths.append(tmp_path / "none.xlsx")
    paths[-1].write_bytes(b"no workbook")
    flow.load(home, paths, by="coach", derive_after=False, tell=lambda *one: told.append(one))
    done = [one[0] for one in told]
    assert done == sorted(done)
    assert told[0][:2] == (0, 12)
    assert told[-1] == (12, 12, "")
    assert {"storing splits.csv", "storing sessions.csv"} < {one[2] for one in told}


def test_an_open_injury_that_comes_in_is_said_to_be_for_a_professional(home):
    load_roster(home)
    hurt = {"athlete_id": "ada-reed", "onset_on": dt.date(2025, 11, 3), "site": "hamstring", "side": "l"}
    for more, is_said in (({"stopped_training": True}, True), ({}, True), ({"stopped_training": False}, False),
                          ({"returned_on": dt.date(2025, 11, 20)}, False)):  # fmt: skip
        tried = flow.check_entry(home, "injury", [hurt | more], "coach")
        assert any("the coach does not decide this one" in note for note in tried.notes) is is_said


def test_rows_after_the_day_a_frozen_squad_looks_from_are_kept_and_told(home, tmp_path):
    load_roster(home)
    home.settings.write_text("as_of = 2025-11-03\n", encoding="utf-8")
    typed = {"athlete_id": "ada-reed", "onset_on": dt.date(2025, 11, 4), "site": "hamstring", "side": "l"}
    tried = flow.check_entry(home, "injury", [typed], "coach")
    kept = flow.enter(home, "injury", [typed], "coach", derive_after=False)
    for outcome in (tried, kept):
        assert (outcome.stored, outcome.set_aside) == (1, 0)
        assert outcome.notes[:1] == [
            "Rows on 4 November 2025 are kept, but no page shows them yet: this squad looks from 3 November 2025 "
            "(as_of in settings.toml). Take that line out to look from today."
        ]
    before = flow.enter(home, "injury", [typed | {"onset_on": dt.date(2025, 11, 3)}], "coach", derive_after=False)
    assert not any("no page shows them" in note for note in before.notes)


def test_a_false_start_with_the_body_mass_of_the_runs_before_it_is_kept(home, tmp_path):
    load_roster(home)
    text = (
        "athlete_id;Date;Run;Start;Clock;10m;20m;Body mass (kg);Outcome\n"
        "ada-reed;2025-06-08;1;blocks;gun;2.21;3.41;70.2;completed\n"
        "ada-reed;2025-06-08;2;blocks;gun;;;70.2;false_start\n"
        "ada-reed;2025-06-08;2;blocks;gun;;;70.2;false_start\n"
    )
    outcome = flow.load_bytes(home, "starts.csv", text.encode(), "coach", derive_after=False)
    runs = flow.table(home, "rep").sort("rep_no")
    assert runs.select("rep_no", "outcome").rows() == [(1, "completed"), (2, "false_start")]
    assert flow.rejected(home)["source_line"].to_list() == [4]  # the same row again, and nothing else
    assert outcome.set_aside == 1


def test_two_files_that_disagree_on_a_measure_of_its_own_name_are_told(home, tmp_path):
    load_roster(home)
    rows = "athlete_id,measured_on,what,value,unit\nada-reed,2025-06-08,reach,{},cm\n"
    for name, value in (("one", 41.5), ("other", 43.0)):
        (tmp_path / f"{name}.csv").write_text(rows.format(value), encoding="utf-8")
    flow.load(home, [tmp_path / "one.csv", tmp_path / "other.csv"], by="coach", derive_after=False)
    assert flow.table(home, "other_measure").is_empty()
    said = flow.rejected(home)["reason"].to_list()
    assert len(said) == 2
    assert all(
        "different values of value: 'one.csv' line 2 says 41.5, 'other.csv' line 2 says 43.0" in one for one in said
    )
