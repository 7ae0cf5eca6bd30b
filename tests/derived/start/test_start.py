"""Steps and start phase: sums by hand, and checks against published and independent values."""

import numpy as np
import polars as pl
import pytest
from scipy.optimize import curve_fit

from pipelines.derived.common.step_error import interval_sd_s
from pipelines.derived.start.phase import start_phase, start_steps
from pipelines.derived.start.step_curve import fit_steps, step_curves
from schemas.derived.start import StartPhase, StartSteps
from tests.derived.start.start_frames import CONTACTS, DAY, FLIGHTS, LENGTHS, record, rep_row, run_key, step_rows

KEY = run_key()


def interval_sd_s_at(frame_rate: float) -> float:
    """Return the error of a time between two pictures, 1 / (rate sqrt 6): two uniform errors (definition)."""
    return 1 / (frame_rate * 6**0.5)


def steps_of(rows: list[dict], reps: list[dict] | None = None) -> pl.DataFrame:
    return start_steps(record("rep", reps or [rep_row(KEY)]), record("step", rows))


def phase_of(rows: list[dict], reps: list[dict] | None = None, positions=None, notes=None) -> pl.DataFrame:
    rep, step = record("rep", reps or [rep_row(KEY)]), record("step", rows)
    return start_phase(
        rep, step, record("set_position", positions), record("technique_note", notes), start_steps(rep, step)
    )


def test_step_time_frequency_speed_and_distance_by_hand():
    first, second = steps_of(step_rows(KEY)).head(2).to_dicts()
    # contact 0.195 + flight 0.055 = 0.250 s; 1 / 0.250 = 4 Hz; next length 1.05 / 0.250 = 4.2 m/s; 0.195 / 0.250 = 0.78
    assert first["step_time_s"] == pytest.approx(0.250)
    assert first["step_frequency_hz"] == pytest.approx(4.0)
    assert first["speed_mps"] == pytest.approx(4.2)
    assert first["contact_share"] == pytest.approx(0.78)
    assert first["distance_m"] == pytest.approx(1.00)
    # second: 1.20 / 0.235 = 5.10638 m/s, gain 5.10638 - 4.2 = 0.90638; touchdown at 1.00 + 1.05 = 2.05 m
    assert second["speed_gain_mps"] == pytest.approx(0.90638, abs=1e-5)
    assert second["distance_m"] == pytest.approx(2.05)
    # half share 0.17 / 0.235 / 2 = 0.36170; next gain 1.35 / 0.230 - 5.10638 = 0.76318
    # impulse (1 - 0.36170) * 0.90638 + 0.36170 * 0.76318 = 0.85459 N s/kg
    assert second["impulse_ns_per_kg"] == pytest.approx(0.85459, abs=1e-5)
    assert first["speed_gain_mps"] is None


def test_errors_come_from_the_frame_rate():
    row = steps_of(step_rows(KEY)).row(0, named=True)
    # Outside check, definition of a uniform error: 1 / (240 * sqrt 6) = 1.701 ms for a contact, a flight, a step time.
    for name in ("contact_s_se", "flight_s_se", "step_time_s_se"):
        assert row[name] == pytest.approx(0.001701, abs=1e-6)
    # frequency: 0.001701 / 0.250^2 = 0.02722 Hz
    assert row["step_frequency_hz_se"] == pytest.approx(0.02722, abs=1e-5)


def test_speed_error_of_the_worked_step():
    # Worked step: length 1.13 +- 0.03 m, time 0.225 +- 0.0017 s -> 2.8 %, +-0.139 m/s (computed, not published).
    rows = step_rows(KEY, [0.170] * 3, [0.055] * 3, [1.00, 1.13, 1.13])
    row = steps_of(rows).row(0, named=True)
    assert row["speed_mps_se"] == pytest.approx(0.139, abs=0.001)
    assert row["speed_mps_se"] / row["speed_mps"] == pytest.approx(0.028, abs=0.001)


