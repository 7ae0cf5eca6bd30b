"""What is said of a change of the start: each measure with its place, its two directions, its unit and its decimals."""

from typing import Any

import polars as pl
import pytest

from pipelines.derived.start.compare import RUN_MEASURES, STEP_MEASURES, compare_runs, compare_steps, say_differences
from pipelines.derived.start.progress_words import PHRASES, add_sentence, percent
from schemas.derived.progress import StartTrend

ROW: dict[str, Any] = {
    "metric": "t_10_s", "change": -0.020, "change_se": 0.005, "swc": 0.012, "word": "improving", "p_better": 0.9,
    "p_worse": 0.02, "is_worthwhile": True, "typical_error": 0.02, "detectable": 0.019, "real_from": 0.0148,
    "better_is": "lower", "reason": None, "sessions": 20, "_shift_says": None, "day_form_sd": 0.005, "wave_sd": None,
    "own_share": 1.0, "runs_a_day": 3.0, "days_to_see": 1.0,
}  # fmt: skip
KINDS = {name: pl.Float64 for name, value in ROW.items() if isinstance(value, float)} | {
    "wave_sd": pl.Float64, "reason": pl.String, "_shift_says": pl.String, "word": pl.String, "better_is": pl.String,
    "is_worthwhile": pl.Boolean,
}  # fmt: skip


def said(**fields: Any) -> tuple[str, str | None]:
    """Return the sentence of one change, and that of its plan."""
    frame = add_sentence(pl.DataFrame([ROW | fields], schema_overrides=KINDS), see_s=0.020)
    return frame["sentence"].item(), frame["plan_sentence"].item()


@pytest.mark.parametrize(
    ("metric", "change", "error", "less", "more"),
    [
        ("t_5_s", 0.020, 0.005, "20 ms faster at 5 m", "20 ms slower at 5 m"),
        ("t_10_s", 0.020, 0.005, "20 ms faster at 10 m", "20 ms slower at 10 m"),
        ("t_20_s", 0.020, 0.005, "20 ms faster at 20 m", "20 ms slower at 20 m"),
        ("t_30_s", 0.620, 0.005, "620 ms faster at 30 m", "620 ms slower at 30 m"),
        ("vmax_mps", 0.154, 0.05, "0.15 m/s slower at top speed", "0.15 m/s faster at top speed"),
        ("speed_after_3_mps", 0.154, 0.05, "0.15 m/s slower after three steps", "0.15 m/s faster after three steps"),
        ("pmax_w_per_kg", 1.24, 0.5, "1.2 W/kg less in sprint power", "1.2 W/kg more in sprint power"),
        ("contact_1_s", 0.020, 0.005, "20 ms shorter in the first contact", "20 ms longer in the first contact"),
    ],
)
def test_a_change_is_said_with_its_place_direction_and_unit(metric, change, error, less, more):
    # by hand: 1.96 x 0.005 s = 10 ms; 1.96 x 0.05 m/s = 0.10 m/s; 1.96 x 0.5 W/kg = 1.0 W/kg
    half = {"ms": "10", "m/s": "0.10", "W/kg": "1.0"}[less.split()[1]]
    for signed, words in ((-change, less), (change, more)):
        told, _ = said(metric=metric, change=signed, change_se=error)
        assert told.startswith(f"{words} than before, ± {half}: a real change; worthwhile (over ")


def test_a_real_change_that_is_older_than_six_weeks_is_not_said_to_be_too_small_to_see():
    told, _ = said(word="not_clear", reason="not_sure_enough", change=-0.045)
    assert told == (
        "45 ms faster at 10 m than before, ± 10: a real change, made over six weeks ago; whether it goes on cannot be "
        "told yet"
    )
    assert said(word="not_clear", reason="not_sure_enough", change=-0.0147)[0].startswith(
        "Cannot tell yet at 10 m: 15 ms faster"
    )


def test_each_measure_of_the_trend_has_words():
    assert len(PHRASES) == 8
    described = StartTrend.to_schema().columns["metric"].checks[0].statistics
    assert set(PHRASES) <= set(next(iter(described.values())))


