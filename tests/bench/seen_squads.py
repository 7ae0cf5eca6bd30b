"""Squads that no model of ours made: true 10 m times that ramp, step, wave or stand still, run day by day.

A hundred squads are derived at once: each is given a kind of start, clock, timing and age group of its own, which
progress never compares with another, so that no squad lends another its noise.
"""

import datetime as dt
import itertools
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt
import polars as pl

from pipelines.derived.sprint.profile import sprint_profile
from pipelines.derived.start.noise import start_noise
from pipelines.derived.start.phase import start_phase, start_steps
from pipelines.derived.start.progress import progress_on
from pipelines.derived.start.shift import start_shift
from pipelines.derived.start.trend import start_trend
from schemas.settings import SquadSettings
from tests.derived.sprint.sprint_frames import no_noise
from tests.derived.start.start_frames import record

Array = npt.NDArray[np.float64]

START = dt.date(2026, 1, 5)
WEEKS, ONSET, FIRST_LOOK = 36, 20, 12
LOOKS = [7 * week + 2 for week in range(FIRST_LOOK, WEEKS)]  # days from the start: 24 weekly looks
FORM_SHARE, REPEAT_SHARE = 0.72, 1.2  # day form and run-to-run SD of a day SD with three runs
SETTINGS = SquadSettings()
KINDS = list(
    itertools.product(
        ("blocks", "three_point", "standing", "falling", None),
        ("first_movement", "gun", "hand_release", "first_gate", None),
        ("electronic", "video"),
        (dt.date(1990, 1, 1), dt.date(2012, 6, 1)),
    )
)


@dataclass(frozen=True)
class Squads:
    """One row of the table: what is true of the squads, and how they are timed. Times in ms, weeks from the start."""

    name: str
    athletes: int = 16
    day_sd: float = 7.7
    days_a_week: int = 1
    runs: tuple[int, int] = (3, 3)  # least and most of a day
    missing: float = 0.10
    shape: str = "flat"  # flat, ramp, step, dip, youth, plateau
    size: float = 0.0
    weeks: int = 6  # that a ramp takes
    changed: float = 0.5  # share of the squad that changes; below 1 athlete: one
    wave: float = 0.0  # SD of slow form, AR(1) of 0.8 a week
    outliers: float = 0.0  # share of days 40 ms slow
    uneven: float = 0.0  # SD of log noise between athletes
    gate_moved: float = 0.0  # step in everybody's times at week 20
    stopwatch: float = 0.0  # share of days timed by hand
    mistyped: float = 0.0  # share of runs entered 7 s too long: one digit missed between two gates


@dataclass(frozen=True)
class Made:
    """Record frames of many squads, and the truth."""

    rep: pl.DataFrame
    split: pl.DataFrame
    athlete: pl.DataFrame
    path: Array  # (athlete, day) true time in s
    changed: npt.NDArray[np.bool_]
    days: pl.DataFrame  # athlete_id, row, day, true (s), observed mean (s) of the days that count


