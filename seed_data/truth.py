"""The known truth of the sprint: each athlete's speed and time constant on each day, and the model's formulas."""

import datetime as dt
from dataclasses import dataclass
from functools import cache

import numpy as np
from scipy.special import lambertw

from seed_data import cases
from seed_data.squad import BY_ID, FIRST_DAY, WEEKS, Athlete, chance

# Sizes of change and noise: common practice, no source, unless said.
TAU_WALK_SD_S = 0.002  # s a week: small, so that what changes does so for a known reason
VMAX_WALK_SD_MPS = 0.015  # m/s a week
WALK_KEEPS = 0.95  # share of last week's walk that stays
TAU_DAY_SD, TAU_REP_SD = 0.006, 0.007  # share
VMAX_DAY_SD, VMAX_REP_SD = 0.0035, 0.003  # share

ELECTRONIC_SD_S = 0.006  # s a gate, before rounding to 0.01 s
VIDEO_RATE_HZ = 240
GRAVITY_MPS2 = 9.80665  # m/s2, standard gravity
SLED_FRICTION = 0.45  # effective, on the demo's track; published sleds 0.2 to 0.6 (Linthorne and Cooper 2013)


@dataclass(frozen=True)
class Rep:
    """The truth one run was made from."""

    vmax_mps: float
    tau_s: float


def distance_at(time_s: float, vmax_mps: float, tau_s: float) -> float:
    """Return x(t) = V [t - tau (1 - exp(-t / tau))], m (Furusawa, Hill and Parkinson 1927)."""
    return float(vmax_mps * (time_s + tau_s * np.expm1(-time_s / tau_s)))


def speed_at(time_s: float, vmax_mps: float, tau_s: float) -> float:
    """Return v(t) = V (1 - exp(-t / tau)), m/s."""
    return float(-vmax_mps * np.expm1(-time_s / tau_s))


def time_at(distance_m: float, vmax_mps: float, tau_s: float) -> float:
    """Return the time at a distance, s: tau [1 + z + W0(-exp(-1 - z))] with z = x / (V tau)."""
    z = distance_m / (vmax_mps * tau_s)
    return float(tau_s * (1 + z + lambertw(-np.exp(-1 - z)).real))


@cache
def walk(athlete_id: str) -> tuple[np.ndarray, np.ndarray]:
    """Return the weekly random walk of tau (s) and vmax (m/s), 0 in the first week."""
    draws = chance("walk", athlete_id).normal(size=(WEEKS + 1, 2))
    tau, vmax = np.zeros(WEEKS + 1), np.zeros(WEEKS + 1)
    # The one who improves and the one who stalls show their planned change alone.
    scale = 0.25 if athlete_id in {cases.IMPROVES, cases.STALLS, cases.CUT_SHORT} else 1.0
    for week in range(1, WEEKS + 1):
        tau[week] = WALK_KEEPS * tau[week - 1] + scale * TAU_WALK_SD_S * draws[week, 0]
        vmax[week] = WALK_KEEPS * vmax[week - 1] + scale * VMAX_WALK_SD_MPS * draws[week, 1]
    return tau, vmax


def _planned_tau(athlete: Athlete, day: dt.date) -> float:
    """Return the planned change of tau on a day, s."""
    who = athlete.athlete_id
    change = cases.SMALL_GAINS.get(who, 0.0) * cases.share_done(day, cases.IMPROVES_FROM, cases.IMPROVES_TO)
    if who == cases.IMPROVES:
        change += cases.IMPROVES_TAU_S * cases.share_done(day, cases.IMPROVES_FROM, cases.IMPROVES_TO)
    if who == cases.STALLS:
        change += cases.STALLS_EARLIER_TAU_S * (1 - cases.share_done(day, FIRST_DAY, cases.STALLS_FROM))
    if who == cases.CUT_SHORT and cases.CUT_SHORT_FROM <= day <= cases.CUT_SHORT_TO:
        change += cases.CUT_SHORT_TAU_S
    if who == cases.RETURNS and day >= cases.RETURNED_ON:
        change += cases.RETURN_TAU_S * 0.5 ** ((day - cases.RETURNED_ON).days / 21)
    if who == cases.CALF and day >= cases.CALF_BACK_ON:
        change += cases.CALF_TAU_S * 0.5 ** ((day - cases.CALF_BACK_ON).days / 21)
    return change