@pytest.mark.parametrize(
    ("fields", "ends"),
    [
        ({}, ": a real change; worthwhile (over 12 ms), 90 % sure"),
        ({"word": "slipping", "change": 0.020}, ": a real change; worthwhile (over 12 ms), 2 % sure"),
        ({"is_worthwhile": False}, ": a real change; whether worthwhile (over 12 ms) is not sure, 90 %"),
        ({"is_worthwhile": None}, ": a real change; how large a change is worthwhile is not known"),
        ({"word": None, "better_is": None}, ", ± 10; neither way is better in itself"),
    ],
)
def test_how_sure_and_how_large_is_said_beside_the_change(fields, ends):
    assert said(**fields)[0].endswith(ends)


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        # what is real from 14.8 ms on counts as a change made, which is kept
        ({"change": -0.0149}, "Holding at 10 m, the change made is kept: −15 ms ± 10 against before; a change of 19 ms "
                              "would be seen"),
        ({"change": -0.0147}, "Holding at 10 m: −15 ms ± 10 against before; a change of 19 ms would be seen"),
        ({"change": 0.0149}, "Holding at 10 m, the change made is kept: +15 ms ± 10 against before; a change of 19 ms "
                             "would be seen"),
        ({"change": -0.0003}, "Holding at 10 m: 0 ms ± 10 against before; a change of 19 ms would be seen"),
    ],
)  # fmt: skip
def test_holding_says_whether_a_change_made_is_kept(fields, words):
    assert said(word="holding", **fields)[0] == words


def test_what_cannot_be_told_says_from_where_it_would_be_a_change_and_where_runs_lie_far_apart():
    plain = "Cannot tell yet at 10 m: 10 ms faster ± 10; over 15 ms would be a change"
    assert said(word="unclear", change=-0.010, typical_error=0.050)[0] == plain
    assert said(word="unclear", change=-0.010, typical_error=0.0501)[0] == (
        f"{plain}; runs of one day lie ± 50 ms apart, where gates give about 10: look for times by hand or slips among "
        "them"
    )
    assert said(word="unclear", change=-0.010, wave_sd=0.008)[0] == (
        f"{plain}; form of this squad comes and goes by 8 ms within a month"
    )
    speed = said(word="unclear", change=-0.010, metric="vmax_mps", typical_error=0.3)[
        0
    ]  # an error of a speed is none of a clock
    assert "apart" not in speed


@pytest.mark.parametrize(
    ("reason", "words"),
    [
        ("too_few_reps", "Cannot tell yet: 20 of at least 3 days with this same start, clock, timing and set-up."),
        ("reference_too_near", "Too early to say: the first of 20 days is less than two weeks back."),
        ("no_recent_session", "Not timed like this in the last four weeks; 20 days before."),
        ("too_few_days_now", "Cannot tell yet: one day in the last four weeks, two are needed; 20 days in all."),
        ("too_few_days_before", "Cannot tell yet: too few days before six weeks ago to compare with, four are needed; "
                                "20 days in all."),
        ("no_noise_estimate", "Cannot tell yet: 20 days here and no whole week of the squad's to tell change from "
                              "noise."),
        ("shared_step", "Everybody moved."),
    ],
)  # fmt: skip
def test_what_is_too_little_says_how_many_days_there_are(reason, words):
    assert said(reason=reason, word=None, _shift_says="Everybody moved.")[0] == words


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({}, "To see 20 ms at 10 m: one day a week of 3 runs a day, through twenty weeks"),
        ({"runs_a_day": 1.0}, "To see 20 ms at 10 m: one day a week of 1 run a day, through twenty weeks"),
        ({"days_to_see": 0.2}, "To see 20 ms at 10 m: one day a week of 3 runs a day, through twenty weeks"),
        ({"days_to_see": 1.1}, "To see 20 ms at 10 m: 2 days a week of 3 runs a day, through twenty weeks"),
        ({"days_to_see": 5.0}, "To see 20 ms at 10 m: 5 days a week of 3 runs a day, through twenty weeks"),
        ({"days_to_see": 5.1}, "To see 20 ms at 10 m would take more than five days a week of 3 runs a day"),
        ({"days_to_see": None}, "20 ms cannot be seen at 10 m: the squad's slow form alone is larger"),
        ({"own_share": None}, None),
        ({"runs_a_day": None}, None),
        ({"better_is": None}, None),
        ({"metric": "vmax_mps"}, None),
    ],
)
def test_the_plan_says_how_many_days_see_the_change_of_the_settings(fields, words):
    assert said(**fields)[1] == words