def make(row: Squads, squads: int, seed: int) -> Made:
    """Run so many squads of a row (at most a hundred)."""
    rng = np.random.default_rng(seed)
    count = squads * row.athletes
    last = 7 * WEEKS + 3
    names = np.array([f"s{s:02d}a{a:02d}" for s in range(squads) for a in range(row.athletes)])
    place = np.tile(np.arange(row.athletes), squads)
    number = row.athletes if row.changed >= 1 else max(1, round(row.changed * row.athletes))
    changed = place < number if row.shape != "flat" else np.zeros(count, dtype=bool)
    week = np.arange(last) / 7.0
    along = {
        "flat": np.zeros(last),
        "ramp": -np.clip((week - ONSET) / row.weeks, 0, 1),
        "step": -(week >= ONSET).astype(float),
        "dip": ((week >= ONSET) & (week < ONSET + 4)).astype(float),
        "youth": -week / 52.0,
    }[row.shape]
    path = 1.80 + 0.06 * rng.standard_normal((count, 1)) + row.size / 1000 * changed[:, None] * along[None, :]
    if row.wave:
        steps = rng.standard_normal((count, WEEKS + 2))
        wave = np.zeros((count, WEEKS + 2))
        wave[:, 0] = steps[:, 0]
        for k in range(1, WEEKS + 2):
            wave[:, k] = 0.8 * wave[:, k - 1] + 0.6 * steps[:, k]
        path = path + row.wave / 1000 * wave[:, np.minimum(np.arange(last) // 7, WEEKS + 1)]
    offsets = np.array([1, 4])[: row.days_a_week]
    when = np.array([7 * w + d for w in range(WEEKS) for d in offsets])
    noise = row.day_sd / 1000 * np.exp(row.uneven * rng.standard_normal((count, 1)))
    done = rng.random((count, len(when))) >= row.missing
    form = FORM_SHARE * noise * rng.standard_normal(done.shape)
    form = form + 0.040 * (rng.random(done.shape) < row.outliers) - row.gate_moved / 1000 * (when >= 7 * ONSET)
    by_hand = rng.random(done.shape) < row.stopwatch
    most = row.runs[1]
    runs = rng.integers(row.runs[0], most + 1, done.shape)
    times = (path[:, when] + form)[:, :, None] + REPEAT_SHARE * noise[:, :, None] * rng.standard_normal(
        (*done.shape, most)
    )
    times = np.where(by_hand[:, :, None], np.round(times - 0.2 + 0.03 * rng.standard_normal(times.shape), 1), times)
    ran = done[:, :, None] & (np.arange(most) < runs[:, :, None])
    entered = times + 7.02 * (rng.random(times.shape) < row.mistyped) if row.mistyped else times
    who, day, no = np.nonzero(ran)
    kind = np.arange(count) // row.athletes
    base = pl.DataFrame({
        "athlete_id": names[who],
        "session_date": pl.Series([START] * len(who)) + pl.Series(when[day]).cast(pl.Duration("ms")) * 86_400_000,
        "session_no": np.ones(len(who), dtype=np.int64),
        "rep_no": no.astype(np.int64) + 1,
        "_kind": kind[who],
        "_hand": by_hand[who, day],
    })  # fmt: skip
    kinds = pl.DataFrame(
        [{"_kind": i, "start_kind": k[0], "clock_start": k[1], "timing_kind": k[2]} for i, k in enumerate(KINDS)]
    )
    base = base.join(kinds, on="_kind", how="left", maintain_order="left").with_columns(
        timing_kind=pl.when("_hand").then(pl.lit("hand")).otherwise("timing_kind")
    )
    rep = _as_record("rep", base.with_columns(distance_m=pl.lit(10.0)))
    split = _as_record("split", base.with_columns(distance_m=pl.lit(10.0), elapsed_s=pl.Series(entered[who, day, no])))
    athlete = _as_record(
        "athlete",
        pl.DataFrame({"athlete_id": names, "display_name": names, "sex": ["m"] * count}).with_columns(
            birth_date=pl.Series([KINDS[k][3] for k in kind])
        ),
    )
    counted = ran & ~by_hand[:, :, None]
    at, on = np.nonzero(counted.any(axis=2))
    with np.errstate(invalid="ignore"):
        mean = np.where(counted, times, 0.0).sum(axis=2) / counted.sum(axis=2)
    days = pl.DataFrame({"row": at, "day": when[on], "true": path[at, when[on]], "observed": mean[at, on]})
    return Made(rep, split, athlete, path, changed, days)


def _as_record(table: str, frame: pl.DataFrame) -> pl.DataFrame:
    empty = record(table)
    return pl.concat([empty, frame.select(c for c in empty.columns if c in frame.columns)], how="diagonal_relaxed")


def looks_of(made: Made, every: int = 1) -> pl.DataFrame:
    """Return ``start_progress`` at each look, from record frames on; the noise is estimated anew every few weeks."""
    steps = start_steps(made.rep.clear(), record("step"))
    phase = start_phase(made.rep.clear(), record("step"), record("set_position"), record("technique_note"), steps)
    session, body = record("session"), record("body_measure")
    profile = sprint_profile(made.rep, made.split, session, body, made.athlete, no_noise(), settings=SETTINGS)
    found = []
    for first in range(0, len(LOOKS), every):
        some = [START + dt.timedelta(days=day) for day in LOOKS[first : first + every]]
        settled = pl.col("session_date") < some[0] - dt.timedelta(days=some[0].weekday())
        noise = start_noise(
            *(frame.filter(settled) for frame in (profile, phase, made.rep, made.split, session)),
            made.athlete,
            settings=SETTINGS,
        )
        upto = [frame.filter(pl.col("session_date") <= some[-1]) for frame in (profile, phase, made.rep, made.split)]
        trend = start_trend(*upto, session, made.athlete, noise, as_of=some[-1])
        parts = [
            progress_on(
                [day], trend, noise, start_shift(trend.filter(pl.col("session_date") < _monday(day)), noise), SETTINGS
            )
            for day in some
        ]
        found += parts
    return pl.concat(found)


def _monday(day: dt.date) -> dt.date:
    return day - dt.timedelta(days=day.weekday())


@dataclass(frozen=True)
class Seen:
    """What was found of one row, in percent unless said: of athletes for words, of looks for the interval."""

    athletes: int  # simulated
    any_flat: float | None  # athletes who never change with any word in 24 looks
    power: float | None  # changed athletes called improving (slipping) from the end of the change to two weeks after
    wrong: float | None  # changed athletes called the other way, in any look
    delay_weeks: float | None  # from the onset to the first right word, median; inf: over half never
    cover: float  # looks in which the 95 % interval of the change holds the true change of the windows
    still: float | None  # changed athletes still called so nine weeks after, when the change is older than six weeks
    holding: float | None  # looks with a true change of 15 ms or more in six weeks called holding
    detectable_ms: float
    anchor: float | None  # the plain contrast in the place of ``power``; it knows the day SD
    anchor_flat: float | None  # the plain contrast in the place of ``any_flat``
    anchor_equal: float | None  # its power at the threshold at which it gives as many flat athletes a word as we do


WINDOWS = (28, 42, 196)  # days: now, before from and to
TAKEN = (4, 42)  # now is the last so many days with runs where there are more of them in so many days
ANCHOR_DAYS = (3, 10)  # the plain contrast: the last three days with runs against the ten before
ANCHOR_FALSE = 10.0  # percent of those who stay as they are that it may give any word, with the day SD known to it


def plain_contrast(made: Made, row: Squads) -> Array:
    """Return z of the plain contrast per athlete and look: the last three days against the ten before, day SD known.

    NaN with fewer than thirteen days so far. It is what a coach could reckon by hand who knew the day SD.
    """
    athletes = made.path.shape[0]
    z = np.full((athletes, len(LOOKS)), np.nan)
    who, day, value = (made.days[name].to_numpy() for name in ("row", "day", "observed"))
    width = int(np.bincount(who, minlength=athletes).max())
    grid, on = np.full((athletes, width), np.nan), np.full((athletes, width), np.inf)
    place = _place_of(who, athletes)
    grid[who, place], on[who, place] = value, day
    total = np.concatenate([np.zeros((athletes, 1)), np.nancumsum(grid, axis=1)], axis=1)
    rows, (now, then) = np.arange(athletes), ANCHOR_DAYS
    for k, look in enumerate(LOOKS):
        until = (on <= look).sum(axis=1)
        known = until >= now + then
        end, middle, start = (np.maximum(until - back, 0) for back in (0, now, now + then))
        change = (total[rows, end] - total[rows, middle]) / now - (total[rows, middle] - total[rows, start]) / then
        z[:, k] = np.where(known, change / (row.day_sd / 1000 * np.sqrt(1 / now + 1 / then)), np.nan)
    return z


def _place_of(who: npt.NDArray[np.int64], athletes: int) -> npt.NDArray[np.int64]:
    """Return which day of its athlete each one is, from 0; ``who`` in order."""
    before = np.concatenate([[0], np.cumsum(np.bincount(who, minlength=athletes))])
    return np.asarray(np.arange(len(who)) - before[who])


def anchor_threshold(row: Squads, squads: int, seed: int) -> float:
    """Return the z from which the plain contrast speaks, so that ten of a hundred flat athletes get a word."""
    still = replace(row, shape="flat", size=0.0, gate_moved=0.0, wave=0.0)
    most = np.nan_to_num(np.abs(plain_contrast(make(still, squads, seed), still))).max(axis=1)
    return float(np.quantile(most, 1 - ANCHOR_FALSE / 100))


def true_change(made: Made) -> Array:
    """Return the true change between the windows per athlete and look, over the days that were run."""
    width = made.path.shape[0]
    change = np.full((width, len(LOOKS)), np.nan)
    who, day, true = (made.days[name].to_numpy() for name in ("row", "day", "true"))
    place = _place_of(who, width)
    for k, look in enumerate(LOOKS):
        age = look - day
        upto = age >= 0
        newest = np.bincount(who[upto], minlength=width)[who] - 1 - place  # 0 for the last day with runs
        now = upto & ((age < WINDOWS[0]) | ((newest < TAKEN[0]) & (age < TAKEN[1])))
        then = (age >= WINDOWS[1]) & (age <= WINDOWS[2])
        n, m = (np.bincount(who[part], minlength=width) for part in (now, then))
        with np.errstate(invalid="ignore", divide="ignore"):
            change[:, k] = np.bincount(who[now], true[now], width) / n - np.bincount(who[then], true[then], width) / m
    return change


def judge(row: Squads, made: Made, found: pl.DataFrame, anchor_z: float) -> Seen:
    """Hold what was said at every look against what was true."""
    number = {day: k for k, day in enumerate(LOOKS)}
    place = {name: k for k, name in enumerate(made.athlete["athlete_id"].to_list())}
    main = found.filter("is_main").with_columns(
        _row=pl.col("athlete_id").replace_strict(place, return_dtype=pl.Int64),
        _look=(pl.col("_on") - START).dt.total_days().replace_strict(number, return_dtype=pl.Int64),
    )
    shape = (len(place), len(LOOKS))
    word = np.full(shape, "not_clear", dtype=object)
    change, error, seen_from = np.full(shape, np.nan), np.full(shape, np.nan), np.full(shape, np.nan)
    at = (main["_row"].to_numpy(), main["_look"].to_numpy())
    word[at] = main["word"].to_numpy()
    for array, name in ((change, "change"), (error, "change_se"), (seen_from, "detectable")):
        array[at] = main[name].cast(pl.Float64).fill_null(np.nan).to_numpy()
    told = np.isin(word, ("improving", "slipping"))
    z = plain_contrast(made, row)
    with np.errstate(invalid="ignore"):
        anchor = np.where(z <= -anchor_z, "improving", np.where(z >= anchor_z, "slipping", "not_clear"))
    look = np.array(LOOKS) / 7.0
    right = "slipping" if row.shape == "dip" else "improving"
    end = {"ramp": ONSET + row.weeks, "step": ONSET, "dip": ONSET}.get(row.shape, FIRST_LOOK)
    until = {"ramp": end + 2, "step": end + 6, "dip": end + 6}.get(row.shape, WEEKS)
    there = (look >= end) & (look <= until + 0.5)
    truth = true_change(made)
    with np.errstate(invalid="ignore"):
        covered = np.abs(change - truth) <= 1.96 * error
        looks = np.array(LOOKS)
        six = np.abs(made.path[:, looks] - made.path[:, looks - 42]) >= 0.015
    known = np.isfinite(change) & np.isfinite(truth)
    flat, some = ~made.changed, made.changed
    percent = lambda values: round(100 * float(np.mean(values)), 1) if np.size(values) else None  # noqa: E731
    first = np.where((word == right) & (look >= ONSET), look - ONSET, np.inf).min(axis=1)
    return Seen(
        len(place),
        percent(told[flat].any(axis=1)),
        percent((word[some][:, there] == right).any(axis=1)),
        percent(((told & (word != right))[some]).any(axis=1)),
        (float(np.median(first[some])) if some.any() and row.shape in ("ramp", "step", "dip") else None),
        percent(covered[known]) or 0.0,
        percent(word[some][:, np.abs(look - (end + 9)) < 0.5] == right) if row.shape in ("ramp", "step") else None,
        percent((word == "holding")[six & some[:, None]]) if (six & some[:, None]).any() else None,
        round(1000 * float(np.nanmedian(seen_from)), 1),
        percent((anchor[some][:, there] == right).any(axis=1)),
        percent((anchor[flat] != "not_clear").any(axis=1)),
        _equal(z, told, made.changed, there, -1.0 if right == "improving" else 1.0),
    )


def _equal(
    z: Array, told: npt.NDArray[np.bool_], changed: npt.NDArray[np.bool_], there: Array, way: float
) -> float | None:
    """Return the plain contrast's power where it gives as many of this row's flat athletes any word as we do."""
    if changed.all() or not changed.any():
        return None
    most = np.nan_to_num(np.abs(z)).max(axis=1)[~changed]
    ours = told[~changed].any(axis=1).mean()
    threshold = float(np.quantile(most, 1.0 - ours))
    with np.errstate(invalid="ignore"):
        seen = (way * z[changed][:, there] > threshold).any(axis=1)
    return round(100 * float(seen.mean()), 1)
