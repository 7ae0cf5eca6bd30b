"""The log of what was done to the record, one small file per event. The record is a replay of it.

Each event holds the SHA-256 of the file of the one before it, so that none can be changed, put in or left out without
those after it no longer following. The SHA-256 of the last one is the log's head: kept elsewhere, it shows for ever
whether the log up to there is what it was. After an erasure the chain starts anew, and the receipt holds the old head.

An event is written just before the record commits it. So the log is never behind the record; after a crash it may be
ahead of it, and the next one who opens the record does there what the log says.
"""

import datetime as dt
import hashlib
import json
import os
from collections.abc import Iterator
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import Any

from pipelines.errors import ThirdstepError
from pipelines.home.durable import flush_folder, write_durably


@dataclass(frozen=True)
class Event:
    """One thing done to the record: a load, an undo or a redo."""

    event_no: int
    what: str  # "load", "undo" or "redo"
    load_no: int
    by: str
    at: dt.datetime
    sha256: str = ""  # the rest is said of a load only
    name: str = ""
    kind: str = ""  # "file" or "entry"
    as_of: dt.date | None = None
    options: dict[str, Any] = field(default_factory=dict)
    code: str = ""  # digest of the code that read it (``pipelines.record.reading_code``); "" of earlier versions
    before: str = ""  # SHA-256 of the file of the event before; "" of the first


def event_path(sources: Path, event_no: int) -> Path:
    """Return the file of an event."""
    return sources / "log" / f"{event_no:08d}.json"


def write_event(sources: Path, event: Event) -> None:
    """Write an event to the log, chained to the one before it."""
    told = {**asdict(event), "at": event.at.isoformat(), "as_of": event.as_of.isoformat() if event.as_of else None}
    _write(sources, event.event_no, told)


def _write(sources: Path, event_no: int, told: dict[str, Any]) -> None:
    told = {**told, "before": head(sources, event_no - 1)}
    content = json.dumps(told, ensure_ascii=False, indent=1, sort_keys=True).encode()
    write_durably(event_path(sources, event_no), content)


def head(sources: Path, event_no: int | None = None) -> str:
    """Return the SHA-256 of an event's file, the last one's where none is named; "" where there is no such event."""
    path = event_path(sources, last_event_no(sources) if event_no is None else event_no)
    return hashlib.sha256(path.read_bytes()).hexdigest() if path.exists() else ""


def is_chained(sources: Path) -> bool:
    """Return whether the last event says what it follows. Those of earlier versions do not."""
    last = last_event_no(sources)
    return not last or "before" in json.loads(event_path(sources, last).read_text(encoding="utf-8"))


def chain(sources: Path) -> None:
    """Chain a log of an earlier version, in order; begun and stopped, it is done again. The writer lock is held."""
    for event_no in range(1, last_event_no(sources) + 1):
        _write(sources, event_no, json.loads(event_path(sources, event_no).read_text(encoding="utf-8")))


def first_that_does_not_follow(sources: Path) -> str:
    """Name the first event that does not follow the one before it; "" where all do."""
    for event in read_events(sources):
        if event.before != head(sources, event.event_no - 1):
            what = f"event {event.event_no} ({event.what} {event.name or event.load_no}, {event.at:%Y-%m-%d %H:%M})"
            return f"{what} does not follow event {event.event_no - 1}: one of the two was changed or put in its place"
    return ""


def place_of_head(sources: Path, told: str) -> str:
    """Say where a head that was kept elsewhere stands in the log; "" where nowhere."""
    last = last_event_no(sources)
    for event_no in range(last, 0, -1):
        if head(sources, event_no) == told:
            return f"event {event_no} of {last} of the log is as it was when this head was kept"
    for event in read_events(sources):
        if event.options.get("head_before") == told:
            return f"the log up to there was written anew by the erasure of {event.at:%Y-%m-%d %H:%M}"
    return ""


def last_event_no(sources: Path) -> int:
    """Return the number of the last event of the log, 0 for an empty one."""
    try:
        names = os.listdir(sources / "log")
    except (FileNotFoundError, NotADirectoryError):
        return 0
    events = (name.removesuffix(".json") for name in names if name.endswith(".json"))
    return max((int(number) for number in events if number.isdigit()), default=0)


def read_events(sources: Path, after: int = 0) -> Iterator[Event]:
    """Yield the events in order, those after one of them.

    Raises:
        ThirdstepError: An event is missing from the middle, or cannot be read.
    """
    for event_no in range(after + 1, last_event_no(sources) + 1):
        path = event_path(sources, event_no)
        try:
            told = json.loads(path.read_text(encoding="utf-8"))
            told["at"] = dt.datetime.fromisoformat(told["at"])
            told["as_of"] = dt.date.fromisoformat(told["as_of"]) if told["as_of"] else None
            yield Event(**told)
        except (OSError, ValueError, TypeError, KeyError) as trouble:
            raise ThirdstepError(
                f"Event {event_no} of the log in '{path.parent}' is missing or damaged. Bring it back from a backup."
            ) from trouble


def take_away(sources: Path, event_no: int) -> None:
    """Take an event away that the record never committed."""
    path = event_path(sources, event_no)
    path.unlink(missing_ok=True)
    flush_folder(path.parent)