def test_frame_errors_agree_with_a_simulated_camera():
    # Outside check, Monte Carlo at 240 fps: contact 1.701, flight 1.703, step 1.704 ms, correlation -0.499.
    rng = np.random.default_rng(7)
    dt = 1 / 240
    events = np.cumsum(np.r_[0.3, np.ravel(np.column_stack([CONTACTS, FLIGHTS]))])
    seen = np.ceil((events + rng.uniform(0, dt, (40_000, 1))) / dt) * dt  # the shutter's phase differs run by run
    contact, flight = seen[:, 1] - seen[:, 0], seen[:, 2] - seen[:, 1]
    several = rng.uniform(0, dt, (40_000, 21))  # every event late by its own part of a frame
    late = np.diff(several, axis=1)
    sd = pl.select(interval_sd_s(pl.lit(240.0))).item()
    assert sd == pytest.approx(1.701e-3, abs=1e-6)
    assert late[:, 0].std() == pytest.approx(sd, rel=0.01)
    assert np.corrcoef(late[:, 0], late[:, 1])[0, 1] == pytest.approx(-0.5, abs=0.01)
    # n steps on end hold two events: the SD of three step times together is that of one interval.
    assert (several[:, 6] - several[:, 0]).std() == pytest.approx(sd, rel=0.01)
    # One true value in a random phase of the shutter: unbiased.
    assert contact.mean() == pytest.approx(CONTACTS[0], abs=2e-5)
    assert flight.mean() == pytest.approx(FLIGHTS[0], abs=2e-5)


def test_stated_errors_of_derived_steps_cover_the_simulated_ones():
    rng = np.random.default_rng(11)
    n = 20_000
    times = np.cumsum(np.r_[0.0, np.ravel(np.column_stack([CONTACTS[:4], FLIGHTS[:4]]))]) + rng.uniform(
        0, 1 / 240, (n, 9)
    )
    step_times = times[:, 2::2] - times[:, :-2:2]
    lengths = np.array(LENGTHS[1:5]) + 0.03 * rng.standard_normal((n, 4))
    speed = lengths / step_times
    share = (times[:, 1::2] - times[:, :-2:2]) / step_times
    gain = np.diff(speed, axis=1)
    impulse = (1 - share[:, 1] / 2) * gain[:, 0] + share[:, 1] / 2 * gain[:, 1]
    row = steps_of(step_rows(KEY)).row(1, named=True)
    assert speed[:, 1].std() == pytest.approx(row["speed_mps_se"], rel=0.03)
    assert share[:, 1].std() == pytest.approx(row["contact_share_se"], rel=0.03)
    assert gain[:, 0].std() == pytest.approx(row["speed_gain_mps_se"], rel=0.03)
    assert impulse.std() == pytest.approx(row["impulse_ns_per_kg_se"], rel=0.03)


def test_impulse_recovers_the_forward_run_of_the_composite_athlete():
    # Forward run, computed with m 75, k 0.28: speed gained in contacts 1-4 is 1.2786, 0.9041, 0.7261, 0.5954 m/s.
    v_off, dv = [4.6760, 5.5757, 6.2942, 6.8785], [1.2786, 0.9041, 0.7261, 0.5954]
    lengths = [1.0] + [(v - d / 2) * c + v * f for v, d, c, f in zip(v_off, dv, CONTACTS[:4], FLIGHTS[:4], strict=True)]
    frame = steps_of(step_rows(KEY, CONTACTS[:5], FLIGHTS[:5], lengths))
    # The estimate leans on neighbouring contacts: about 8 % high at the second, well under its 11-20 % error.
    assert frame["impulse_ns_per_kg"][1] == pytest.approx(0.9041, rel=0.08)
    assert frame["impulse_ns_per_kg"][2] == pytest.approx(0.7261, rel=0.05)
    # Step frequencies of that run counted contact + flight after: 4.00, 4.26, 4.35, 4.48 Hz rise without a break.
    assert frame["step_frequency_hz"].is_sorted()


def test_without_a_frame_rate_times_stand_and_errors_are_unknown():
    row = steps_of(step_rows(KEY, frame_rate=None)).row(0, named=True)
    assert row["speed_mps"] == pytest.approx(4.2)
    assert row["contact_s_se"] is None
    assert row["speed_mps_se"] is None
    assert row["reason"] == "no_frame_rate"


