"""Progress: intervals that hold what they claim, series of like runs only, and the words made of a change."""

import datetime as dt

import numpy as np
import polars as pl
import pytest

from pipelines.derived.start.noise import start_noise
from pipelines.derived.start.phase import start_phase, start_steps
from pipelines.derived.start.progress import progress_on, start_progress, start_trend
from schemas.derived.noise import StartNoise
from schemas.derived.progress import SERIES_KEY, StartProgress, StartTrend
from schemas.settings import SquadSettings
from tests.derived.start.start_frames import record

SETTINGS = SquadSettings()
CURVE = ("t_10_s", "t_5_s", "t_30_s", "vmax_mps", "pmax_w_per_kg")
START = dt.date(2026, 1, 5)
LATE = dt.timedelta(days=60)  # into the season
NO_STEPS = start_phase(
    record("rep"),
    record("step"),
    record("set_position"),
    record("technique_note"),
    start_steps(record("rep"), record("step")),
)


def squad(paths: np.ndarray, days: list[int], reps: int = 3, error: float = 0.015, seed: int = 0, **rep_says):
    """Profiles and reps of a simulated squad: each athlete's level on each day, plus measurement error per run."""
    rng = np.random.default_rng(seed)
    rows = [
        {
            "athlete_id": f"athlete-{a:02d}",
            "session_date": START + dt.timedelta(days=d),
            "session_no": 1,
            "rep_no": i + 1,
            "t_10_s": path[d] + error * rng.standard_normal(),
        }
        for a, path in enumerate(paths)
        for d in days
        for i in range(reps)
    ]
    profile = pl.DataFrame(rows).with_columns(
        trust=pl.lit("good"),
        t_10_s_se=pl.lit(0.006),
        **{n: pl.lit(None, dtype=pl.Float64) for m in CURVE[1:] for n in (m, f"{m}_se")},
    )
    says = {"start_kind": "blocks", "clock_start": "gun", "timing_kind": "electronic"} | rep_says
    return profile, record("rep", [{**row, **says} for row in rows])


def athletes(count: int) -> pl.DataFrame:
    return record("athlete", [{"athlete_id": f"athlete-{a:02d}", "display_name": "Ida Fell"} for a in range(count)])


def drifting(count: int, days: int, six_week_sd: float, seed: int) -> np.ndarray:
    rng = np.random.default_rng(seed)
    steps = six_week_sd / 42**0.5 * rng.standard_normal((count, days))
    return 2.0 + 0.06 * rng.standard_normal((count, 1)) + np.cumsum(steps, axis=1)


def follow(profile, rep, people, as_of: dt.date, phase: pl.DataFrame = NO_STEPS) -> tuple[pl.DataFrame, pl.DataFrame]:
    """The series up to a day, and the noise from the weeks before that day's."""
    weeks_before = pl.col("session_date") < as_of - dt.timedelta(days=as_of.weekday())
    settled = (frame.filter(weeks_before) for frame in (profile, phase, rep))
    noise = start_noise(*settled, people, settings=SETTINGS)
    return start_trend(profile, phase, rep, noise, as_of=as_of), noise


def progress_of(profile, rep, last: int, count: int, settings: SquadSettings = SETTINGS) -> pl.DataFrame:
    as_of = START + dt.timedelta(days=last)
    trend, noise = follow(profile, rep, athletes(count), as_of)
    return start_progress(trend, noise, settings=settings, as_of=as_of)


