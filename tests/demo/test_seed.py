"""The demo squad: written again byte for byte, inside what is possible, and the cases really in the files."""

import csv
import datetime as dt
import io
import re
from statistics import mean

import numpy as np
import openpyxl
import pytest
from scipy.optimize import curve_fit

from seed_data import DEMO_SETTINGS, FILES, TRUTH, cases, gym
from seed_data.squad import ATHLETES, LAST_DAY
from seed_data.truth import speed_at, time_at
from seed_data.write import everything, parts

Rows = list[dict[str, str]]


def read(name: str, delimiter: str = ",", encoding: str = "utf-8-sig") -> Rows:
    return list(csv.DictReader(io.StringIO((FILES / name).read_bytes().decode(encoding)), delimiter=delimiter))


def truth(name: str) -> Rows:
    return list(csv.DictReader(io.StringIO((TRUTH / name).read_text(encoding="utf-8"))))


@pytest.fixture(scope="module")
def reps() -> Rows:
    return truth("reps.csv")


def name_of(athlete_id: str) -> str:
    return next(one.display_name for one in ATHLETES if one.athlete_id == athlete_id)


def test_simulating_again_gives_the_committed_files():
    made_files, made_truth = everything()
    for folder, made in ((FILES, made_files), (TRUTH, made_truth)):
        assert sorted(path.name for path in folder.iterdir()) == sorted(made)
        for name, content in made.items():
            assert parts(name, content) == parts(name, (folder / name).read_bytes()), name


def test_the_folder_stays_small():
    assert sum(path.stat().st_size for path in FILES.iterdir()) < 4_000_000
    assert 30 <= len(list(FILES.iterdir())) <= 75


def test_the_demo_ends_on_the_last_simulated_day():
    assert DEMO_SETTINGS["as_of"] == LAST_DAY == dt.date(2026, 11, 22)
    assert LAST_DAY.isoweekday() == 7


def test_the_squad_is_as_the_scenario_says():
    groups = [one.event_group for one in ATHLETES]
    counts = {name: groups.count(name) for name in set(groups)}
    assert counts == {
        "short_sprints": 8, "long_sprints": 5, "hurdles": 4, "horizontal_jumps": 4, "combined_events": 3,
    }  # fmt: skip
    assert len({one.athlete_id for one in ATHLETES}) == 24
    for who in cases.MINORS:
        born = next(one.birth_date for one in ATHLETES if one.athlete_id == who)
        assert 16 <= (LAST_DAY - born).days / 365.25 < 18
    assert len(ATHLETES) - len(cases.LOUD) == 17


def test_the_model_gives_the_worked_values():
    # Worked example of the mono-exponential model: V 10 m/s, tau 1.2 s (computed with a bracketing root finder).
    assert time_at(10.0, 10.0, 1.2) == pytest.approx(1.967037, abs=1e-6)
    assert time_at(40.0, 10.0, 1.2) == pytest.approx(5.184041, abs=1e-6)
    assert speed_at(1.0, 10.0, 1.2) == pytest.approx(5.654018, abs=1e-6)


def test_truth_is_inside_what_is_possible(reps: Rows):
    for row in reps:
        free = not row["resistance_load_kg"]
        # Plausible range of sprint profiles: V 6 to 12.5 m/s, tau 0.8 to 1.6 s; with a sled slower and longer.
        assert (6.0 if free else 2.5) < float(row["vmax_mps"]) < 12.5
        assert 0.8 < float(row["tau_s"]) < (1.6 if free else 2.6)
        assert 1.7 < float(row["t_10_s"]) < (2.4 if free else 4.5)
        if row["reaction_s"]:
            assert 0.100 <= float(row["reaction_s"]) < 0.3  # under 0.100 s is a false start (World Athletics rules)
        if row["contact_1_s"]:
            assert 0.10 < float(row["contact_1_s"]) < 0.30


