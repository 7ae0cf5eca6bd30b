"""Values that are stored and marked: a large change from file to file, a value far from the athlete's own usual."""

import pytest

from pipelines import flow
from tests.flow.squad import load_roster, write

HEADER = "athlete_id,session_date,session_no,rep_no,distance_m,elapsed_s\n"


@pytest.fixture
def squad(home, small_derived):
    load_roster(home)
    return home


def load(home, folder, **files):
    return flow.load(home, write(folder, **files), by="coach", derive_after=False)


def test_a_large_change_across_files_replaces_and_is_marked_and_a_small_one_is_not(squad, tmp_path):
    load(squad, tmp_path / "a", first=HEADER + "ada-reed,2025-11-03,1,1,10,1.80\nada-reed,2025-11-03,1,1,20,2.95\n")
    # 1.80 -> 2.00 is 0.20 / 2.00 = 10 %, above the 5 % of times; 2.95 -> 2.97 is 0.7 %
    second = "ada-reed,2025-11-03,1,1,10,2.00\nada-reed,2025-11-03,1,1,20,2.97\n"
    [again] = load(squad, tmp_path / "b", second=HEADER + second)
    assert again.replaced == 2
    marks = flow.table(squad, "marked")
    assert marks.select("kind", "column", "was", "value", "source_name", "source_line").rows() == [
        ("large change", "elapsed_s", 1.8, 2.0, "second.csv", 2)
    ]
    assert any("1 value was stored and marked: line 2, elapsed_s: was 1.8 s, now 2 s" in note for note in again.notes)
    assert flow.table(squad, "split")["elapsed_s"].to_list() == [2.0, 2.97]


def test_an_undone_change_is_marked_no_more_and_redone_it_is_again(squad, tmp_path):
    load(squad, tmp_path / "a", first=HEADER + "ada-reed,2025-11-03,1,1,10,1.80\n")
    [again] = load(squad, tmp_path / "b", second=HEADER + "ada-reed,2025-11-03,1,1,10,2.00\n")
    flow.undo(squad, again.load_no, "coach", derive_after=False)
    assert flow.table(squad, "marked").is_empty()
    flow.redo(squad, again.load_no, "coach", derive_after=False)
    assert flow.table(squad, "marked").height == 1


def test_an_unusual_but_possible_value_is_stored_and_marked(squad, tmp_path):
    # eight usual times 1.80 to 1.87 s and one of 1.30 s: 10 m / 1.30 s = 7.7 m/s is possible, median 1.83 s, MAD 0.02 s
    times = [*(f"{1.80 + n / 100:.2f}" for n in range(8)), "1.30"]
    rows = "".join(f"ada-reed,2025-11-{n:02},1,1,10,{time}\n" for n, time in enumerate(times, 1))
    [one] = load(squad, tmp_path / "a", splits=HEADER + rows)
    assert (one.stored, one.set_aside) == (9, 0)
    marks = flow.table(squad, "marked")
    assert marks.select("kind", "value", "was", "source_line").rows() == [("unusual", 1.3, 1.83, 10)]
    assert "far from this athlete's usual 1.83 s (9 values)" in marks["reason"][0]


def test_few_values_are_never_called_unusual(squad, tmp_path):
    rows = "".join(f"ada-reed,2025-11-{n:02},1,1,10,{time}\n" for n, time in enumerate((1.80, 1.81, 1.82, 1.30), 1))
    load(squad, tmp_path / "a", splits=HEADER + rows)
    assert flow.table(squad, "marked").is_empty()


def test_a_flying_run_is_not_held_against_starts_from_blocks(squad, tmp_path):
    header = "athlete_id,session_date,session_no,rep_no,start_kind,distance_m,elapsed_s\n"
    blocks = "".join(f"ada-reed,2025-11-{day:02d},1,1,blocks,20,3.0{day % 5}\n" for day in range(1, 11))
    [outcome] = load(squad, tmp_path / "a", times=header + blocks + "ada-reed,2025-11-12,1,1,rolling,20,2.10\n")
    assert (outcome.stored, flow.table(squad, "marked").height) == (11, 0)
    [outcome] = load(squad, tmp_path / "b", more=header + "ada-reed,2025-11-13,1,1,blocks,20,2.10\n")
    assert flow.table(squad, "marked")["kind"].to_list() == ["unusual"]
