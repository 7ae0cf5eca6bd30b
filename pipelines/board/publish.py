"""The board: a read-only file that the dashboard reads, built aside, checked, and put in place of the last one whole.

``board/current`` names the file in force. A reader keeps the file it opened; a writer never touches a published file.
"""

import contextlib
import datetime as dt
import inspect
from collections.abc import Mapping
from pathlib import Path

import duckdb
import polars as pl

from pipelines.board.derivation import NOTHING_EARLIER, Earlier
from pipelines.board.file import READ_ONLY
from pipelines.board.seen_table import seen_rows
from pipelines.derived.registry import Derivation
from pipelines.errors import ThirdstepError
from pipelines.home.durable import move_durably, write_durably
from pipelines.home.folder import Home
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
from schemas.tolerance import are_alike

BUILDS_KEPT = 3
POINTER = "current"


def current_board(home: Home) -> Path | None:
    """Return the board file in force, null where nothing has been published."""
    with contextlib.suppress(OSError):
        path = home.board / (home.board / POINTER).read_text(encoding="utf-8").strip()
        return path if path.is_file() else None
    return None


def read_board(path: Path, name: str) -> pl.DataFrame:
    """Return one table of a published board.

    Raises:
        ThirdstepError: The board has no such table or cannot be read.
    """
    with plain_words(path), duckdb.connect(str(path), read_only=True, config=dict(READ_ONLY)) as con:
        if name not in _tables(con):
            raise ThirdstepError(f"The board holds no table '{name}'. Run 'thirdstep derive'.")
        return con.sql(f"select * from {quoted(name)}").pl()


def differing(path: Path, wanted: Mapping[str, pl.DataFrame]) -> list[str]:
    """Return the tables that a board lacks or holds otherwise; columns it has beside those wanted do not count.

    The board may have been made on another machine: numbers count as the same within ``schemas.tolerance``.
    """
    with plain_words(path), duckdb.connect(str(path), read_only=True, config=dict(READ_ONLY)) as con:
        held = _tables(con)

        def is_alike(name: str, frame: pl.DataFrame) -> bool:
            if name not in held:
                return False
            found = con.sql(f"select * from {quoted(name)}").pl()
            return set(frame.columns) <= set(found.columns) and are_alike(found.select(frame.columns), frame)

        return [name for name, frame in wanted.items() if not is_alike(name, frame)]


def board_info(path: Path | None) -> dict[str, str]:
    """Return what a board says of itself; nothing where there is none or it cannot be read."""
    if path is None:
        return {}
    with contextlib.suppress(ThirdstepError):
        return dict(read_board(path, "board_info").iter_rows())
    return {}


def earlier(path: Path | None) -> Earlier:
    """Return what a board tells of the derivation it holds; nothing where there is none or it cannot be read."""
    if path is not None:
        with contextlib.suppress(ThirdstepError):
            return Earlier(
                dict(read_board(path, "fingerprint").iter_rows()),
                read_board(path, "athlete_fingerprint"),
                read_board(path, "athlete_content"),
                lambda name: read_board(path, name),
            )
    return NOTHING_EARLIER


class Build:
    """One board in the making. Nothing of it is seen before ``publish``."""

    def __init__(self, home: Home) -> None:
        self.home = home
        home.board.mkdir(parents=True, exist_ok=True)
        for left in home.board.glob("*.part*"):  # of a build that was stopped; the publish lock is held
            left.unlink(missing_ok=True)
        self.number = 1 + max((_number(path) for path in home.board.glob("board-*.duckdb")), default=0)
        self.path = home.board / f"board-{self.number:06d}.duckdb"
        self.aside = self.path.with_suffix(".part")

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
                record.execute(
                    """create table board.load as select * exclude (is_whole),
                    case when undone_at is null then 'done' else 'undone' end as state from load order by load_no"""
                )
                record.execute(
                    f"""create table board.rejected as select w.*, l.tables, l.kind
                    from ({warehouse.WAITING}) w join load l using (load_no) order by w.reject_no"""
                )
                record.execute(
                    """create table board.mended as select m.*, l.loaded_by, l.loaded_at, l.tables
                    from mended m join load l using (load_no) where l.undone_at is null order by load_no, "column" """
                )
                record.register("incoming", marking.marked(record))
                record.execute("create table board.marked as select * from incoming")
                record.unregister("incoming")
            finally:
                record.execute("detach board")

    def add(self, tables: Mapping[str, pl.DataFrame]) -> None:
        """Add tables."""
        with plain_words(self.aside), duckdb.connect(str(self.aside)) as con:
            for name, frame in tables.items():
                con.register("incoming", frame)
                con.execute(f"create table {quoted(name)} as select * from incoming")
                con.unregister("incoming")
            con.execute("checkpoint")

    def publish(self) -> Path:
        """Put the board in force and take away all but the last few."""
        with plain_words(self.path):
            move_durably(self.aside, self.path)
            write_durably(self.home.board / POINTER, self.path.name.encode())
            for old in sorted(self.home.board.glob("board-*.duckdb"), key=_number)[:-BUILDS_KEPT]:
                with contextlib.suppress(OSError):  # a reader on Windows may hold it; the next publish tries again
                    old.unlink()
        return self.path

    def abandon(self) -> None:
        """Take the unfinished file away; the last board stays in force."""
        for left in (self.aside, self.aside.with_name(self.aside.name + ".wal")):
            left.unlink(missing_ok=True)


def words(
    models: Mapping[str, type[Table]], functions: Mapping[str, Derivation], settings: SquadSettings
) -> dict[str, pl.DataFrame]:
    """Return the tables that explain the others: methods, columns, sources, caveats, what progress sees.

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
    }


def pairs(told: Mapping[str, object]) -> pl.DataFrame:
    """Return names and values as a table of text."""
    rows = [(name, value.isoformat() if isinstance(value, dt.date) else str(value)) for name, value in told.items()]
    return pl.DataFrame(rows, schema={"name": pl.String, "value": pl.String}, orient="row")


def _tables(con: duckdb.DuckDBPyConnection) -> set[str]:
    return {row[0] for row in con.execute("select table_name from information_schema.tables").fetchall()}


def _number(path: Path) -> int:
    digits = path.stem.removeprefix("board-")
    return int(digits) if digits.isdigit() else 0
