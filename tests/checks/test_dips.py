"""A split that contradicts its own run or its own row is set aside with a sentence; what is true is stored."""

import pytest

from tests.intake import lines_set_aside, reasons, rows, take_in

STRETCHES = "Name,Date,No,0-5 m,5-10 m,10-20 m,20-30 m"
RUNS = [(1.20, 0.79, 1.31, 1.21), (1.19, 0.78, 1.32, 1.21), (1.13, 0.76, 1.29, 1.20), (1.04, 0.72, 1.18, 1.08)]


def stretches(runs, *, total=None, header="Total") -> str:
    lines = [STRETCHES + (f",{header}" if total else "")]
    for n, run in enumerate(runs):
        told = f",{total[n]}" if total else ""
        lines.append(f"Ana Berg,2026-03-0{n + 1},1," + ",".join(f"{one}" for one in run) + told)
    return "\n".join(lines) + "\n"


def changed(place: tuple[int, int], value: float):
    runs = [list(run) for run in RUNS]
    runs[place[0]][place[1]] = value
    return runs


def kept(checked, day: str) -> list[float]:
    return [at for on, at in rows(checked, "split", "session_date", "distance_m") if str(on) == day]


def test_a_missed_digit_between_two_gates_is_set_aside_with_all_that_lies_behind_it():
    checked = take_in(stretches(changed((1, 1), 7.8)))
    assert lines_set_aside(checked) == [3]
    # 5 m / 7.80 s = 0.64 m/s; 5 / 1.19 = 4.2 before it, 10 / 1.32 = 7.6 after it
    assert "5 to 10 m in 7.80 s is 0.6 m/s, beside 4.2 m/s and 7.6 m/s: no sprint goes so." in reasons(checked, 3)
    assert kept(checked, "2026-03-02") == [5.0]
    assert kept(checked, "2026-03-01") == [5.0, 10.0, 20.0, 30.0]


@pytest.mark.parametrize(
    ("place", "value", "left"),
    [((0, 0), 12.0, []), ((0, 2), 13.1, [5.0, 10.0]), ((0, 3), 4.21, [5.0, 10.0, 20.0]), ((0, 1), 2.79, [5.0])],
    ids=["first stretch", "between", "last", "two seconds too long"],
)
def test_the_slip_is_found_wherever_it_stands(place, value, left):
    checked = take_in(stretches(changed(place, value)))
    assert kept(checked, "2026-03-01") == left


@pytest.mark.parametrize("value", [1.32, 1.60, 0.95])
def test_a_stretch_that_a_run_may_have_is_stored(value):
    assert lines_set_aside(take_in(stretches(changed((1, 2), value)))) == []


def test_a_sheet_of_times_since_the_start_is_held_to_the_same_rule():
    lines = ["Name,Date,5m,10m,20m,30m"]
    times = [(1.20, 1.99, 3.30, 4.51), (1.19, 8.99, 10.31, 11.52), (1.13, 1.89, 3.18, 4.38), (1.04, 1.76, 2.94, 4.02)]
    lines += [f"Ana Berg,2026-03-0{n + 1}," + ",".join(map(str, run)) for n, run in enumerate(times)]
    checked = take_in("\n".join(lines) + "\n")
    assert lines_set_aside(checked) == [3]
    assert kept(checked, "2026-03-02") == [5.0]


def test_runs_with_a_turn_in_them_are_no_slips_when_most_runs_have_it():
    # a turn of 180 degrees between 10 and 20 m: the stretch is slow in every run
    runs = [(1.2, 0.8, 4.5, 1.3)] * 4
    checked = take_in(stretches(runs))
    assert lines_set_aside(checked) == []
    assert any("In 4 of 4 runs a stretch is far slower" in note for note in checked.notes)


def test_who_pulls_up_at_the_end_keeps_the_times():
    assert lines_set_aside(take_in(stretches(changed((2, 3), 2.9)))) == []  # 3.4 m/s after 7.8


@pytest.mark.parametrize("header", ["Total", "Σ", "whatever it is called"])
def test_splits_that_do_not_add_up_to_the_rows_own_total_are_set_aside(header):
    total = [4.51, 4.50, 4.38, 4.02]
    runs = changed((1, 1), 0.87)  # 0.78 was run, its digits swapped: no speed gives that away
    checked = take_in(stretches(runs, total=total, header=header))
    assert lines_set_aside(checked) == [3]
    assert f"the stretches add up to 4.59 s, and '{header}' of the same row says 4.5." in reasons(checked, 3)
    assert kept(checked, "2026-03-02") == []


def test_rounding_of_each_stretch_is_no_contradiction():
    # four stretches and the total, each off by half a hundredth at most: 0.025 s together
    assert lines_set_aside(take_in(stretches(RUNS, total=[4.53, 4.48, 4.39, 4.01]))) == []