def test_a_step_that_was_not_marked_breaks_distance_and_speed():
    rows = [row for row in step_rows(KEY) if row["step_no"] != 3]
    frame = steps_of(rows)
    assert frame.filter(pl.col("step_no") == 2)["speed_mps"].item() is None
    assert frame.filter(pl.col("step_no") == 2)["reason"].item() == "no_next_step"
    assert frame.filter(pl.col("step_no") == 4)["distance_m"].item() is None
    assert frame.filter(pl.col("step_no") == 4)["speed_gain_mps"].item() is None


def test_published_contact_and_flight_give_the_published_frequency():
    # Coh et al. 2018, Kinesiology 50:172: contact 0.086 s, flight 0.145 s, printed 4.36 Hz, 2.70 m, 12.14 m/s.
    row = steps_of(step_rows(KEY, [0.086] * 2, [0.145] * 2, [2.70, 2.70])).row(0, named=True)
    assert row["step_frequency_hz"] == pytest.approx(4.329, abs=0.001)
    assert row["step_frequency_hz"] == pytest.approx(4.36, rel=0.01)
    # Printed length x printed frequency is 11.77 m/s; the abstract prints 12.14: 3 % apart in the source itself.
    assert pytest.approx(3.03, abs=0.01) == 100 * (1 - 2.70 * 4.36 / 12.14)
    # ours, 2.70 m / 0.231 s = 11.688 m/s, stands as near to the printed product: 4.36 Hz is the rounded 1 / 0.231 s
    assert row["speed_mps"] == pytest.approx(2.70 * 4.36, rel=0.01)


def test_first_three_steps_by_hand():
    row = phase_of(step_rows(KEY)).row(0, named=True)
    # contacts 0.195 + 0.170 + 0.155 = 0.520 s, flights 0.055 + 0.065 + 0.075 = 0.195 s, 3 / 0.715 = 4.1958 Hz
    assert row["contact_sum_s"] == pytest.approx(0.520)
    assert row["flight_sum_s"] == pytest.approx(0.195)
    assert row["early_frequency_hz"] == pytest.approx(4.1958, abs=1e-4)
    # touchdown 3 at 1.00 + 1.05 + 1.20 = 3.25 m; speed over step 3 is 1.35 / 0.230 = 5.8696 m/s
    assert row["three_step_distance_m"] == pytest.approx(3.25)
    assert row["speed_after_3_mps"] == pytest.approx(5.8696, abs=1e-4)
    # three contacts hold six different events: sqrt 3 * 1.701 ms = 2.946 ms
    assert row["contact_sum_s_se"] == pytest.approx(0.002946, abs=1e-6)
    assert row["reason"] is None


def test_three_steps_cover_what_the_trade_and_the_papers_say():
    row = phase_of(step_rows(KEY)).row(0, named=True)
    # Sum of published step lengths to the third touchdown: 3.2-3.6 m (from memory). To the fourth touchdown, which is
    # where the flight of the third step ends: 4-6 m (common practice, no source). Two definitions, both kept.
    assert 3.2 <= row["three_step_distance_m"] <= 3.6
    assert 4.0 <= row["fourth_touchdown_m"] <= 6.0


def test_first_contact_longest_then_falling_beyond_the_error():
    # Common practice, no source: the first contact is the longest, later ones shorten steadily.
    assert phase_of(step_rows(KEY))["order_of_contacts"].item() == "longest_first_then_falling"
    # At 240 fps two contacts differ beyond error from 1.645 * 2 * sqrt 2 * 1.701 ms = 7.9 ms on.
    alike = [0.180, 0.178, 0.176, *CONTACTS[3:]]
    assert phase_of(step_rows(KEY, alike))["order_of_contacts"].item() == "longest_first"
    quick = [0.160, 0.172, 0.150, *CONTACTS[3:]]
    assert phase_of(step_rows(KEY, quick))["order_of_contacts"].item() == "not_longest_first"
    # The same 12 ms cannot be told apart at 60 fps (31.7 ms).
    assert phase_of(step_rows(KEY, quick, frame_rate=60.0))["order_of_contacts"].item() == "longest_first"
    assert phase_of(step_rows(KEY, quick, frame_rate=None))["order_of_contacts"].item() is None


