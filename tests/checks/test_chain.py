"""Times of a run that fit each other are kept, the others told with what is wrong with them."""

import itertools
import math

import numpy as np
import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipelines.checks.chain import chain_faults, find_split_times, longest_chain, sum_segments
from tests.examples import examples
from tests.intake import reasons, rows, take_in

SLOWEST, FASTEST, USUAL = 0.5, 13.0, 6.0  # m/s, as the record says; written here a second time on purpose
STEP = "Check the gate order and the time."


def framed(*runs: list[tuple[float, float]]) -> pl.DataFrame:
    """Return splits (distance, time) of some runs as the checks hold them."""
    told = [
        {"athlete_id": "ana", "session_date": "d", "session_no": 1, "rep_no": number, "distance_m": float(metres),
         "elapsed_s": float(seconds), "_row": number * 10 + place, "_part": place, "_header": f"{metres:g} m"}
        for number, run in enumerate(runs) for place, (metres, seconds) in enumerate(run)
    ]  # fmt: skip
    return pl.DataFrame(told)


def speeds(distance: list[float], elapsed: list[float], places: tuple[int, ...]) -> list[float] | None:
    """Return the speeds of a chain from the start on, None where it is none."""
    ends = [(0.0, 0.0), *((distance[place], elapsed[place]) for place in places)]
    found = []
    for (metres, seconds), (further, later) in itertools.pairwise(ends):
        if later <= seconds or not SLOWEST <= (further - metres) / (later - seconds) <= FASTEST:
            return None
        found.append((further - metres) / (later - seconds))
    return found


@examples(100)
@given(st.lists(st.integers(5, 120), min_size=1, max_size=6))
def test_no_chain_is_longer_and_of_the_longest_none_is_less_odd(tenths):
    distance, elapsed = [10.0 * (place + 1) for place in range(len(tenths))], [one / 10 for one in tenths]
    kept = longest_chain(np.array(distance), np.array(elapsed))
    # every subset of the splits, tried one by one
    possible = {
        places: found
        for size in range(len(tenths) + 1)
        for places in itertools.combinations(range(len(tenths)), size)
        if (found := speeds(distance, elapsed, places)) is not None
    }
    longest = max(len(places) for places in possible)
    oddest = {
        places: max((abs(math.log(one / USUAL)) for one in found), default=0.0)
        for places, found in possible.items()
        if len(places) == longest
    }
    assert len(kept) == longest
    assert oddest[tuple(kept)] == pytest.approx(min(oddest.values()))


@pytest.mark.parametrize(
    ("run", "place", "why"),
    [
        ([(10, 1.8), (20, 1.8), (30, 3.9)], 1, "the time at 20 m (1.80 s) is not later than at 10 m (1.80 s). "),
        ([(10, 1.8), (20, 9.0), (30, 3.9), (40, 4.9)], 1,
         "the time at 20 m (9.00 s) is not earlier than at 30 m (3.90 s). "),
        ([(10, 3.9), (20, 3.9), (30, 4.9)], 0, "the time at 10 m (3.90 s) is not earlier than at 20 m (3.90 s). "),
        # by hand: 10 m in 0.5 s are 20 m/s; 10 m in 23.2 s are 0.43
        ([(10, 0.5)], 0, "0.50 s at 10 m would need 20.0 m/s from the start, more than the 13 m/s taken as possible. "),
        ([(10, 1.8), (20, 25)], 1,
         "25.00 s at 20 m would need 0.4 m/s from 10 m (1.80 s), less than the 0.5 m/s taken as possible. "),
        # by hand: from 10 to 20 m in 2 s are 5 m/s, from there to 30 m in 0.1 s 100 m/s
        ([(10, 1.8), (20, 3.8), (30, 3.9), (40, 4.9)], 1,
         "3.80 s at 20 m would need 100.0 m/s from there to 30 m (3.90 s), outside 0.5 to 13 m/s. "),
    ],
)  # fmt: skip
def test_a_time_that_does_not_fit_says_with_which_and_by_how_much(run, place, why):
    found = chain_faults(framed(run))
    assert found["_part"].to_list() == [place]
    reason = found["reason"].item()
    assert reason == f"{why}Row set aside. {STEP}"
    assert (found["column"].item(), found["value"].item()) == (f"{run[place][0]} m", f"{run[place][1]:g}")


@pytest.mark.parametrize(
    ("run", "told"),
    [([(5, 2.1), (10, 1.3), (20, 3.4)], ["5 m", "10 m"]), ([(10, 1.9), (20, 4.2), (30, 3.1)], ["20 m", "30 m"]),
     ([(10, 1.8), (20, 1.7), (30, 3.9)], ["20 m"]),  # 10 m in 0.1 s changed round
     ([(10, 1.8), (20, 9.0), (30, 3.9), (40, 4.9)], ["20 m"])],
)  # fmt: skip
def test_two_times_that_fit_changed_round_are_both_told_and_neither_is_kept(run, told):
    found = chain_faults(framed(run))
    assert found["column"].to_list() == told
    assert ["look changed round" in reason for reason in found["reason"]] == [len(told) == 2] * len(told)