def true_profile(athlete_id: str, day: dt.date) -> tuple[float, float]:
    """Return the athlete's true vmax (m/s) and tau (s) on a day, without day and run variation."""
    athlete = BY_ID[athlete_id]
    at = (day - FIRST_DAY).days / 7
    tau_walk, vmax_walk = walk(athlete_id)
    weeks = np.arange(WEEKS + 1)
    tau = athlete.tau_s + float(np.interp(at, weeks, tau_walk)) + _planned_tau(athlete, day)
    vmax = athlete.vmax_mps + float(np.interp(at, weeks, vmax_walk))
    if athlete_id == cases.IMPROVES:
        vmax += cases.IMPROVES_VMAX_MPS * cases.share_done(day, cases.IMPROVES_FROM, cases.IMPROVES_TO)
    return vmax, tau


def day_profile(athlete_id: str, day: dt.date) -> tuple[float, float]:
    """Return vmax and tau with the day's own variation, the same for every run of the day."""
    vmax, tau = true_profile(athlete_id, day)
    draw = chance("form", athlete_id, day).normal(size=2)
    return vmax * (1 + VMAX_DAY_SD * float(draw[0])), tau * (1 + TAU_DAY_SD * float(draw[1]))


def rep_profile(athlete_id: str, day: dt.date, rng: np.random.Generator) -> Rep:
    """Return the truth of one run: the day's form with the run's own variation."""
    vmax, tau = day_profile(athlete_id, day)
    draw = rng.normal(size=2)
    return Rep(vmax * (1 + VMAX_REP_SD * float(draw[0])), tau * (1 + TAU_REP_SD * float(draw[1])))


def sled_profile(rep: Rep, load_share: float) -> Rep:
    """Return the truth of the same run with a sled of ``load_share`` body masses.

    a(v) = [m V / tau (1 - v / V) - mu g m_s] / (m + m_s) stays linear in v, so the run stays mono-exponential:
    V_s = V - tau mu g s and tau_s = tau (1 + s), with s = m_s / m. Drag is left out. Force balance of a towed sled.
    """
    vmax = rep.vmax_mps - rep.tau_s * SLED_FRICTION * GRAVITY_MPS2 * load_share
    return Rep(vmax, rep.tau_s * (1 + load_share))


# The first steps. Contact and flight over step number i:
# y(i) = y_end + (y_1 - y_end) exp(-(i - 1) / c), the shape of Ettema et al. 2016.
CONTACT_1_S, CONTACT_END_S, CONTACT_FALL_STEPS = 0.195, 0.095, 5.0
FLIGHT_1_S, FLIGHT_END_S, FLIGHT_RISE_STEPS = 0.056, 0.115, 4.0
BLOCK_EXIT_S = 0.350  # s from first movement to leaving the blocks
FLIGHT_0_S = 0.060  # s from leaving the blocks to the first touchdown


@cache
def step_scales(athlete_id: str) -> tuple[float, float]:
    """Return the athlete's own factor on contact and on flight times."""
    draw = chance("step scale", athlete_id).normal(size=2)
    return float(np.clip(1 + 0.035 * draw[0], 0.93, 1.07)), float(np.clip(1 + 0.05 * draw[1], 0.90, 1.10))


def step_times(athlete_id: str, day: dt.date, steps: int) -> tuple[np.ndarray, np.ndarray]:
    """Return true contact and following flight times of the first steps, s, without run variation."""
    number = np.arange(steps)
    contact_scale, flight_scale = step_scales(athlete_id)
    contact = contact_scale * (CONTACT_END_S + (CONTACT_1_S - CONTACT_END_S) * np.exp(-number / CONTACT_FALL_STEPS))
    flight = flight_scale * (FLIGHT_END_S + (FLIGHT_1_S - FLIGHT_END_S) * np.exp(-number / FLIGHT_RISE_STEPS))
    # The two patterns act on the first three steps and fade over the next two.
    early = np.interp(number, [2, 5], [1.0, 0.0])
    if athlete_id == cases.CUT_SHORT and cases.CUT_SHORT_FROM <= day <= cases.CUT_SHORT_TO:
        contact *= 1 + (cases.CUT_SHORT_CONTACT - 1) * early
        flight *= 1 + (cases.CUT_SHORT_FLIGHT - 1) * early
    if athlete_id == cases.TOO_LONG and cases.TOO_LONG_FROM <= day <= cases.TOO_LONG_TO:
        contact *= 1 + (cases.TOO_LONG_CONTACT - 1) * early
        flight *= 1 + (cases.TOO_LONG_FLIGHT - 1) * early
    return contact, flight
