"""The runs that the squad's noise in the start is estimated from, those of a series in one row."""

import numpy as np
import numpy.typing as npt
import polars as pl

from pipelines.derived.common.ordering import number_of
from pipelines.derived.common.typical_error import typical_error
from pipelines.derived.start.trend_runs import add_means, trend_runs
from schemas.derived.progress import SERIES_KEY

Whole = npt.NDArray[np.int64]


def start_noise_runs(
    sprint_profile_settled: pl.DataFrame,
    start_phase_settled: pl.DataFrame,
    rep_settled: pl.DataFrame,
    split_settled: pl.DataFrame,
    session_settled: pl.DataFrame,
    athlete: pl.DataFrame,
) -> pl.DataFrame:
    """Return what ``start_noise`` needs of some athletes' runs, as ``by_series`` does.

    It follows from each athlete's rows alone.
    """
    return by_series(
        trend_runs(
            sprint_profile_settled, start_phase_settled, rep_settled, split_settled, session_settled, athlete
        )
    )  # fmt: skip


def by_series(runs: pl.DataFrame) -> pl.DataFrame:
    """Return one row per series and age group, with lists of day, value and error of its runs, in their order.

    ``runs`` as ``trend_runs`` gives them.
    """
    key = [*SERIES_KEY, "age_group"]
    return (
        runs.select(*key, "session_date", "value", "se")
        .with_columns(_series=number_of(runs, ["_series", "age_group"]))
        .group_by("_series", maintain_order=True)
        .agg(pl.col(key).first(), pl.col("session_date", "value", "se"))
        .drop("_series")
    )


class RunsOfClass:
    """The runs of some series, one after the other. ``by_series`` gives the series."""

    def __init__(self, series: pl.DataFrame) -> None:
        """Lay the lists out: which series, which day, and which run of the day each run is."""
        self.series = series
        lengths = series["value"].list.len().to_numpy()
        self.value, self.se = series["value"].explode(), series["se"].explode()
        on = series["session_date"].explode()
        line, number = np.repeat(np.arange(len(lengths)), lengths), on.to_physical().to_numpy()
        begins = np.ones(len(line), dtype=bool)
        begins[1:] = (line[1:] != line[:-1]) | (number[1:] != number[:-1])
        self.first = np.flatnonzero(begins)  # run of each day
        self.day: Whole = np.cumsum(begins) - 1
        self.line, self.on = line[self.first], on[self.first]  # of each day

    def error(self) -> dict[str, object]:
        """Return typical error and its degrees of freedom."""
        order = np.arange(len(self.day)) - self.first[self.day] + 1
        found = typical_error(self.day, order, self.value.to_numpy())
        return {
            "typical_error": found.value if found else None,
            "typical_error_freedom": found.freedom if found else None,
        }

    def fit_error(self) -> float | None:
        """Return the middle error of a fit."""
        return self.se.median()  # type: ignore[return-value]

    def days(self, error: float | None, fit_error: float | None) -> pl.DataFrame:
        """Return one row per day: _line (place of its series), session_date, reps, observed and _variance."""
        known = pl.DataFrame({"_line": self.line, "session_date": self.on}).with_columns(
            typical_error=pl.lit(error, pl.Float64), fit_error=pl.lit(fit_error, pl.Float64)
        )
        return add_means(known, pl.Series(self.day), self.value, self.se)