def test_only_the_runs_that_are_wrong_are_told_whatever_the_order_of_the_rows():
    good, bad = [(10, 1.8), (20, 2.9)], [(10, 1.8), (20, 1.7), (30, 3.9)]
    shuffled = framed(good, bad, good)[[6, 3, 1, 4, 0, 2, 5]]
    assert chain_faults(shuffled)["_row"].to_list() == [11]
    assert chain_faults(framed(good, good)).is_empty()


@pytest.mark.parametrize(
    ("run", "kind"),
    [
        ([(10, 1.8)], "cumulative"),  # one gate says nothing
        ([(10, 2.0), (20, 1.9)], "segment"),  # time does not go back
        ([(10, 1.8), (20, 5.8)], "cumulative"),  # no sprint has 10 m in 5.8 s after 10 m in 1.8
        # by hand: 30 / 4.2 = 7.14 m/s, 85 % of it 6.07; 50 m in 8.1 s are 6.17, in 3.9 s 12.8; in 9.5 s 5.3
        ([(30, 4.2), (80, 8.1)], None),
        ([(30, 4.2), (80, 9.5)], "cumulative"),
        ([(10, 0.5), (20, 0.6)], "cumulative"),  # neither is a run
    ],
)
def test_the_reading_of_times_is_the_one_that_can_be_run(run, kind):
    assert find_split_times(framed(run)) == kind


@pytest.mark.parametrize(
    ("cumulative", "segment", "kind"), [(5, 1, "cumulative"), (4, 1, None), (1, 4, None), (1, 5, "segment")]
)
def test_five_runs_against_one_decide_and_four_are_asked(cumulative, segment, kind):
    runs = [[(10, 1.8), (20, 5.8)]] * cumulative + [[(10, 2.0), (20, 1.1)]] * segment
    assert find_split_times(framed(*runs)) == kind


@pytest.mark.parametrize(("metres", "is_one"), [(40.0, False), (41.0, True)])
def test_up_to_forty_metres_a_sprint_slows_in_no_stretch_and_after_by_15_percent_at_most(metres, is_one):
    # the second stretch is run at 0.9 of the first's speed: 5 and 4.5 m/s
    run = [(20.0, 4.0), (metres, (metres - 20.0) / 4.5)]
    assert (find_split_times(framed(run)) is None or find_split_times(framed(run)) == "segment") is is_one


def test_times_of_stretches_are_summed_run_by_run_and_a_gap_ends_what_can_be():
    whole, gap = [(10, 1.8), (20, 1.1), (30, 1.0)], [(10, 1.9), (30, 1.0)]
    out, faults = sum_segments(framed(whole, gap)[[2, 0, 1, 4, 3]])
    assert out["elapsed_s"].to_list() == pytest.approx([3.9, 1.8, 2.9, 2.9, 1.9])
    assert faults["_row"].to_list() == [11]
    assert faults["reason"].item().startswith("the time of a stretch before it is missing, so ")


def test_a_stretch_said_again_counts_once_and_one_said_with_two_times_ends_what_can_be_summed():
    # by hand: 1.8 + 1.1 = 2.9; 2.9 + 1.0 = 3.9
    out, faults = sum_segments(framed([(10, 1.8), (10, 1.8), (20, 1.1), (30, 1.0), (30, 1.0)]))
    assert out["elapsed_s"].to_list() == pytest.approx([1.8, 1.8, 2.9, 3.9, 3.9])
    assert faults.is_empty()
    _, faults = sum_segments(framed([(10, 1.8), (20, 1.1), (20, 1.2), (30, 1.0), (30, 1.0)], [(10, 1.9), (20, 1.1)]))
    assert faults["_row"].to_list() == [3, 4]  # 20 m itself is told as said twice by what looks for that
    assert set(faults["reason"]) == {
        "the time of a stretch before it stands in the file with two values, so the time since the start cannot be "
        "summed. Row set aside."
    }


@pytest.mark.parametrize(
    ("second", "why"),
    [
        ("1.1", "the same row stands at line 2."),
        ("1.15", "line 2 says 3.1, line 3 says 3.15."),
    ],  # 2.0 + 1.1, 2.0 + 1.15
)
def test_a_run_of_stretches_that_stands_twice_is_told_and_the_other_runs_are_stored(second, why):
    checked = take_in(
        f"Name,Date,Run,10m,20m\nAna Berg,2026-03-03,1,2.0,1.1\nAna Berg,2026-03-03,1,2.0,{second}\n"
        "Ana Berg,2026-03-03,2,2.0,1.2\n"
    )
    assert why in reasons(checked, 3)
    assert [one for one in rows(checked, "split", "rep_no", "distance_m", "elapsed_s") if one[0] == 2] == [
        (2, 10.0, 2.0), (2, 20.0, 3.2)
    ]  # fmt: skip
