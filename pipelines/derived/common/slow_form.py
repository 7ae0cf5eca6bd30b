"""Form that comes and goes within a month, told from athletes who change once and stay so.

A day of a series = own level + slow form + day noise. Slow form has variance w and fades as exp(-days / 31); it is the
squad's. Beside it an athlete may have changed: a ramp of six weeks from some day on, a step, or a straight line, of a
size drawn from a normal distribution. Which changes are frequent is learned from the squad (people who train together
change together), so that a squad that improves is not read as one that waves.

For each w of a grid the restricted likelihood of every series is a mixture over 'no change' and the changes; the
weights of the mixture are those that fit the squad best (expectation and maximisation, with two athletes' worth of
prior). What is returned is the posterior of w: its median, and a bound that the squad's days do not rule out.

Layout as in ``day_noise``. Sources: patterson_thompson_1971 (restricted likelihood: a level of one's own costs no
bias), durbin_koopman (filter), dempster_1977 (weights). The grid, its prior and the bound are chosen by the bench
(tests/bench/bench_seeing.py).
"""

from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]
Whole = npt.NDArray[np.int64]

NEIGHBOUR_DAYS = 21.0  # gap up to which two days are neighbours
WAVE_DAYS = 31.0  # e-folding time of slow form (AR(1) of 0.8 a week)
# SD of slow form, as shares of the SD of a day; the first is none.
RATIOS = np.array([0.0, 0.2, 0.35, 0.5, 0.65, 0.8, 0.95, 1.1, 1.3, 1.55, 1.85, 2.2])
NONE_SHARE = 0.3  # prior that there is none; the rest evenly over the others
MIDDLE, NOT_RULED_OUT = 0.50, 0.75  # of the posterior: what intervals count with, and what words count with
SPAN_DAYS = 182.0  # a series is read in parts of half a year, each with a level and a change of its own
RAMP_DAYS, RAMP_EVERY, STEP_EVERY = 42.0, 21.0, 14.0  # length of a ramp; days between those on which changes may begin
GROWN_SDS, STEP_SDS = 2.0, 4.0  # SD of what grows, and of what steps, in usual SDs of a day
FLAT, LINE, RAMP, STEP = 0.5, 0.1, 0.3, 0.1  # prior weights: no change, a straight line, one of the ramps, of the steps
PRIOR_ATHLETES = 2.0  # athletes that the prior weights count as
TURNS = 12  # of expectation and maximisation: weights move by under a hundredth after that
ROWS_AT_ONCE = 64  # parts that are filtered together; their numbers stay in the cache
LEAST_DAYS = 3  # days of a part that say anything of slow form
LEAST_DAY_NOISE = 0.1  # of a day's variance that is noise, however much of the rest is slow form
LEAST_FORM = 0.02  # of it that is day form


@dataclass(frozen=True)
class SlowForm:
    """Variance of slow form: the middle of what the days leave open, and what they do not rule out (three in four)."""

    middle: float
    high: float


@dataclass(frozen=True)
class Parts:
    """Parts of half a year, one row each, days to the left; rows of one half year beside each other."""

    since: Array  # days since the half year began
    value: Array
    variance: Array  # of the day's runs
    share: Array  # of the squad's noise, per row
    begins: Whole  # first row of each half year


