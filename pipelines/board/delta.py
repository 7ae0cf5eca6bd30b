"""What a board says otherwise since its file was made: the rows of some athletes, and small tables whole.

A delta is one small file beside its board, ``board-000012.delta-000003``: a header (JSON) that names its tables, and
the rows of each as Arrow (IPC). It holds all that differs from its board: a reader needs the board and one delta.
"""

import io
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from pathlib import Path

import polars as pl

from pipelines.board.delta_header import ENDING, MARK, base_of, is_delta, read_header, with_header
from pipelines.board.rows_kept import mark_of
from pipelines.home.durable import write_durably

ATHLETE = "athlete_id"
last_seen: list[tuple[tuple[object, ...], "Delta"]] = []  # one: a write reads it three times
SETTLED = "_settled"  # what is asked for by a name that ends so is a table without the running week


@dataclass(frozen=True)
class Piece:
    """A table's rows of some athletes, or all of its rows."""

    rows: pl.DataFrame
    athletes: frozenset[str] | None  # whose rows they are, all of them; null for the table whole

    @cached_property
    def blob(self) -> bytes:
        """The rows as they stand in the file; those that no later write touches are put in again as they are."""
        written = io.BytesIO()
        self.rows.write_ipc(written)
        return written.getvalue()

    def over(self, before: pl.DataFrame) -> pl.DataFrame:
        """Return a table as the board holds it with these rows in the place of its own."""
        if self.athletes is None:
            return self.rows
        kept = before.filter(~pl.col(ATHLETE).is_in(sorted(self.athletes)))
        return pl.concat([kept, self.rows.select(before.columns).cast(dict(before.schema))])  # type: ignore[arg-type]


@dataclass(frozen=True)
class Delta:
    """What differs from a board: pieces by table, the last event each athlete's rows know of, what the board says."""

    base: str  # name of the board's file
    number: int = 0
    pieces: Mapping[str, Piece] = field(default_factory=dict)
    events: Mapping[str, int] = field(default_factory=dict)  # athlete -> number of the event
    info: Mapping[str, str] = field(default_factory=dict)
    # Whose rows of a table (or of one without the running week) changed since the squad's tables were made from it.
    waiting: Mapping[str, frozenset[str]] = field(default_factory=dict)

    @property
    def name(self) -> str:
        """The name of its file."""
        return f"{self.base.removesuffix(ENDING)}{MARK}{self.number:06d}"

    def with_pieces(
        self,
        pieces: Mapping[str, Piece],
        athletes: Collection[str],
        event_no: int,
        info: Mapping[str, str],
        changed: Collection[str] = (),
    ) -> "Delta":
        """Return the next delta of the same board: these pieces, and what was in this one of other athletes.

        The squad's tables are still to follow from the tables that changed of these athletes.
        """
        events = {**self.events, **dict.fromkeys(athletes, event_no)}
        told = {table: self.waiting.get(table, frozenset()) | frozenset(athletes) for table in changed}
        return replace(self._next(pieces, info), events=events, waiting={**self.waiting, **told})

    def caught_up(self, pieces: Mapping[str, Piece], info: Mapping[str, str]) -> "Delta":
        """Return the next delta of the same board, in which the squad's tables have followed."""
        return replace(self._next(pieces, info), waiting={})

    def with_more(self, pieces: Mapping[str, Piece]) -> "Delta":
        """Return the same delta with these pieces laid over its own."""
        merged = dict(self.pieces)
        for table, piece in pieces.items():
            merged[table] = _merged(merged.get(table), piece)
        return replace(self, pieces=merged)

    def _next(self, pieces: Mapping[str, Piece], info: Mapping[str, str]) -> "Delta":
        return replace(self.with_more(pieces), number=self.number + 1, info={**self.info, **info})

    def carried(self, base: str, event_no: int, whole: Collection[str], behind: Collection[str]) -> "Delta | None":
        """Return what of it a newer board lacks: the rows of athletes of whom more happened than the board knows.

        What follows for the squad is to be made from all of those rows, whether it was in this delta already or not:
        it may have been made together with rows that the newer board has otherwise.

        Args:
            base: The newer board's file.
            event_no: The last event it knows of.
            whole: Tables that come whole, as of this delta, when anything is left.
            behind: Tables that the squad's tables are, or that rest on one.
        """
        newer = frozenset(one for one, event in self.events.items() if event > event_no)
        if not newer and int(self.info.get("last_event", 0)) <= event_no:
            return None
        pieces: dict[str, Piece] = {}
        for table, piece in self.pieces.items():
            if piece.athletes is None:
                pieces |= {table: piece} if table in whole else {}
            elif piece.athletes & newer:
                rows = piece.rows.filter(pl.col(ATHLETE).is_in(sorted(newer)))
                pieces[table] = Piece(rows, piece.athletes & newer)
        events = {one: self.events[one] for one in newer}
        info = {**self.info, "older": " ".join(sorted(behind)) if newer else ""}
        # Not which of them changed in the running week alone: taken as if in both.
        named = [name for name, piece in pieces.items() if piece.athletes is not None]
        waiting = {f"{name}{ending}": newer for name in named for ending in ("", SETTLED)}
        return Delta(base, 1, pieces, events, info, waiting)


def _merged(before: Piece | None, piece: Piece) -> Piece:
    if before is None or piece.athletes is None:
        return piece
    if before.athletes is None:
        return Piece(piece.over(before.rows), None)
    others = before.rows.filter(~pl.col(ATHLETE).is_in(sorted(piece.athletes)))
    return Piece(pl.concat([others, piece.rows.select(others.columns)]), before.athletes | piece.athletes)


def number_of(path: Path) -> int:
    """Return the number of a delta, 0 for a board itself."""
    return int(path.name.split(MARK, maxsplit=1)[1]) if is_delta(path) else 0


def write_delta(folder: Path, delta: Delta) -> Path:
    """Write a delta whole and flushed, and return its path."""
    blobs = [piece.blob for piece in delta.pieces.values()]
    pieces = [
        (table, None if piece.athletes is None else sorted(piece.athletes), len(blob))
        for (table, piece), blob in zip(delta.pieces.items(), blobs, strict=True)
    ]
    waiting = {table: sorted(athletes) for table, athletes in delta.waiting.items()}
    told = {"events": dict(delta.events), "info": dict(delta.info), "waiting": waiting, "pieces": pieces}
    path = folder / delta.name
    write_durably(path, with_header(told, blobs))
    last_seen[:] = [(mark_of(path), delta)]
    return path


def read_delta(path: Path) -> Delta:
    """Return a delta; of a board itself, one that changes nothing.

    Raises:
        OSError: It is not there, or damaged.
        polars.exceptions.PolarsError: It is damaged.
    """
    if not is_delta(path):
        return Delta(path.name)
    mark = mark_of(path)
    for known, delta in [*last_seen]:
        if known == mark:
            return delta
    content = path.read_bytes()
    told, begin = read_header(content)
    pieces: dict[str, Piece] = {}
    for table, athletes, length in told["pieces"]:
        whose = None if athletes is None else frozenset(athletes)
        pieces[table] = Piece(pl.read_ipc(io.BytesIO(content[begin : begin + length])), whose)
        begin += length
    waiting = {table: frozenset(whose) for table, whose in told["waiting"].items()}
    delta = Delta(base_of(path).name, number_of(path), pieces, told["events"], told["info"], waiting)
    last_seen[:] = [(mark, delta)]
    return delta
