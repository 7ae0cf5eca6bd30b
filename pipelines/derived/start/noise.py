"""The squad's own noise in the start: repeats, days, slow form, and how far athletes lie apart (``start_noise``)."""

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt
import polars as pl

from pipelines.derived.common.day_noise import squad_noise
from pipelines.derived.common.ordering import in_order_of, number_of
from pipelines.derived.common.typical_error import typical_error
from pipelines.derived.start.trend_runs import trend_days, trend_runs
from schemas.derived.noise import NOISE_KEY, StartNoise
from schemas.derived.progress import SERIES_KEY
from schemas.settings import SquadSettings

LEAST_SPREAD_FREEDOM = 4  # athletes beyond their group means from which the spread between athletes is taken
OWN_VARIATION_SHARE = 0.3  # of the typical error where there is no spread, sources: "hopkins_hewson_2001"
MOST_SERIES = 200  # series a noise is estimated from; more add time and no certainty worth it
LINE_DAYS = 42.0
ATHLETES_AT_ONCE = 100  # whose runs are looked at together; own choice
_OF_REPEATS = ("_day", "_order", "value")
TIMING = ["metric", "timing_kind"]
# Usual SD of one day, and SD the line may move in six weeks, as shares of the measure; source: "common_practice".
# 0.55 % of 1.8 s is 10 ms.
USUAL: dict[str, tuple[float, float]] = {
    "t_5_s": (0.0055, 0.0083),
    "t_10_s": (0.0055, 0.0083),
    "t_20_s": (0.0055, 0.0083),
    "t_30_s": (0.0055, 0.0083),
    "vmax_mps": (0.008, 0.008),
    "pmax_w_per_kg": (0.03, 0.025),
    "speed_after_3_mps": (0.02, 0.015),
    "contact_1_s": (0.06, 0.05),
}

Array = npt.NDArray[np.float64]


class Grid:
    """Series laid out as a matrix: one row a series, one column a day of it."""

    def __init__(self, points: pl.DataFrame, variance: str) -> None:
        """Lay out points that ``placed`` has numbered."""
        series, column = points["_series"].to_numpy(), points["_column"].to_numpy()
        shape = (int(series.max()) + 1, int(column.max()) + 1)
        self.where = (series, column)
        self.y, self.r, self.days = np.full(shape, np.nan), np.zeros(shape), np.zeros(shape)
        self.on = np.full(shape, np.nan)  # day of each point, counted from any fixed day
        self.y[self.where] = points["observed"].to_numpy()
        self.r[self.where] = points[variance].fill_null(0.0).to_numpy()
        self.days[self.where] = points["_gap"].to_numpy()
        self.on[self.where] = points["session_date"].to_physical().to_numpy()


def placed(points: pl.DataFrame, series: Sequence[str] = tuple(SERIES_KEY)) -> pl.DataFrame:
    """Sort points by series and day and number both; ``_gap`` is the days since the point before."""
    rows = in_order_of(points, [*series, "session_date"])
    number, place = number_of(rows, series).rle_id().cast(pl.Int64), pl.int_range(pl.len())
    begins = pl.col("_series").ne_missing(pl.col("_series").shift())
    return rows.with_columns(_series=number).with_columns(
        _column=place - pl.when(begins).then(place).forward_fill(),
        _gap=pl.when(begins).then(0.0).otherwise(pl.col("session_date").diff().dt.total_days().cast(pl.Float64)),
    )


