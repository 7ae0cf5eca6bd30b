"""Tightness of a hamstring: what lies above the athlete's own usual, added up over days; a complaint is no usual."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
import polars as pl
from numpy.typing import NDArray

from pipelines.derived.common.baseline import IQR_TO_SD, MAD_TO_SD, Floats, Whole, begin_of_window
from pipelines.derived.common.ordering import in_order_of
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
HAMSTRING = "hamstring"

SMALL = np.int16  # a window's answers are few: small numbers are counted in a fraction of the time


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
        .pipe(in_order_of, ["athlete_id", "item", "checked_on"])
    )
    if rows.is_empty():
        return _shape(rows, _Judged.nothing())
    series = rows.select(pl.struct("athlete_id", "item").rank("dense").cast(pl.Int64) - 1).to_series().to_numpy()
    answers = _Answers(
        series, rows["checked_on"].to_physical().to_numpy(), rows["value"].cast(pl.Float64).to_numpy(),
        rows["told"].to_numpy(),
    )  # fmt: skip
    return _shape(rows, _judge_all(answers, settings))


def has_hamstring_pain() -> pl.Expr:
    """Return whether a check-in tells pain at a hamstring."""
    named = pl.col("pain_site").str.to_lowercase().str.contains(HAMSTRING, literal=True)
    return ((pl.col("pain") >= 1) & named).fill_null(value=False)


@dataclass(frozen=True)
class _Answers:
    """All answers, those of a series (an athlete's side) together and by day."""

    series: Whole
    day: Whole
    value: Floats
    told: NDArray[np.bool_]  # pain at the hamstring the same day

    def of(self, at: NDArray[np.bool_]) -> "_Answers":
        """Return some of them."""
        return _Answers(self.series[at], self.day[at], self.value[at], self.told[at])

    def before(self, days: int, *, counted: NDArray[np.bool_]) -> Whole:
        """Return how often each value was answered in so many days before each answer: a row a value."""
        is_value = self.value.round().clip(0, 10) == SCALE[:, None]
        so_far = np.zeros((len(SCALE), len(self.day) + 1), dtype=np.int32)
        np.cumsum(is_value & counted, axis=1, out=so_far[:, 1:])
        oldest = begin_of_window(self.series, self.day, days)
        return (so_far[:, :-1] - so_far[:, oldest]).astype(SMALL)


@dataclass(frozen=True)
class _Judged:
    """What is found of each answer; NaN where unknown. ``kind``: 0 mad, 1 iqr, 2 floor, -1 none."""

    usual: Floats
    spread: Floats
    kind: Whole
    z: Floats
    count: Whole
    total: Floats
    speaks: NDArray[np.bool_]

    @classmethod
    def nothing(cls, shape: tuple[int, ...] = (0,)) -> "_Judged":
        def unknown() -> Floats:
            return np.full(shape, np.nan)

        def whole(fill: int) -> Whole:
            return np.full(shape, fill, dtype=np.int64)

        return cls(unknown(), unknown(), whole(-1), unknown(), whole(0), unknown(), np.zeros(shape, dtype=bool))

    def put(self, at: NDArray[np.bool_], found: "_Judged") -> None:
        """Write what was found of some answers."""
        for name in self.__dataclass_fields__:
            getattr(self, name)[at] = getattr(found, name)


def _judge_all(answers: _Answers, settings: SquadSettings) -> _Judged:
    """Judge all answers; what speaks is no part of a later usual.

    Whether a day speaks hangs on the days before it alone. So judging all anew without those that just spoke settles
    from the first day on, and only the series that still move are judged again, as with the other answers
    (``checkin_answers``).
    """
    out = _Judged.nothing(answers.value.shape)
    left_out, at = answers.told.copy(), np.ones(len(out.speaks), dtype=bool)
    while at.any():
        out.put(at, _judge(answers.of(at), left_out[at], settings))
        now = answers.told | out.speaks
        moves = np.zeros(answers.series.max() + 1, dtype=bool)
        moves[answers.series[now != left_out]] = True
        left_out, at = now, moves[answers.series]
    return out


def _judge(answers: _Answers, left_out: NDArray[np.bool_], settings: SquadSettings) -> _Judged:
    """Judge answers against the days before, those left out not among them."""
    out = _Judged.nothing(answers.value.shape)
    least = settings.baseline_least_days
    held = answers.before(settings.baseline_days, counted=~left_out)
    # Looked back on further where complaints took the days, not where nobody answered: that is unknown.
    answered = answers.before(settings.baseline_days, counted=np.ones_like(left_out)).sum(axis=0)
    is_wide = (held.sum(axis=0) < least) & (answered >= least)
    if is_wide.any():
        held[:, is_wide] = answers.before(WIDER * settings.baseline_days, counted=~left_out)[:, is_wide]
    out.count[:] = held.sum(axis=0, dtype=np.int64)
    known = np.flatnonzero(out.count >= least)
    today, tally, number = answers.value[known], held[:, known], out.count[known]
    usual, spread, out.kind[known] = _describe(tally, number)
    wider = np.sqrt(1 + 1 / number)
    mean, sd = _moments(tally, number)
    out.usual[known], out.spread[known] = usual, spread
    out.z[known] = (today - usual) / (spread * wider)
    excess = np.full(len(left_out), np.nan)
    excess[known] = (today - mean) / (sd * wider)
    threshold = hamstring_thresholds(settings).tightness_sum
    out.total[:] = _add_up(answers, excess, CAP * threshold, settings.checkin_stale_days + 1)
    with np.errstate(invalid="ignore"):
        is_high = (answers.value >= settings.tight_talk_level) & ~(answers.value < out.usual + HIGH_ABOVE)
        adds_up = (answers.value >= settings.tight_adapt_level) & (out.total >= threshold)
    out.speaks[:] = is_high | adds_up
    return out


def _add_up(answers: _Answers, excess: Floats, most: float, stale_days: int) -> Floats:
    """Return the sum of each answer, from answer to answer of all series at once; anew after too many days without."""
    begins = np.diff(answers.series, prepend=-1) != 0
    line = np.cumsum(begins) - 1
    place = np.arange(len(line)) - np.flatnonzero(begins)[line]
    more, goes_on = np.full((place.max() + 1, line.max() + 1), np.nan), np.zeros((place.max() + 1, line.max() + 1))
    more[place, line] = excess
    goes_on[place, line] = ~begins & (np.diff(answers.day, prepend=0) <= stale_days)
    total = np.zeros(line.max() + 1)
    for row in range(len(more)):
        more[row] = add_up_excess(total * goes_on[row], more[row], most)
        total = np.fmax(more[row], 0.0)  # a day without an excess begins anew
    return more[place, line]


def add_up_excess(total: Floats, excess: Floats, most: float) -> Floats:
    """Return the sum after one more day: never below 0, never above ``most``; NaN where the day has no excess."""
    return np.minimum(np.maximum(total + excess - SLACK, 0.0), most)


def _describe(tally: Whole, number: Whole) -> tuple[Floats, Floats, Whole]:
    """Return median, spread and kind of spread of answers counted by value; a row a value, ``number`` in all."""
    low, usual, high = _quantiles(tally, number, (0.25, 0.5, 0.75))
    half = np.rint(2 * usual).astype(np.int64)  # a median of whole answers lies on one or half way between two
    near = np.take_along_axis(tally, NEAREST.T[:, half], axis=0)
    (middle,) = _quantiles(near, number, (0.5,), lambda place: AWAY[half, place])
    mad = MAD_TO_SD * middle
    iqr = (high - low) / IQR_TO_SD
    raw = np.where(mad > 0, mad, iqr)
    kind = np.where(raw < STEP / 2, 2, np.where(mad > 0, 0, 1))
    return usual, np.maximum(raw, STEP / 2), kind


def _moments(tally: Whole, number: Whole) -> tuple[Floats, Floats]:
    """Return mean and SD (n - 1, never under half a step) of answers counted by value: what a sum over days rests on.

    Complaints are left out already, and on a coarse scale the median jumps by whole steps.
    """
    mean = SCALE @ tally / number
    variance = (SCALE**2 @ tally - number * mean**2) / np.maximum(number - 1, 1)
    return mean, np.sqrt(np.maximum(variance, (STEP / 2) ** 2))


def _quantiles(
    tally: Whole, number: Whole, shares: Sequence[float], value_at: Callable[[Whole], Floats] = SCALE.__getitem__
) -> list[Floats]:
    """Return quantiles, linear between the two values beside each, of values counted in order; a row a value."""
    ahead = tally.cumsum(axis=0, dtype=SMALL)
    found = []
    for share in shares:
        place = share * (number - 1)
        low, high = (
            value_at((ahead <= rank(place).astype(SMALL)).sum(axis=0, dtype=np.int8)) for rank in (np.floor, np.ceil)
        )
        found.append(low + (place - np.floor(place)) * (high - low))
    return found


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
