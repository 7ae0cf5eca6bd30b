"""Small checked frames, as the checks hand them to the record."""

import datetime as dt

import polars as pl

from pipelines.record import history, warehouse

AT = dt.datetime(2026, 11, 2, 9, 30)
DAY = dt.date(2026, 11, 1)
NOTHING_ASIDE = pl.DataFrame(
    schema={
        "source_sheet": pl.String, "source_line": pl.Int64, "column": pl.String, "value": pl.String,
        "reason": pl.String, "row_json": pl.String,
    }
)  # fmt: skip


def rows(*told: dict, first_line: int = 2) -> pl.DataFrame:
    """Return rows of a file, each on a line of its own unless it says which."""
    return pl.DataFrame([{"source_sheet": "", "source_line": line, **row} for line, row in enumerate(told, first_line)])


def aside(line: int, reason: str = "not a number", row_json: str = "{}") -> pl.DataFrame:
    """Return one cell that keeps its row out."""
    told = {"source_sheet": "", "source_line": line, "column": "elapsed_s", "value": "1,8O", "reason": reason}
    return pl.DataFrame([{**told, "row_json": row_json}], schema=NOTHING_ASIDE.schema)


def split(athlete: str, metres: float, seconds: float | None, **more: object) -> dict:
    """Return one split of the first run of the day."""
    return {
        "athlete_id": athlete, "session_date": DAY, "session_no": 1, "rep_no": 1, "distance_m": metres,
        "elapsed_s": seconds, **more,
    }  # fmt: skip


def put(
    con: warehouse.Connection,
    sha256: str,
    accepted: dict[str, pl.DataFrame],
    *,
    name: str = "",
    set_aside: pl.DataFrame = NOTHING_ASIDE,
    settled: tuple[int, ...] = (),
    rows_read: int | None = None,
) -> warehouse.Stored:
    """Store frames as the file whose checksum is given, in one transaction."""
    lines = {line for frame in (*accepted.values(), set_aside) for line in frame["source_line"]}
    receipt = warehouse.Receipt(name or f"{sha256}.csv", sha256, "file", "coach", AT)
    with warehouse.transaction(con):
        return warehouse.store(con, receipt, rows_read or len(lines), dict(accepted), set_aside, settled)


def counts(stored: warehouse.Stored) -> tuple[int, int, int, int]:
    """Return stored, unchanged, replaced, set aside."""
    return stored.stored, stored.unchanged, stored.replaced, stored.set_aside_rows


def undo(con: warehouse.Connection, load_no: int) -> None:
    """Undo a load in one transaction."""
    with warehouse.transaction(con):
        warehouse.set_undone(con, load_no, AT, "coach")


def redo(con: warehouse.Connection, load_no: int) -> None:
    """Redo a load in one transaction."""
    with warehouse.transaction(con):
        warehouse.set_undone(con, load_no, None, "coach")


def current(con: warehouse.Connection) -> dict[str, pl.DataFrame]:
    """Return all record tables with where each row came from."""
    return {name: warehouse.table(con, name) for name in warehouse.SHAPES}


def assert_current_rows_follow_from_the_versions(con: warehouse.Connection, *names: str) -> None:
    """Compare tables (all, or those named), grown step by step, with those made from the versions alone."""
    for name, shape in ((name, warehouse.SHAPES[name]) for name in names or warehouse.SHAPES):
        anew = con.sql(f"select * from ({history.current_rows(shape)}) order by {history.listed(shape.key)}").pl()
        grown = warehouse.table(con, name)
        assert grown.equals(anew.select(grown.columns), null_equal=True), (name, grown, anew)


ROSTER = {
    "athlete": rows(
        {"athlete_id": "ada-reed", "display_name": "Ada Reed"}, {"athlete_id": "bo-lind", "display_name": "Bo Lind"}
    )
}
