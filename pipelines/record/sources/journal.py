"""The log of what was done to the record, one small file per event. The record is a replay of it.

An event is written just before the record commits it. So the log is never behind the record; after a crash it may be
ahead of it, and the next one who opens the record does there what the log says.
"""

import datetime as dt
import json
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


def event_path(sources: Path, event_no: int) -> Path:
    """Return the file of an event."""
    return sources / "log" / f"{event_no:08d}.json"


def write_event(sources: Path, event: Event) -> None:
    """Write an event to the log."""
    told = {**asdict(event), "at": event.at.isoformat(), "as_of": event.as_of.isoformat() if event.as_of else None}
    write_durably(
        event_path(sources, event.event_no), json.dumps(told, ensure_ascii=False, indent=1, sort_keys=True).encode()
    )


def last_event_no(sources: Path) -> int:
    """Return the number of the last event of the log, 0 for an empty one."""
    return max((int(path.stem) for path in (sources / "log").glob("[0-9]*.json")), default=0)


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
