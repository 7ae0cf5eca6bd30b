"""Tightness of a hamstring: what lies above the athlete's own usual, added up over days; a complaint is no usual."""

import datetime as dt
from dataclasses import dataclass
from typing import Any

import numpy as np
import polars as pl
from numpy.typing import NDArray

from pipelines.derived.common.baseline import IQR_TO_SD, MAD_TO_SD
from schemas.knowledge.attention import hamstring_thresholds
from schemas.settings import SquadSettings

ITEMS = {"l": "hamstring_tightness_l", "r": "hamstring_tightness_r"}
SCALE = np.arange(11.0)  # the answers there are, 0 to 10
# How far each answer lies from a median (in rows, every half step), and the answers in the order of that.
_AWAY = np.abs(SCALE - np.arange(0.0, 10.5, 0.5)[:, None])
NEAREST = np.argsort(_AWAY, axis=1, kind="stable")
AWAY = np.take_along_axis(_AWAY, NEAREST, axis=1)
STEP = 1.0  # one step of the scale
SLACK = 1.0  # SDs a day that count as usual; half of the shift looked for, two SDs, source: "page_1954"
HIGH_ABOVE = 2.0  # steps that a high answer lies above own usual, where that is known: a standing one is no news
CAP = 2.0  # the sum stops at so many times its threshold, so that it drains within days, own rule
WIDER = 2  # baselines looked back where one holds too few days without a complaint, own rule
AT_ONCE = 60  # days of so many series together that are described at once; own choice
HAMSTRING = "hamstring"

Floats = NDArray[np.float64]


def judge_tightness(checkin: pl.DataFrame, *, settings: SquadSettings) -> pl.DataFrame:
    """Judge each answer on tightness against the athlete's own usual, day by day from the first one given.

    usual = median, spread = 1.4826 MAD (IQR / 1.349 where that is 0, never under half a step) of the
    ``settings.baseline_days`` before, z in prediction form, as for other answers. Left out of them: days on which the
    side spoke, or pain was told at the hamstring. Where that leaves fewer than ``settings.baseline_least_days``, twice
    as many days are looked back on; where that is not enough either, usual is unknown, however long the complaint
    lasts.

    excess_sum S = max(0, S before + e - 1), cumulative sum ("page_1954"), with e = (answer - mean) / (SD sqrt(1 +
    1/n)) of the same days, SD never under half a step; it begins anew after more days without an answer than a check-in
    stays good for. A side speaks at ``settings.tight_talk_level``, unless that lies less than two steps above a known
    usual; else when S has reached the threshold that keeps the squad within ``settings.attention_athletes`` (knowledge,
    clean rates) and the answer is at least ``settings.tight_adapt_level``. So three days a little tighter weigh as much
    as one day much tighter, and one restless morning does not speak.

    Returns:
        athlete_id, checked_on, item, value, usual, z, baseline_days, spread, spread_kind, excess_sum, speaks; one row
        per answer, none where nothing was answered. Null: usual, spread, z and excess_sum with too few days.
    """
    rows = (
        checkin.select("athlete_id", "checked_on", *ITEMS.values(), told=has_hamstring_pain())
        .unpivot(index=["athlete_id", "checked_on", "told"], on=list(ITEMS.values()), variable_name="item")
        .drop_nulls("value")
        .sort("athlete_id", "item", "checked_on")
    )
    if rows.is_empty():
        return _shape(rows, _Judged.nothing())
    first: dt.date = rows["checked_on"].min()  # type: ignore[assignment]
    series = rows.select(pl.struct("athlete_id", "item").rank("dense").cast(pl.Int64) - 1).to_series().to_numpy()
    days = (rows["checked_on"] - first).dt.total_days().to_numpy()
    shape = (int(days.max()) + 1, int(series.max()) + 1)
    value, told = np.full(shape, np.nan), np.zeros(shape, dtype=bool)
    value[days, series] = rows["value"].cast(pl.Float64).to_numpy()
    told[days, series] = rows["told"].to_numpy()
    judged = _walk(value, told, settings)
    return _shape(rows, judged.at(days, series))


def has_hamstring_pain() -> pl.Expr:
    """Return whether a check-in tells pain at a hamstring."""
    named = pl.col("pain_site").str.to_lowercase().str.contains(HAMSTRING, literal=True)
    return ((pl.col("pain") >= 1) & named).fill_null(value=False)