def slow_form(
    day: Array, value: Array, run_variance: Array, share: Array, neighbour: float, shared: float, usual_sd: float
) -> SlowForm:
    """Return what a squad's days say of its slow form.

    Noise of a day = share x (runs + form), form = neighbour - w (1 - what two neighbours share of a wave) - shared.

    Args:
        day: Day of each value, NaN where there is none.
        value: The day's value, drawn in (``draw_in``).
        run_variance: Variance of the value from the runs alone.
        share: Each series' noise as a share of the squad's.
        neighbour: Variance of a day from neighbouring days, runs included.
        shared: Of it, the runs' part.
        usual_sd: SD of a day of a squad of which nothing is known; a change's SD is two or four of it.
    """
    parts = cut_in_parts(day, value, run_variance, share)
    if parts is None or not neighbour > 0:
        return SlowForm(0.0, 0.0)
    gaps = np.diff(day, axis=1)
    near = gaps[np.isfinite(gaps) & (gaps <= NEIGHBOUR_DAYS)]
    together = float(np.exp(-near / WAVE_DAYS).mean()) if len(near) else 1.0
    wave = RATIOS**2 * neighbour
    wave = wave[wave * (1.0 - together) <= (1.0 - LEAST_DAY_NOISE) * neighbour]
    form = np.maximum(neighbour - wave * (1.0 - together) - shared, LEAST_FORM * neighbour)
    known = log_likelihood(parts, wave, form, usual_sd)
    prior = np.concatenate([[NONE_SHARE], np.full(len(wave) - 1, (1.0 - NONE_SHARE) / max(len(wave) - 1, 1))])
    weight = np.exp(known - known.max()) * prior
    sd = np.sqrt(wave)
    edges = np.concatenate([[0.0], (sd[1:-1] + sd[2:]) / 2, sd[-1:]]) if len(sd) > 1 else sd  # each SD with its cell
    middle, high = np.interp([MIDDLE, NOT_RULED_OUT], np.cumsum(weight / weight.sum()), edges) ** 2
    return SlowForm(float(middle), float(high))


def cut_in_parts(day: Array, value: Array, run_variance: Array, share: Array) -> Parts | None:
    """Cut each series into half years from the squad's first day on; those of three days and more."""
    known = np.isfinite(day) & np.isfinite(value)
    if not known.any():
        return None
    since = np.where(known, day - day[known].min(), np.nan)
    half = np.where(known, np.floor(np.where(known, since, 0.0) / SPAN_DAYS), -1).astype(np.int64)
    rows: list[tuple[Array, ...]] = []
    begins, width = [], 0
    for number in range(int(half.max()) + 1):
        inside = half == number
        some = np.flatnonzero(inside.sum(axis=1) >= LEAST_DAYS)
        if not len(some):
            continue
        begins.append(sum(len(part[0]) for part in rows))
        most = int(inside[some].sum(axis=1).max())
        order = np.argsort(~inside[some], axis=1, kind="stable")[:, :most]
        here = np.take_along_axis(inside[some], order, axis=1)
        columns = [np.take_along_axis(part[some], order, axis=1) for part in (since, value, run_variance)]
        columns[0] = columns[0] - SPAN_DAYS * number
        rows.append((*(np.where(here, part, np.nan) for part in columns), share[some]))
        width = max(width, most)
    if not rows:
        return None
    since, value, variance = (
        np.concatenate(
            [np.pad(part[n], ((0, 0), (0, width - part[n].shape[1])), constant_values=np.nan) for part in rows]
        )
        for n in range(3)
    )
    return Parts(since, value, variance, np.concatenate([part[3] for part in rows]), np.array(begins, dtype=np.int64))


def changes(since: Array, usual_sd: float) -> tuple[Array, Array]:
    """Return what each change of one SD adds to each day (row, day, change), and the prior weight of each.

    A straight line, ramps of six weeks, and steps from one day to the next.
    """
    ramps, steps = np.arange(-RAMP_DAYS / 2, SPAN_DAYS, RAMP_EVERY), np.arange(STEP_EVERY / 2, SPAN_DAYS, STEP_EVERY)
    at = np.nan_to_num(since)[..., None]
    grown = np.concatenate([at / (SPAN_DAYS / 2), np.clip((at - ramps) / RAMP_DAYS, 0.0, 1.0)], axis=-1)
    every = np.concatenate([GROWN_SDS * grown, STEP_SDS * (at >= steps)], axis=-1) * usual_sd
    weights = ([LINE], np.full(len(ramps), RAMP / len(ramps)), np.full(len(steps), STEP / len(steps)))
    return np.where(np.isfinite(since)[..., None], every, 0.0), np.concatenate(weights)


