"""Computing the derived tables: in the order their parameter names ask for, each checked against its model.

What was made from the same inputs, settings, day and code as now is taken from the last board: a whole table, or, in a
table whose rows follow from one athlete's rows alone, the rows of every athlete of whom nothing has changed. That is
exact because a derived function is pure, and because no athlete's row depends on who is computed together
(tests/demo/test_one_athlete.py).
"""

import datetime as dt
import inspect
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from graphlib import CycleError, TopologicalSorter

import polars as pl

from pipelines.board import fingerprints
from pipelines.board.among import put_among
from pipelines.board.computing import Computing, DerivationFailed, all_parts, in_order, parts_of
from pipelines.board.delta import SETTLED
from pipelines.derived.registry import Derivation
from schemas.base import Table, table_key
from schemas.settings import SquadSettings

WORDS = ("settings", "as_of")  # parameters that are no tables
ATHLETE = fingerprints.ATHLETE
PRINTS = {"table_name": pl.String, **fingerprints.PRINTS}


@dataclass(frozen=True)
class Derived:
    """The derived tables, and what each was computed from."""

    frames: dict[str, pl.DataFrame]
    fingerprints: dict[str, str]  # of each table's inputs
    athlete_fingerprints: pl.DataFrame  # table_name, athlete_id, value: of each athlete's inputs
    athlete_contents: pl.DataFrame  # table_name, athlete_id, value: of each athlete's rows, where a table reads them
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
    athlete_contents: pl.DataFrame
    read: Callable[[str], pl.DataFrame]

    @classmethod
    def of(cls, derived: Derived) -> "Earlier":
        """Return tables derived in this process as the earlier ones of the next time."""
        return cls(derived.fingerprints, derived.athlete_fingerprints, derived.athlete_contents, derived.read)


NOTHING_EARLIER = Earlier({}, pl.DataFrame(schema=PRINTS), pl.DataFrame(schema=PRINTS), lambda name: pl.DataFrame())
EVERYBODY = pl.lit(value=True)


@dataclass(frozen=True)
class Made:
    """A table, and which of its rows are not those of last time."""

    frame: pl.DataFrame
    fresh: pl.DataFrame
    kept: pl.Expr | None  # the athletes whose rows are those of last time; the fresh ones are all others'

    @classmethod
    def anew(cls, frame: pl.DataFrame) -> "Made":
        """Return a table of which every row is fresh."""
        return cls(frame, frame, None)


def before_week_of(as_of: dt.date, frame: pl.DataFrame) -> pl.DataFrame:
    """Return the rows dated before the running week; the first date of a row counts, and no date is before it."""
    day = next((name for name, kind in frame.schema.items() if kind == pl.Date), None)
    return frame if day is None else frame.filter(pl.col(day) < as_of - dt.timedelta(days=as_of.weekday()))


def inputs_of(function: Derivation) -> list[str]:
    """Return the tables that a derivation reads, and ``settings`` and ``as_of`` where it asks for them."""
    return [name.removesuffix(SETTLED) for name in parameters_of(function)]


