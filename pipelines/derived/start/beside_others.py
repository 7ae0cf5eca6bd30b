"""An athlete's usual 10 m time beside what a federation published of people like them: context, never a threshold."""

import datetime as dt

import polars as pl

from pipelines.derived.common.age_bands import age_band_from
from pipelines.derived.common.resistance import is_free_run
from pipelines.derived.common.step_error import REP_KEY
from pipelines.derived.start.trend_runs import LEAST_EFFORT_PERCENT
from schemas.derived.beside_others import StartBesideOthers
from schemas.labels import CLOCKS, EVENT_GROUPS, START_KINDS, TIMING
from schemas.phrase import phrase
from schemas.shared.tables import AGE_BANDS

YEAR_DAYS = 364  # 52 weeks, as the published norm reads; own choice
SERIES = ["start_kind", "clock_start", "timing_kind"]
LIKE = ["sex", "event_group", "age_band", *SERIES]
PEOPLE = {"f": "women and girls", "m": "men and boys", "x": "people"}


def start_beside_others(
    sprint_profile: pl.DataFrame,
    rep: pl.DataFrame,
    athlete: pl.DataFrame,
    reference_value: pl.DataFrame,
    *,
    as_of: dt.date,
) -> pl.DataFrame:
    """Put an athlete's median 10 m time of a year beside the quartiles of people of that sex, event and age band.

    own_s = median of t_10_s of the runs of the last 52 weeks: free, whole, at 95 % of effort or more, of good or thin
    trust, by kind of start, clock and timing, as the published norm was made. Beside it stands the newest quarter that
    was taken in, of the same kinds. No call, flag, focus or advice reads this table.
    Source: definition. Null rule: no row where sex, event group or birth date is unknown, or nothing was published of
    such people and runs.
    """
    norms = reference_value.filter(question="norm")
    if norms.is_empty():  # as for a squad that took nothing in
        return StartBesideOthers.no_rows()
    counted = rep.filter(
        is_free_run()
        & (pl.col("outcome").fill_null("completed") == "completed")
        & (pl.col("effort_percent").fill_null(100.0) >= LEAST_EFFORT_PERCENT)
    ).select(REP_KEY)
    own = (
        sprint_profile.filter(
            pl.col("trust") != "poor",
            pl.col("t_10_s").is_not_null(),
            pl.col("session_date") > as_of - dt.timedelta(days=YEAR_DAYS),
            pl.col("session_date") <= as_of,
        )
        .join(counted, on=REP_KEY, how="semi")
        .group_by("athlete_id", *SERIES, maintain_order=True)
        .agg(own_s=pl.col("t_10_s").median(), runs=pl.len().cast(pl.Int64))
    )
    bands = pl.DataFrame({"age_from": list(AGE_BANDS), "age_band": list(AGE_BANDS.values())})
    who = (
        athlete.with_columns(age_from=age_band_from(pl.lit(as_of)))
        .join(bands, on="age_from", how="left", maintain_order="left")
        .select("athlete_id", "sex", "event_group", "age_band")
    )
    newest = norms.filter(pl.col("quarter") == pl.col("quarter").max())
    beside = (
        own.join(who, on="athlete_id")
        .join(newest, on=LIKE)
        .rename({"low": "low_s", "middle": "middle_s", "high": "high_s", "squads_sd": "squads_sd_s"})
    )
    told = beside.with_columns(sentence=_sentence())
    return told.select(list(StartBesideOthers.to_schema().columns)).sort("athlete_id", *SERIES)


def _sentence() -> pl.Expr:
    def said(name: str, words: dict[str, str]) -> pl.Expr:
        return pl.col(name).replace_strict(words, default=pl.col(name), return_dtype=pl.String)

    return phrase(
        "10 m, {}, {}, {}: own usual {} s ({} runs in a year). Of at least {} {} aged {} in {}, of {} squads, a "
        "quarter are under {} s, half under {} s, three quarters under {} s ({})",
        said("start_kind", START_KINDS), said("clock_start", CLOCKS), said("timing_kind", TIMING),
        _two("own_s"), pl.col("runs"), pl.col("people"), said("sex", PEOPLE), pl.col("age_band"),
        said("event_group", EVENT_GROUPS), pl.col("squads"), _two("low_s"), _two("middle_s"), _two("high_s"),
        pl.col("quarter").str.replace("_q", ", quarter ", literal=True),
    )  # fmt: skip


def _two(name: str) -> pl.Expr:
    """Write seconds with two decimals."""
    hundredths = (pl.col(name) * 100).round(0).cast(pl.Int64)
    rest = (hundredths % 100).cast(pl.String).str.zfill(2)
    return pl.concat_str((hundredths // 100).cast(pl.String), pl.lit("."), rest)
