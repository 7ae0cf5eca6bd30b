"""Computing the derived tables: in the order their parameter names ask for, each checked against its model.

What was made from the same inputs, settings, day and code as now is taken from the last board: a whole table, or, in a
table whose rows follow from one athlete's rows alone, the rows of every athlete of whom nothing has changed. That is
exact because a derived function is pure, and because no athlete's row depends on who is computed together
(tests/demo/test_one_athlete.py).
"""

import datetime as dt
import inspect
from bisect import bisect_left
from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass, field
from graphlib import CycleError, TopologicalSorter

import pandera.errors
import polars as pl

from pipelines import fingerprints
from pipelines.derived.registry import Derivation
from pipelines.errors import ThirdstepError
from schemas.base import Table, table_key
from schemas.settings import SquadSettings

WORDS = ("settings", "as_of")  # parameters that are no tables
SETTLED = "_settled"  # a parameter that ends so is a table without the running week
ATHLETE = fingerprints.ATHLETE
MOST_PIECES = 64  # that a table is left in; own choice
CHUNK_ATHLETES = 100  # computed together: what a thousand athletes need at once does not fit a small machine
PRINTS = {"table_name": pl.String, ATHLETE: pl.String, "value": pl.String}


class DerivationFailed(ThirdstepError):  # noqa: N818 - reads as a sentence where it is raised
    """A derived table could not be computed; the last board stays."""


@dataclass(frozen=True)
class Derived:
    """The derived tables, and what each was computed from."""

    frames: dict[str, pl.DataFrame]
    fingerprints: dict[str, str]  # of each table's inputs
    athlete_fingerprints: pl.DataFrame  # table_name, athlete_id, value: of each athlete's inputs
    reused: list[str]  # tables taken over whole
    recomputed: dict[str, int] = field(default_factory=dict)  # athletes computed, by table, where not all were

    def read(self, name: str) -> pl.DataFrame:
        """Return one table."""
        return self.frames[name]


@dataclass(frozen=True)
class Earlier:
    """What was derived last time, as the last board tells it."""

    fingerprints: Mapping[str, str]
    athlete_fingerprints: pl.DataFrame
    read: Callable[[str], pl.DataFrame]

    @classmethod
    def of(cls, derived: Derived) -> "Earlier":
        """Return tables derived in this process as the earlier ones of the next time."""
        return cls(derived.fingerprints, derived.athlete_fingerprints, derived.read)


NOTHING_EARLIER = Earlier({}, pl.DataFrame(schema=PRINTS), lambda name: pl.DataFrame())


def inputs_of(function: Derivation) -> list[str]:
    """Return the tables that a derivation reads, and ``settings`` and ``as_of`` where it asks for them."""
    return [name.removesuffix(SETTLED) for name in _parameters(function)]


def _parameters(function: Derivation) -> list[str]:
    return list(inspect.signature(function).parameters)


def order_of(functions: Mapping[str, Derivation], records: Mapping[str, object]) -> list[str]:
    """Return the derived tables in an order in which each comes after the ones it reads.

    Raises:
        DerivationFailed: A parameter names no table, or tables read each other in a circle.
    """
    needs = {}
    for name, function in functions.items():
        tables = [p for p in inputs_of(function) if p not in WORDS]
        unknown = [p for p in tables if p not in records and p not in functions]
        if unknown:
            raise DerivationFailed(f"'{name}' reads '{unknown[0]}', and there is no such table.")
        needs[name] = [p for p in tables if p in functions]
    try:
        return list(TopologicalSorter(needs).static_order())
    except CycleError as circle:
        raise DerivationFailed(
            f"Derived tables read each other in a circle: {' -> '.join(circle.args[1])}."
        ) from circle


