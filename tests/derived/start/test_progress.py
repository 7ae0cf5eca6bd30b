"""Progress: words that rest on a real change, intervals that hold what they claim, and series of like runs only."""

import datetime as dt

import numpy as np
import polars as pl
import pytest

from pipelines.derived.sprint.profile import sprint_profile
from pipelines.derived.start.left_out import start_left_out
from pipelines.derived.start.phase import start_phase, start_steps
from pipelines.derived.start.progress import progress_on, start_progress
from schemas.derived.left_out import StartLeftOut
from schemas.derived.noise import StartNoise
from schemas.derived.progress import SERIES_KEY, StartProgress, StartTrend
from schemas.derived.shift import StartShift
from tests.derived.sprint.sprint_frames import no_noise
from tests.derived.start.progress_frames import (
    LATE,
    SETTINGS,
    START,
    athletes,
    drifting,
    follow,
    progress_of,
    squad,
)
from tests.derived.start.start_frames import record


def test_one_who_improves_and_those_who_stay_are_told_apart():
    days = [d for d in range(26 * 7) if d % 7 in (1, 4)]
    paths = np.tile(2.0 + 0.15 * np.linspace(-1, 1, 12)[:, None], (1, 182))
    paths[0, 120:] -= np.minimum(np.arange(62) * 0.0015, 0.06)
    found = progress_of(*squad(paths, days), 181, 12)
    first = found.row(0, named=True)
    assert (first["word"], first["is_worthwhile"]) == ("improving", True)
    assert " ms faster at 10 m than before, ± " in first["sentence"]
    assert ": a real change; worthwhile (over " in first["sentence"]
    # by hand: mean of the path on the days of each window, 28 days back and 42 to 140 back
    now, then = ([d for d in days if low <= 181 - d <= high] for low, high in ((0, 27), (42, 140)))
    assert first["change"] == pytest.approx(paths[0, now].mean() - paths[0, then].mean(), abs=2 * first["change_se"])
    assert found["word"][1:].is_in(["holding", "not_clear"]).all()
    assert found["is_main"].all()
    assert first["plan_sentence"].startswith("To see 20 ms at 10 m: ")


def test_a_change_that_stands_for_long_is_holding_and_says_that_it_is_kept():
    days = [d for d in range(36 * 7) if d % 7 in (1, 4)]
    paths = np.full((8, 252), 2.0) + 0.1 * np.arange(8)[:, None]
    paths[0, 150:] -= 0.04
    found = progress_of(*squad(paths, days, error=0.006), 251, 8)
    assert found["word"][0] == "holding"
    assert found["sentence"][0].startswith("Holding at 10 m, the change made is kept: −")


def test_several_days_compared_at_once_are_as_each_alone():
    days = [d for d in range(26 * 7) if d % 7 in (1, 4)]
    split, rep = squad(drifting(8, 182, 0.02, 5), days)
    late = (pl.col("athlete_id") != "athlete-03") | (pl.col("session_date") > START + LATE)
    trend, noise, shift = follow(split.filter(late), rep.filter(late), athletes(8), START + dt.timedelta(days=181))
    asked = [START + dt.timedelta(days=day) for day in (20, 100, 160, 181)]
    together = progress_on(asked, trend, noise, shift, SETTINGS)
    assert together["reason"].n_unique() > 1
    for day in asked:
        alone = start_progress(trend, noise, shift, settings=SETTINGS, as_of=day)
        assert together.filter(_on=day).drop("_on").sort(SERIES_KEY).equals(alone)
    # From the days up to then only: later runs change nothing of what is said of an earlier day.
    known = trend.filter(pl.col("session_date") <= asked[1])
    assert start_progress(known, noise, shift, settings=SETTINGS, as_of=asked[1]).equals(
        together.filter(_on=asked[1]).drop("_on").sort(SERIES_KEY)
    )
    assert progress_on([], trend, noise, shift, SETTINGS).is_empty()