def test_intervals_and_probabilities_hold_what_they_claim():
    # Known truth: 24 squads of 12, drift 0.012 s in six weeks, error 0.015 s a run, three runs, two days a week.
    days = [d for d in range(18 * 7) if d % 7 in (1, 4)]
    last = 18 * 7 - 1
    inside, level_inside, claimed, happened = [], [], [], []
    for seed in range(24):
        paths = drifting(12, last + 1, 0.012, seed)
        profile, rep = squad(paths, days, seed=1000 + seed)
        found = progress_of(profile, rep, last, 12)
        truth = paths[:, last] - paths[:, last - 42]
        error = np.abs(found["change"].to_numpy() - truth)
        inside += list(error < 1.96 * found["change_se"].to_numpy())
        level_inside += list(
            np.abs(found["level_now"].to_numpy() - paths[:, last]) < 1.96 * found["level_now_se"].to_numpy()
        )
        claimed += found["p_better"].to_list()
        happened += list(truth < -found["swc"].to_numpy())
    # 288 series: Monte Carlo SD of a 95 % coverage is 1.3 %; within three of them, which also leaves room for the error
    # of the pooled drift that the interval does not carry.
    assert np.mean(inside) == pytest.approx(0.95, abs=0.04)
    assert np.mean(level_inside) == pytest.approx(0.95, abs=0.04)
    # Calibration: the mean of what was claimed against what happened, Monte Carlo SD under 2 %.
    assert np.mean(claimed) == pytest.approx(np.mean(happened), abs=0.04)
    sure = np.array(claimed) > 0.8
    assert np.mean(np.array(happened)[sure]) > 0.75


def test_one_who_improves_and_those_who_hold_are_told_apart():
    days = [d for d in range(26 * 7) if d % 7 in (1, 4)]
    paths = np.tile(2.0 + 0.15 * np.linspace(-1, 1, 12)[:, None], (1, 182))
    paths[0, 120:] -= np.minimum(np.arange(62) * 0.0015, 0.06)
    profile, rep = squad(paths, days)
    found = progress_of(profile, rep, 181, 12)
    first = found.row(0, named=True)
    assert first["word"] == "improving"
    assert first["sentence"].endswith("% sure it is more than noise")
    assert " s faster at 10 m than six weeks ago" in first["sentence"]
    assert first["change"] == pytest.approx(paths[0, 181] - paths[0, 139], abs=2 * first["change_se"])
    assert "slipping" not in found["word"].to_list()
    assert (found["word"][1:] == "holding").sum() >= 9
    assert found["is_main"].all()


def test_several_days_compared_at_once_are_as_each_alone():
    days = [d for d in range(26 * 7) if d % 7 in (1, 4)]
    profile, rep = squad(drifting(8, 182, 0.02, 5), days)
    profile = profile.filter((pl.col("athlete_id") != "athlete-03") | (pl.col("session_date") > START + LATE))
    trend, noise = follow(profile, rep, athletes(8), START + dt.timedelta(days=181))
    asked = [START + dt.timedelta(days=day) for day in (20, 100, 160, 181)]
    together = progress_on(asked, trend, noise, SETTINGS)
    assert together["word"].n_unique() > 1
    for day in asked:
        alone = start_progress(trend, noise, settings=SETTINGS, as_of=day)
        assert together.filter(_on=day).drop("_on").sort(SERIES_KEY).equals(alone)
    # From the days up to then only: later runs change nothing of what is said of an earlier day.
    known = trend.filter(pl.col("session_date") <= asked[1])
    assert start_progress(known, noise, settings=SETTINGS, as_of=asked[1]).equals(
        together.filter(_on=asked[1]).drop("_on").sort(SERIES_KEY)
    )
    assert progress_on([], trend, noise, SETTINGS).is_empty()


