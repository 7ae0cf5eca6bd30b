"""What makes runs alike: the set-up they were run in, and the age group whose noise they are held against."""

from collections.abc import Sequence

import polars as pl

from pipelines.derived.common.step_error import REP_KEY
from schemas.age import ADULT_YEARS
from schemas.derived.progress import NOT_STATED
from schemas.phrase import phrase

ADULT, YOUTH = "adult", "under_18"
SESSION = ["athlete_id", "session_date", "session_no"]
SETTING = ["athlete_id", "start_kind", "clock_start", "timing_kind"]  # within which shoes and ground are told apart


def number_of(rows: pl.DataFrame, names: Sequence[str]) -> pl.Expr:
    """Number rows by some words of theirs, in the order of the words; none may be null."""
    number = pl.lit(0, pl.UInt64)
    for name in names:
        words = rows[name].unique().sort()
        number = number * max(words.len(), 1) + pl.col(name).cast(pl.Enum(words)).to_physical().cast(pl.UInt64)
    return number


def age_group(rows: pl.DataFrame, athlete: pl.DataFrame) -> pl.DataFrame:
    """Add ``age_group``: under_18 by the day of the run, else adult, also where no date of birth is known.

    Youth grow and vary more from day to day, so their noise is pooled apart. Source: "common_practice".
    """
    known = athlete.select("athlete_id", "birth_date")
    is_youth = pl.col("session_date") < pl.col("birth_date").dt.offset_by(f"{ADULT_YEARS}y")
    return (
        rows.join(known, on="athlete_id", how="left", maintain_order="left")
        .with_columns(age_group=pl.when(is_youth).then(pl.lit(YOUTH)).otherwise(pl.lit(ADULT)))
        .drop("birth_date")
    )


def add_set_up(rows: pl.DataFrame, session: pl.DataFrame) -> pl.DataFrame:
    """Add ``set_up``: what else sets runs apart, in words: distance behind the gate, shoes, ground, roof.

    The distance behind the first gate always parts series, unknown from known. Shoes, ground and roof part an
    athlete's series as soon as two values are known of them; days without a word then stand apart. With one value known
    nothing says that they differ: all stay together and the name says 'where said'. Source: "common_practice".
    """
    said = session.select(*SESSION, "footwear", "surface", "indoor")
    rows = rows.join(said, on=SESSION, how="left", maintain_order="left").with_columns(
        _shoes=_clean("footwear"),
        _ground=_clean("surface"),
        _roof=pl.when("indoor").then(pl.lit("indoors")).when(~pl.col("indoor")).then(pl.lit("outdoors")),
    )
    offset = (pl.col("gate_offset_m") * 100).round(0).cast(pl.Int64)
    behind = (
        pl.when(pl.col("clock_start") != "first_gate")
        .then(None)
        .when(offset.is_null())
        .then(pl.lit("distance behind the gate not said"))
        .otherwise(phrase("{} cm behind the gate", offset))
    )
    parts = [behind, _apart("_shoes", "shoes"), _apart("_ground", "ground"), _apart("_roof", "roof")]
    words = pl.concat_str(parts, separator=", ", ignore_nulls=True)
    return (
        rows.with_columns(set_up=pl.when(words == "").then(pl.lit(NOT_STATED)).otherwise(words))
        .drop("footwear", "surface", "indoor", "_shoes", "_ground", "_roof")
        .sort(REP_KEY)
    )


def _clean(name: str) -> pl.Expr:
    """Return a typed word without the case and blanks that do not change its meaning; null where it says nothing."""
    word = pl.col(name).str.to_lowercase().str.strip_chars().str.replace_all(r"[,\s]+", " ")
    return pl.when(word != "").then(word)


def _apart(name: str, what: str) -> pl.Expr:
    value = pl.col(name)
    kinds = value.drop_nulls().n_unique().over(SETTING)
    known = value.drop_nulls().first().over(SETTING)
    some = pl.when(value.null_count().over(SETTING) > 0).then(pl.lit(" where said")).otherwise(pl.lit(""))
    return (
        pl.when(kinds >= 2)
        .then(value.fill_null(f"{what} not said"))
        .when(kinds == 1)
        .then(pl.concat_str([known, some]))
    )
