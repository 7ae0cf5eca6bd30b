"""Fingerprints of tables, whole and athlete by athlete, and of the code: what tells that nothing has changed."""

import hashlib
from collections.abc import Sequence
from functools import cache

import numpy as np
import polars as pl

from pipelines.board import code_behind
from schemas.phrase import phrase

ATHLETE = "athlete_id"
PRINTS = {ATHLETE: pl.String, "value": pl.String}
SEEDS = {"_one": 2, "_other": 3}  # any two numbers


def of_text(*words: object) -> str:
    """Return a digest of some words."""
    return _digest(" ".join(str(word) for word in words).encode())


def of_athletes(frame: pl.DataFrame) -> pl.DataFrame:
    """Return athlete_id and value: what an athlete's rows of a table add up to, in the order of athletes.

    Rows are summed, so their order does not count; every table is kept in the order of its key. Mostly an athlete's
    rows stand together: each such run is added up at once, which takes half the time of grouping all rows.
    """
    if frame.is_empty():
        return pl.DataFrame(schema=PRINTS)
    runs = frame[ATHLETE].rle().struct.unnest()
    begin = (runs["len"].cum_sum() - runs["len"]).cast(pl.Int64).to_numpy()
    sums = {name: np.add.reduceat(hashes.to_numpy(), begin) for name, hashes in _hashes(frame).items()}
    rows = pl.DataFrame({ATHLETE: runs["value"], **sums})
    return _as_text(rows.group_by(ATHLETE).agg(pl.col(*SEEDS).sum()).sort(ATHLETE))


def of_table(frame: pl.DataFrame) -> str:
    """Return a digest of a table's columns, types and rows in their order.

    It is made from the rows' hashes, not from the bytes of the columns: equal texts can lie in memory in several ways.
    """
    rows = frame.hash_rows(seed=SEEDS["_one"]).to_numpy().tobytes() if frame.width else b""
    return _digest(str(dict(frame.schema)).encode() + rows)


def _hashes(frame: pl.DataFrame) -> dict[str, pl.Series]:
    """Return two 64-bit numbers for each row.

    The second is the first stirred. Two rows that meet in one meet in both (once in 10^19); what the second adds is
    that sums of many rows, which could balance in one, do not in both.
    """
    one = frame.hash_rows(seed=SEEDS["_one"])
    return {"_one": one, "_other": one.hash(seed=SEEDS["_other"])}


class Contents:
    """The fingerprints of the tables at hand, each made once, when it is first asked for."""

    def __init__(self) -> None:
        self._whole: dict[str, str] = {}
        self._athletes: dict[str, pl.DataFrame] = {}

    def add(self, name: str, frame: pl.DataFrame, kept: pl.DataFrame | None = None) -> None:
        """Take in a table.

        Args:
            name: What it is asked for by.
            frame: Its rows; of some athletes only, where the others' fingerprints are known.
            kept: The known fingerprints of those others: athlete_id, value.
        """
        if ATHLETE in frame.columns:
            prints = of_athletes(frame)
            self.add_known(name, prints if kept is None else pl.concat([prints, kept]).sort(ATHLETE), frame)
        else:
            self._whole[name] = of_table(frame)

    def add_known(self, name: str, prints: pl.DataFrame, frame: pl.DataFrame) -> None:
        """Take in a table with athletes whose fingerprints are known: athlete_id, value, in the order of athletes."""
        self._athletes[name] = prints
        self._whole[name] = of_text(of_table(prints), dict(frame.schema))

    def __contains__(self, name: str) -> bool:
        return name in self._whole

    def has_athletes(self, name: str) -> bool:
        """Return whether the table's rows are those of athletes."""
        return name in self._athletes

    def whole(self, name: str) -> str:
        """Return the table's fingerprint."""
        return self._whole[name]

    def of(self, name: str) -> pl.DataFrame:
        """Return athlete_id and value of a table with athletes: the fingerprint of each athlete's rows."""
        return self._athletes[name]

    def by_athlete(self, tables: Sequence[str], common: str) -> pl.DataFrame:
        """Return athlete_id and value: the fingerprint of what a table of that athlete is made from.

        Args:
            tables: The tables it is made from, those with athletes.
            common: What is the same for all athletes.
        """
        joined = pl.DataFrame(schema={ATHLETE: pl.String})
        for table in tables:
            joined = joined.join(self._athletes[table].rename({"value": table}), on=ATHLETE, how="full", coalesce=True)
        joined = joined.sort(ATHLETE).with_columns(_common=pl.lit(common))
        return _as_text(joined.select(ATHLETE, **_hashes(joined)))


def _as_text(rows: pl.DataFrame) -> pl.DataFrame:
    return rows.select(ATHLETE, value=phrase("{}-{}", *SEEDS))


@cache
def of_code() -> str:
    """Return a digest of all code that a derived table can depend on; of a process, as it was when first asked for."""
    return code_behind.of_all(code_behind.sources())


@cache
def of_code_behind(*modules: str) -> str:
    """Return a digest of the code that some modules hang on, themselves among it."""
    return code_behind.of_modules(modules, code_behind.sources())


def _digest(content: bytes | memoryview) -> str:
    return hashlib.blake2b(content, digest_size=16).hexdigest()