def test_smallest_change_is_a_share_of_the_spread_within_a_sex():
    # Levels held exactly: women 2.10 2.12 2.14, men 1.90 1.92 1.94: SD 0.02 within each, 0.2 * 0.02 = 0.004 s;
    # over all six the SD would be 0.111 and the change 0.022 s.
    levels = np.array([2.10, 2.12, 2.14, 1.90, 1.92, 1.94])
    profile, rep = squad(np.tile(levels[:, None], (1, 90)), list(range(1, 90, 4)), error=0.001)
    sexes = athletes(6).with_columns(sex=pl.Series(["f"] * 3 + ["m"] * 3))
    as_of = START + dt.timedelta(days=89)
    trend, noise = follow(profile, rep, sexes, as_of)
    found = start_progress(trend, noise, settings=SETTINGS, as_of=as_of)
    assert found["swc"].to_list() == pytest.approx([0.004] * 6, abs=2e-4)
    assert found["swc_basis"].unique().to_list() == ["hopkins_swc"]
    # Four athletes leave two degrees of freedom: 0.3 of the typical error instead, and said.
    some = pl.col("athlete_id").is_in(["athlete-00", "athlete-01", "athlete-03", "athlete-04"])
    trend, noise = follow(profile.filter(some), rep.filter(some), sexes, as_of)
    few = start_progress(trend, noise, settings=SETTINGS, as_of=as_of)
    assert few["swc"][0] == pytest.approx(0.3 * few["typical_error"][0])
    assert few["swc_reason"].unique().to_list() == ["swc_from_own_variation"]


def test_unlike_runs_never_share_a_series():
    paths = np.full((8, 90), 2.0)
    days = list(range(1, 90, 3))
    profile, rep = squad(paths, days, reps=1)
    # By hand: every third run by hand timing, every third standing, the rest from blocks.
    place = pl.int_range(pl.len()) % 3
    mixed = rep.with_columns(
        timing_kind=pl.when(place == 0).then(pl.lit("hand")).otherwise("timing_kind"),
        start_kind=pl.when(place == 1).then(pl.lit("standing")).otherwise("start_kind"),
    )
    trend, _ = follow(profile, mixed, athletes(8), START + dt.timedelta(days=89))
    assert set(trend["timing_kind"]) == {"electronic"}
    assert trend["reps"].sum() == (mixed["timing_kind"] != "hand").sum()
    assert set(trend["start_kind"]) == {"blocks", "standing"}


@pytest.mark.parametrize(
    "says",
    [
        {"resistance_kind": "sled"},
        {"resistance_load_kg": 20.0},
        {"outcome": "stopped"},
        {"effort_percent": 85.0},
        {"timing_kind": "hand"},
        {"timing_kind": None},
    ],
)
def test_runs_that_say_nothing_of_the_best_free_start_are_left_out(says):
    profile, rep = squad(np.full((3, 30), 2.0), [1, 8, 15], **says)
    trend, noise = follow(profile, rep, athletes(3), START + dt.timedelta(days=29))
    assert (trend.height, noise.height) == (0, 0)


def test_poor_fits_and_days_to_come_are_not_read():
    profile, rep = squad(np.full((3, 30), 2.0), [1, 8, 15, 22])
    poor = profile.with_columns(trust=pl.lit("poor"))
    assert follow(poor, rep, athletes(3), START + dt.timedelta(days=29))[0].height == 0
    early, _ = follow(profile, rep, athletes(3), START + dt.timedelta(days=10))
    assert early["session_date"].max() == START + dt.timedelta(days=8)


def test_too_few_sessions_too_near_and_not_lately_are_said():
    paths = np.full((6, 200), 2.0)
    profile, rep = squad(paths, [1, 8], reps=2)
    found = progress_of(profile, rep, 30, 6)
    assert found["word"].unique().to_list() == ["not_clear"]
    assert found["reason"].unique().to_list() == ["too_few_reps"]
    assert found["sentence"][0].startswith("Too few reps to say: 2 of at least 3 sessions")
    profile, rep = squad(paths, [1, 4, 8, 10], reps=2)
    assert progress_of(profile, rep, 12, 6)["reason"].unique().to_list() == ["reference_too_near"]
    late = progress_of(profile, rep, 199, 6)
    assert late["reason"].unique().to_list() == ["no_recent_session"]
    assert late["change"].null_count() == 6