def test_rhythm_at_10_m_is_the_stride_there_over_the_best_stride():
    row = phase_of(step_rows(KEY)).row(0, named=True)
    # Touchdowns 7 and 8 at 9.25 and 10.95 m: 10 m lies in step 7. Stride 6 + 7: 2 / (0.220 + 0.220) = 4.5455 Hz.
    # Best stride: steps 9 + 10, 2 / (0.218 + 0.218) = 4.5872 Hz. Share 0.99091.
    assert row["step_frequency_10m_hz"] == pytest.approx(4.5455, abs=1e-4)
    assert row["best_frequency_hz"] == pytest.approx(4.5872, abs=1e-4)
    assert row["rhythm_10m"] == pytest.approx(0.99091, abs=1e-4)
    # The best was seen at 10.95 m only: said, because a best that early hides a low share.
    assert row["rhythm_reason"] == "best_frequency_seen_early"


def test_best_frequency_keeps_to_60_days_and_to_the_same_kind_of_video():
    fast = [c - 0.010 for c in CONTACTS]
    days = {"old": DAY.replace(month=1, day=1), "near": DAY.replace(month=1, day=2), "other": DAY.replace(day=1)}
    keys = {name: run_key(day) for name, day in days.items()}

    def best(name: str, frame_rate: float = 240.0) -> float:
        rows = step_rows(KEY) + step_rows(keys[name], fast, frame_rate=frame_rate)
        frame = phase_of(rows, [rep_row(KEY), rep_row(keys[name])])
        return frame.filter(pl.col("session_date") == DAY)["best_frequency_hz"].item()

    # 2026-01-01 is 60 days before 2026-03-02 and out; 2026-01-02 is 59 days and in: 2 / (2 * 0.208) = 4.8077 Hz.
    assert best("old") == pytest.approx(4.5872, abs=1e-4)
    assert best("near") == pytest.approx(4.8077, abs=1e-4)
    assert best("other", frame_rate=60.0) == pytest.approx(4.5872, abs=1e-4)


def test_published_phase_means_are_context_only():
    # Debaere et al. 2013, J Strength Cond Res 27:116: 0-10 m 4.37 of 4.47 Hz (men), 4.23 of 4.34 Hz (women).
    assert pytest.approx(0.978, abs=0.001) == 4.37 / 4.47
    assert pytest.approx(0.975, abs=0.001) == 4.23 / 4.34
    # The context (97 %; 90 % and 80 % as common practice, no source) is words on the column, not a rule.
    words = StartPhase.to_schema().columns["rhythm_10m"].description
    assert all(part in words for part in ("97", "90 %", "80 %", "Context only", "common practice"))


def test_curve_over_the_steps_agrees_with_scipy():
    # Outside check: scipy.optimize.curve_fit on the same numbers; shape from Ettema et al. 2016, PLoS ONE 11:e0159701.
    rng = np.random.default_rng(3)
    x = np.arange(12.0)
    truth = [(0.20, 0.105, 3.0), (0.05, 0.13, 6.0), (0.19, 0.11, 1.5)]
    y = np.array([b + (a - b) * np.exp(-x / c) for a, b, c in truth]) + 0.0015 * rng.standard_normal((3, 12))
    y[1, 4] = np.nan  # a step that was not marked
    fit = fit_steps(np.broadcast_to(x, y.shape), y)
    for i in range(3):
        ok = np.isfinite(y[i])
        want, cov = curve_fit(lambda t, a, b, c: b + (a - b) * np.exp(-t / c), x[ok], y[i][ok], p0=(0.2, 0.1, 3.0))
        got = [fit[name][i] for name in ("first", "limit", "constant")]
        assert got == pytest.approx(want, rel=1e-5)
        errors = [fit[f"{name}_se"][i] for name in ("first", "limit", "constant")]
        assert errors == pytest.approx(np.sqrt(np.diag(cov)), rel=1e-3)


