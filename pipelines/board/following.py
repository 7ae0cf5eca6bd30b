"""The board a moment after a write: the tables of the athletes it was about, derived from their rows alone.

Few rows of few athletes are read from the record, what follows from them is computed, and what came out otherwise than
the board in force has it goes into a delta beside that board. Tables of the squad, and what rests on one that may
change, follow a moment later (``squad_following.py``); until then the board names them (``older``).
"""

import contextlib
import datetime as dt
from collections.abc import Collection, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from enum import Enum
from pathlib import Path
from typing import TYPE_CHECKING

import duckdb
import polars as pl

from pipelines.board import publish
from pipelines.board.building import functions_and_models, say_state
from pipelines.board.computing import Computing, DerivationFailed
from pipelines.board.delta import ATHLETE, SETTLED, Piece, number_of, read_delta, write_delta
from pipelines.board.derivation import WORDS, before_week_of, order_of, parameters_of
from pipelines.board.entry_days import DAY_OF, KEY, entry_days
from pipelines.board.reading import OpenBoard, current_board, opened
from pipelines.derived.registry import WITH_THE_SQUAD, Derivation
from pipelines.errors import ThirdstepError
from pipelines.home.folder import Home, Say, only_follower, only_writer, say_nothing
from pipelines.home.settings import read_settings
from pipelines.record import opening, unusual, warehouse
from pipelines.record.history import listed, quoted
from pipelines.record.sources import journal
from schemas.base import Table
from schemas.settings import SquadSettings

if TYPE_CHECKING:
    from pipelines.record.loading import Outcome

MOST_ATHLETES = 40  # of whom more is known; beyond, all is derived at once; own choice
MOST_EVENTS = 200
ENTRY_DAY = "entry_day"
GIVEN = {**warehouse.SHAPES, ENTRY_DAY: None}  # the tables that derived ones are made from
TRIES = 3
MOST_DELTAS = 200  # in a row, before the board's file must be made anew: each is read whole; own choice


class Reach(Enum):
    """How much of the board is of now after it was followed."""

    ALL = "all"
    ATHLETES = "athletes"  # the athletes' own tables; those of the squad are a moment older
    NOTHING = "nothing"  # it was too much for this way: a whole derivation is due


@dataclass(frozen=True)
class _Brought:
    """What the last events changed in the record, and the rows that what follows is made from."""

    event_no: int
    athletes: frozenset[str]
    tables: frozenset[str]  # record tables, and entry_day
    rows: dict[str, pl.DataFrame]  # as the board holds them
    whole: dict[str, pl.DataFrame]  # tables that come whole
    data_to: str