@dataclass(frozen=True)
class _Judged:
    """What is found of each answer; NaN where unknown. ``kind``: 0 mad, 1 iqr, 2 floor, -1 none."""

    usual: Floats
    spread: Floats
    kind: NDArray[np.int64]
    z: Floats
    count: NDArray[np.int64]
    total: Floats
    speaks: NDArray[np.bool_]

    @classmethod
    def nothing(cls, shape: tuple[int, ...] = (0,)) -> "_Judged":
        def unknown() -> Floats:
            return np.full(shape, np.nan)

        def whole(fill: int) -> NDArray[np.int64]:
            return np.full(shape, fill, dtype=np.int64)

        return cls(unknown(), unknown(), whole(-1), unknown(), whole(0), unknown(), np.zeros(shape, dtype=bool))

    def at(self, *place: Any) -> "_Judged":
        return _Judged(*(getattr(self, name)[place] for name in self.__dataclass_fields__))


def _walk(value: Floats, told: NDArray[np.bool_], settings: SquadSettings) -> _Judged:
    """Judge day after day; ``value`` and ``told`` are days x series. What speaks today is no part of a later usual.

    So many days at once are described as if none of them spoke, and again from the day after one that does.
    """
    days, width = value.shape
    out = _Judged.nothing(value.shape)
    threshold = hamstring_thresholds(settings).tightness_sum
    spans = (settings.baseline_days, WIDER * settings.baseline_days)
    held = [np.zeros((width, len(SCALE))) for _ in spans]  # answers of each window, counted by value
    given = np.isfinite(value)
    counts = given & ~told
    bins = np.where(given, value, 0).round().clip(0, 10).astype(np.int64)
    cells = bins + len(SCALE) * np.arange(width)
    so_far = np.concatenate([np.zeros((1, width), dtype=np.int64), given.cumsum(axis=0)])
    every = np.arange(days)
    answered = so_far[every] - so_far[np.maximum(every - spans[0], 0)]  # in the shorter window
    total, last = np.zeros(width), np.full(width, -1)
    most = max(1, AT_ONCE // width)
    begin = 0
    while begin < days:
        block = np.arange(begin, min(begin + most, days))
        tallies = [_counted(tally, cells, counts, block, span) for tally, span in zip(held, spans, strict=True)]
        # Looked back on further where complaints took the days, not where nobody answered: that is unknown.
        least = settings.baseline_least_days
        is_wide = (tallies[0].sum(axis=2) < least) & (answered[block] >= least)
        tally = np.where(is_wide[:, :, None], tallies[1], tallies[0]).reshape(-1, len(SCALE))
        usual, spread, kind, number = (part.reshape(len(block), width) for part in _describe(tally, least))
        today, is_given = value[block], given[block]
        wider = np.sqrt(1 + 1 / np.maximum(number, 1))
        z = (today - usual) / (spread * wider)
        mean, sd = (part.reshape(len(block), width) for part in _moments(tally, number.reshape(-1)))
        excess = np.where(np.isfinite(usual), (today - mean) / (sd * wider), np.nan)
        with np.errstate(invalid="ignore"):
            is_high = (today >= settings.tight_talk_level) & ~(today < usual + HIGH_ABOVE)
            may_add = today >= settings.tight_adapt_level
        for place, day in enumerate(block):
            is_running = (last >= 0) & (day - last <= settings.checkin_stale_days + 1)
            added = add_up_excess(np.where(is_running, total, 0.0), excess[place], CAP * threshold)
            total = np.where(is_given[place], np.nan_to_num(added), total)
            last = np.where(is_given[place], day, last)
            speaks = is_high[place] | (may_add[place] & (added >= threshold))
            found = (usual[place], spread[place], kind[place], z[place], number[place], added, speaks)
            for name, column in zip(out.__dataclass_fields__, found, strict=True):
                getattr(out, name)[day] = column
            if (speaks & counts[day]).any():
                counts[day] &= ~speaks
                break
        held, begin = [tally[place] for tally in tallies], int(block[place]) + 1
    return out


def _counted(
    held: Floats, cells: NDArray[np.int64], counts: NDArray[np.bool_], block: NDArray[np.int64], span: int
) -> Floats:
    """Return the answers before each day of a block, over so many days, counted by value: days x series x answers.

    ``held``: the same for the day before the block; ``cells``: where in it each answer is counted, laid out in a row.
    """
    tallies = np.zeros((len(block), held.size))
    tallies[0] = held.reshape(-1)
    for sign, first in ((1, block[0] - 1), (-1, block[0] - span - 1)):
        places = np.arange(max(0, -first), len(block))
        tallies[places[:, None], cells[first + places]] += sign * counts[first + places]
    return (tallies if len(block) == 1 else tallies.cumsum(axis=0)).reshape(len(block), *held.shape)


def add_up_excess(total: Floats, excess: Floats, most: float) -> Floats:
    """Return the sum after one more day: never below 0, never above ``most``; NaN where the day has no excess."""
    return np.clip(total + excess - SLACK, 0.0, most)


def _describe(tally: Floats, least: int) -> tuple[Floats, Floats, NDArray[np.int64], NDArray[np.int64]]:
    """Return median, spread, kind of spread and count of answers counted by value; NaN with fewer than ``least``."""
    number = tally.sum(axis=1).round().astype(np.int64)
    low, usual, high = _quartiles(tally.cumsum(axis=1), number)
    half = np.rint(2 * usual).astype(np.int64)  # a median of whole answers lies on one or half way between two
    near = np.take_along_axis(tally, NEAREST[half], axis=1).cumsum(axis=1)
    mad = MAD_TO_SD * _median(AWAY[half], near, number)
    iqr = (high - low) / IQR_TO_SD
    raw = np.where(mad > 0, mad, iqr)
    kind = np.where(raw < STEP / 2, 2, np.where(mad > 0, 0, 1))
    is_known = number >= least
    return (
        np.where(is_known, usual, np.nan),
        np.where(is_known, np.maximum(raw, STEP / 2), np.nan),
        np.where(is_known, kind, -1),
        number,
    )


def _moments(tally: Floats, number: NDArray[np.int64]) -> tuple[Floats, Floats]:
    """Return mean and SD (n - 1, never under half a step) of answers counted by value: what a sum over days rests on.

    Complaints are left out already, and on a coarse scale the median jumps by whole steps.
    """
    some = np.maximum(number, 1)
    mean = tally @ SCALE / some
    variance = (tally @ SCALE**2 - some * mean**2) / np.maximum(number - 1, 1)
    return mean, np.sqrt(np.maximum(variance, (STEP / 2) ** 2))


def _quartiles(ahead: Floats, number: NDArray[np.int64]) -> Floats:
    """Return the quartiles of answers, linear between the two beside each, from their running count by value."""
    place = np.array([[0.25], [0.5], [0.75]]) * np.maximum(number - 1, 0)
    rank = np.concatenate([np.floor(place), np.ceil(place)])
    answer = np.argmax(ahead > rank[:, :, None] + 0.5, axis=2).astype(np.float64)  # each answer is its own place
    return np.asarray(answer[:3] + (place - rank[:3]) * (answer[3:] - answer[:3]))


def _median(values: Floats, ahead: Floats, number: NDArray[np.int64]) -> Floats:
    """Return the median, linear between the two values beside it, from values in order and their running count."""
    place, every = 0.5 * np.maximum(number - 1, 0), np.arange(len(values))
    low, high = (values[every, np.argmax(ahead > rank(place)[:, None] + 0.5, axis=1)] for rank in (np.floor, np.ceil))
    return np.asarray(low + (place - np.floor(place)) * (high - low))


def _shape(rows: pl.DataFrame, found: _Judged) -> pl.DataFrame:
    kinds = pl.Series(found.kind).replace_strict({0: "mad", 1: "iqr", 2: "floor"}, default=None, return_dtype=pl.String)
    return rows.select("athlete_id", "checked_on", "item", pl.col("value").cast(pl.Float64)).with_columns(
        usual=pl.Series(found.usual, dtype=pl.Float64).fill_nan(None),
        z=pl.Series(found.z, dtype=pl.Float64).fill_nan(None),
        baseline_days=pl.Series(found.count, dtype=pl.Int64),
        spread=pl.Series(found.spread, dtype=pl.Float64).fill_nan(None),
        spread_kind=kinds,
        excess_sum=pl.Series(found.total, dtype=pl.Float64).fill_nan(None),
        speaks=pl.Series(found.speaks, dtype=pl.Boolean),
    )
