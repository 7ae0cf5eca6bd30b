"""Computing the derived tables: in the order their parameter names ask for, each checked against its model.

A table whose inputs, settings, day and code are what they were at the last board is taken from that board instead of
being computed again. That is exact because a derived function is pure: same inputs, same table.
"""

import datetime as dt
import hashlib
import importlib
import inspect
import io
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from graphlib import CycleError, TopologicalSorter
from pathlib import Path

import pandera.errors
import polars as pl

from pipelines.derived.registry import Derivation
from pipelines.errors import ThirdstepError
from schemas.base import Table, table_key
from schemas.settings import SquadSettings

WORDS = ("settings", "as_of")  # parameters that are no tables
Earlier = Callable[[str, str], pl.DataFrame | None]


class DerivationFailed(ThirdstepError):  # noqa: N818 - reads as a sentence where it is raised
    """A derived table could not be computed; the last board stays."""


@dataclass(frozen=True)
class Derived:
    """The derived tables and, for each, the fingerprint of what it was computed from."""

    frames: dict[str, pl.DataFrame]
    fingerprints: dict[str, str]
    reused: list[str]


def inputs_of(function: Derivation) -> list[str]:
    """Return the parameter names of a derivation."""
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
    earlier: Earlier | None = None,
    tell: Callable[[int, int, str], None] | None = None,
) -> Derived:
    """Compute every derived table.

    Args:
        records: Record tables, with exactly their model's columns.
        settings: The squad's settings.
        as_of: The day the tool looks from.
        functions: The derivations by table.
        models: Their models.
        earlier: Gives a table of the last board when its fingerprint is the one asked for.
        tell: Is told how many of how many tables are done, and which comes next.

    Raises:
        DerivationFailed: A table is not there, fails, or does not fit its model.
    """
    frames, reused, prints = dict(records), [], {}
    # One answer for everything that is no table: a changed setting, day or line of code computes all anew.
    common = f"{code_fingerprint()} {settings} {as_of}"
    contents = {name: content_fingerprint(frame) for name, frame in records.items()}
    order = order_of(functions, records)
    for done, name in enumerate(order):
        if tell:
            tell(done, len(order), name)
        tables = [p for p in inputs_of(functions[name]) if p not in WORDS]
        prints[name] = _digest(" ".join([name, common, *(f"{t}={contents[t]}" for t in tables)]).encode())
        kept = earlier(name, prints[name]) if earlier else None
        if kept is None:
            frames[name] = _compute(name, functions[name], models[name], frames, settings, as_of)
        else:
            frames[name] = kept
            reused.append(name)
        contents[name] = content_fingerprint(frames[name])
    if tell:
        tell(len(order), len(order), "")
    return Derived({name: frames[name] for name in order}, prints, reused)


def _compute(
    name: str,
    function: Derivation,
    model: type[Table],
    frames: Mapping[str, pl.DataFrame],
    settings: SquadSettings,
    as_of: dt.date,
) -> pl.DataFrame:
    given = {"settings": settings, "as_of": as_of}
    arguments = {p: given[p] if p in WORDS else frames[p] for p in inputs_of(function)}
    try:
        frame = function(**arguments)
    except Exception as trouble:
        raise DerivationFailed(f"'{name}' could not be computed: {type(trouble).__name__}: {trouble}") from trouble
    return checked(name, frame, model)


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
    key = table_key(model)
    if key and frame.height and not frame.select(key).is_unique().all():
        raise DerivationFailed(f"'{name}' has two rows of one key ({', '.join(key)}).")
    ordered = frame.select(list(model.to_schema().columns))
    return ordered.sort(key, maintain_order=True) if key else ordered


def content_fingerprint(frame: pl.DataFrame) -> str:
    """Return a digest of a table's columns, types and rows in their order."""
    held = io.BytesIO()
    frame.rechunk().write_ipc(held)
    return _digest(held.getbuffer())


def code_fingerprint() -> str:
    """Return a digest of all code that a derived table can depend on."""
    digest = hashlib.blake2b(digest_size=16)
    for package in ("pipelines.derived", "schemas"):
        folder = Path(next(iter(importlib.import_module(package).__path__)))
        for path in sorted(folder.rglob("*.py")):
            digest.update(path.relative_to(folder).as_posix().encode() + path.read_bytes())
    return digest.hexdigest()


def _digest(content: bytes | memoryview) -> str:
    return hashlib.blake2b(content, digest_size=16).hexdigest()