def test_senior_sprinters_are_near_published_ten_metre_times():
    # Haugen, Breitschädel and Seiler 2019: 10 m 1.90 s (SD 0.03, men), 2.00 s (SD 0.02, women) of a national team.
    # A club's seniors are allowed 0.12 s around that.
    weeks = truth("weeks.csv")
    for sex, published in (("m", 1.90), ("f", 2.00)):
        who = {
            one.athlete_id for one in ATHLETES
            if one.sex == sex and one.event_group == "short_sprints" and one.squad == "senior"
        }  # fmt: skip
        assert abs(mean(float(row["t_10_s"]) for row in weeks if row["athlete_id"] in who) - published) < 0.12


def test_an_independent_fit_of_the_written_splits_finds_the_truth_again(reps: Rows):
    # scipy's curve_fit on the gate times of October and November against the truth each run was made from.
    told = {(row["athlete_id"], row["session_date"], row["rep_no"]): row for row in reps}
    by_name = {one.display_name: one.athlete_id for one in ATHLETES}
    model = np.vectorize(time_at)
    errors = []
    for week in (46, 47):
        for row in read(f"starts_2026_w{week}.csv"):
            gates = [gate for gate in (10, 20, 30, 40) if row[f"{gate} m"]]
            key = (by_name.get(row["Athlete"], ""), row["Date"], row["Run"])
            if row["Start"] != "blocks" or len(gates) < 3 or key not in told or not row["RT (s)"]:
                continue
            times = [float(row[f"{gate} m"]) - float(row["RT (s)"]) for gate in gates]
            (vmax, tau), _ = curve_fit(model, np.array(gates, float), np.array(times), p0=[9.5, 1.1])
            errors.append((vmax - float(told[key]["vmax_mps"]), time_at(10, vmax, tau) - float(told[key]["t_10_s"])))
    assert len(errors) > 60
    vmax_error, ten_error = np.array(errors).mean(axis=0)
    assert abs(ten_error) < 0.002  # 0.007 s a gate, over 60 runs and more
    assert abs(vmax_error) < 0.06


def level(weeks: Rows, who: str, monday: str) -> float:
    return next(float(row["t_10_s"]) for row in weeks if (row["athlete_id"], row["week_of"]) == (who, monday))


def test_one_improves_and_one_stalls():
    weeks = truth("weeks.csv")
    change = level(weeks, cases.IMPROVES, "2026-11-16") - level(weeks, cases.IMPROVES, "2026-09-28")
    assert -0.060 < change < -0.040
    gained = level(weeks, cases.STALLS, "2026-08-31") - level(weeks, cases.STALLS, "2026-05-25")
    since = level(weeks, cases.STALLS, "2026-11-16") - level(weeks, cases.STALLS, "2026-08-31")
    assert gained < -0.03
    assert abs(since) < 0.008


def contacts(reps: Rows, who: str, first: str, last: str) -> float:
    return mean(
        sum(float(row[f"contact_{n}_s"]) for n in (1, 2, 3))
        for row in reps
        if row["athlete_id"] == who and row["contact_1_s"] and first <= row["session_date"] <= last
    )


def test_one_cuts_the_push_short_and_one_pushes_too_long(reps: Rows):
    quick = contacts(reps, cases.CUT_SHORT, "2026-11-02", "2026-11-22") / contacts(
        reps, cases.CUT_SHORT, "2026-08-01", "2026-11-01"
    )
    assert 0.80 < quick < 0.88
    weeks = truth("weeks.csv")
    assert level(weeks, cases.CUT_SHORT, "2026-11-09") - level(weeks, cases.CUT_SHORT, "2026-10-26") > 0.025
    long = contacts(reps, cases.TOO_LONG, "2026-10-05", "2026-11-22") / contacts(
        reps, cases.TOO_LONG, "2026-06-01", "2026-10-04"
    )
    assert 1.10 < long < 1.18
    notes = [
        row for row in read("technique_notes_2026.csv")
        if row["athlete_id"] == cases.TOO_LONG and row["item"] == "knee_locks_at_toeoff" and row["seen"] == "yes"
    ]  # fmt: skip
    assert len(notes) >= 5
    assert min(row["session_date"] for row in notes) >= "2026-10-05"


