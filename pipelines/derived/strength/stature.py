"""Growth of those under 18: heights as they were measured, and the speed of growth with its error."""

import datetime as dt

import polars as pl

from pipelines.derived.common.number_text import decimals
from schemas.age import ADULT_YEARS
from schemas.derived.growth import BodyGrowth
from schemas.phrase import phrase

YEAR_DAYS = 365.25
LOOK_BACK_DAYS = 365
LEAST_HEIGHTS = 3  # days with a height before a speed is given, source: "common_practice"
LEAST_SPAN_DAYS = 182  # growth over less hangs on the season and on the tape, source: "marshall_1971"
TAPE_SD_M = 0.004  # m, one height read again by the same person, source: "ulijaszek_kerr_1999"
TAPE_WEIGHT = 8.0  # heights that the tape's usual error weighs as much as against own scatter, own rule
NORMAL_95 = 1.96


def body_growth(
    body_measure: pl.DataFrame, athlete: pl.DataFrame, consent: pl.DataFrame, *, as_of: dt.date
) -> pl.DataFrame:
    """One row per athlete under 18, and day measured: what was measured, and the speed of growth up to that day.

    Formula: over the n heights h at times t (years) of the 365 days up to the day, growth = S_th / S_tt; its error
    s / sqrt(S_tt), s^2 = (8 x 0.004^2 + sum of squared residuals) / (8 + n - 2), so that a few heights that happen to
    lie on a line are not taken for a better tape. Legs = height - sitting height of the same day. The sentence gives
    1.96 errors.
    Sources: Marshall 1971 (growth over less than a year says little: at least half a year and three heights are asked
    for); Ulijaszek and Kerr 1999 (error of a height).
    Limits: no stage of maturity, age at peak growth or adult height is estimated: such equations err by about a year
    and lean to the mean ("malina_koziel_2014"). Height shrinks by up to a centimetre over a day: measure at the same
    hour.
    Null rule: rows only for who is under 18 on ``as_of`` with a guardian's consent to health data in force that day;
    a speed only with three heights over half a year (too_few_heights). No height is carried over to another day.
    """
    minors = _minors_with_consent(athlete, consent, as_of)
    measured = (
        body_measure.filter(pl.col("measured_on") <= as_of)
        .filter(pl.any_horizontal(pl.col("height_m", "sitting_height_m", "body_mass_kg").is_not_null()))
        .join(minors, on="athlete_id", how="inner")
        .with_columns(age_years=(pl.col("measured_on") - pl.col("birth_date")).dt.total_days() / YEAR_DAYS)
        .sort("athlete_id", "measured_on")
    )
    rows = measured.join(_speeds(measured), on=["athlete_id", "measured_on"], how="left", maintain_order="left")
    is_enough = (pl.col("heights") >= LEAST_HEIGHTS) & (pl.col("span_days") >= LEAST_SPAN_DAYS)
    rows = rows.with_columns(
        leg_part_m=pl.col("height_m") - pl.col("sitting_height_m"),
        growth_m_per_year=pl.when(is_enough).then("slope"),
        growth_m_per_year_se=pl.when(is_enough).then("se"),
        reason=pl.when(~is_enough.fill_null(False)).then(pl.lit("too_few_heights")),
    )
    per_year = decimals(100 * rows["growth_m_per_year"], 1)
    error = decimals(100 * NORMAL_95 * rows["growth_m_per_year_se"], 1)
    rows = rows.with_columns(_speed=per_year, _error=error)
    return rows.with_columns(
        growth_sentence=phrase(
            "{} cm a year, ± {}, from {} heights over {} weeks",
            pl.col("_speed"),
            pl.col("_error"),
            pl.col("heights").cast(pl.String),
            (pl.col("span_days") / 7).round(0).cast(pl.Int64).cast(pl.String),
        )
    ).select(list(BodyGrowth.to_schema().columns))


def _minors_with_consent(athlete: pl.DataFrame, consent: pl.DataFrame, as_of: dt.date) -> pl.DataFrame:
    """Return who is under 18 on a day and whose guardian's last consent to health data by then is in force."""
    last = (
        consent.filter((pl.col("topic") == "health") & (pl.col("given_on") <= as_of))
        .sort("athlete_id", "given_on")
        .unique("athlete_id", keep="last", maintain_order=True)
    )
    withdrawn = (pl.col("withdrawn_on") <= as_of).fill_null(False)
    in_force = last.filter(pl.col("is_guardian").fill_null(False) & ~withdrawn).select("athlete_id")
    adult_on = pl.col("birth_date").dt.offset_by(f"{ADULT_YEARS}y")
    return (
        athlete.filter((adult_on > as_of).fill_null(False))
        .select("athlete_id", "birth_date")
        .join(in_force, on="athlete_id", how="semi")
    )


def _speeds(measured: pl.DataFrame) -> pl.DataFrame:
    """Return for each day measured the straight line through the heights of the year up to it."""
    told = measured.filter(pl.col("height_m").is_not_null()).select(
        "athlete_id", height_on="measured_on", height_m="height_m"
    )
    pairs = (
        measured.select("athlete_id", "measured_on")
        .join(told, on="athlete_id", how="left")
        .filter((pl.col("measured_on") - pl.col("height_on")).dt.total_days().is_between(0, LOOK_BACK_DAYS))
        .with_columns(t=(pl.col("height_on") - pl.col("measured_on")).dt.total_days() / YEAR_DAYS)
    )
    t, h = pl.col("t"), pl.col("height_m")
    s_tt, s_th, s_hh = ((a - a.mean()) * (b - b.mean()) for a, b in ((t, t), (t, h), (h, h)))
    count = pl.col("heights")
    return (
        pairs.group_by("athlete_id", "measured_on", maintain_order=True)
        .agg(
            heights=pl.len().cast(pl.Int64),
            span_days=(pl.col("height_on").max() - pl.col("height_on").min()).dt.total_days(),
            s_tt=s_tt.sum(),
            s_th=s_th.sum(),
            s_hh=s_hh.sum(),
        )
        .with_columns(slope=pl.when(pl.col("s_tt") > 0).then(pl.col("s_th") / pl.col("s_tt")))
        .with_columns(rest=(pl.col("s_hh") - pl.col("slope") * pl.col("s_th")).clip(0.0))
        .with_columns(
            se=((TAPE_WEIGHT * TAPE_SD_M**2 + pl.col("rest")) / (TAPE_WEIGHT + count - 2) / pl.col("s_tt")).sqrt()
        )
        .select("athlete_id", "measured_on", "heights", "span_days", "slope", "se")
    )
