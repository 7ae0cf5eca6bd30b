"""The squad's tables a moment after the athletes' own: what rests on several people, made from what a delta says.

A delta names whose rows of which tables have changed since the squad's tables were made (``waiting``). Every table that
rests on those is computed: one of the squad from everybody's rows, another from the rows of the athletes for whom
something it rests on came out otherwise. What is otherwise than the board has it goes into the next delta.
"""

import contextlib
import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

import polars as pl

from pipelines.board import building, publish
from pipelines.board.computing import CHUNK_ATHLETES, Computing
from pipelines.board.delta import ATHLETE, SETTLED, Piece, number_of, read_delta, write_delta
from pipelines.board.derivation import WORDS, before_week_of, order_of, parameters_of
from pipelines.board.fingerprints import of_athletes
from pipelines.board.following import GIVEN, TRIES, Reach, follow, in_a_sentence
from pipelines.board.reading import OpenBoard, current_board, opened
from pipelines.derived.registry import OF_THE_SQUAD, WITH_THE_SQUAD, Derivation
from pipelines.errors import ThirdstepError
from pipelines.home.folder import Home, Say, only_follower, only_writer, say_nothing
from pipelines.home.settings import read_settings
from pipelines.home.telling import Tell, tell_nothing
from pipelines.record import opening, warehouse
from schemas.base import Table
from schemas.settings import SquadSettings

NOBODYS: frozenset[str] | None = None  # whose rows changed in a table that is no athlete's: all that rests on it may
LONG_DELTA = 60  # deltas of one board, after which its file is made anew, beside all else; own choice
LONG_DELTA_BYTES = 8 * 2**20  # or so large; own choice


class _TooMuchError(Exception):
    """So much rests on what changed that all is better derived at once."""


@dataclass
class _Spread:
    """One derivation of what rests on the squad, beside a board."""

    board: OpenBoard
    models: Mapping[str, type[Table]]
    settings: SquadSettings
    as_of: dt.date
    pieces: dict[str, Piece] = field(default_factory=dict)
    changed: dict[str, frozenset[str] | None] = field(default_factory=dict)  # by this: tables, and before the week
    _frames: dict[tuple[str, frozenset[str] | None], pl.DataFrame] = field(default_factory=dict)

    def run(self, functions: Mapping[str, Derivation]) -> None:
        """Compute what rests on what changed."""
        for name in order_of(functions, GIVEN):
            asked = [p for p in parameters_of(functions[name]) if p not in WORDS]
            # An athlete's own tables have taken in what was written; what is new to them is what was made here.
            told = [self.changed, *([self.board.delta.waiting] if name in WITH_THE_SQUAD else [])]
            found = [whose[p] for whose in told for p in asked if p in whose]
            if not found:
                continue
            known = [one for one in found if one is not None]
            whose = frozenset[str]().union(*known) if len(known) == len(found) and name not in OF_THE_SQUAD else None
            if whose is None and name not in OF_THE_SQUAD and self._read("athlete", None).height > CHUNK_ATHLETES:
                raise _TooMuchError
            compute = Computing(name, functions[name], self.models[name])
            self._note(name, compute({p: self._given(p, whose) for p in parameters_of(functions[name])}), whose)

    def _note(self, name: str, rows: pl.DataFrame, whose: frozenset[str] | None) -> None:
        """Take in a table's rows, all or those of some athletes; note whose are otherwise than the board has them."""
        before = self._read(name, whose)
        if before.equals(rows, null_equal=True):
            return
        if ATHLETE not in rows.columns or before[ATHLETE].has_nulls() or rows[ATHLETE].has_nulls():
            self.pieces[name] = Piece(rows, None)
            others = NOBODYS
        else:
            others = _differing(before, rows)
            self.pieces[name] = Piece(rows.filter(pl.col(ATHLETE).is_in(sorted(others))), others)
        self.changed[name] = others
        if not self._cut(before).equals(self._cut(rows), null_equal=True):
            self.changed[name + SETTLED] = others
        self.board = self.board.with_more({name: self.pieces[name]})
        self._frames = {key: frame for key, frame in self._frames.items() if key[0] != name}

    def _cut(self, frame: pl.DataFrame) -> pl.DataFrame:
        return before_week_of(self.as_of, frame)

    def _read(self, name: str, whose: frozenset[str] | None) -> pl.DataFrame:
        """Return a table, or its rows of some athletes, with its model's columns only."""
        key = (name, whose if ATHLETE in self.board.columns(name) else None)
        if key not in self._frames:
            rows = self.board.read(*key)
            self._frames[key] = rows.select(warehouse.SHAPES[name].columns) if name in warehouse.SHAPES else rows
        return self._frames[key]

    def _given(self, parameter: str, whose: frozenset[str] | None) -> object:
        if parameter == "settings":
            return self.settings
        if parameter == "as_of":
            return self.as_of
        rows = self._read(parameter.removesuffix(SETTLED), whose)
        return self._cut(rows) if parameter.endswith(SETTLED) else rows