def test_smallest_change_is_a_share_of_the_spread_within_a_sex():
    # Levels held exactly: women 2.10 2.12 2.14, men 1.90 1.92 1.94: SD 0.02 within each, 0.2 * 0.02 = 0.004 s;
    # over all six the SD would be 0.111 and the change 0.022 s.
    levels = np.array([2.10, 2.12, 2.14, 1.90, 1.92, 1.94])
    split, rep = squad(np.tile(levels[:, None], (1, 90)), list(range(1, 90, 4)), error=0.001)
    sexes = athletes(6).with_columns(sex=pl.Series(["f"] * 3 + ["m"] * 3))
    as_of = START + dt.timedelta(days=89)
    found = start_progress(*follow(split, rep, sexes, as_of), settings=SETTINGS, as_of=as_of)
    assert found["swc"].to_list() == pytest.approx([0.004] * 6, abs=2e-4)
    assert found["swc_basis"].unique().to_list() == ["hopkins_swc"]
    # Four athletes leave two degrees of freedom: 0.3 of the typical error instead, and said.
    some = pl.col("athlete_id").is_in(["athlete-00", "athlete-01", "athlete-03", "athlete-04"])
    few = start_progress(*follow(split.filter(some), rep.filter(some), sexes, as_of), settings=SETTINGS, as_of=as_of)
    assert few["swc"][0] == pytest.approx(0.3 * few["typical_error"][0])
    assert few["swc_reason"].unique().to_list() == ["swc_from_own_variation"]


def test_unlike_runs_never_share_a_series():
    days = list(range(1, 90, 3))
    split, rep = squad(np.full((8, 90), 2.0), days, reps=1)
    # By hand: every third run by hand timing, every third standing, the rest from blocks.
    place = pl.int_range(pl.len()) % 3
    mixed = rep.with_columns(
        timing_kind=pl.when(place == 0).then(pl.lit("hand")).otherwise("timing_kind"),
        start_kind=pl.when(place == 1).then(pl.lit("standing")).otherwise("start_kind"),
    )
    trend, *_ = follow(split, mixed, athletes(8), START + dt.timedelta(days=89))
    assert set(trend["timing_kind"]) == {"electronic"}
    assert trend["reps"].sum() == (mixed["timing_kind"] != "hand").sum()
    assert set(trend["start_kind"]) == {"blocks", "standing"}


LEFT_OUT = [
    ({"resistance_kind": "sled"}, "resisted", "run against a load"),
    ({"resistance_load_kg": 20.0}, "resisted", "run against a load"),
    ({"outcome": "stopped"}, "stopped_early", "not finished"),
    ({"outcome": "false_start"}, "false_start", "a false start"),
    ({"effort_percent": 85.0}, "submaximal_effort", "asked for at less than 95 % effort"),
    ({"start_kind": "rolling"}, "rolling_start", "a rolling start, which has no start to time"),
    ({"timing_kind": "hand"}, "hand_timed", "timed by hand, which is too coarse for a trend"),
    ({"timing_kind": None}, "timing_unknown", "not said whether timed by gate, film or hand"),
    ({"clock_start": "gun", "reaction_s": 0.015}, "reaction_doubtful",
     "a reaction time that is probably a slip (under 0.08 or over 0.50 s)"),
]  # fmt: skip


@pytest.mark.parametrize(("says", "reason", "words"), LEFT_OUT)
def test_a_run_that_says_nothing_of_the_best_free_start_is_left_out_and_says_why(says, reason, words):
    split, rep = squad(np.full((3, 30), 2.0), [1, 8, 15], **says)
    as_of = START + dt.timedelta(days=29)
    trend, noise, _ = follow(split, rep, athletes(3), as_of)
    assert (trend.filter(measured_by="gate").height, noise.filter(measured_by="gate").height) == (0, 0)
    profile = sprint_profile(
        rep, split, record("session"), record("body_measure"), record("athlete"), no_noise(), settings=SETTINGS
    )
    told = StartLeftOut.validate(
        start_left_out(profile.clear(), rep, split, record("session"), athletes(3), as_of=as_of)
    )
    # three days of three runs each
    assert told.select("reason", "runs").unique().rows() == [(reason, 9)]
    assert set(told["sentence"]) == {f"9 runs of the last twelve weeks not in the trend (last on 20 Jan): {words}"}


def test_runs_that_count_are_not_said_to_be_left_out():
    split, rep = squad(np.full((3, 30), 2.0), [1, 8, 15])
    profile = sprint_profile(
        rep, split, record("session"), record("body_measure"), record("athlete"), no_noise(), settings=SETTINGS
    )
    as_of = START + dt.timedelta(days=29)
    assert start_left_out(profile, rep, split, record("session"), athletes(3), as_of=as_of).is_empty()
    none = start_left_out(profile.clear(), rep, split.clear(), record("session"), athletes(3), as_of=as_of)
    assert none["reason"].unique().to_list() == ["no_splits"]
    assert none["sentence"][0].endswith(": no time taken")