def derive_all(
    records: Mapping[str, pl.DataFrame],
    settings: SquadSettings,
    as_of: dt.date,
    *,
    functions: Mapping[str, Derivation],
    models: Mapping[str, type[Table]],
    by_athlete: Collection[str] = (),
    earlier: Earlier = NOTHING_EARLIER,
    tell: Callable[[int, int, str], None] | None = None,
) -> Derived:
    """Compute every derived table.

    Args:
        records: Record tables, with exactly their model's columns.
        settings: The squad's settings.
        as_of: The day the tool looks from.
        functions: The derivations by table.
        models: Their models.
        by_athlete: The tables whose rows of one athlete follow from that athlete's rows alone, and from tables
            without athletes.
        earlier: What was derived last time.
        tell: Is told how many of how many tables are done, and which comes next.

    Raises:
        DerivationFailed: A table is not there, fails, or does not fit its model.
    """
    run = _Run(records, settings, as_of, earlier)
    order = order_of(functions, records)
    for done, name in enumerate(order):
        if tell:
            tell(done, len(order), name)
        run.derive(name, functions[name], models[name], apart=name in by_athlete)
    if tell:
        tell(len(order), len(order), "")
    return Derived(
        {name: run.frames[name] for name in order},
        run.prints,
        pl.concat([pl.DataFrame(schema=PRINTS), *run.athlete_prints]),
        run.reused,
        run.recomputed,
    )


class _Run:
    """One derivation of all tables: the tables so far, and what is known of the last time."""

    def __init__(
        self, records: Mapping[str, pl.DataFrame], settings: SquadSettings, as_of: dt.date, earlier: Earlier
    ) -> None:
        self.frames = dict(records)
        self.settings, self.as_of, self.earlier = settings, as_of, earlier
        self.code = fingerprints.of_code()
        self.contents = fingerprints.Contents()
        self.prints: dict[str, str] = {}
        self.athlete_prints: list[pl.DataFrame] = []
        self.reused: list[str] = []
        self.recomputed: dict[str, int] = {}

    def derive(self, name: str, function: Derivation, model: type[Table], *, apart: bool) -> None:
        """Compute one table, or as much of it as is not as it was."""
        given = {parameter: self._given(parameter) for parameter in _parameters(function)}
        tables = [parameter for parameter in given if parameter not in WORDS]
        # A changed setting, day or line of code computes anew what asks for it.
        asked = {word: value for word, value in given.items() if word in WORDS}
        shared = [t for t in tables if not (apart and self.contents.has_athletes(t))]
        common = fingerprints.of_text(name, self.code, asked, *(f"{t}={self.contents.whole(t)}" for t in shared))
        now = None
        if apart:
            now = self.contents.by_athlete([t for t in tables if t not in shared], common)
            self.athlete_prints.append(now.select(pl.lit(name).alias("table_name"), ATHLETE, "value"))
        self.prints[name] = common if now is None else fingerprints.of_text(common, fingerprints.of_table(now))
        if self.earlier.fingerprints.get(name) == self.prints[name]:
            self.frames[name] = self.earlier.read(name)
            self.reused.append(name)
            return
        compute = _Computing(name, function, model)
        if now is None:
            self.frames[name] = compute(given)
            return
        same = self._unchanged(name, now)
        changed = now.filter(~pl.col(ATHLETE).is_in(same.implode()))[ATHLETE]
        parts = [compute(part) for part in _parts(given, changed, everybody=same.is_empty())]
        if same.is_empty():
            self.frames[name] = parts[0] if len(parts) == 1 else in_order(name, pl.concat(parts), model)
            return
        self.recomputed[name] = changed.len()
        before = self.earlier.read(name)
        fresh = in_order(name, pl.concat([before.clear(), *parts]), model)
        begins_with_athlete = table_key(model)[:1] == [ATHLETE]
        self.frames[name] = (
            put_among(before, fresh, keep=same)
            if begins_with_athlete
            else in_order(name, pl.concat([before.filter(pl.col(ATHLETE).is_in(same.implode())), fresh]), model)
        )

    def _given(self, parameter: str) -> object:
        if parameter == "settings":
            return self.settings
        if parameter == "as_of":
            return self.as_of
        frame = self.frames[parameter.removesuffix(SETTLED)]
        if parameter.endswith(SETTLED):
            frame = _settled(frame, self.as_of)
        if parameter not in self.contents:
            self.contents.add(parameter, frame)
        return frame

    def _unchanged(self, name: str, now: pl.DataFrame) -> pl.Series:
        """Return the athletes whose rows of a table can be taken over."""
        then = self.earlier.athlete_fingerprints.filter(table_name=name)
        return now.join(then, on=[ATHLETE, "value"], how="semi")[ATHLETE]


