"""Why a run stands in no trend, in words: written here a second time on purpose."""

from pipelines.derived.start.left_out import WORDS


def test_each_reason_to_leave_a_run_out_has_its_words():
    assert WORDS == {
        "resisted": "run against a load",
        "false_start": "a false start",
        "stopped_early": "not finished",
        "submaximal_effort": "asked for at less than 95 % effort",
        "rolling_start": "a rolling start, which has no start to time",
        "hand_timed": "timed by hand, which is too coarse for a trend",
        "timing_unknown": "not said whether timed by gate, film or hand",
        "reaction_doubtful": "a reaction time that is probably a slip (under 0.08 or over 0.50 s)",
        "stands_alone": "stands alone: far from the runs around it, so probably a slip; neither trend nor noise "
        "counts it",
        "no_splits": "no time taken",
        "no_gate_and_no_curve": "no gate at 5, 10, 20 or 30 m and too few or unfit times for a curve",
    }
