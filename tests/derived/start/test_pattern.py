"""Patterns in the start: what triggers them, how strongly, and what does not. All rules: common practice, no source."""

import datetime as dt

import polars as pl
import pytest

from pipelines.derived.common.number_text import decimals
from pipelines.derived.start.pattern import start_pattern
from pipelines.derived.start.phase import start_phase, start_steps
from schemas import vocabulary as words
from tests.derived.start.start_frames import CONTACTS, DAY, FLIGHTS, LENGTHS, record, rep_row, run_key, step_rows

KEY = run_key(rep_no=9)


def own_runs(count: int = 8, day: dt.date = DAY - dt.timedelta(days=7)) -> list[dict]:
    """Earlier runs of the same athlete: alike in time, two of them clearly the fastest after three steps."""
    rows = []
    for i in range(count):
        longer = [*LENGTHS[:3], 1.50 if i < 2 else 1.35, *LENGTHS[4:]]
        rows += step_rows(run_key(day, i + 1), CONTACTS, FLIGHTS, longer)
    return rows


def patterns(rows=(), notes=(), positions=(), reps=None) -> pl.DataFrame:
    keys = {(r["session_date"], r["rep_no"]): r for r in [KEY, *rows, *notes, *positions]}
    reps = reps or [rep_row(run_key(*at)) for at in keys]
    rep, step = record("rep", reps), record("step", list(rows))
    position, note = record("set_position", list(positions)), record("technique_note", list(notes))
    steps = start_steps(rep, step)
    phase = start_phase(rep, step, position, note, steps)
    found = start_pattern(phase, steps, note, position, rep)
    return found.filter((pl.col("session_date") == DAY) & (pl.col("rep_no") == 9))


def note(item: str, seen: bool = True, rep_no: int = 9) -> dict:
    return {**run_key(rep_no=rep_no), "item": item, "seen": seen}


def names(found: pl.DataFrame) -> list[str]:
    return found["pattern"].to_list()


QUICK = [c - 0.020 for c in CONTACTS[:3]] + CONTACTS[3:]


def test_short_contacts_high_frequency_and_low_speed_against_own_best_are_cut_short():
    found = patterns(own_runs() + step_rows(KEY, QUICK, FLIGHTS, [*LENGTHS[:3], 1.10, *LENGTHS[4:]]))
    row = found.filter(pl.col("pattern") == "push_cut_short").row(0, named=True)
    # contacts 0.175 + 0.150 + 0.135 = 0.460 s against 0.520 s: 0.060 s at an error of 2 * 2.946 ms * sqrt 1.5 = 7.2 ms
    assert "0.460 s against 0.520 s in the own 2 best" in row["evidence"]
    # speed 1.10 / 0.210 = 5.24 m/s against 1.50 / 0.230 = 6.52 m/s
    assert "5.24 m/s after three steps against 6.52 m/s" in row["evidence"]
    assert row["strength"] == "clear"
    assert row["basis"] == "common_practice"
    assert row["evidence_table"] == "start_steps"
    assert row["what_it_is_not"].startswith("Not ")


def test_short_contacts_with_good_speed_are_no_fault():
    # 1.40 / 0.210 = 6.67 m/s, above the best runs' 6.52
    found = patterns(own_runs() + step_rows(KEY, QUICK, FLIGHTS, [*LENGTHS[:3], 1.40, *LENGTHS[4:]]))
    assert "push_cut_short" not in names(found)


def test_a_difference_inside_the_measurement_error_is_no_pattern():
    # 2 ms a contact: 6 ms in all, under 1.645 * 7.2 ms = 11.9 ms
    near = [c - 0.002 for c in CONTACTS[:3]] + CONTACTS[3:]
    found = patterns(own_runs() + step_rows(KEY, near, FLIGHTS, [*LENGTHS[:3], 1.10, *LENGTHS[4:]]))
    assert "push_cut_short" not in names(found)


def test_fewer_than_five_own_runs_give_no_measured_verdict():
    slow = [*LENGTHS[:3], 1.10, *LENGTHS[4:]]
    assert "push_cut_short" not in names(patterns(own_runs(4) + step_rows(KEY, QUICK, FLIGHTS, slow)))
    assert "push_cut_short" in names(patterns(own_runs(5) + step_rows(KEY, QUICK, FLIGHTS, slow)))


def test_later_runs_do_not_judge_an_earlier_one():
    later = own_runs(8, DAY + dt.timedelta(days=7))
    found = patterns(later + step_rows(KEY, QUICK, FLIGHTS, [*LENGTHS[:3], 1.10, *LENGTHS[4:]]))
    assert "push_cut_short" not in names(found)


def test_a_first_contact_that_is_not_the_longest_is_a_slight_sign():
    # Common practice, no source: the first contact is the longest. 12 ms is beyond 7.9 ms at 240 fps.
    found = patterns(step_rows(KEY, [0.160, 0.172, 0.150, *CONTACTS[3:]]))
    row = found.filter(pl.col("pattern") == "push_cut_short").row(0, named=True)
    assert row["strength"] == "slight"
    assert row["evidence"] == "first contact is not the longest: 0.160, 0.172, 0.150 s"