def test_a_short_series_is_compared_with_its_first_day():
    profile, rep = squad(np.full((6, 60), 2.0), [1, 8, 15, 22], reps=3)
    found = progress_of(profile, rep, 24, 6)
    # 23 days are fewer than six weeks: reference is the first day, at least 14 days back
    assert found["reference_on"].unique().to_list() == [START + dt.timedelta(days=1)]
    assert found["reason"].fill_null("").is_in(["", "not_sure_enough"]).all()


def test_the_main_series_is_the_one_measured_most_in_the_last_weeks():
    blocks, blocks_rep = squad(np.full((1, 120), 2.0), list(range(1, 60, 3)))
    standing, standing_rep = squad(np.full((1, 120), 2.2), list(range(90, 118, 7)), start_kind="standing")
    found = progress_of(pl.concat([blocks, standing]), pl.concat([blocks_rep, standing_rep]), 119, 1)
    assert found.filter("is_main")["start_kind"].to_list() == ["standing"]


def test_a_first_contact_is_described_and_never_called_better():
    days = [d for d in range(90) if d % 7 == 1]
    rows = [
        {
            "athlete_id": f"athlete-{a:02d}", "session_date": START + dt.timedelta(days=d), "session_no": 1,
            "rep_no": i + 1, "step_no": 1, "contact_s": 0.18 + 0.004 * a + 0.002 * i, "flight_s": 0.05,
            "frame_rate_hz": 240.0,
        }
        for a in range(6)
        for d in days
        for i in range(2)
    ]  # fmt: skip
    says = {"start_kind": "blocks", "clock_start": "gun", "timing_kind": "video"}
    rep, step = record("rep", [{**row, **says} for row in rows]), record("step", rows)
    phase = start_phase(rep, step, record("set_position"), record("technique_note"), start_steps(rep, step))
    profile, _ = squad(np.full((1, 2), 2.0), [1])
    as_of = START + dt.timedelta(days=89)
    trend, noise = follow(profile.clear(), rep, athletes(6), as_of, phase)
    found = start_progress(trend, noise, settings=SETTINGS, as_of=as_of)
    assert found["metric"].unique().to_list() == ["contact_1_s"]
    assert found["p_better"].null_count() == 6
    assert set(found["word"]) <= {"holding", "not_clear"}
    assert found["reason"].unique().to_list() == ["no_better_direction"]
    assert not found["is_main"].any()


def test_tables_keep_their_shape_on_nothing():
    profile, rep = squad(np.full((1, 2), 2.0), [1])
    as_of = START + dt.timedelta(days=5)
    trend, noise = follow(profile.clear(), rep.clear(), athletes(2), as_of)
    assert (noise.height, noise.columns) == (0, list(StartNoise.to_schema().columns))
    assert (trend.height, trend.columns) == (0, list(StartTrend.to_schema().columns))
    found = start_progress(trend, noise, settings=SETTINGS, as_of=as_of)
    assert (found.height, found.columns) == (0, list(StartProgress.to_schema().columns))


def test_runs_of_the_running_week_are_held_against_the_noise_of_the_weeks_before():
    # Monday 5 January and on: twelve weeks, then one athlete runs wildly on the Wednesday of the thirteenth.
    days = [d for d in range(84) if d % 7 in (1, 4)]
    profile, rep = squad(drifting(6, 90, 0.012, 5), [*days, 86], seed=7)
    as_of = START + dt.timedelta(days=87)
    wild = (pl.col("athlete_id") == "athlete-00") & (pl.col("session_date") == START + dt.timedelta(days=86))
    other = profile.with_columns(t_10_s=pl.when(wild).then(pl.col("t_10_s") + 0.4).otherwise("t_10_s"))
    trend, noise = follow(profile, rep, athletes(6), as_of)
    moved, same = follow(other, rep, athletes(6), as_of)
    assert same.equals(noise)
    assert noise["days"].item() == 6 * len(days)  # by hand: six athletes, the days of whole weeks
    rest = pl.col("athlete_id") != "athlete-00"
    assert moved.filter(rest).equals(trend.filter(rest))
    assert not moved.filter(~rest).equals(trend.filter(~rest))