@dataclass
class _Follow:
    """One derivation of some athletes' tables beside a board."""

    board: OpenBoard
    brought: _Brought
    models: Mapping[str, type[Table]]
    settings: SquadSettings
    as_of: dt.date
    pieces: dict[str, Piece] = field(default_factory=dict)
    older: set[str] = field(default_factory=set)
    changed: set[str] = field(default_factory=set)  # tables, and tables without the running week
    _frames: dict[str, pl.DataFrame] = field(default_factory=dict)
    _before_week: dict[str, pl.DataFrame] = field(default_factory=dict)

    def run(self, functions: Mapping[str, Derivation]) -> None:
        """Compute what follows from the rows that were brought."""
        if ENTRY_DAY in self.brought.rows:
            self.brought.rows[ENTRY_DAY] = self._days()
        for name in self.brought.tables:
            self._note(name, self._of_record(name))
        for name in order_of(functions, GIVEN):
            asked = [p for p in parameters_of(functions[name]) if p not in WORDS]
            is_older = any(p.removesuffix(SETTLED) in self.older for p in asked)
            is_touched = any(p in self.changed for p in asked)
            if is_older or (is_touched and name in WITH_THE_SQUAD):
                self.older.add(name)
            if is_touched and name not in WITH_THE_SQUAD:
                compute = Computing(name, functions[name], self.models[name])
                self._note(name, compute({p: self._given(p) for p in parameters_of(functions[name])}))

    def _days(self) -> pl.DataFrame:
        """Return the athletes' days of entry: those of the tables that were filled, and of the others as they stand."""
        others = self.board.read(ENTRY_DAY, self.brought.athletes)
        others = others.filter(~pl.col("table_name").is_in(sorted(self.brought.tables)))
        return pl.concat([others, self.brought.rows[ENTRY_DAY].select(others.columns)]).sort(KEY)

    def marked(self) -> pl.DataFrame:
        """Return the athletes' marked values: those of the tables that were filled, and of the others as they stand."""
        others = self.board.read("marked", self.brought.athletes).filter(
            ~pl.col("tables").is_in(sorted(self.brought.tables))
        )
        return unusual.in_order(pl.concat([others, self.brought.rows["marked"].select(others.columns)]))

    def _note(self, name: str, rows: pl.DataFrame) -> None:
        """Take in a table's rows of the athletes; where they are as the board has them, nothing rests on them."""
        before = self.board.read(name, self.brought.athletes)
        self._frames[name] = rows
        shown = self.brought.rows.get(name, rows)
        if before.equals(shown, null_equal=True):
            return
        self.pieces[name] = Piece(shown, self.brought.athletes)
        shared = [column for column in rows.columns if column in before.columns]
        was, now = before.select(shared), rows.select(shared)
        if not was.equals(now, null_equal=True):
            self.changed.add(name)
            if not self._cut(was).equals(self._cut(now), null_equal=True):
                self.changed.add(name + SETTLED)

    def _of_record(self, name: str) -> pl.DataFrame:
        """Return a record table's rows of the athletes, with its model's columns only."""
        rows = self.brought.rows[name] if name in self.brought.rows else self._read(name)
        return rows.select(warehouse.SHAPES[name].columns) if name in warehouse.SHAPES else rows

    def _read(self, name: str) -> pl.DataFrame:
        has_athletes = ATHLETE in self.board.columns(name)
        return self.board.read(name, self.brought.athletes if has_athletes else None)

    def _given(self, parameter: str) -> object:
        if parameter == "settings":
            return self.settings
        if parameter == "as_of":
            return self.as_of
        name = parameter.removesuffix(SETTLED)
        if name not in self._frames:
            self._frames[name] = self._of_record(name)
        if not parameter.endswith(SETTLED):
            return self._frames[name]
        if name not in self._before_week:
            self._before_week[name] = self._cut(self._frames[name])
        return self._before_week[name]

    def _cut(self, frame: pl.DataFrame) -> pl.DataFrame:
        return before_week_of(self.as_of, frame)


@contextmanager
def in_a_sentence() -> Iterator[None]:
    """Say it in a sentence where tables do not fit each other: the code may have been changed under a running process.

    Raises:
        DerivationFailed: They do not; the last board stays in force.
    """
    try:
        yield
    except (pl.exceptions.PolarsError, pl.exceptions.PanicException) as trouble:
        first, *_ = str(trouble).splitlines()
        raise DerivationFailed(
            "What was written is kept, but could not be brought to the tables on the board: "
            f"{type(trouble).__name__}: {first}. If thirdstep was changed while it ran, start it again."
        ) from trouble


def follow(home: Home, say: Say = say_nothing) -> Reach:
    """Put what the last events changed on the board, of the athletes they were about.

    A whole derivation brings what is not reached so.

    Raises:
        ThirdstepError: A table cannot be derived; the last board stays.
    """
    for _ in range(TRIES):
        with only_follower(home, say):
            last = current_board(home)
            if last is None or number_of(last) >= MOST_DELTAS:
                return Reach.NOTHING
            with opened(last) as board:
                told = board.info()
                settings = read_settings(home.settings)
                if any(told.get(name) != value for name, value in say_state(home, settings).items()):
                    return Reach.NOTHING
                brought = _at_hand(home, last, told)
                brought = brought or _gather(home, int(told["last_event"]), opening.looking_from(settings), say)
                if brought is None:
                    return Reach.NOTHING
                if brought.event_no == int(told["last_event"]):
                    return Reach.ATHLETES if told.get("older") else Reach.ALL
                functions, models = functions_and_models()
                run = _Follow(board, brought, models, settings, opening.looking_from(settings))
                with in_a_sentence():
                    run.run(functions)
                    run.pieces["marked"] = Piece(run.marked(), brought.athletes)
            if _publish(home, last, run, told):
                return Reach.ATHLETES if run.older or told.get("older") else Reach.ALL
    return Reach.NOTHING


def _publish(home: Home, last: Path, run: _Follow, told: Mapping[str, str]) -> bool:
    """Put the delta in force, unless another board was put there meanwhile."""
    brought = run.brought
    older = run.older | set((told.get("older") or "").split())
    info = {
        "last_event": str(brought.event_no),
        "built_at": opening.now().isoformat(),
        "data_to": brought.data_to,
        "older": " ".join(sorted(older)),
        **{name: told[name] for name in publish.UNDER},
    }
    with only_writer(home):
        if current_board(home) != last:
            return False
        whole = {name: Piece(rows, None) for name, rows in brought.whole.items()}
        said = {**{name: value for name, value in told.items() if name != "older"}, **info}
        pieces = {**run.pieces, **whole, "board_info": Piece(publish.pairs(said), None)}
        delta = read_delta(last).with_pieces(pieces, brought.athletes, brought.event_no, info, run.changed)
        publish.point_at(home, write_delta(home.board, delta))
        publish.drop_old_deltas(home)
    return True