def test_days_to_come_are_not_read():
    split, rep = squad(np.full((3, 30), 2.0), [1, 8, 15, 22])
    early, *_ = follow(split, rep, athletes(3), START + dt.timedelta(days=10))
    assert early["session_date"].max() == START + dt.timedelta(days=8)


def test_a_gates_time_stands_before_the_curves_and_the_reaction_is_taken_out_of_it():
    day = START + dt.timedelta(days=1)
    key = {"athlete_id": "athlete-00", "session_date": day, "session_no": 1}
    says = {"start_kind": "blocks", "clock_start": "gun", "timing_kind": "electronic", "reaction_s": 0.150}
    rep = record("rep", [{**key, "rep_no": n, **says} for n in (1, 2)])
    gates = {1: {5: 1.46, 10: 2.12, 20: 3.28, 30: 4.34}, 2: {5: 1.46, 20: 3.28, 30: 4.34}}
    split = record(
        "split",
        [
            {**key, "rep_no": n, "distance_m": float(m), "elapsed_s": t}
            for n, run in gates.items()
            for m, t in run.items()
        ],
    )
    trend, *_ = follow(split, rep, athletes(1), day)
    ten = trend.filter(metric="t_10_s").sort("measured_by")
    # run 1 has a gate at 10 m: 2.12 - 0.15 = 1.97; run 2 has none, so the curve's time stands in a series of its own
    assert ten["measured_by"].to_list() == ["curve", "gate_less_reaction"]
    assert ten["observed"].to_list() == pytest.approx([1.97, 1.97], abs=0.03)
    assert ten["observed"][1] == pytest.approx(1.97, abs=1e-12)


def test_wind_shoes_ground_and_the_way_to_the_gate_part_or_correct_what_they_change():
    split, rep = squad(np.full((1, 60), 2.0), [1, 8, 15, 22], reps=1, error=0.0, wind_ms=2.0)
    trend, *_ = follow(split, rep, athletes(1), START + dt.timedelta(days=59))
    # still air, by hand: 2.0 + 0.00387 x 2 - 0.000408 x 4 = 2.0061 s
    assert trend["observed"].to_list() == pytest.approx([2.006108] * 4, abs=1e-9)
    key = {"athlete_id": "athlete-00", "session_no": 1}
    said = [
        {**key, "session_date": START + dt.timedelta(days=d), "footwear": shoes, "surface": ground}
        for d, shoes, ground in ((1, "Spikes", "track"), (8, "spikes ", None), (15, "flats", None), (22, None, None))
    ]
    parted, *_ = follow(split, rep, athletes(1), START + dt.timedelta(days=59), session=record("session", said))
    # two kinds of shoes are known, so days without a word stand apart; one ground is known, so nothing says they differ
    assert sorted(parted["set_up"].to_list()) == [
        "flats, track where said",
        "shoes not said, track where said",
        "spikes, track where said",
        "spikes, track where said",
    ]
    gate = rep.with_columns(
        clock_start=pl.lit("first_gate"), gate_offset_m=pl.Series([0.5, 0.5, 0.3, None], dtype=pl.Float64)
    )
    behind, *_ = follow(split, gate, athletes(1), START + dt.timedelta(days=59))
    assert behind["set_up"].value_counts().sort("set_up").rows() == [
        ("30 cm behind the gate", 1),
        ("50 cm behind the gate", 2),
        ("distance behind the gate not said", 1),
    ]


def test_youth_are_pooled_apart_by_their_age_on_the_day():
    split, rep = squad(np.full((2, 90), 2.0), list(range(1, 90, 7)))
    born = athletes(2).with_columns(birth_date=pl.Series([dt.date(2008, 2, 10), None], dtype=pl.Date))
    trend, noise, _ = follow(split, rep, born, START + dt.timedelta(days=89))
    # the first turns 18 on 10 February 2026, day 36 of the season: days 1, 8, 15, 22, 29 lie before
    assert trend.filter(age_group="under_18").select("athlete_id", "reps").rows() == [("athlete-00", 3)] * 5
    assert noise.select("age_group", "days").sort("age_group").rows() == [("adult", 19), ("under_18", 5)]
    assert trend["set_up"].n_unique() == 1  # one series through the birthday