def test_longer_contacts_without_more_speed_push_too_long_and_a_note_makes_it_clear():
    long = [c + 0.020 for c in CONTACTS[:3]] + CONTACTS[3:]
    rows = own_runs() + step_rows(KEY, long)
    alone = patterns(rows).filter(pl.col("pattern") == "pushes_too_long").row(0, named=True)
    # 0.580 s against 0.520 s; 1.35 / 0.250 = 5.40 m/s against 6.52
    assert "0.580 s against 0.520 s" in alone["evidence"]
    assert alone["strength"] == "slight"
    both = patterns(rows, [note("leg_lifts_behind")]).filter(pl.col("pattern") == "pushes_too_long").row(0, named=True)
    assert both["strength"] == "clear"
    assert both["evidence"].endswith("noted: leg lifts behind")


@pytest.mark.parametrize(
    ("push", "pattern", "strength"),
    [
        (38.0, "shin_drops", "slight"),  # -4 deg / 2.12 = -1.89, beyond 1.645
        (35.0, "shin_drops", "clear"),  # -7 / 2.12 = -3.30, beyond 2.576
        (46.0, "shin_rises", "slight"),
        (49.0, "shin_rises", "clear"),
    ],
)
def test_the_front_shin_moving_before_the_push(push, pattern, strength):
    found = patterns(positions=[{**KEY, "front_shin_set_deg": 42.0, "front_shin_push_deg": push}])
    assert found.select("pattern", "strength").rows() == [(pattern, strength)]
    assert found["evidence_table"].item() == "set_position"


def test_a_shin_that_moves_within_its_error_is_silent():
    # 3 deg / 2.12 = 1.41, inside 1.645; the note on shin angles calls under 3 degrees noise
    assert patterns(positions=[{**KEY, "front_shin_set_deg": 42.0, "front_shin_push_deg": 39.0}]).height == 0


def test_a_note_speaks_only_when_it_was_seen():
    assert names(patterns(notes=[note("ankle_gives")])) == ["ankle_gives"]
    assert patterns(notes=[note("ankle_gives", seen=False)]).height == 0
    assert patterns(notes=[note("ankle_gives")])["strength"].item() == "slight"
    twice = [note("ankle_gives"), note("ankle_gives", rep_no=8)]
    assert patterns(notes=twice)["strength"].item() == "clear"


def test_head_and_arms_together_are_clear():
    assert patterns(notes=[note("head_moves_alone")])["strength"].item() == "slight"
    both = patterns(notes=[note("head_moves_alone"), note("arms_out_of_time")])
    assert both.select("pattern", "strength").rows() == [("head_or_arms_apart", "clear")]


def test_even_growing_rhythm_is_seen_in_the_steps():
    found = patterns(step_rows(KEY))
    assert names(found) == ["even_growing_rhythm"]
    # step 6 less step 2: 1.55 - 1.05 = +0.50 m
    assert "grow by +0.50 m" in found["evidence"].item()
    shrinking = [1.0, 1.05, 1.20, 1.05, 1.30, 1.55]
    assert patterns(step_rows(KEY, CONTACTS[:6], FLIGHTS[:6], shrinking)).height == 0


def test_a_sled_run_is_not_held_against_free_runs():
    rows = own_runs() + step_rows(KEY, QUICK, FLIGHTS, [*LENGTHS[:3], 1.10, *LENGTHS[4:]])
    days = {(r["session_date"], r["rep_no"]) for r in rows}
    reps = [rep_row(run_key(*at), **({"resistance_load_kg": 30.0} if at[1] == 9 else {})) for at in days]
    assert "push_cut_short" not in names(patterns(rows, reps=reps))


def test_every_pattern_can_be_found_and_none_else():
    items = [note(item) for item in words.TECHNIQUE_ITEMS]
    rows = own_runs() + step_rows(KEY, QUICK, FLIGHTS, [*LENGTHS[:3], 1.10, *LENGTHS[4:]])
    assert sorted(names(patterns(rows, items))) == sorted(words.PATTERNS)


def test_numbers_carry_a_real_minus_sign():
    values = pl.Series("x", [-0.0301, None, -0.0004, 2.5])
    assert decimals(values, 2, signed=True).to_list() == ["−0.03", None, "+0.00", "+2.50"]


def test_a_shin_that_moves_names_the_note_beside_its_angles():
    at = {**KEY, "front_shin_set_deg": 42.0, "front_shin_push_deg": 35.0}
    found = patterns(positions=[at], notes=[note("shin_drops_before_push")])
    assert found["pattern"].to_list() == ["shin_drops"]
    assert found["evidence"].item().startswith("front shin 42.0 degrees in set, 35.0 at the push: ")
    assert found["evidence"].item().endswith("noted: shin drops before push")
