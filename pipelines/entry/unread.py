"""What was given and not read: files that could not be loaded, questions that hold rows, columns nothing is taken from.

A file of which nothing is read leaves nothing in the record, so that a quiet page would be read as all clear. The home
keeps a short note of each (``unread.json``) until the file is given again and read whole. It holds names of files and
headers alone, no cell; a person's erasure throws it away, and no backup carries it.
"""

import datetime as dt
import json
from collections.abc import Iterable
from typing import Any

from pipelines.home.durable import write_durably
from pipelines.home.folder import Home
from pipelines.record.loading import Outcome

MOST_COLUMNS = 12  # headers kept of a file


def unread_files(home: Home) -> list[dict[str, Any]]:
    """Return what waits, by file: file, problem, holding (questions that hold rows), columns, at, by."""
    try:
        told = json.loads(home.unread.read_text(encoding="utf-8"))
    except (OSError, ValueError):  # a note that cannot be read is a note less, never a page less
        return []
    return told if isinstance(told, list) else []


def remember_unread(home: Home, outcomes: Iterable[Outcome], by: str, at: dt.datetime) -> None:
    """Put what was just given in the place of what was known of the same files; those read whole go."""
    before = unread_files(home)
    kept = {one["file"]: one for one in before}
    for outcome in outcomes:
        kept.pop(outcome.file, None)
        columns = list(dict.fromkeys(one.about for one in outcome.questions if one.ask == "columns" and one.about))
        holding = sum(one.holds_rows for one in outcome.questions)
        if outcome.problem or columns or holding:
            kept[outcome.file] = {
                "file": outcome.file, "problem": outcome.problem, "holding": holding,
                "columns": columns[:MOST_COLUMNS], "at": at.isoformat(timespec="seconds"), "by": by,
            }  # fmt: skip
    after = [kept[name] for name in sorted(kept)]
    if after != before:
        write_durably(home.unread, json.dumps(after, ensure_ascii=False, indent=1).encode())
