"""Runs whose truth is not our model: a body with a force line and air drag, stepped through time, timed with errors."""

import datetime as dt
from dataclasses import dataclass

import numpy as np
import polars as pl

from pipelines.derived.sprint.fit import Runs, fit_runs
from pipelines.derived.sprint.profile import sprint_profile
from pipelines.derived.sprint.run_error import sprint_noise
from schemas.settings import SquadSettings
from tests.derived.sprint.sprint_frames import frame

START = dt.date(2026, 1, 5)
STEP_S = 0.001
GATES = {3: (10.0, 20.0, 30.0), 4: (10.0, 20.0, 30.0, 40.0), 6: (5.0, 10.0, 20.0, 30.0, 40.0, 50.0)}
ATHLETES, SESSIONS, RUNS = 16, 12, 3


@dataclass(frozen=True)
class Timed:
    """How the runs of one row are started and timed."""

    name: str
    noise_ms: float
    gates: int
    rule: str = "gun_reaction"  # gun_reaction, first_movement, gate_known, hand_release


def bodies(rng: np.random.Generator, count: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Return time and place along the way of each body, on a grid, and its time at 10 m after the first movement.

    dv/dt = f (1 - v / u) - k v^2 with f 7 to 9.5 N/kg, u 8.5 to 11.5 m/s, k 0.0035 /m: stepped by the midpoint rule.
    """
    f, u = rng.uniform(7.0, 9.5, count), rng.uniform(8.5, 11.5, count)
    steps = int(9.0 / STEP_S)
    x, v = np.zeros((steps, count)), np.zeros(count)
    place = np.zeros(count)
    for k in range(1, steps):
        middle = v + STEP_S / 2 * (f * (1 - v / u) - 0.0035 * v**2)
        place = place + STEP_S * middle
        v = v + STEP_S * (f * (1 - middle / u) - 0.0035 * middle**2)
        x[k] = place
    clock = STEP_S * np.arange(steps)
    return clock, x, np.array([np.interp(10.0, x[:, a], clock) for a in range(count)])


def coverage(row: Timed, seed: int) -> dict[str, float]:
    """Return the percent of runs whose 95 % interval holds the truth: ceiling, time constant, 10 m."""
    rng = np.random.default_rng(seed)
    clock, x, ten = bodies(rng, ATHLETES)
    dense = np.arange(1.0, 51.0)
    exact = np.stack([np.interp(dense, x[:, a], clock) for a in range(ATHLETES)])
    whole = fit_runs(Runs.of(dense, exact), noise="known")  # what the curve says of the body with nothing to disturb it
    gates = np.array(GATES[row.gates])
    reps, splits = [], []
    says = {
        "gun_reaction": {"start_kind": "blocks", "clock_start": "gun"},
        "first_movement": {"start_kind": "blocks", "clock_start": "first_movement"},
        "gate_known": {"start_kind": "standing", "clock_start": "first_gate", "gate_offset_m": 0.5},
        "hand_release": {"start_kind": "three_point", "clock_start": "hand_release"},
    }[row.rule]
    for a in range(ATHLETES):
        for s in range(SESSIONS):
            for r in range(RUNS):
                key = {
                    "athlete_id": f"a{a:02d}", "session_date": START + dt.timedelta(days=7 * s), "session_no": 1,
                    "rep_no": r + 1,
                }  # fmt: skip
                said = dict(says)
                behind, late = 0.0, 0.0
                if row.rule == "gun_reaction":
                    reaction = 0.15 + 0.02 * rng.standard_normal()
                    said["reaction_s"] = reaction + 0.010 * rng.standard_normal()
                    late = reaction
                elif row.rule == "first_movement":
                    late = 0.010 * rng.standard_normal()
                elif row.rule == "gate_known":
                    behind = 0.5 + 0.05 * rng.standard_normal()
                    late = -float(np.interp(behind, x[:, a], clock))
                else:
                    late = -abs(0.02 + 0.09 * rng.standard_normal())
                times = np.interp(gates + behind, x[:, a], clock) + late
                times = times + row.noise_ms / 1000 * rng.standard_normal(len(gates))
                reps.append(key | said | {"timing_kind": "electronic", "resistance_kind": "none"})
                splits += [
                    key | {"distance_m": float(d), "elapsed_s": float(t)} for d, t in zip(gates, times, strict=True)
                ]
    rep, split = frame("rep", reps), frame("split", splits)
    people = frame("athlete", [])
    noise = sprint_noise(rep, split, people)
    found = sprint_profile(
        rep, split, frame("session", []), frame("body_measure", []), people, noise, settings=SquadSettings()
    )
    place = found["athlete_id"].str.slice(1).cast(pl.Int64).to_numpy()
    truth = {"vmax_mps": whole.vmax_mps[place], "tau_s": whole.tau_s[place], "t_10_s": ten[place]}
    out = {"noise_found_ms": round(1000 * float(noise["noise_s"][0]), 1)}
    for name, true in truth.items():
        value, error = (found[c].cast(pl.Float64).fill_null(np.nan).to_numpy() for c in (name, f"{name}_se"))
        known = np.isfinite(value) & np.isfinite(error)
        out[name] = round(100 * float((np.abs(value - true)[known] <= 1.96 * error[known]).mean()), 1)
        out[f"{name}_known"] = round(100 * float(known.mean()), 1)
    return out