@pytest.mark.parametrize(
    ("share", "words"),
    [(0.994, "99"), (0.995, "over 99"), (1.0, "over 99"), (0.0049, "under 1"), (0.0, "under 1"), (0.006, "1"),
     (None, None)],
)  # fmt: skip
def test_no_estimate_claims_certainty(share, words):
    assert pl.DataFrame({"p": pl.Series([share], dtype=pl.Float64)}).select(percent("p")).item() == words


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("t_5_s", "5 m +0.500 s (± 0.277)"),
        ("t_10_s", "10 m +0.500 s (± 0.277)"),
        ("t_30_s", "30 m +0.500 s (± 0.277)"),
        ("contact_sum_s", "contacts 1-3 together +0.500 s (± 0.554)"),
        ("three_step_distance_m", "distance of three steps +0.50 m (± 0.28)"),
        ("speed_after_3_mps", "speed after three steps +0.50 m/s (± 0.28)"),
        ("vmax_mps", "top speed of the curve +0.50 m/s (± 0.28)"),
    ],
)
def test_whole_runs_are_compared_measure_by_measure_in_their_own_units(name, words):
    # by hand: 1.96 x sqrt(0.1^2 + 0.1^2) = 0.277; of a time marked on film twice that, as the eye counts too
    [row] = compare_runs({name: 1.0, f"{name}_se": 0.1}, {name: 1.5, f"{name}_se": 0.1})
    beyond = [row | {"verdict": "differs"}]
    assert say_differences([], beyond) == (
        f"B against A, beyond measuring error: {words}. Step by step nothing of the first three differs."
    )
    half = 0.392 if name == "contact_sum_s" else 0.196  # 1.96 x 0.1
    assert (row["a_low"], row["a_high"]) == pytest.approx((1.0 - half, 1.0 + half), abs=1e-4)
    assert (row["b_low"], row["b_high"]) == pytest.approx((1.5 - half, 1.5 + half), abs=1e-4)


def test_the_eye_that_marks_a_film_counts_in_contacts_and_flights():
    for name, factor in (("contact_s", 2.0), ("flight_s", 2.0), ("step_length_m", 1.0)):  # sqrt((1/12 + 1/4) 12) = 2
        [row] = compare_steps([{"step_no": 1, name: 0.1, f"{name}_se": 0.002}], [{"step_no": 1, name: 0.2}])
        assert row["a_se"] == pytest.approx(factor * 0.002)


def test_steps_that_differ_are_listed_as_a_sentence_does():
    steps = [{"verdict": "differs", "step_no": number, "called": "contact"} for number in (1, 2, 3, 4)]
    assert say_differences(steps, []).endswith("Of the first three steps, different: contact in 1, 2 and 3.")


def test_a_difference_as_large_as_its_error_allows_is_none():
    runs = ({"t_10_s": 0.0, "t_10_s_se": 3.0}, {"t_10_s": 1.96 * 5.0, "t_10_s_se": 4.0})  # 3, 4 and 5: a right angle
    [row] = compare_runs(*runs)
    assert (row["difference_se"], row["verdict"]) == (5.0, "within_error")
    assert say_differences([], [row]) == "Nothing differs beyond the errors of both runs."


@pytest.mark.parametrize(
    ("name", "called", "unit", "places"),
    [("contact_s", "contact", "s", 3), ("flight_s", "flight", "s", 3), ("step_length_m", "length", "m", 2),
     ("speed_mps", "speed", "m/s", 2), ("step_frequency_hz", "frequency", "/s", 2)],
)  # fmt: skip
def test_each_measure_of_a_step_is_named_with_its_unit(name, called, unit, places):
    [row] = compare_steps([{"step_no": 1, name: 1.0}], [{"step_no": 1, name: 2.0}])
    assert (row["measure"], row["called"], row["unit"], row["places"]) == (name, called, unit, places)
    assert (set(STEP_MEASURES), len(RUN_MEASURES)) == (
        {"contact_s", "flight_s", "step_length_m", "speed_mps", "step_frequency_hz"}, 7,
    )  # fmt: skip


@pytest.mark.parametrize("name", ["speed_mps", "step_frequency_hz"])
def test_what_comes_of_a_step_time_takes_its_marking_in_proportion(name):
    # by hand: marking is sqrt(2^2 - 1) of the frames; 9 x (0.002 / 0.25) x sqrt 3 = 0.1247; with 0.05: 0.1344
    step = {"step_no": 1, name: 9.0, f"{name}_se": 0.05, "step_time_s": 0.25, "step_time_s_se": 0.002}
    [row] = compare_steps([step], [step])
    assert row["a_se"] == pytest.approx(0.1344, abs=1e-4)
    [bare] = compare_steps([step | {"step_time_s_se": None}], [step])
    assert (bare["a_se"], bare["b_se"]) == (0.05, row["a_se"])