@cache
def parameters_of(function: Derivation) -> tuple[str, ...]:
    """Return the names of what a derivation asks for."""
    return tuple(inspect.signature(function).parameters)


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
    put: Callable[[str, pl.DataFrame], None] | None = None,
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
        put: Is handed each table as soon as it is there. What no later table reads is then let go of, and ``frames`` of
            what comes back are empty: a large squad's tables need not all be in memory at once.

    Raises:
        DerivationFailed: A table is not there, fails, or does not fit its model.
    """
    run = Run({name: Made.anew(frame) for name, frame in records.items()}, settings, as_of, earlier)
    order = order_of(functions, records)
    del records  # the run has them; who called may have let go of them
    last = {name: place for place, reader in enumerate(order) for name in inputs_of(functions[reader])}
    for done, name in enumerate(order):
        if tell:
            tell(done, len(order), name)
        run.derive(name, functions[name], models[name], apart=name in by_athlete)
        if put:
            put(name, run.made[name].frame)
            for read in [name, *inputs_of(functions[name])]:
                if last.get(read, done) <= done:
                    run.made.pop(read, None)
    if tell:
        tell(len(order), len(order), "")
    return Derived(
        {} if put else {name: run.made[name].frame for name in order},
        run.prints,
        pl.concat([pl.DataFrame(schema=PRINTS), *run.athlete_prints]),
        pl.concat([pl.DataFrame(schema=PRINTS), *run.athlete_contents]),
        run.reused,
        run.recomputed,
    )


class Run:
    """One derivation of all tables: the tables so far, and what is known of the last time."""

    def __init__(self, made: dict[str, Made], settings: SquadSettings, as_of: dt.date, earlier: Earlier) -> None:
        self.made = made
        self.settings, self.as_of, self.earlier = settings, as_of, earlier
        self.monday = as_of - dt.timedelta(days=as_of.weekday())
        self.contents = fingerprints.Contents()
        self.prints: dict[str, str] = {}
        self.common: dict[str, str] = {}  # of each table: what its fingerprint holds beside the athletes' own
        self.athlete_prints: list[pl.DataFrame] = []
        self.athlete_contents: list[pl.DataFrame] = []
        self.reused: list[str] = []
        self.recomputed: dict[str, int] = {}

    def derive(self, name: str, function: Derivation, model: type[Table], *, apart: bool) -> None:
        """Compute one table, or as much of it as is not as it was."""
        parameters = parameters_of(function)
        tables = [parameter for parameter in parameters if parameter not in WORDS]
        for table in tables:
            self.take_in(table)
        # A changed setting, day or line of code computes anew what asks for it.
        asked = {word: self._given(word) for word in parameters if word in WORDS}
        shared = [t for t in tables if not (apart and self.contents.has_athletes(t))]
        shapes = [(t, self._shape(t)) for t in tables]  # an athlete's fingerprint is of values only
        wholes = [f"{t}={self.contents.whole(t)}" for t in shared]
        code = fingerprints.of_code_behind(function.__module__, model.__module__)
        common = self.common[name] = fingerprints.of_text(name, code, asked, shapes, *wholes)
        now = None
        if apart:
            now = self.contents.by_athlete([t for t in tables if t not in shared], common)
            self.athlete_prints.append(named(name, now))
        self.prints[name] = common if now is None else fingerprints.of_text(common, fingerprints.of_table(now))
        if self.earlier.fingerprints.get(name) == self.prints[name]:
            before = self.earlier.read(name)
            self.made[name] = Made(before, before.clear(), EVERYBODY)
            self.reused.append(name)
            return
        compute = Computing(name, function, model)
        if now is None:
            self.made[name] = Made.anew(self._whole(compute, parameters))
            return
        given = {parameter: self._given(parameter) for parameter in parameters}
        self.made[name] = self._mixed(compute, given, now)

    def _whole(self, compute: Computing, parameters: Sequence[str]) -> pl.DataFrame:
        """Return a table computed from what its function asks for."""
        return compute({parameter: self._given(parameter) for parameter in parameters})

    def _mixed(self, compute: Computing, given: Mapping[str, object], now: pl.DataFrame) -> Made:
        """Return the rows of last time of the athletes of whom nothing has changed, among those computed anew."""
        name, model = compute.name, compute.model
        same = self._unchanged(name, now)
        is_kept = pl.col(ATHLETE).is_in(same.implode())
        changed = now.filter(~is_kept)[ATHLETE]
        parts = all_parts(compute, parts_of(given, changed, everybody=same.is_empty()))
        if same.is_empty():
            return Made.anew(parts[0] if len(parts) == 1 else in_order(name, pl.concat(parts), model))
        self.recomputed[name] = changed.len()
        before = self.earlier.read(name)
        fresh = in_order(name, pl.concat([before.clear(), *parts]), model)
        if table_key(model)[:1] == [ATHLETE]:
            return Made(put_among(before, fresh, keep=same), fresh, is_kept)
        return Made(in_order(name, pl.concat([before.filter(is_kept), fresh]), model), fresh, is_kept)

    def take_in(self, parameter: str) -> None:
        """Fingerprint the rows of a table that is read; those known to be as last time have last time's."""
        if parameter in self.contents:
            return
        made, label = self.made[parameter.removesuffix(SETTLED)], self.label_of(parameter)
        known = self.earlier.athlete_contents.filter(table_name=label)
        if made.kept is None or known.is_empty():
            self.contents.add(parameter, self._cut(made.frame, parameter))
        else:
            kept = known.filter(made.kept).drop("table_name")
            self.contents.add(parameter, self._cut(made.fresh, parameter), kept)
        if self.contents.has_athletes(parameter):
            self.athlete_contents.append(named(label, self.contents.of(parameter)))

    def label_of(self, parameter: str) -> str:
        """Return what the fingerprints of a table that is read are kept under; rows of settled weeks under the week."""
        return f"{parameter} before {self.monday}" if parameter.endswith(SETTLED) else parameter

    def _shape(self, parameter: str) -> dict[str, pl.DataType]:
        return dict(self.made[parameter.removesuffix(SETTLED)].frame.schema)

    def _given(self, parameter: str) -> object:
        if parameter == "settings":
            return self.settings
        if parameter == "as_of":
            return self.as_of
        return self._cut(self.made[parameter.removesuffix(SETTLED)].frame, parameter)

    def _cut(self, frame: pl.DataFrame, parameter: str) -> pl.DataFrame:
        return before_week_of(self.as_of, frame) if parameter.endswith(SETTLED) else frame

    def _unchanged(self, name: str, now: pl.DataFrame) -> pl.Series:
        """Return the athletes whose rows of a table can be taken over."""
        then = self.earlier.athlete_fingerprints.filter(table_name=name)
        return now.join(then, on=[ATHLETE, "value"], how="semi")[ATHLETE]


def named(name: str, rows: pl.DataFrame) -> pl.DataFrame:
    """Return fingerprints as they are kept: with the table they are of."""
    return rows.select(pl.lit(name).alias("table_name"), *fingerprints.PRINTS)
