"""The board: a read-only file that the dashboard reads, built aside, checked, and put in place of the last one whole.

``board/current`` names the file in force, or the delta of it that is (``delta.py``). A reader keeps the file it opened;
a writer never touches a published file.
"""

import contextlib
import datetime as dt
import inspect
import shutil
from collections.abc import Collection, Iterator, Mapping
from dataclasses import replace
from pathlib import Path

import duckdb
import polars as pl

from pipelines.board.delta import ENDING, MARK, Delta, Piece, base_of, number_of, read_delta, write_delta
from pipelines.board.reading import POINTER, board_info, current_board, differing, earlier, read_board
from pipelines.board.run_error_table import run_error_rows
from pipelines.board.seen_table import seen_rows
from pipelines.derived.registry import Derivation
from pipelines.home.durable import move_durably, sweep, write_durably
from pipelines.home.folder import Home, only_writer
from pipelines.home.trouble import plain_words
from pipelines.record import unusual as marking
from pipelines.record import warehouse
from pipelines.record.history import quoted
from schemas.base import Table
from schemas.caveats import all_caveats
from schemas.dictionary import column_docs, method_docs
from schemas.knowledge import all_sources
from schemas.records import RECORDS
from schemas.settings import SquadSettings, in_force

REACH = {"session": "session_date", "checkin": "checked_on", "force_test": "tested_on", "jump_test": "tested_on"}
BUILDS_KEPT = 3
MOST_MEMORY = "600MB"  # while a board is written; what goes beyond waits on the disk; own choice
DELTAS_KEPT = 3
# What was loaded, what waits, what was mended, as the board holds it. A delta holds these tables whole.
LOG_QUERIES = {
    "load": """select * exclude (is_whole), case when undone_at is null then 'done' else 'undone' end as state
        from load order by load_no""",
    "rejected": f"""select w.*, l.tables, l.kind from ({warehouse.WAITING}) w join load l using (load_no)
        order by w.reject_no""",
    "mended": """select m.*, l.loaded_by, l.loaded_at, l.tables from mended m join load l using (load_no)
        where l.undone_at is null order by load_no, "column" """,
}
WHOLE = frozenset(LOG_QUERIES)
UNDER = ("as_of", "settings", "code")  # what a board is made under

__all__ = ["Build", "base_of", "board_info", "current_board", "differing", "earlier", "pairs", "read_board", "words"]


class Build:
    """One board in the making. Nothing of it is seen before ``publish``."""

    def __init__(self, home: Home) -> None:
        self.home = home
        home.board.mkdir(parents=True, exist_ok=True)
        sweep(home.board, "*.part*")  # of a build that was stopped; the publish lock is held
        self.number = 1 + max((_number(path) for path in home.board.glob("board-*.duckdb")), default=0)
        self.path = home.board / f"board-{self.number:06d}.duckdb"
        self.aside = self.path.with_suffix(".part")
        self.spool = self.path.with_suffix(".part-tables")  # for tables on their way, where several processes make them
        self._con: duckdb.DuckDBPyConnection | None = None

    def copy_record(self, record: duckdb.DuckDBPyConnection) -> None:
        """Copy the record tables, the list of loads and the rows that wait to be mended, all of one moment."""
        with plain_words(self.aside):
            record.execute(f"attach '{str(self.aside).replace(chr(39), chr(39) * 2)}' as board")
            try:
                for name, shape in warehouse.SHAPES.items():
                    order = ", ".join(quoted(c) for c in shape.key)
                    record.execute(
                        f"create table board.{quoted(name)} as select * from {quoted(name)} order by {order}"
                    )
                for name, query in LOG_QUERIES.items():
                    record.execute(f"create table board.{name} as {query}")
                record.register("incoming", marking.marked(record))
                record.execute("create table board.marked as select * from incoming")
                record.unregister("incoming")
            finally:
                record.execute("detach board")

    def add(self, name: str, frame: pl.DataFrame) -> None:
        """Add a table."""
        with plain_words(self.aside):
            con = self.opened()
            con.register("incoming", frame)
            con.execute(f"create table {quoted(name)} as select * from incoming")
            con.unregister("incoming")

    def copied(self) -> "Copied":
        """Return the record's tables as they were copied, to be read one at a time. The record need not be held."""
        return Copied(self)

    def opened(self) -> duckdb.DuckDBPyConnection:
        """Return the connection to the board in the making, opened once."""
        if self._con is None:
            self._con = duckdb.connect(str(self.aside), config={"memory_limit": MOST_MEMORY})
        return self._con

    def _close(self) -> None:
        if self._con is not None:
            self._con.close()  # with all of it in the file itself
            self._con = None

    def publish(self, info: Mapping[str, object], behind: Collection[str] = ()) -> Path:
        """Put the board in force and take away all but the last few.

        Athletes of whom more was published while it was made keep what was: it is carried over to this board, where
        day, settings and code are the same.

        Args:
            info: What it says of itself, the last event of the record that it knows of among it.
            behind: Tables that are to follow again for the squad where rows are carried over.
        """
        with plain_words(self.path), only_writer(self.home):
            self._close()
            shutil.rmtree(self.spool, ignore_errors=True)
            before = current_board(self.home)
            move_durably(self.aside, self.path)
            newer = _carried(before, self.path, dict(pairs(info).iter_rows()), behind) if before is not None else None
            point_at(self.home, write_delta(self.home.board, newer) if newer else self.path)
            for old in sorted(self.home.board.glob(f"board-*{ENDING}"), key=_number)[:-BUILDS_KEPT]:
                with contextlib.suppress(OSError):  # a reader on Windows may hold it; the next publish tries again
                    old.unlink()
            drop_old_deltas(self.home)
        return self.path

    def abandon(self) -> None:
        """Take the unfinished file away; the last board stays in force."""
        with contextlib.suppress(duckdb.Error):
            self._close()
        for left in (self.aside, self.aside.with_name(self.aside.name + ".wal")):
            left.unlink(missing_ok=True)
        shutil.rmtree(self.spool, ignore_errors=True)