def test_a_gate_moved_is_said_to_be_a_step_in_everybody_not_nine_improvements():
    days = [d for d in range(30 * 7) if d % 7 == 1]
    rng = np.random.default_rng(4)
    level = 1.9 + 0.05 * rng.standard_normal((9, 1)) + 0.005 * rng.standard_normal((9, 210))
    moved = level - 0.04 * (np.arange(210) >= 150)
    as_of = START + dt.timedelta(days=180)
    split, rep = squad(moved, days, error=0.008)
    *_, shift = follow(split, rep, athletes(9), as_of)
    # the first training day from day 150 on: day 155, a Tuesday
    assert shift.select("shift_on", "athletes").rows() == [(START + dt.timedelta(days=155), 9)]
    assert shift["shift_s"].item() == pytest.approx(-0.04, abs=3 * shift["shift_s_se"].item())
    found = progress_of(split, rep, 180, 9)
    assert found["word"].unique().to_list() == ["not_clear"]
    assert found["reason"].unique().to_list() == ["shared_step"]
    assert "the gate, the clock or the ground was changed, not the athletes" in found["sentence"][0]
    # already at the first look after it
    assert "improving" not in progress_of(split, rep, 163, 9)["word"].to_list()
    # one athlete who gets as much faster is no step of everybody
    alone = level.copy()
    alone[0] = moved[0]
    *_, none = follow(*squad(alone, days, error=0.008), athletes(9), as_of)
    assert none.is_empty()
    # and a squad that all gets faster over six weeks has no step either
    ramp = level - 0.03 * np.clip((np.arange(210) - 130) / 42, 0, 1)
    *_, none = follow(*squad(ramp, days, error=0.008), athletes(9), as_of)
    assert none.is_empty()


def test_a_stopwatch_mixed_in_moves_nothing():
    days = [d for d in range(26 * 7) if d % 7 in (1, 4)]
    split, rep = squad(np.full((6, 182), 2.0), days)
    by_hand = pl.col("session_date") > START + dt.timedelta(days=150)
    mixed = rep.with_columns(
        timing_kind=pl.when(by_hand & (pl.col("rep_no") == 3)).then(pl.lit("hand")).otherwise("timing_kind")
    )
    early = split.with_columns(
        elapsed_s=pl.col("elapsed_s") - pl.when(by_hand & (pl.col("rep_no") == 3)).then(0.2).otherwise(0.0)
    )
    as_of = START + dt.timedelta(days=181)
    with_watch, without = (
        follow(a, b, athletes(6), as_of)[0]
        for a, b in ((early, mixed), (early.filter(~by_hand | (pl.col("rep_no") < 3)), rep))
    )
    assert with_watch.filter(metric="t_10_s")["observed"].equals(without.filter(metric="t_10_s")["observed"])


def test_too_few_days_and_not_lately_are_said():
    paths = np.full((6, 220), 2.0)
    found = progress_of(*squad(paths, [1, 8], reps=2), 30, 6)
    assert found["word"].unique().to_list() == ["not_clear"]
    assert found["reason"].unique().to_list() == ["too_few_reps"]
    assert found["sentence"][0].startswith("Cannot tell yet: 2 of at least 3 days")
    split, rep = squad(paths, [1, 4, 8, 10], reps=2)
    assert progress_of(split, rep, 12, 6)["reason"].unique().to_list() == ["reference_too_near"]
    assert progress_of(split, rep, 20, 6)["reason"].unique().to_list() == ["too_few_days_before"]
    late = progress_of(split, rep, 199, 6)
    assert late["reason"].unique().to_list() == ["no_recent_session"]
    assert late["change"].null_count() == 6
    one = progress_of(*squad(paths, [1, 8, 15, 22, 29, 100], reps=2), 104, 6)
    assert one["reason"].unique().to_list() == ["too_few_days_now"]


def test_one_session_one_athlete_and_a_squad_of_one_are_answered():
    split, rep = squad(np.full((1, 60), 2.0), [1])
    found = progress_of(split, rep, 3, 1)
    assert found.select("word", "reason").rows() == [("not_clear", "too_few_reps")]
    days = [d for d in range(30 * 7) if d % 7 == 1]
    path = np.full((1, 210), 1.9)
    path[0, 160:] -= 0.06
    alone = progress_of(*squad(path, days, error=0.008), 200, 1).row(0, named=True)
    assert (alone["word"], alone["swc_reason"]) == ("improving", "swc_from_own_variation")


