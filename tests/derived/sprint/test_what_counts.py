"""What counts of a run, what is known of its day, and what is said of the time that a curve gives it."""

import numpy as np
import polars as pl
import pytest

from pipelines.derived.sprint.model_late import MODEL_LATE_S, name_lateness
from pipelines.derived.sprint.motion import time_at
from pipelines.derived.sprint.profile import sprint_profile, sprint_session
from pipelines.derived.sprint.profile_body import find_body
from schemas.settings import SquadSettings
from tests.derived.sprint.sprint_frames import DAY, ELECTRONIC, Track, frame

SETTINGS = SquadSettings()
GATES = (10.0, 20.0, 30.0, 40.0)


@pytest.mark.parametrize(
    ("said", "counts"),
    [
        ({}, True), ({"trust": "thin", "trust_reason": "few_splits"}, True),
        ({"trust": "poor", "trust_reason": "wide_interval"}, False), ({"is_free": False}, False),
        ({"trust": "thin", "trust_reason": "submaximal_effort"}, False),
    ],
)  # fmt: skip
def test_a_day_counts_free_runs_of_full_effort_that_can_be_trusted(said, counts):
    track = Track().run(GATES, time_at(np.array(GATES), 10.0, 1.2), clock_start="first_movement", start_kind="blocks",
                        **ELECTRONIC)  # fmt: skip
    profile = sprint_profile(**track.frames(), settings=SETTINGS)
    assert profile["trust"].item() == "good"
    told = profile.with_columns(pl.lit(value).alias(name) for name, value in said.items())
    assert (sprint_session(told).height > 0) is counts


def test_the_air_of_a_run_is_that_of_its_athlete_s_own_session():
    runs = [{"athlete_id": who, "session_date": DAY, "session_no": 1, "rep_no": 1} for who in ("ada", "bea")]
    days = [
        {"athlete_id": "ada", "session_date": DAY, "session_no": 1, "air_temperature_c": 31.0, "indoor": False},
        {"athlete_id": "bea", "session_date": DAY, "session_no": 1, "air_temperature_c": 12.0, "indoor": True},
    ]
    found = find_body(frame("rep", runs), frame("session", days), frame("body_measure", []), SETTINGS)
    assert found.select("athlete_id", "air_temperature_c", "is_wind_unknown").rows() == [
        ("ada", 31.0, True), ("bea", 12.0, False),
    ]  # fmt: skip


def test_how_late_a_curve_is_is_said_of_a_time_that_is_shown_and_of_no_other():
    rep = pl.DataFrame({"start_kind": ["blocks", "standing", "falling"] * 2})
    noise = pl.DataFrame({"start_kind": ["standing"], "late_10_s": [0.04]})
    found = name_lateness(rep, noise, np.array([True] * 3 + [False] * 3), ["start_kind"])
    assert found.rows() == [
        (MODEL_LATE_S, "published_runs", None), (0.04, "own_gates", None), (None, None, "model_not_checked"),
        *[(None, None, None)] * 3,
    ]  # fmt: skip


@pytest.mark.parametrize(("slip_s", "trust", "reason"), [(0.01, "good", None), (0.05, "thin", "wide_interval")])
def test_a_start_known_to_no_better_than_a_twentieth_is_thin(slip_s, trust, reason):
    gates = np.array([5.0, 10.0, 15.0, 20.0, 30.0])
    times = time_at(gates, 10.0, 1.2) + slip_s * np.array([1, -1, 1, -1, 1])
    run = Track().run(gates, times, clock_start="first_movement", start_kind="blocks", **ELECTRONIC)
    row = sprint_profile(**run.frames(), settings=SETTINGS).row(0, named=True)
    assert (row["a0_mps2_se"] / row["a0_mps2"] > 0.05) is (trust == "thin")
    assert (row["trust"], row["trust_reason"]) == (trust, reason)