def log_likelihood(parts: Parts, wave: Array, form: Array, usual_sd: float) -> Array:
    """Return the log of the penalised likelihood of each variance of slow form, all parts together."""
    shapes, prior = changes(parts.since, usual_sd)
    flat, more = part_likelihoods(parts, wave, form, shapes)
    prior = np.concatenate([[FLAT], prior])
    halves = np.diff(np.append(parts.begins, len(flat)))
    which = np.repeat(np.arange(len(halves)), halves)
    weight = np.broadcast_to(prior, (len(halves), len(wave), len(prior)))
    top = more.max(axis=2, keepdims=True)
    base = np.exp(more - top)  # once: the weights alone change from turn to turn
    for turn in range(TURNS + 1):
        odds = base * weight[which]
        total = odds.sum(axis=2, keepdims=True)
        if turn < TURNS:
            found = np.add.reduceat(odds / total, parts.begins, axis=0)
            weight = (found + PRIOR_ATHLETES * prior) / (halves[:, None, None] + PRIOR_ATHLETES)
    mixed = flat.sum(axis=0) + (top + np.log(total))[..., 0].sum(axis=0)
    return np.asarray(mixed + PRIOR_ATHLETES * (prior * np.log(weight / prior)).sum(axis=(0, 2)))


def part_likelihoods(parts: Parts, wave: Array, form: Array, shapes: Array) -> tuple[Array, Array]:
    """Return per part and wave the log restricted likelihood with no change, and how far each change is above it.

    One filter for the values, a level of 1 and all changes: with S the sums of squares and products of what it leaves,
    less the level's part, log L = -(sum log F + log S_11 + S_yy) / 2, and a change x of SD 1 adds
    (S_yx^2 / (1 + S_xx) - log(1 + S_xx)) / 2. The first of the second result is no change: 0.
    """
    found = []
    for start in range(0, len(parts.since), ROWS_AT_ONCE):
        some = slice(start, start + ROWS_AT_ONCE)
        rows = replace(parts, **{name: getattr(parts, name)[some] for name in ("since", "value", "variance", "share")})
        found.append(_row_likelihoods(rows, wave, form, shapes[some]))
    flat, more = zip(*found, strict=True)
    return np.concatenate(flat), np.concatenate(more)


def _row_likelihoods(parts: Parts, wave: Array, form: Array, shapes: Array) -> tuple[Array, Array]:
    """Return ``part_likelihoods`` of so many rows that what the filter carries on stays in the processor's cache."""
    known = np.isfinite(parts.since)
    since = np.where(known, parts.since, 0.0)
    level = np.nanmean(parts.value, axis=1, keepdims=True)
    y = np.where(known, parts.value - level, 0.0)
    rows, width = y.shape
    # What the filter follows: the values, the level, the changes.
    asked = np.concatenate([y[..., None], np.ones((rows, width, 1)), shapes], axis=2)
    kinds = asked.shape[2]
    state = np.zeros((rows, len(wave), kinds))
    with_y, with_one, squares = (np.zeros_like(state) for _ in range(3))
    log_f = np.zeros((rows, len(wave)))
    spread = np.broadcast_to(wave, (rows, len(wave))).copy()
    for k in range(width):
        seen = known[:, k, None]
        if k:
            fade = np.exp(-np.maximum(since[:, k] - since[:, k - 1], 0.0) / WAVE_DAYS)[:, None]
            state *= fade[..., None]
            spread = fade**2 * spread + wave * (1.0 - fade**2)
        noise = parts.share[:, None] * (np.where(known[:, k], parts.variance[:, k], 0.0)[:, None] + form)
        f = np.where(seen, spread + noise, 1.0)
        left = (asked[:, k, None, :] - state) * np.where(seen, 1.0, 0.0)[..., None]
        over = left / f[..., None]
        with_y += over * left[..., :1]
        with_one += over * left[..., 1:2]
        over *= left
        squares += over
        log_f += np.where(seen, np.log(f), 0.0)
        gain = np.where(seen, spread / f, 0.0)
        state += gain[..., None] * left
        spread = spread * (1.0 - gain)
    one = with_one[..., 1]
    flat = -0.5 * (log_f + np.log(one) + squares[..., 0] - with_y[..., 1] ** 2 / one)
    cross = with_y[..., 2:] - (with_y[..., 1] / one)[..., None] * with_one[..., 2:]
    own = squares[..., 2:] - with_one[..., 2:] ** 2 / one[..., None]
    above = 0.5 * (cross**2 / (1.0 + own) - np.log1p(own))
    return flat, np.concatenate([np.zeros((*flat.shape, 1)), above], axis=2)