def _differing(before: pl.DataFrame, rows: pl.DataFrame) -> frozenset[str]:
    """Return the athletes whose rows of a table are not the same in both."""
    was, now = of_athletes(before.select(rows.columns)), of_athletes(rows)
    told = [one.join(other, on=[ATHLETE, "value"], how="anti")[ATHLETE] for one, other in ((was, now), (now, was))]
    return frozenset(who for names in told for who in names)


def follow_squad(home: Home, say: Say = say_nothing) -> Reach:
    """Bring the squad's tables, and what rests on them, to what the board says of each athlete.

    Single athletes' rows may be put on the board meanwhile: then it begins anew, and the last time they wait.

    Raises:
        ThirdstepError: A table cannot be derived; the last board stays.
    """
    for left in reversed(range(TRIES)):
        with contextlib.nullcontext() if left else only_follower(home, say):
            last = current_board(home)
            if last is None:
                return Reach.NOTHING
            found = _derive_beside(home, last)
            if isinstance(found, Reach):
                return found
            with only_follower(home, say) if left else contextlib.nullcontext(), only_writer(home):
                if current_board(home) == last:
                    delta = read_delta(last).caught_up(found, {"older": "", "built_at": opening.now().isoformat()})
                    publish.point_at(home, write_delta(home.board, delta))
                    publish.drop_old_deltas(home)
                    return Reach.ALL
    return Reach.NOTHING


def _derive_beside(home: Home, last: Path) -> dict[str, Piece] | Reach:
    """Return what is to be laid over the board in force; how far it reaches, where that is nothing or cannot be."""
    settings = read_settings(home.settings)
    with opened(last) as board:
        told = board.info()
        if not told.get("older"):
            return Reach.ALL
        is_same = all(told.get(name) == value for name, value in building.say_state(home, settings).items())
        if not is_same or not board.delta.waiting:
            return Reach.NOTHING
        functions, models = building.functions_and_models()
        spread = _Spread(board, models, settings, opening.looking_from(settings))
        try:
            with in_a_sentence():
                spread.run(functions)
        except _TooMuchError:
            return Reach.NOTHING
        return spread.pieces


def bring_news(home: Home, say: Say = say_nothing, tell: Tell = tell_nothing) -> None:
    """Put what the last events changed on the board, with all that follows from it.

    Where it is much, or the board's file has many deltas over it, all is derived and a new file made.

    Raises:
        ThirdstepError: It could not be derived; the last board stays in force.
    """
    is_done = False
    with contextlib.suppress(ThirdstepError):  # what cannot be done beside the board may be done anew, or says why not
        is_done = Reach.NOTHING not in (follow(home, say), follow_squad(home, say))
    if not is_done or is_long(home):
        building.derive_board(home, say, tell)


def is_long(home: Home) -> bool:
    """Return whether so much lies over the board's file that it is better made anew."""
    board = current_board(home)
    if board is None or not number_of(board):
        return False
    return number_of(board) >= LONG_DELTA or board.stat().st_size > LONG_DELTA_BYTES
