"""'How this is computed' says the formula with the athlete's own numbers: read off the rows, added by hand here."""

import datetime as dt
import re
from pathlib import Path

from dashboard import wording
from tests.dashboard.small_board import table_of

WHO = "teo-brandmere"


def plain(lines: list[str]) -> str:
    return " ".join(lines).replace("\u202f", "").replace("−", "-")


def test_the_days_of_a_week_are_written_out_and_come_to_its_load(home: Path):
    week = table_of(home, "load_week").filter(athlete_id=WHO).sort("week_of").row(-1, named=True)
    days = [week["week_of"] + dt.timedelta(days=n) for n in range(7)]
    of_week = [row for row in table_of(home, "load_day").filter(athlete_id=WHO).to_dicts() if row["day_on"] in days]
    done = [row for row in table_of(home, "session").filter(athlete_id=WHO).to_dicts() if row["session_date"] in days]
    said = plain(wording.worked_load(week, of_week, done))
    terms = [float(a) * float(b) for a, b in re.findall(r"(\d+) min × ([\d.]+)", said)]
    assert len(terms) >= 6
    assert sum(terms) == week["load_au"]
    assert f"{week['load_au']:.0f}" in said


def test_a_day_that_is_not_known_is_not_written_as_a_number():
    day = {"day_on": dt.date(2026, 11, 16), "load_au": None}
    session = {"session_date": day["day_on"], "session_no": 1, "duration_min": 60.0, "effort_0_10": None}
    said = plain(wording.worked_load({"load_au": None, "week_of": day["day_on"]}, [day], [session]))
    assert "= not known" in said
    assert "all days together: not known" in said


def test_the_change_of_the_start_is_written_as_now_less_then(home: Path):
    progress = table_of(home, "start_progress").filter(athlete_id=WHO, metric="t_10_s", is_main=True).row(0, named=True)
    said = plain(wording.worked_trend(progress))
    now, then = (float(one) for one in re.findall(r"([\d.]+)s \(error", said))
    change = re.search(r"is (-?[+\d]+)ms, error", said)
    assert change
    assert abs(1000 * (now - then) - float(change[1])) <= 1.5  # each is rounded to a millisecond
    assert wording.worked_trend(None) == []


def test_what_counts_as_fast_is_written_with_own_best_speed(home: Path):
    week = table_of(home, "speed_exposure").filter(athlete_id=WHO).sort("week_of").row(-1, named=True)
    said = plain(wording.worked_exposure(week))
    assert f"{week['best_speed_mps']:.2f}m/s" in said
    assert f"{week['metres_95']:.0f}m of sections" in said
    assert wording.worked_exposure({"best_speed_mps": None}) == []


def newest_strength(home: Path, athlete_id: str) -> dict[tuple[str, str], dict]:
    rows = table_of(home, "strength_state").filter(athlete_id=athlete_id).sort("measured_on", descending=True)
    newest: dict[tuple[str, str], dict] = {}
    for row in rows.to_dicts():
        newest.setdefault((row["item"], row["side"]), row)
    return newest


def test_a_maximum_is_written_with_the_set_it_comes_from(home: Path):
    sets = table_of(home, "lift_set").filter(athlete_id=WHO)
    lift = next(row for row in newest_strength(home, WHO).values() if row["e1rm_kg"] is not None)
    said = plain([wording.worked_lift(lift)])
    reps, load, maximum = re.search(r"best set (\d+) × ([\d.]+)kg: .* = ([\d.]+)kg", said).groups()
    of_day = sets.filter(session_date=lift["measured_on"], exercise=lift["item"], reps=int(reps)).to_dicts()
    able = [one["reps"] + (one["reps_in_reserve"] or 0.0) for one in of_day if abs(one["load_kg"] - float(load)) < 0.06]
    by_hand = [float(load) if able_to == 1 else 36 * float(load) / (37 - able_to) for able_to in able]
    assert min(abs(one - float(maximum)) for one in by_hand) < 0.2


def test_the_sides_are_written_with_the_means_their_difference_is_taken_from(home: Path):
    lines = [line for line in wording.worked_strength(newest_strength(home, WHO)) if "right less left" in line]
    assert lines
    for line in lines:
        said = plain([line])
        left, right = (float(one) for one in re.findall(r"(?:left|right) (\d+)N", said))
        told = float(re.search(r"larger = ([-+]?[\d.]+)%", said)[1])
        assert abs(100 * (right - left) / max(left, right) - told) < 0.4  # the means are rounded to a newton


def test_sides_of_two_days_are_not_held_against_each_other(home: Path):
    newest = newest_strength(home, WHO)
    item = next(
        item for (item, side), row in newest.items() if side == "both" and row["difference_percent"] is not None
    )
    newest[item, "l"] = {**newest[item, "l"], "measured_on": dt.date(2026, 1, 5)}
    assert not [line for line in wording.worked_strength(newest) if "right less left" in line]


def test_a_jump_is_written_with_its_time_in_the_air_and_own_usual(home: Path):
    jumps = table_of(home, "spring_state").filter(table_of(home, "spring_state")["usual_height_m"].is_not_null())
    jump = jumps.row(-1, named=True)
    said = plain(wording.worked_spring(jump))
    height, usual = float(re.search(r"= ([\d.]+)m", said)[1]), float(re.search(r"usual: ([\d.]+)m", said)[1])
    change = float(re.search(r"lies ([-+]?[\d.]+)%", said)[1])
    assert abs(100 * (height / usual - 1) - change) < 0.4  # heights are rounded to a millimetre
    assert wording.worked_spring({"jump_height_m": None}) == []


