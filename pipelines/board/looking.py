"""Looking into a home: a table of the record, of the board or of the log, and what waits to be mended."""

import polars as pl

from pipelines.errors import ThirdstepError
from pipelines.home.folder import Home, Say, say_nothing
from pipelines.record import opening, warehouse
from schemas.records import RECORDS


def rejected(home: Home, say: Say = say_nothing) -> pl.DataFrame:
    """Return the cells that keep a row out and wait to be mended."""
    with opening.record(home, say, to_look=True) as con:
        return warehouse.waiting(con)


def loads(home: Home, say: Say = say_nothing) -> pl.DataFrame:
    """Return the log of loads."""
    return table(home, "load", say)


def table_names() -> list[str]:
    """Return the names of all tables that can be printed."""
    from schemas.derived.registry import DERIVED  # importing them takes longer than a look into the record

    return [*RECORDS, *DERIVED, *warehouse.LOG_TABLES, "marked"]


def table(home: Home, name: str, say: Say = say_nothing) -> pl.DataFrame:
    """Return a record table with where each row came from, a derived table of the board, or a log table."""
    if name in warehouse.SHAPES or name in warehouse.LOG_TABLES or name == "marked":
        from pipelines.record import unusual

        with opening.record(home, say, to_look=True) as con:
            return unusual.marked(con) if name == "marked" else warehouse.table(con, name)
    from pipelines.board.reading import current_board, read_board
    from schemas.derived.registry import DERIVED

    if name not in DERIVED:
        raise ThirdstepError(f"There is no table '{name}'. The tables are: {', '.join(table_names())}.")
    board = current_board(home)
    if board is None:
        raise ThirdstepError("Nothing has been derived in this home yet. Run 'thirdstep derive'.")
    return read_board(board, name)