def test_one_shin_sinks_before_the_push():
    moves = [
        float(row["Front shin push (deg)"]) - float(row["Front shin set (deg)"])
        for row in read("set_positions_2026.csv", ";")
        if row["Athlete"] == name_of(cases.SHIN_DROPS) and row["Date"] >= "2026-09-07"
    ]
    assert len(moves) >= 8
    assert -8 < mean(moves) < -5


def test_one_left_hamstring_tightens_and_two_keep_silent():
    rows = read("checkins_summer.csv") + read("checkins_autumn.csv")
    last = {row["Date"]: row for row in rows if row["Name"] == name_of(cases.TIGHT)}
    days = ("2026-11-20", "2026-11-21", "2026-11-22")
    assert [last[day]["Left hamstring tight (0-10)"] for day in days] == ["3", "5", "6"]
    assert not [row for row in rows if row["Name"] == name_of(cases.NEVER_CHECKS_IN)]
    assert max(row["Date"] for row in rows if row["Name"] == name_of(cases.SILENT)) == "2026-11-18"
    assert (
        next(row["Are you ill"] for row in rows if row["Name"] == name_of(cases.ILL) and row["Date"] == days[2])
        == "yes"
    )


def test_one_side_stays_weaker_over_three_tests():
    rows = [row for row in read("eccentric_force_2026.csv", ";") if row["Athlete"] == name_of(cases.SIDE_DIFFERENCE)]
    for day in sorted({row["Date"] for row in rows})[-3:]:
        side = {
            which: mean(float(row["Peak force (N)"]) for row in rows if (row["Date"], row["Side"]) == (day, which))
            for which in ("left", "right")
        }
        assert -0.22 < side["right"] / side["left"] - 1 < -0.08


def test_one_week_load_is_above_own_range():
    rows = read("sessions_autumn.csv", ";") + read("sessions_2026_w47.csv", ";")
    weeks: dict[dt.date, float] = {}
    for row in rows:
        if row["Athlete"] == name_of(cases.SPIKE) and row["Date"] and row["Minutes"].isdigit() and row["Effort (0-10)"]:
            day = dt.date.fromisoformat(row["Date"])
            monday = day - dt.timedelta(days=day.weekday())
            weeks[monday] = weeks.get(monday, 0.0) + float(row["Minutes"]) * float(row["Effort (0-10)"])
    last = weeks.pop(cases.LAST_WEEK)
    assert last > 1.12 * max(weeks.values())


def test_one_has_not_run_fast_for_thirteen_days(reps: Rows):
    runs = [row for row in read("starts_2026_w46.csv") + read("starts_2026_w47.csv")
            if row["Athlete"] == name_of(cases.GAP) and row["Date"] > "2026-11-09"]  # fmt: skip
    assert runs
    assert not [row for row in runs if row["30 m"] or row["40 m"]]
    assert max(
        row["session_date"] for row in reps if row["athlete_id"] == cases.GAP and row["sheet"] == "flying"
    ) > "2026-11-09"  # fmt: skip
    planned = [row for row in read("plan_november.csv") if row["athlete_id"] == cases.GAP]
    assert {row["fast_metres"] for row in planned if "2026-11-09" < row["planned_on"] < "2026-11-23"} == {"0"}
    ends = next(row for row in planned if row["planned_on"] == "2026-11-23")
    assert (ends["kind"], ends["fast_metres"]) == ("top_speed", "120")
    assert "all out" in ends["note"]


def test_hand_times_stand_in_one_week_of_one_group():
    rows = read("hand_times_2026_w41.csv")
    group = {one.display_name for one in ATHLETES if one.event_group == cases.HAND_GROUP}
    assert {row["Athlete"] for row in rows} <= group
    assert {row["Timing"] for row in rows} == {"hand"}
    assert all("2026-10-05" <= row["Date"] <= "2026-10-11" for row in rows)