def test_an_answer_is_written_beside_the_own_usual_it_was_held_against(home: Path):
    rows = table_of(home, "checkin_answer").filter(athlete_id=WHO).sort("checked_on")
    last = rows.filter(checked_on=rows["checked_on"].max()).to_dicts()
    lines = [plain([line]) for line in wording.worked_answers(last)]
    assert len(lines) == len(last)
    for one, said in zip(last, lines, strict=True):
        assert f": {one['value']:.1f};" in said
        assert ("held against no own usual" in said) == (one["usual"] is None or one["z"] is None)
        assert said.endswith(": a reason." if one["speaks"] else ": no reason.")


def test_contacts_come_to_their_sum_and_the_frequency_follows(home: Path):
    rows = table_of(home, "start_phase").filter(athlete_id=WHO, is_free=True).drop_nulls("early_frequency_hz")
    lines = wording.worked_contacts(rows.tail(3).to_dicts())
    assert len(lines) == 3
    for line in lines:
        said = plain([line])
        terms = re.search(r"contacts (\d+) \+ (\d+) \+ (\d+) = (\d+) ms", said)
        assert terms
        assert abs(sum(int(one) for one in terms.groups()[:3]) - int(terms[4])) <= 2  # each is rounded
        parts = re.search(r"3 steps / \(([\d.]+) \+ ([\d.]+) s of flights\) = ([\d.]+)Hz", said)
        assert parts
        assert abs(3 / (float(parts[1]) + float(parts[2])) - float(parts[3])) < 0.02
    assert wording.worked_contacts([dict.fromkeys(rows.columns)]) == []


def test_the_push_of_each_contact_is_written_from_the_gains_beside_it(home: Path):
    rows = table_of(home, "start_steps").filter(athlete_id=WHO).sort("session_date", "rep_no", "step_no").to_dicts()
    last = next(row for row in reversed(rows) if row["impulse_ns_per_kg"] is not None)
    key = ("session_date", "session_no", "rep_no")
    steps = [row for row in rows if all(row[name] == last[name] for name in key)]
    lines = wording.worked_impulse(steps)
    assert len(lines) == sum(row["impulse_ns_per_kg"] is not None for row in steps)
    for line in lines:
        said = plain([line])
        parts = re.search(r"\(1 - ([\d.]+) / 2\) × (-?[\d.]+) \+ [\d.]+ / 2 × (-?[\d.]+) m/s = (-?[\d.]+) N s", said)
        assert parts
        share, gain, following, comes_to = (float(one) for one in parts.groups())
        assert abs((1 - share / 2) * gain + share / 2 * following - comes_to) < 0.02


def test_the_curve_is_written_with_its_two_numbers(home: Path):
    rep = table_of(home, "sprint_profile").filter(athlete_id=WHO).drop_nulls("tau_s").row(-1, named=True)
    gates = table_of(home, "sprint_curve").filter(
        athlete_id=WHO, session_date=rep["session_date"], session_no=rep["session_no"], rep_no=rep["rep_no"]
    )
    said = plain(wording.worked_curve(rep, gates.to_dicts()))
    assert f"speed = {rep['vmax_mps']:.2f} × (1 - e^(-t / {rep['tau_s']:.3f}))" in said
    assert said.count("off it.") == gates["residual_s"].drop_nulls().len()
    assert wording.worked_curve({"vmax_mps": None, "tau_s": None}, []) == []


def test_the_rhythm_is_written_as_a_share_of_the_own_best(home: Path):
    rows = table_of(home, "start_phase").filter(athlete_id=WHO).drop_nulls("rhythm_10m")
    said = plain(wording.worked_rhythm(rows.row(-1, named=True)))
    parts = re.search(r"At 10 m ([\d.]+)Hz / own best of 60 days, ([\d.]+)Hz.* = ([\d.]+), error", said)
    assert parts
    assert abs(float(parts[1]) / float(parts[2]) - float(parts[3])) < 0.01
    assert wording.worked_rhythm(None) == []


def test_raw_bests_say_of_which_runs_they_are_the_fastest():
    row = {"distance_m": 10.0, "runs": 42, "days": 1, "best_s": 1.98, "best_on": dt.date(2026, 6, 8),
           "last_on": dt.date(2026, 11, 21), "last_s": 2.14}  # fmt: skip
    assert plain(wording.worked_bests([("blocks", row)])) == (
        "10 m, blocks: the fastest of 42 runs on 1 day is 1.980 s, of 8 Jun 2026; of the last day, 21 Nov 2026, it "
        "is 2.140 s."
    )


def test_what_was_looked_for_is_counted_free_and_with_a_load():
    row = {"item": "x", "free_seen": 1, "free_looked": 1, "sled_seen": 0, "sled_looked": 4}
    assert wording.worked_technique([row]) == [
        "x: seen in 1 of 1 start without a load and in 0 of 4 starts with a load."
    ]
    assert wording.worked_technique([{**row, "free_looked": 0, "sled_looked": 0}]) == []


def test_a_pattern_says_its_run_and_its_numbers_and_a_set_position_what_followed():
    run = {"session_date": dt.date(2026, 11, 16), "rep_no": 2}
    seen = {**run, "pattern": "x", "strength": "clear", "evidence": "contact 1 0.19 s"}
    assert wording.worked_patterns([seen]) == ["16 Nov, run 2: x, clear: contact 1 0.19 s."]
    was = {**run, "front_foot_m": 0.52, "rear_foot_m": None, "contact_1_s": 0.18, "t_10_s": 1.931}
    assert plain(wording.worked_set([was])) == "16 Nov, run 2: front foot 0.52m; then contact 1 0.180s, 10 m 1.931s."
    assert wording.worked_set([{**was, "front_foot_m": None}]) == []  # nothing of the position is known
