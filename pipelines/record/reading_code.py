"""Which code read a load: said with its event, so that what newer checks would do otherwise is told from damage."""

import hashlib
import importlib
from functools import cache
from pathlib import Path

from pipelines.record import warehouse
from pipelines.record.sources import journal

# All that decides what becomes of a row on its way into the record.
PACKAGES = ("pipelines.readers", "pipelines.layouts", "pipelines.cells", "pipelines.checks", "pipelines.intake",
            "pipelines.record", "schemas")  # fmt: skip
MADE_BY, MADE_UP_TO = "made_by", "made_up_to"  # which code made the whole record from its log, and up to which event


@cache
def reading_code() -> str:
    """Return a digest of the code that reads, checks and stores; of a process, as it was when first asked for."""
    told = hashlib.blake2b(digest_size=8)
    for package in PACKAGES:
        folder = Path(next(iter(importlib.import_module(package).__path__)))
        for path in sorted(path for path in folder.rglob("*") if path.suffix in (".py", ".toml")):
            told.update(path.relative_to(folder).as_posix().encode() + path.read_bytes())
    return told.hexdigest()


def note_made(con: warehouse.Connection, event_no: int) -> None:
    """Note that this code made the record from its log, up to an event."""
    con.execute("delete from info where name in (?, ?)", [MADE_BY, MADE_UP_TO])
    con.execute("insert into info values (?, ?), (?, ?)", [MADE_BY, reading_code(), MADE_UP_TO, str(event_no)])


def loads_of_other_code(con: warehouse.Connection, sources: Path) -> dict[int, str]:
    """Return the loads that other code than this put into the record, with the names of their files."""
    told = dict(con.execute("select name, value from info").fetchall())
    made_by, made_up_to = told.get(MADE_BY, ""), int(told.get(MADE_UP_TO, "0"))
    found = {}
    for event in journal.read_events(sources):
        code = made_by if event.event_no <= made_up_to else event.code
        if event.what == "load" and code != reading_code():
            found[event.load_no] = event.name
    return found
