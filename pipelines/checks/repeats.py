"""Rows that say the same key twice in one file: the same again is set aside once, another value holds both."""

import dataclasses
from dataclasses import dataclass

import polars as pl

from pipelines.checks.faults import SET_ASIDE
from pipelines.checks.keys import all_differ, key_code
from schemas.shape import TableShape

CONFLICT_SCHEMA = {"_row": pl.UInt32, "_part": pl.UInt32, "column": pl.String, "value": pl.String, "reason": pl.String}
PLACES_SHOWN = 4  # lines named in a conflict


@dataclass(frozen=True)
class Repeats:
    """What was found in one table: conflicts as cells, repeated rows as (row, first row with the same content)."""

    conflicts: pl.DataFrame
    again: pl.DataFrame  # _row, first_row
    is_single: bool = False  # no key stands twice


def find_repeats(frame: pl.DataFrame, shape: TableShape, lines: pl.Series) -> Repeats:
    """Look for rows of one key in a table. Free notes never conflict; an empty cell agrees with all."""
    none = Repeats(
        pl.DataFrame(schema=CONFLICT_SCHEMA), pl.DataFrame(schema={"_row": pl.UInt32, "first_row": pl.UInt32})
    )
    code = key_code(frame, [name for name in shape.key if name in frame.columns])
    if all_differ(code):
        return dataclasses.replace(none, is_single=True)
    doubled = code.is_duplicated()
    values = [name for name in shape.values if name in frame.columns and name != "note"]
    twice = frame.with_columns(code).filter(doubled)
    differs = twice.group_by("code").agg(pl.col(values).drop_nulls().n_unique() > 1)
    at_odds = twice.select("code", "_row", "_part", *values).join(
        differs.filter(pl.any_horizontal(pl.lit(False), *values)), on="code", suffix="_differs"
    )
    run_or_not = _run_and_not_run(twice, lines) if {"time_s", "race_outcome"} <= {*values} else none.conflicts
    conflicts = pl.concat([_conflicts(at_odds, values, shape, lines), run_or_not])
    conflicts = conflicts.unique(["_row", "_part", "column"], keep="first", maintain_order=True)
    unsure = pl.col("_row").is_in(run_or_not["_row"].unique().implode())
    again = (
        twice.filter(~pl.col("code").is_in(at_odds["code"].unique().implode()) & ~unsure)
        .sort("_row", maintain_order=True)
        .with_columns(first_row=pl.col("_row").min().over("code"))
        .filter(
            (pl.col("_row") != pl.col("first_row")) & ~pl.any_horizontal(pl.lit(False), *map(_is_said_first, values))
        )
        .select("_row", "first_row")
    )
    return Repeats(conflicts, again)


def _conflicts(at_odds: pl.DataFrame, values: list[str], shape: TableShape, lines: pl.Series) -> pl.DataFrame:
    """Return the cells that say different things of one key, each with what the others say; all keys at once."""
    found = []
    for order, name in enumerate(values):
        here = at_odds.filter(pl.col(f"{name}_differs") & pl.col(name).is_not_null()).sort("_row")
        if here.is_empty():
            continue
        said = here[name].unique().to_list()
        told = here.select("code", "_row", "_part").with_columns(
            value=here[name].replace_strict(said, [_shown(value) for value in said], return_dtype=pl.String),
            line=lines.gather(here["_row"]).cast(pl.String),
        )
        places = pl.concat_str(pl.lit("line "), "line", pl.lit(" says "), "value").head(PLACES_SHOWN).str.join(", ")
        each = told.group_by("code").agg(places=places, first=pl.col("_row").min())
        begin = f"the same {shape.name.replace('_', ' ')} stands here with different values of {name}: "
        end = f". {SET_ASIDE} Keep the right one and load the file again."
        found.append(
            told.join(each, on="code").select(
                "_row", "_part", column=pl.lit(name), value="value",
                reason=pl.concat_str(pl.lit(begin), "places", pl.lit(end)), first="first", order=pl.lit(order),
            )
        )  # fmt: skip
    if not found:
        return pl.DataFrame(schema=CONFLICT_SCHEMA)
    return pl.concat(found).sort("first", "order", "_row").select(list(CONFLICT_SCHEMA)).cast(CONFLICT_SCHEMA)  # type: ignore[arg-type]


def _run_and_not_run(twice: pl.DataFrame, lines: pl.Series) -> pl.DataFrame:
    """Return the cells of races of which one row has a time and another says that there is none: they are two races,
    a heat and its final, whose round is not known.
    """
    ended = pl.col("race_outcome").is_not_null() & (pl.col("race_outcome").cast(pl.String) != "finished")
    timed = pl.col("time_s").is_not_null().any().over("code", "_row")
    apart = twice.with_columns(timed=timed, ended=ended & ~timed).filter(
        pl.col("timed").any().over("code") & pl.col("ended").any().over("code")
    )
    found = [pl.DataFrame(schema=CONFLICT_SCHEMA)]
    for rows in apart.partition_by("code", maintain_order=True):
        run, not_run = (
            " and ".join(str(lines[row]) for row in rows.filter(pl.col(name))["_row"].unique().sort().to_list())
            for name in ("timed", "ended")
        )
        reason = (
            f"line {run} has a time of a race that line {not_run} says has none. {SET_ASIDE} Keep the right one, or "
            "give the round of each (heat, final), and load the file again."
        )
        for name in ("time_s", "race_outcome"):
            here = rows.filter(pl.col(name).is_not_null())
            told = [_shown(value) for value in here[name].to_list()]
            found.append(here.select("_row", "_part", column=pl.lit(name), value=pl.Series("value", told, pl.String),
                                     reason=pl.lit(reason)).cast(CONFLICT_SCHEMA))  # type: ignore[arg-type]  # fmt: skip
    return pl.concat(found)


def _is_said_first(name: str) -> pl.Expr:
    """Mark rows that are the first of their key to say something in a column: such a row completes, it repeats not."""
    said = pl.col(name).is_not_null()
    return said & (said.cast(pl.UInt32).cum_sum().over("code") == 1)


def _shown(value: object) -> str:
    return "nothing" if value is None else f"{value:.10g}" if isinstance(value, float) else str(value)


def one_row_a_key(frame: pl.DataFrame, shape: TableShape) -> pl.DataFrame:
    """Return one row for each key: of each column the first value that is said, notes joined, the first line."""
    key = [name for name in shape.key if name in frame.columns]
    said = [name for name in frame.columns if name != "_row"]
    # Rows of one run mostly follow each other and say the same of it: those are dropped before anything is grouped.
    changes = pl.any_horizontal(pl.col(name).ne_missing(pl.col(name).shift(1)) for name in said)
    frame = frame.filter(changes | (pl.int_range(pl.len()) == 0))
    code = key_code(frame, key)
    if all_differ(code):
        return frame
    others = [name for name in frame.columns if name not in key and name not in ("_row", "note")]
    joined = [pl.col("note").drop_nulls().unique(maintain_order=True).str.join("; ")] if "note" in frame.columns else []
    if not others and not joined:
        return frame.with_columns(code).unique("code", keep="first", maintain_order=True).drop("code")
    made = (
        frame.with_columns(code)
        .group_by("code", maintain_order=True)
        .agg(pl.col([*key, "_row"]).first(), pl.col(others).drop_nulls().first(), *joined)
        .drop("code")
    )
    if "note" in made.columns:
        made = made.with_columns(note=pl.when(pl.col("note") == "").then(None).otherwise(pl.col("note")))
    return made.select(frame.columns)