class Copied(Mapping[str, pl.DataFrame]):
    """The record's tables in a board in the making, each read when it is asked for: all at once may be too large."""

    def __init__(self, build: Build) -> None:
        self._build = build
        self._columns = {**{name: shape.columns for name, shape in warehouse.SHAPES.items()}, "entry_day": []}

    def __getitem__(self, name: str) -> pl.DataFrame:
        """Return a table with exactly its model's columns, in the order of its key."""
        columns = ", ".join(map(quoted, self._columns[name])) or "*"
        return self._build.opened().sql(f"select {columns} from {quoted(name)}").pl()

    def __iter__(self) -> Iterator[str]:
        """Yield their names."""
        return iter(self._columns)

    def __len__(self) -> int:
        """Return how many there are."""
        return len(self._columns)

    def athletes_and_rows(self) -> tuple[list[str], int]:
        """Return of whom there are rows, and how many."""
        named = [name for name in self._columns if name == "entry_day" or "athlete_id" in self._columns[name]]
        each = " union all ".join(f"select athlete_id, count(*) as rows from {quoted(n)} group by all" for n in named)
        found = self._build.opened().execute(f"select athlete_id, sum(rows) from ({each}) group by all").fetchall()
        return [who for who, _ in found], sum(int(rows) for _, rows in found)


def _carried(before: Path, board: Path, info: Mapping[str, str], behind: Collection[str]) -> Delta | None:
    """Return what the delta in force has more than a board made while it came, as a delta of that board."""
    try:
        delta = read_delta(before)
    except (OSError, pl.exceptions.PolarsError):  # damaged: this board has all that it could have said
        return None
    if any(delta.info.get(name) != info.get(name) for name in UNDER):
        return None
    newer = delta.carried(board.name, int(info["last_event"]), WHOLE, behind)
    if newer is None:
        return None
    said = Piece(pairs({**info, **newer.info}), None)
    return replace(newer, pieces={**newer.pieces, "board_info": said})


def data_to(record: duckdb.DuckDBPyConnection, as_of: dt.date) -> str:
    """Return the last day, not after the one looked from, with a session, check-in or test; "" where there is none."""
    parts = [f"select max({day}) as day from {name} where {day} <= $as_of" for name, day in REACH.items()]
    found = record.execute(f"select max(day) from ({' union all '.join(parts)})", {"as_of": as_of}).fetchall()[0][0]
    return found.isoformat() if found else ""


def point_at(home: Home, path: Path) -> None:
    """Put a board or a delta in force. The writer lock is held."""
    write_durably(home.board / POINTER, path.name.encode())


def drop_old_deltas(home: Home) -> None:
    """Take away all deltas but the last few: who has just read the pointer may still come for one."""
    deltas = sorted(home.board.glob(f"board-*{MARK}*"), key=lambda path: (base_of(path).name, number_of(path)))
    for old in deltas[:-DELTAS_KEPT]:
        with contextlib.suppress(OSError):
            old.unlink()


def words(
    models: Mapping[str, type[Table]], functions: Mapping[str, Derivation], settings: SquadSettings
) -> dict[str, pl.DataFrame]:
    """Return the tables that explain the others: methods, columns, sources, caveats, and what benches found.

    A method names the numbers of its rule as they are in force.
    """
    derived = method_docs(models, "derived")
    spoken = {name: in_force(inspect.getdoc(function) or "", settings) for name, function in functions.items()}
    derived = derived.with_columns(
        docstring=pl.concat_str(
            "docstring",
            pl.col("table_name").replace_strict(spoken, default="", return_dtype=pl.String),
            separator="\n\n",
        ).str.strip_chars()
    )
    return {
        "method": pl.concat([derived, method_docs(RECORDS, "record")]),
        "column_doc": pl.concat([column_docs(models), column_docs(RECORDS)]) if models else column_docs(RECORDS),
        "knowledge": pl.DataFrame(
            [
                {"source_key": key, "citation": s.citation, "strength": s.strength, "read": s.read, "note": s.note}
                for key, s in all_sources().items()
            ]
        ),
        "caveat": pl.DataFrame(
            [{"code": code, "sentence": sentence} for code, sentence in all_caveats().items()],
            schema={"code": pl.String, "sentence": pl.String},
        ),
        "seen": seen_rows(),
        "run_error": run_error_rows(),
    }


def pairs(told: Mapping[str, object]) -> pl.DataFrame:
    """Return names and values as a table of text."""
    rows = [(name, value.isoformat() if isinstance(value, dt.date) else str(value)) for name, value in told.items()]
    return pl.DataFrame(rows, schema={"name": pl.String, "value": pl.String}, orient="row")


def _number(path: Path) -> int:
    digits = path.stem.removeprefix("board-")
    return int(digits) if digits.isdigit() else 0
