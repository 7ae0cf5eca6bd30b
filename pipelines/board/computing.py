"""Computing one derived table: for so many athletes at a time, checked against its model, in the order of its key."""

import contextlib
import operator
import os
from collections import deque
from collections.abc import Iterator, Mapping, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass
from functools import cache
from itertools import chain

import polars as pl

from pipelines.board.fingerprints import ATHLETE
from pipelines.derived.common.kept import kept
from pipelines.derived.registry import Derivation
from pipelines.errors import ThirdstepError
from schemas.base import Table, table_key

MOST_AT_ONCE = 4  # parts of a table; more take memory and, beside Polars' own threads, bring little; own choice
FEW_ROWS = 300  # up to which rows are compared one by one sooner than a query for them is made; own choice
CHUNK_ATHLETES = 100  # computed together: what a thousand athletes need at once does not fit a small machine


class DerivationFailed(ThirdstepError):  # noqa: N818 - reads as a sentence where it is raised
    """A derived table could not be computed; the last board stays."""


@dataclass(frozen=True)
class Computing:
    """One table's function and model."""

    name: str
    function: Derivation
    model: type[Table]

    def __call__(self, given: Mapping[str, object]) -> pl.DataFrame:
        """Return the table computed from what its function asks for, by parameter.

        Raises:
            DerivationFailed: The function failed, or what it returned does not fit the model.
        """
        try:
            frame = self.function(**given)
        except (Exception, pl.exceptions.PanicException) as trouble:  # a panic of Polars is no Exception
            raise DerivationFailed(
                f"'{self.name}' could not be computed: {type(trouble).__name__}: {trouble}"
            ) from trouble
        return checked(self.name, frame, self.model)


def all_parts(compute: Computing, parts: Iterator[dict[str, object]]) -> list[pl.DataFrame]:
    """Return a table computed part by part, in their order, as many at once as there are processors.

    Each part is a sequence of queries in which one waits for the other; two such sequences share two processors.
    """
    first, second = next(parts, None), next(parts, None)
    if first is None:
        return []
    if second is None:
        return [compute(first)]
    workers = min(os.cpu_count() or 1, MOST_AT_ONCE, pl.thread_pool_size())  # one of several processes: one
    waiting: deque[Future[pl.DataFrame]] = deque()
    done: list[pl.DataFrame] = []
    with ThreadPoolExecutor(workers) as pool:
        for part in chain((first, second), parts):  # made one by one: as many are in memory as are being computed
            if len(waiting) == workers:
                done.append(waiting.popleft().result())
            waiting.append(pool.submit(compute, part))
        done += [one.result() for one in waiting]
    return done


def parts_of(given: Mapping[str, object], athletes: pl.Series, *, everybody: bool) -> Iterator[dict[str, object]]:
    """Yield what is given, for so many athletes at a time; once, and whole, where they are few."""
    if everybody and athletes.len() <= CHUNK_ATHLETES:
        yield dict(given)
        return
    for start in range(0, athletes.len(), CHUNK_ATHLETES):
        some = athletes.slice(start, CHUNK_ATHLETES).implode()
        yield {
            name: value.filter(pl.col(ATHLETE).is_in(some))
            if isinstance(value, pl.DataFrame) and ATHLETE in value.columns
            else value
            for name, value in given.items()
        }


@kept  # much of what a write computes comes out as it was
def checked(name: str, frame: pl.DataFrame, model: type[Table]) -> pl.DataFrame:
    """Return a table in the order of its model's columns and its key, held against the model.

    Raises:
        DerivationFailed: It does not fit its model, or a key stands twice.
    """
    if not model.to_schema().is_met_by(frame):
        raise DerivationFailed(_misfit(name, frame, model))
    columns = list(model.to_schema().columns)
    return in_order(name, frame if frame.columns == columns else frame.select(columns), model)


def _misfit(name: str, frame: pl.DataFrame, model: type[Table]) -> str:
    """Return where a table does not fit its model, in a sentence."""
    import pandera.errors  # pandas comes with it, which takes longer than deriving an athlete

    try:
        model.validate(frame, lazy=True)
    except pandera.errors.SchemaErrors as trouble:
        cases = trouble.failure_cases.head(3).to_dicts()
        told = "; ".join(f"{c.get('column')}: {c.get('check')} ({c.get('failure_case')})" for c in cases)
        return f"'{name}' does not fit its model in {trouble.failure_cases.height} places: {told}"
    return f"'{name}' does not fit its model."


def in_order(name: str, frame: pl.DataFrame, model: type[Table]) -> pl.DataFrame:
    """Return a table in the order of its key.

    Most tables come so. Where each row's key is above the one before, which is quick to see, they are also different.

    Raises:
        DerivationFailed: A key stands twice.
    """
    key = table_key(model)
    if not key or _rises(frame, key):
        return frame
    ordered = frame.sort(key, maintain_order=True)
    if ordered.height and ordered.select(key).is_duplicated().any():
        raise DerivationFailed(f"'{name}' has two rows of one key ({', '.join(key)}).")
    return ordered


def _rises(frame: pl.DataFrame, key: Sequence[str]) -> bool:
    """Return whether the key of every row is above that of the row before."""
    if frame.height < 2:
        return True
    if frame.height <= FEW_ROWS:
        rows = frame[list(key)].rows()
        with contextlib.suppress(TypeError):  # unknown values cannot be compared so
            return all(map(operator.lt, rows, rows[1:]))
    return bool(frame.select(_row_rises(tuple(key))).item())


@cache
def _row_rises(key: tuple[str, ...]) -> pl.Expr:
    """Return whether each row's key is above that of the row before; unknown comes first, as in a sort."""
    rises = pl.lit(value=False)
    for name in reversed(key):
        now, before = pl.col(name), pl.col(name).shift()
        above = (now > before).fill_null(before.is_null() & now.is_not_null())
        rises = above | (now.eq_missing(before) & rises)
    return rises.slice(1).all()