def start_noise(
    sprint_profile_settled: pl.DataFrame,
    start_phase_settled: pl.DataFrame,
    rep_settled: pl.DataFrame,
    split_settled: pl.DataFrame,
    session_settled: pl.DataFrame,
    athlete: pl.DataFrame,
    *,
    settings: SquadSettings,
) -> pl.DataFrame:
    """Estimate what a change of the start is held against, from the squad's runs before the running week.

    typical_error: SD of repeats within a day, order effects out (``hopkins_2000``), of such runs, or of all starts of
    the measure and timing where they leave under five degrees of freedom. neighbour_sd: from differences of days up
    to three weeks apart, each square capped at four variances, with five prior pairs at a usual SD (0.55 % of a time);
    day_form: that less the runs' part. wave: form that fades as exp(-days / 31), median of its posterior, beside own
    levels and lasting changes of the athletes (``slow_form``, restricted likelihood); wave_high: below which it lies in
    three of four, which the days do not rule out. drift^2 a day = (0.83 % of the time squared + wave^2) / 42: the
    picture's line, no rule.
    swc: share (a setting, 0.2) of the SD between the athletes' means within one sex and set-up, pooled
    (``hopkins_swc``): men and women of a squad differ by more than athletes do. With fewer than four degrees of
    freedom 0.3 of the typical error (``hopkins_hewson_2001``). Athletes under 18 are pooled apart.

    Units: those of the measure (s, m/s, W/kg). Null: typical error below five degrees of freedom of both kinds; swc
    where there is neither spread nor typical error.
    """
    parts = _runs_in_parts(
        sprint_profile_settled, start_phase_settled, rep_settled, split_settled, session_settled, athlete
    )
    repeats = _repeats(parts)
    days = pl.concat([trend_days(part, repeats) for part in parts])
    del parts
    days = days.with_columns(_line=number_of(days, SERIES_KEY))
    noise = [
        {**dict(zip(NOISE_KEY, key, strict=True)), **_day_noise(group)}
        for key, group in days.group_by(NOISE_KEY, maintain_order=True)
    ]
    numbers = dict.fromkeys(("neighbour_sd", "day_form_sd", "wave_sd", "wave_high_sd", "drift_sd_per_day"), pl.Float64)
    known = pl.DataFrame(noise, schema={**dict.fromkeys(NOISE_KEY, pl.String), **numbers})
    frame = (
        days.group_by(NOISE_KEY, maintain_order=True)
        .agg(
            athletes=pl.col("athlete_id").n_unique().cast(pl.Int64),
            days=pl.len().cast(pl.Int64),
            typical_error=pl.col("typical_error").first(),
            typical_error_freedom=pl.col("typical_error_freedom").first(),
            fit_error=pl.col("fit_error").first(),
        )
        .join(known, on=NOISE_KEY, how="left")
        .join(repeats.select(*NOISE_KEY, "typical_error_of"), on=NOISE_KEY, how="left")
        .join(_smallest_change(days, athlete, settings.swc_share), on=NOISE_KEY, how="left")
    )
    return frame.select(list(StartNoise.to_schema().columns)).sort(NOISE_KEY)


def _runs_in_parts(
    profile: pl.DataFrame,
    phase: pl.DataFrame,
    rep: pl.DataFrame,
    split: pl.DataFrame,
    session: pl.DataFrame,
    athlete: pl.DataFrame,
) -> list[pl.DataFrame]:
    """Return what is read of the runs of the trends, so many athletes at a time, in the order of athletes.

    All runs at once, with all that is known of them on the way, do not fit a small machine.
    """
    known = rep["athlete_id"].unique().sort()
    parts = []
    for start in range(0, max(known.len(), 1), ATHLETES_AT_ONCE):
        some = known.slice(start, ATHLETES_AT_ONCE)
        here = pl.col("athlete_id").is_between(pl.lit(some.first()), pl.lit(some.last()))
        cut = [
            table.filter(here) if known.len() > ATHLETES_AT_ONCE else table
            for table in (profile, phase, rep, split, session)
        ]
        runs = trend_runs(cut[0], cut[1], cut[2], cut[3], cut[4], athlete)
        parts.append(runs.select(*SERIES_KEY, "age_group", "session_date", "value", "se"))
    return parts


class _Gathered:
    """The runs of one class, added part by part: which day, which of the day, value and its error."""

    def __init__(self) -> None:
        self.parts: list[pl.DataFrame] = []

    def add(self, runs: pl.DataFrame) -> None:
        self.parts.append(runs.select("_day", "_order", "value", "se"))

    def error(self) -> dict[str, object]:
        """Return typical error and its degrees of freedom."""
        day, order, value = (np.concatenate([one[name].to_numpy() for one in self.parts]) for name in _OF_REPEATS)
        found = typical_error(day, order, value)
        return {
            "typical_error": found.value if found else None,
            "typical_error_freedom": found.freedom if found else None,
        }

    def fit_error(self) -> object:
        """Return the middle error of a fit."""
        return pl.concat([one["se"] for one in self.parts]).median()


