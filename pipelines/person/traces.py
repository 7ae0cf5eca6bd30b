"""Looking for a person's name in every file of a home: sources, log, record, boards, accounts, answers, backups."""

import sqlite3
import zipfile
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import duckdb

from pipelines.home.folder import Home
from pipelines.person.naming import Named
from pipelines.record.history import quoted

SKIPPED = (".lock",)


def find_traces(home: Home, who: Named) -> Iterator[str]:
    """Yield each place of a home in which a person's name stands: a file, or a table and column of it."""
    for path in sorted(home.root.rglob("*")):
        if not path.is_file() or path.suffix in SKIPPED:
            continue
        place = str(path.relative_to(home.root))
        if who.redacted(place) != place:
            yield f"the name of a file in {path.parent.name}"
        if _is_duckdb(path):
            yield from _in_duckdb(path, place, who)
        elif path.suffix == ".sqlite":
            yield from _in_sqlite(path, place, who)
        elif any(who.redacted(text) != text for text in texts_in(path.read_bytes())):
            yield place


def texts_in(content: bytes) -> Iterator[str]:
    """Yield the bytes of a file as text, in each way it may be meant; a packed file part by part."""
    if content.startswith(b"PK\x03\x04"):
        import io

        try:
            with zipfile.ZipFile(io.BytesIO(content)) as archive:
                for part in archive.namelist():
                    yield from texts_in(archive.read(part))
            return
        except (zipfile.BadZipFile, RuntimeError, NotImplementedError):
            pass
    yield content.decode("utf-8", errors="replace")
    yield content.decode("cp1252", errors="replace")
    if b"\x00" in content[:200]:
        yield content.decode("utf-16", errors="replace")


def _is_duckdb(path: Path) -> bool:
    """Whether a file is a database, whatever its name: its mark stands after the first eight bytes."""
    with path.open("rb") as file:
        return path.suffix == ".duckdb" or file.read(12)[8:] == b"DUCK"


def _in_duckdb(path: Path, place: str, who: Named) -> Iterator[str]:
    if path.stat().st_size == 0:
        return
    with closing(duckdb.connect(str(path), read_only=True)) as con:
        columns = con.execute(
            "select table_name, column_name from information_schema.columns where data_type = 'VARCHAR'"
        ).fetchall()
        for table, column in columns:
            rows = con.execute(
                f"select distinct {quoted(column)} from {quoted(table)} where {quoted(column)} is not null"
            ).fetchall()
            if any(who.redacted(text) != text or text in who.signers for (text,) in rows):
                yield f"{place}: {table}.{column}"


def _in_sqlite(path: Path, place: str, who: Named) -> Iterator[str]:
    with closing(sqlite3.connect(path)) as db:
        tables = [row[0] for row in db.execute("select name from sqlite_master where type = 'table'")]
        for table in tables:
            for row in db.execute(f"select * from {quoted(table)}"):
                if any(isinstance(v, str) and (who.redacted(v) != v or v in who.signers) for v in row):
                    yield f"{place}: {table}"
                    break