def test_a_last_gate_that_is_not_the_rows_total_is_set_aside_alone():
    lines = ["Name,Date,10m,20m,30m,End time"]
    times = [(1.99, 3.30, 4.51), (1.97, 3.29, 4.88), (1.89, 3.18, 4.38), (1.76, 2.94, 4.02)]
    ends = [4.51, 4.48, 4.38, 4.02]
    lines += [f"Ana Berg,2026-03-0{n + 1}," + ",".join(map(str, [*run, ends[n]])) for n, run in enumerate(times)]
    checked = take_in("\n".join(lines) + "\n")
    assert lines_set_aside(checked) == [3]
    assert "the time at 30 m is 4.88 s, and 'End time' of the same row says 4.48." in reasons(checked, 3)
    assert kept(checked, "2026-03-02") == [10.0, 20.0]


def test_a_column_that_only_sometimes_is_the_last_time_is_no_total():
    # the best of the day: so in half of the rows
    assert lines_set_aside(take_in(stretches(RUNS, total=[4.51, 4.40, 4.02, 4.02]))) == []


def test_the_best_of_an_athletes_day_is_no_total():
    lines = [STRETCHES + ",Best"]
    for n, (who, run, best) in enumerate(
        [
            ("Ana Berg", RUNS[0], 4.02),
            ("Ana Berg", RUNS[3], 4.02),
            ("Bea Lund", RUNS[1], 4.5),
            ("Cleo Dahl", RUNS[2], 4.38),
        ]
    ):
        lines.append(f"{who},2026-03-01,{1 + (n == 1)}," + ",".join(map(str, run)) + f",{best}")
    assert not [why for why in reasons(take_in("\n".join(lines) + "\n")).split("\n") if "Best" in why]


@pytest.mark.parametrize(
    ("run", "odd"),
    [
        # by hand, speeds of 5, 5, 10 and 10 m: a first one at 0.3 of the next stays, a hair slower does not
        ((4.0, 1.2, 1.3, 1.2), False), ((4.2, 1.2, 1.3, 1.2), True),
        # the last at a third of the one before stays (10 m in 3.9 s, less a hair, after 10 m in 1.3), slower does not
        ((1.2, 0.8, 1.3, 3.89), False), ((1.2, 0.8, 1.3, 4.0), True),
        # between: half of the slower of both stays, 10 m/s beside 4.2 and 5.0 is not over twice the faster
        ((1.2, 0.8, 3.2, 1.6), False), ((1.2, 0.5, 2.0, 1.9), False), ((1.2, 0.4, 2.4, 2.4), True),
    ],
)  # fmt: skip
def test_a_stretch_is_odd_beyond_its_share_of_the_stretches_beside_it(run, odd):
    assert (lines_set_aside(take_in(stretches([run]))) == [2]) is odd


@pytest.mark.parametrize(("runs", "aside"), [(10, 2), (15, 3), (14, 0)])
def test_odd_runs_are_slips_up_to_a_fifth_of_all_and_two_always(runs, aside):
    good, slip = RUNS[0], changed((0, 1), 7.8)[0]
    number = 2 if runs == 10 else 3  # of ten runs two, of fifteen three are a fifth; three of fourteen are more
    lines = [STRETCHES]
    lines += [f"Ana Berg,2026-03-{day + 1:02},1," + ",".join(map(str, slip if day < number else good)) for day in
              range(runs)]  # fmt: skip
    checked = take_in("\n".join(lines) + "\n")
    assert len(lines_set_aside(checked)) == aside
    assert any("as that is so often, they were stored as written." in note for note in checked.notes) is (aside == 0)


def test_a_first_stretch_at_just_three_tenths_of_the_next_stays():
    # by hand, without rounding: 6 m in 2 s are 3 m/s, the next 10 m in 1 s are 10 m/s
    assert lines_set_aside(take_in("Name,Date,6m,16m,26m\nAna Berg,2026-03-03,2.0,3.0,4.0\n")) == []


def test_a_row_that_stops_before_the_last_gate_has_no_total_to_contradict():
    lines = ["Name,Date,10m,20m,30m,End time"]
    times = [("1.99", "3.30", "4.51"), ("1.97", "3.29", ""), ("1.89", "3.18", "4.38"), ("1.76", "2.94", "4.02"),
             ("1.90", "3.20", "4.40")]  # fmt: skip
    ends = ["4.51", "4.48", "4.38", "4.02", "4.40"]
    lines += [f"Ana Berg,2026-03-0{n + 1},{','.join(run)},{ends[n]}" for n, run in enumerate(times)]
    checked = take_in("\n".join(lines) + "\n")
    assert lines_set_aside(checked) == []
    assert kept(checked, "2026-03-02") == [10.0, 20.0]
