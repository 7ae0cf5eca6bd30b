"""From the record file of an earlier version to this one's: the steps in order, and what is done with any other file.

New tables and new columns need no step: every record gets those when it is opened. A step is for what that cannot do,
a column renamed, split or of another type. Steps run in the transaction that opens the file: all of them or none.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path

import duckdb

from pipelines.errors import ThirdstepError

FIRST_VERSION = 1


@dataclass(frozen=True)
class Step:
    """One step: the version it leads to, what changes, and how."""

    to_version: int
    what: str
    change: Callable[[duckdb.DuckDBPyConnection], object]
    replays: bool = False  # what is new is not in the old file, so the record is made again from its sources


def _rejected_names_its_athlete(con: duckdb.DuckDBPyConnection) -> None:
    con.execute("alter table rejected add column if not exists athlete_id varchar")


def _effort_says_its_scale(con: duckdb.DuckDBPyConnection) -> None:
    """Rename the ratings of effort, in the current rows and in every version of them."""
    con.execute("alter table session rename column effort_cr10 to effort_0_10")
    con.execute("alter table version_session rename column effort_cr10 to effort_0_10")
    con.execute("alter table plan rename column planned_effort_cr10 to planned_effort_0_10")
    con.execute("alter table version_plan rename column planned_effort_cr10 to planned_effort_0_10")


def _ratings_between_steps(con: duckdb.DuckDBPyConnection) -> None:
    """Let a rating lie between the steps of our scale: one of another scale mostly does."""
    rated = (
        "sleep_quality",
        "fatigue",
        "soreness",
        "stress",
        "mood",
        "hamstring_tightness_l",
        "hamstring_tightness_r",
        "pain",
    )
    for table in ("checkin", "version_checkin"):
        for column in rated:
            con.execute(f'alter table {table} alter column "{column}" set data type double')


def _listed_once(con: duckdb.DuckDBPyConnection) -> None:
    """Let a cell that waits wait once: loaded again, a conflict between files was listed each time."""
    con.execute(
        """update rejected as r set resolved_by_load = n.load_no, resolved_at = n.loaded_at
        from (select o.reject_no, min(m.load_no) as load_no, min_by(m.loaded_at, m.load_no) as loaded_at
            from rejected o join load l on l.load_no = o.load_no
            join load m on m.load_no > o.load_no and m.source_sha256 = l.source_sha256 and m.source_name = l.source_name
            join rejected a on a.load_no = m.load_no and a."column" = o."column"
                and a.source_sheet is not distinct from o.source_sheet and a.value is not distinct from o.value
                and a.source_line is not distinct from o.source_line
            where o.resolved_by_load is null and l.undone_at is null and m.undone_at is null
            group by o.reject_no) n
        where r.reject_no = n.reject_no"""
    )


STEPS = (
    Step(2, "a row set aside names the athlete it was found to be of", _rejected_names_its_athlete, True),
    Step(3, "a rating of effort is named by its scale, 0 to 10", _effort_says_its_scale),
    Step(4, "ratings of other scales lie between the steps of ours", _ratings_between_steps),
    Step(5, "a cell that waits is listed once, however often its file was loaded", _listed_once),
)
SCHEMA_VERSION = STEPS[-1].to_version


def migrate(con: duckdb.DuckDBPyConnection, found: Mapping[str, str], path: Path) -> None:
    """Do the steps that lead from the version of a record file to this one's. To be called inside a transaction.

    Args:
        con: The record, with its table ``info``.
        found: What ``info`` says.
        path: The file, for the sentence.

    Raises:
        ThirdstepError: The file is of a newer version, or of none that ever was.
    """
    said = found.get("schema_version", "")
    version = int(said) if said.isdecimal() else 0
    if version > SCHEMA_VERSION:
        raise ThirdstepError(
            f"'{path}' was written by a newer thirdstep (record version {version}, this one reads up to "
            f"{SCHEMA_VERSION}). Nothing was changed. Install that thirdstep again and use it; or move the file away "
            "and run 'thirdstep rebuild', which makes the record again from its sources as far as this one reads them."
        )
    if version < FIRST_VERSION:
        raise ThirdstepError(
            f"'{path}' says record version '{said}', and there never was one. Nothing was changed. "
            "'thirdstep rebuild' makes the record again from its sources."
        )
    for step in STEPS:
        if step.to_version > version:
            step.change(con)
    con.execute("update info set value = ? where name = 'schema_version'", [str(SCHEMA_VERSION)])
    if any(step.replays and step.to_version > version for step in STEPS):
        con.execute("insert into info values ('replay', 'wanted')")


def wants_replay(con: duckdb.DuckDBPyConnection) -> bool:
    """Return whether a step left something that only the sources tell."""
    return bool(con.execute("select count(*) from info where name = 'replay'").fetchall()[0][0])


def replay_failed(con: duckdb.DuckDBPyConnection) -> None:
    """Leave the record as the steps made it; 'verify' says what of it its sources give otherwise."""
    con.execute("delete from info where name = 'replay'")


def refuse_foreign(con: duckdb.DuckDBPyConnection, path: Path) -> None:
    """Refuse a database that holds tables and is no record.

    Raises:
        ThirdstepError: It is one.
    """
    tables = con.execute("select count(*) from duckdb_tables()").fetchall()[0][0]
    if tables or con.execute("select count(*) from duckdb_views() where not internal").fetchall()[0][0]:
        raise ThirdstepError(
            f"'{path}' is a database of something else. Nothing was changed. Give another folder with --home DIR."
        )