@dataclass(frozen=True)
class _Computing:
    """One table's function and model."""

    name: str
    function: Derivation
    model: type[Table]

    def __call__(self, given: Mapping[str, object]) -> pl.DataFrame:
        try:
            frame = self.function(**given)
        except Exception as trouble:
            raise DerivationFailed(
                f"'{self.name}' could not be computed: {type(trouble).__name__}: {trouble}"
            ) from trouble
        return checked(self.name, frame, self.model)


def _settled(frame: pl.DataFrame, as_of: dt.date) -> pl.DataFrame:
    """Return the rows dated before the running week; the date is the first of the table's dates."""
    day = next(name for name, kind in frame.schema.items() if kind == pl.Date)
    return frame.filter(pl.col(day) < as_of - dt.timedelta(days=as_of.weekday()))


def _parts(given: Mapping[str, object], athletes: pl.Series, *, everybody: bool) -> Iterator[dict[str, object]]:
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


def checked(name: str, frame: pl.DataFrame, model: type[Table]) -> pl.DataFrame:
    """Return a table in the order of its model's columns and its key, held against the model.

    Raises:
        DerivationFailed: It does not fit its model, or a key stands twice.
    """
    try:
        model.validate(frame, lazy=True)
    except pandera.errors.SchemaErrors as trouble:
        cases = trouble.failure_cases.head(3).to_dicts()
        told = "; ".join(f"{c.get('column')}: {c.get('check')} ({c.get('failure_case')})" for c in cases)
        raise DerivationFailed(
            f"'{name}' does not fit its model in {trouble.failure_cases.height} places: {told}"
        ) from trouble
    return in_order(name, frame.select(list(model.to_schema().columns)), model)


def put_among(before: pl.DataFrame, fresh: pl.DataFrame, *, keep: pl.Series) -> pl.DataFrame:
    """Return the rows of the athletes to keep, and the fresh rows of others among them, in the order of athletes.

    Args:
        before: A table in the order of a key that begins with the athlete.
        fresh: Rows of athletes who are not to be kept, in the same order.
        keep: Athletes whose rows are taken over. Neither table is sorted again: that was most of a new run's cost.
    """
    places = before.select(ATHLETE, _end=pl.int_range(1, pl.len() + 1)).group_by(ATHLETE).agg(pl.col("_end").max())
    ends: dict[str, int] = dict(places.iter_rows())
    kept, new = set(keep.to_list()), fresh.partition_by(ATHLETE, as_dict=True, maintain_order=True)
    others = sorted({*ends, *(who for (who,) in new)} - kept)
    pieces, start, known = [], 0, sorted(ends)
    for who in others:  # what stands before this athlete is kept, what stands for this athlete is not
        place = bisect_left(known, who)
        until = ends[known[place - 1]] if place else 0
        pieces.append(before[start:until])
        pieces += [new[who,]] if (who,) in new else []
        start = ends.get(who, until)
    pieces.append(before[start:])
    return pl.concat(pieces, rechunk=len(pieces) > MOST_PIECES)


def in_order(name: str, frame: pl.DataFrame, model: type[Table]) -> pl.DataFrame:
    """Return a table in the order of its key.

    Raises:
        DerivationFailed: A key stands twice.
    """
    key = table_key(model)
    if not key:
        return frame
    ordered = frame.sort(key, maintain_order=True)
    if ordered.height and ordered.select(key).is_duplicated().any():
        raise DerivationFailed(f"'{name}' has two rows of one key ({', '.join(key)}).")
    return ordered