_ahead: dict[str, tuple[Path, int, dt.date, _Brought]] = {}  # by home: over which board and since which event


def look_ahead(home: Home, con: warehouse.Connection, outcome: "Outcome") -> None:
    """Read what the board needs of rows just stored, while the record is open; to open it again takes as long.

    What is stored is stored: where this cannot be done, ``follow`` opens the record and says why.
    """
    _ahead.pop(str(home.root), None)
    with contextlib.suppress(ThirdstepError, OSError, duckdb.Error, pl.exceptions.PolarsError):
        last = current_board(home)
        since = read_delta(last).info.get("last_event") if last else None
        if last and since and outcome.load_no is not None:
            as_of = opening.looking_from(read_settings(home.settings))
            brought = _brought(home, con, int(since), as_of, outcome.around)
            if brought:
                _ahead[str(home.root)] = (last, int(since), as_of, brought)


def _at_hand(home: Home, last: Path, told: Mapping[str, str]) -> _Brought | None:
    """Return what was read when the rows were stored, where that is still all there is; it is taken once.

    A board that was put there since, by an erasure too, has another name.
    """
    found = _ahead.pop(str(home.root), None)
    if found is None:
        return None
    board, since, as_of, brought = found
    is_of_now = as_of == opening.looking_from(read_settings(home.settings))
    is_all = journal.last_event_no(home.sources) == brought.event_no
    return brought if is_all and is_of_now and (board, since) == (last, int(told["last_event"])) else None


def _gather(home: Home, since: int, as_of: dt.date, say: Say) -> _Brought | None:
    """Read from the record what the events after one changed; null where it is too much, or of no athlete alone."""
    with opening.record(home, say) as con:
        return _brought(home, con, since, as_of, None)


def _brought(
    home: Home, con: warehouse.Connection, since: int, as_of: dt.date, around: unusual.Around | None
) -> _Brought | None:
    event_no = warehouse.last_event(con)
    if event_no - since > MOST_EVENTS:
        return None
    loads = set()
    for event in journal.read_events(home.sources, after=since):
        if event.what not in ("load", "undo", "redo"):
            return None
        loads.add(event.load_no)
    tables = _tables_of(con, loads)
    if not all(ATHLETE in warehouse.SHAPES[name].types for name in tables):
        return None
    athletes = _athletes_of(con, tables, loads)
    if len(athletes) > MOST_ATHLETES:
        return None
    rows = {name: _rows_of(con, name, athletes) for name in tables}
    if not tables.isdisjoint(DAY_OF):
        rows[ENTRY_DAY] = entry_days(con, athletes, tables)
    touched = frozenset(rows)
    is_known = around is not None and loads == {around.load_no} and athletes == around.athletes
    marks = around.marks if around and is_known else unusual.marked(con, athletes=athletes, tables=tables)
    whole = {name: con.sql(query).pl() for name, query in publish.LOG_QUERIES.items()}
    return _Brought(event_no, athletes, touched, {**rows, "marked": marks}, whole, publish.data_to(con, as_of))


def _tables_of(con: warehouse.Connection, loads: Collection[int]) -> frozenset[str]:
    found = con.execute("select tables from load where load_no in (select unnest(?::bigint[]))", [sorted(loads)])
    return frozenset(name for (told,) in found.fetchall() for name in (told or "").split(", ") if name)


def _athletes_of(con: warehouse.Connection, tables: Collection[str], loads: Collection[int]) -> frozenset[str]:
    athletes: set[str] = set()
    for name in tables:
        query = f"""select distinct {ATHLETE} from {quoted("version_" + name)}
            where load_no in (select unnest(?::bigint[]))"""
        athletes |= {who for (who,) in con.execute(query, [sorted(loads)]).fetchall()}
    return frozenset(athletes)


def _rows_of(con: warehouse.Connection, name: str, athletes: Collection[str]) -> pl.DataFrame:
    names = sorted(athletes) or [""]
    query = f"""select * from {quoted(name)} where {ATHLETE} in ({", ".join("?" for _ in names)})
        order by {listed(warehouse.SHAPES[name].key)}"""
    return con.sql(query, params=names).pl()