def test_all_by_hand_gives_no_trend_and_the_reason():
    split, rep = squad(np.full((2, 60), 2.0), [1, 8, 15], timing_kind="hand")
    assert progress_of(split, rep, 20, 2).is_empty()


def test_the_main_series_is_the_one_measured_lately_at_a_gate():
    blocks, blocks_rep = squad(np.full((1, 120), 2.0), list(range(1, 60, 3)))
    standing, standing_rep = squad(np.full((1, 120), 2.2), list(range(90, 118, 7)), start_kind="standing")
    found = progress_of(pl.concat([blocks, standing]), pl.concat([blocks_rep, standing_rep]), 119, 1)
    assert found.filter("is_main")["start_kind"].to_list() == ["standing"]


def test_two_gates_at_the_line_and_at_20_m_make_a_main_series():
    split, rep = squad(np.full((4, 120), 3.1), list(range(1, 118, 7)))
    found = progress_of(split.with_columns(distance_m=pl.lit(20.0)), rep, 119, 4)
    assert found.filter("is_main").select("metric", "measured_by").unique().rows() == [("t_20_s", "gate")]


def test_a_first_contact_is_described_and_never_called_better():
    days = [d for d in range(130) if d % 7 == 1]
    rows = [
        {
            "athlete_id": f"athlete-{a:02d}", "session_date": START + dt.timedelta(days=d), "session_no": 1,
            "rep_no": i + 1, "step_no": 1, "contact_s": 0.18 + 0.004 * a + 0.002 * i - 0.03 * (d > 100),
            "flight_s": 0.05, "frame_rate_hz": 240.0,
        }
        for a in range(6)
        for d in days
        for i in range(2)
    ]  # fmt: skip
    says = {"start_kind": "blocks", "clock_start": "gun", "timing_kind": "video"}
    rep, step = record("rep", [{**row, **says} for row in rows]), record("step", rows)
    phase = start_phase(rep, step, record("set_position"), record("technique_note"), start_steps(rep, step))
    found = progress_of(record("split"), rep, 129, 6, phase=phase)
    assert found["metric"].unique().to_list() == ["contact_1_s"]
    assert found["p_better"].null_count() == 6
    assert found["word"].unique().to_list() == ["not_clear"]
    assert found["reason"].unique().to_list() == ["no_better_direction"]
    assert found["sentence"][0].startswith("30 ms shorter in the first contact than before")
    assert not found["is_main"].any()


def test_tables_keep_their_shape_on_nothing():
    split, rep = squad(np.full((1, 2), 2.0), [1])
    as_of = START + dt.timedelta(days=5)
    trend, noise, shift = follow(split.clear(), rep.clear(), athletes(2), as_of)
    for frame, model in ((trend, StartTrend), (noise, StartNoise), (shift, StartShift)):
        assert (frame.height, frame.columns) == (0, list(model.to_schema().columns))
    found = start_progress(trend, noise, shift, settings=SETTINGS, as_of=as_of)
    assert (found.height, found.columns) == (0, list(StartProgress.to_schema().columns))


def test_runs_of_the_running_week_are_held_against_the_noise_of_the_weeks_before():
    # Monday 5 January and on: twelve weeks, then one athlete runs wildly on the Wednesday of the thirteenth.
    days = [d for d in range(84) if d % 7 in (1, 4)]
    split, rep = squad(drifting(6, 90, 0.012, 5), [*days, 86], seed=7)
    as_of = START + dt.timedelta(days=87)
    wild = (pl.col("athlete_id") == "athlete-00") & (pl.col("session_date") == START + dt.timedelta(days=86))
    other = split.with_columns(elapsed_s=pl.when(wild).then(pl.col("elapsed_s") + 0.4).otherwise("elapsed_s"))
    trend, noise, _ = follow(split, rep, athletes(6), as_of)
    moved, same, _ = follow(other, rep, athletes(6), as_of)
    assert same.equals(noise)
    assert noise["days"].item() == 6 * len(days)  # by hand: six athletes, the days of whole weeks
    rest = pl.col("athlete_id") != "athlete-00"
    assert moved.filter(rest).equals(trend.filter(rest))
    assert not moved.filter(~rest).equals(trend.filter(~rest))