def test_a_runs_curve_is_the_same_to_the_last_bit_alone_and_among_longer_runs():
    rng = np.random.default_rng(8)
    x = np.broadcast_to(np.arange(17.0), (60, 17))
    y = 0.11 + 0.09 * np.exp(-x / rng.uniform(1, 6, (60, 1))) + 0.003 * rng.standard_normal((60, 17))
    ends = rng.integers(6, 18, 60)
    y = np.where(x < ends[:, None], y, np.nan)
    together = fit_steps(x, y)
    assert together["fitted"].sum() > 30
    for i, end in enumerate(ends):
        alone = fit_steps(x[i : i + 1, :end], y[i : i + 1, :end])
        for name, value in alone.items():
            assert np.array_equal(value, together[name][i : i + 1], equal_nan=True), name


def test_a_straight_line_of_steps_gives_no_constant():
    x = np.broadcast_to(np.arange(8.0), (1, 8))
    assert np.isnan(fit_steps(x, 0.2 - 0.01 * x)["constant"][0])
    row = phase_of(step_rows(KEY, CONTACTS[:5], FLIGHTS[:5], LENGTHS[:5])).row(0, named=True)
    assert row["contact_fit_constant_steps"] is None
    assert row["fit_reason"] == "few_steps_for_fit"


def test_angle_hold_is_push_less_set_with_its_error():
    position = {**KEY, "front_shin_set_deg": 42.0, "front_shin_push_deg": 38.0}
    row = phase_of([], positions=[position]).row(0, named=True)
    # 38 - 42 = -4 degrees; two readings of 1.5 degrees: 1.5 * sqrt 2 = 2.12
    assert row["angle_hold_deg"] == pytest.approx(-4.0)
    assert row["angle_hold_deg_se"] == pytest.approx(2.1213, abs=1e-4)
    assert row["reason"] == "no_steps"


def test_functions_keep_their_shape_on_nothing_and_leave_their_input_alone():
    rep, step = record("rep"), record("step")
    steps = start_steps(rep, step)
    assert steps.columns == list(StartSteps.to_schema().columns)
    assert start_phase(rep, step, record("set_position"), record("technique_note"), steps).height == 0
    rows = record("step", step_rows(KEY))
    before = rows.clone()
    start_steps(record("rep", [rep_row(KEY)]), rows)
    assert rows.equals(before)


@pytest.mark.parametrize("other", ["rep_no", "session_no"])
def test_of_strides_equally_fast_on_a_day_the_first_is_the_best_seen(other: str):
    # every step alike, so every stride is 2 / (0.22 + 0.22); the error of one at 240 Hz is larger than at 300
    later = run_key() | {other: 2}
    alike = ([0.12] * 16, [0.10] * 16, [1.5] * 16)
    rows = step_rows(KEY, *alike) + step_rows(later, *alike, frame_rate=300.0)
    found = phase_of(rows, [rep_row(KEY), rep_row(later)])
    assert found["best_frequency_hz"].to_list() == pytest.approx([2 / 0.44] * 2)
    assert found["best_frequency_hz_se"].to_list() == pytest.approx([2 * interval_sd_s_at(240.0) / 0.44**2] * 2)
    # sixteen steps of 1.5 m reach beyond 20 m, yet the first of the strides stands before it
    assert found["rhythm_reason"].to_list() == ["best_frequency_seen_early"] * 2


def test_the_lengths_of_the_steps_begin_their_curve_with_the_second():
    # made by the rule itself: from step 2 on 2.0 - 0.8 e^(-n / 3) with n = 0, 1, 2 ...; step 1 is anything
    lengths = [0.3, *(2.0 - 0.8 * np.exp(-np.arange(11) / 3.0))]
    rows = step_rows(KEY, [0.15] * 12, [0.08] * 12, lengths)
    found = step_curves(steps_of(rows))
    assert found["length_fit_first_m"].item() == pytest.approx(1.2, abs=1e-3)
    assert found["length_fit_limit_m"].item() == pytest.approx(2.0, abs=1e-3)
    assert found["length_fit_constant_steps"].item() == pytest.approx(3.0, abs=1e-2)
