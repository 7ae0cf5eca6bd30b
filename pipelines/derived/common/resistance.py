"""What a run was resisted by, and what counts as a free run: the one place that says so."""

import polars as pl


def resistance() -> pl.Expr:
    """What a run was resisted by: the kind that was said, 'none' where nothing speaks of one.

    A sheet that speaks of no resistance is a sheet of free runs; a load above 0 kg without a kind, or beside 'none', is
    one that was pulled: a sled (both common practice, no source). Never null. Unit of the load: kg.
    """
    kind = pl.col("resistance_kind").fill_null("none")
    is_pulled = (pl.col("resistance_load_kg") > 0.0).fill_null(False)
    return pl.when((kind == "none") & is_pulled).then(pl.lit("sled")).otherwise(kind)


def is_free_run() -> pl.Expr:
    """Whether a run counts as unresisted (``resistance``)."""
    return resistance() == "none"


def was_run() -> pl.Expr:
    """Whether a run was no false start; nothing said counts as run."""
    return (pl.col("outcome") != "false_start").fill_null(True)


def free_runs(rep: pl.DataFrame) -> pl.DataFrame:
    """Return the runs that were neither resisted nor a false start."""
    return rep.filter(is_free_run() & was_run())