def _repeats(parts: Sequence[pl.DataFrame]) -> pl.DataFrame:
    """Return typical error, its degrees of freedom, what it is of, and the middle error of a fit, per class."""
    by_class: dict[tuple[object, ...], _Gathered] = {}
    by_timing: dict[tuple[object, ...], _Gathered] = {}
    begun = 0
    for runs in parts:
        numbered = _numbered_days(runs, begun)
        begun += runs.height  # days of a part are fewer than its runs
        for names, found in ((NOISE_KEY, by_class), (TIMING, by_timing)):
            for key, group in numbered.group_by(names, maintain_order=True):
                found.setdefault(key, _Gathered()).add(group)
    wide = {key: runs.error() for key, runs in by_timing.items()}
    rows: list[dict[str, object]] = []
    for key, gathered in by_class.items():
        named = dict(zip(NOISE_KEY, key, strict=True))
        own = gathered.error()
        borrowed = own["typical_error"] is None
        error = wide[tuple(named[name] for name in TIMING)] if borrowed else own
        basis = ("all_starts" if borrowed else "such_runs") if error["typical_error"] is not None else None
        rows.append({**named, **error, "typical_error_of": basis, "fit_error": gathered.fit_error()})
    kinds = {
        "typical_error": pl.Float64,
        "typical_error_freedom": pl.Int64,
        "typical_error_of": pl.String,
        "fit_error": pl.Float64,
    }
    return pl.DataFrame(rows, schema={**dict.fromkeys(NOISE_KEY, pl.String), **kinds})


def _numbered_days(runs: pl.DataFrame, after: int) -> pl.DataFrame:
    """Add ``_day``, a number of the run's series and day above the one given, and ``_order`` of the run on it."""
    # Runs of a day stand together: what begins there is counted, and no table of days is made to look them up in.
    begins = pl.any_horizontal(pl.col(name).ne_missing(pl.col(name).shift()) for name in (*SERIES_KEY, "session_date"))
    place = pl.int_range(pl.len())
    return runs.with_columns(_begins=begins | (place == 0)).with_columns(
        _day=after + pl.col("_begins").cum_sum().cast(pl.Int64),
        _order=place - pl.when("_begins").then(place).forward_fill() + 1,
    )


def _day_noise(days: pl.DataFrame) -> dict[str, float]:
    day_share, line_share = USUAL[days["metric"].item(0)]
    middle = float(np.median(days["observed"].to_numpy()))
    first = days.filter(pl.col("_line").rle_id() < MOST_SERIES)  # series stand one after the other
    grid = Grid(placed(first, ["_line"]), "_variance")
    found = squad_noise(grid.on, grid.y, grid.r, day_share * middle)
    drift = ((line_share * middle) ** 2 + found.wave) / LINE_DAYS
    return {
        "neighbour_sd": found.neighbour**0.5,
        "day_form_sd": found.form**0.5,
        "wave_sd": found.wave**0.5,
        "wave_high_sd": found.wave_high**0.5,
        "drift_sd_per_day": drift**0.5,
    }


def _smallest_change(days: pl.DataFrame, athlete: pl.DataFrame, share: float) -> pl.DataFrame:
    sex = athlete.select("athlete_id", sex=pl.col("sex").fill_null("x"))
    alike = [*NOISE_KEY, "sex", "set_up"]
    within = (
        days.group_by([*SERIES_KEY, "age_group"], maintain_order=True)
        .agg(_own=pl.col("observed").mean(), typical_error=pl.col("typical_error").first())
        .join(sex, on="athlete_id", how="left", maintain_order="left")
        .with_columns(pl.col("sex").fill_null("x"))
        .with_columns(_square=(pl.col("_own") - pl.col("_own").mean().over(alike)) ** 2)
        .group_by(NOISE_KEY, maintain_order=True)
        .agg(
            _freedom=pl.len().cast(pl.Int64) - pl.struct("sex", "set_up").n_unique().cast(pl.Int64),
            _squares=pl.col("_square").sum(),
            typical_error=pl.col("typical_error").first(),
        )
    )
    enough = pl.col("_freedom") >= LEAST_SPREAD_FREEDOM
    own = pl.col("typical_error").is_not_null()
    return within.select(
        *NOISE_KEY,
        swc=pl.when(enough)
        .then(share * (pl.col("_squares") / pl.col("_freedom")).sqrt())
        .otherwise(OWN_VARIATION_SHARE * pl.col("typical_error")),
        swc_basis=pl.when(enough).then(pl.lit("hopkins_swc")).when(own).then(pl.lit("hopkins_hewson_2001")),
        swc_reason=pl.when(enough)
        .then(None)
        .when(own)
        .then(pl.lit("swc_from_own_variation"))
        .otherwise(pl.lit("no_smallest_change")),
    )