def test_three_run_with_sleds_at_several_loads():
    rows = [row for row in read("sled_block_2026.csv") if row["Run"] != "19"]
    assert len({row["Athlete"] for row in rows}) == 3
    for who in {row["Athlete"] for row in rows}:
        loads = {float(row["Sled load (kg)"] or 0) for row in rows if row["Athlete"] == who}
        mass = next(one.body_mass_kg for one in ATHLETES if one.display_name == who)
        assert len(loads) == 5
        assert max(loads) > 0.75 * mass


def test_one_hinge_rises_and_the_eccentric_force_stays_as_it_was():
    day = cases.HINGE_RISES_FROM
    before, after = (gym._max_on(cases.HINGE_RISES, "romanian_deadlift", one) for one in (day, cases.LAST))
    assert after / before - 1 > 0.10
    athlete = next(one for one in ATHLETES if one.athlete_id == cases.HINGE_RISES)
    assert gym.true_force_n(athlete, "l", cases.LAST) == gym.true_force_n(athlete, "l", day)


def test_one_jump_drops_in_the_last_test():
    sheet = openpyxl.load_workbook(FILES / "jumps_2026.xlsx", read_only=True)["Countermovement"]
    heights: dict[dt.date, list[float]] = {}
    for row in sheet.iter_rows(min_row=5, values_only=True):
        if row[0] == name_of(cases.JUMP_DROP) and float(row[4]) > 0.1:
            heights.setdefault(row[1].date(), []).append(9.80665 * float(row[4]) ** 2 / 8)
    days = sorted(heights)
    usual = mean(mean(heights[day]) for day in days[:-1])
    assert days[-1] >= cases.LAST_WEEK
    assert -0.15 < mean(heights[days[-1]]) / usual - 1 < -0.06


def test_one_is_back_from_a_strain_about_five_weeks_ago():
    row = next(row for row in read("injuries.csv") if row["athlete_id"] == cases.RETURNS)
    assert (row["site"], row["side"]) == ("hamstring", "r")
    assert 28 <= (LAST_DAY - dt.date.fromisoformat(row["returned_on"])).days <= 42


def test_every_wrong_row_stands_on_the_line_that_is_told():
    told = truth("wrong_rows.csv")
    assert len(told) >= 25
    expected = {
        "unknown_athlete": "Orla Wintersedge|Guest", "mean_row": "Mean|Average", "future_date": "2026-12-24",
        "impossible_date": r"31\.09\.2026|2026-06-31", "unknown_word": "looks good",
        "not_a_number": r"eighty|10\.85\.2",
        "impossible_speed": ";3,60;", "empty_row": "^[;,]+$",
    }  # fmt: skip
    for row in told:
        path = FILES / row["file"]
        if path.suffix == ".xlsx":
            cells = openpyxl.load_workbook(path)[row["sheet"]][int(row["line"])]
            line = "|".join(str(cell.value) for cell in cells)
        else:
            encoding = "cp1252" if row["file"] == "body_mass_autumn.csv" else "utf-8-sig"
            line = path.read_bytes().decode(encoding).splitlines()[int(row["line"]) - 1]
        assert re.search(expected.get(row["kind"], "."), line), row


def test_the_shapes_of_real_folders_are_there():
    assert (FILES / "body_mass_september.csv").read_bytes().startswith(b"\xef\xbb\xbf")
    accented = (FILES / "body_mass_autumn.csv").read_bytes()
    with pytest.raises(UnicodeDecodeError):
        accented.decode("utf-8")
    assert "Séverine" in accented.decode("cp1252")
    assert "RT (ms)" in (FILES / "starts_2026-08.csv").read_text(encoding="utf-8").splitlines()[0]
    september = openpyxl.load_workbook(FILES / "gym_2026-09.xlsx").worksheets[0]
    assert september.merged_cells.ranges
    assert isinstance(september["B5"].value, dt.datetime)
    assert any("," in str(cell.value) for cell in september["F"][5:40])
