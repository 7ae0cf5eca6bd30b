"""What makes runs alike: the set-up they were run in, and the age group whose noise they are held against."""

import polars as pl

from pipelines.derived.common.ordering import in_order_of, number_of
from pipelines.derived.common.step_error import REP_KEY
from schemas.age import ADULT_YEARS
from schemas.derived.progress import NOT_STATED
from schemas.phrase import phrase

ADULT, YOUTH = "adult", "under_18"
SESSION = ["athlete_id", "session_date", "session_no"]
SETTING = ["athlete_id", "start_kind", "clock_start", "timing_kind"]  # within which shoes and ground are told apart


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
    told = {"_shoes": "shoes", "_ground": "ground", "_roof": "roof"}
    parts = [behind, *(_apart(name, what) for name, what in told.items())]
    words = pl.concat_str(parts, separator=", ", ignore_nulls=True)
    rows = rows.with_columns(_setting=number_of(rows, SETTING))
    settings = rows.group_by("_setting").agg(
        *(pl.col(name).drop_nulls().n_unique().alias(f"{name}_kinds") for name in told),
        *(pl.col(name).drop_nulls().first().alias(f"{name}_known") for name in told),
        *((pl.col(name).null_count() > 0).alias(f"{name}_unsaid") for name in told),
    )
    named = rows.join(settings, on="_setting", how="left", maintain_order="left").select(
        *(name for name in rows.columns if name not in {"footwear", "surface", "indoor", "_setting", *told}),
        set_up=pl.when(words == "").then(pl.lit(NOT_STATED)).otherwise(words),
    )
    return in_order_of(named, REP_KEY)


def _clean(name: str) -> pl.Expr:
    """Return a typed word without the case and blanks that do not change its meaning; null where it says nothing."""
    word = pl.col(name).str.to_lowercase().str.strip_chars().str.replace_all(r"[,\s]+", " ")
    return pl.when(word != "").then(word)


def _apart(name: str, what: str) -> pl.Expr:
    """Say what a run was run on; ``<name>_kinds``, ``_known`` and ``_unsaid`` tell what its setting holds."""
    some = pl.when(f"{name}_unsaid").then(pl.lit(" where said")).otherwise(pl.lit(""))
    return (
        pl.when(pl.col(f"{name}_kinds") >= 2)
        .then(pl.col(name).fill_null(f"{what} not said"))
        .when(pl.col(f"{name}_kinds") == 1)
        .then(pl.concat_str([pl.col(f"{name}_known"), some]))
    )
