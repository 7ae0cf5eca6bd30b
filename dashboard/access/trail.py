"""Reads of injury detail leave a line in the trail, once a day; files and printed sheets taken away one each time."""

import datetime as dt
import logging
import os
import threading
from pathlib import Path

import polars as pl

from dashboard.access.viewer import Viewer
from dashboard.home import home_folder
from pipelines.accounts.accounts import Accounts
from pipelines.accounts.file import CannotWrite

READ = "injury detail read"
# Tables whose rows are injury detail. Lists of the whole squad are told as such, not athlete by athlete.
DETAIL = frozenset({"injury", "return_step", "return_ladder"})
MOST_NAMED = 3
WHOLE_SQUAD = "several athletes"
_lock = threading.Lock()
_noted: set[tuple[str, str, str, dt.date]] = set()


def note_taken(viewer: Viewer, what: str, about: str = "") -> None:
    """Note that somebody took a file or a printed sheet away."""
    Accounts(home_folder() / "access.sqlite").note(viewer.name, what, about)


def erased_since(at: str) -> bool:
    """Return whether somebody was erased at or after a moment (UTC, ISO 8601)."""
    return Accounts(home_folder() / "access.sqlite").last_erasure() >= at


def note_read(viewer: Viewer, table: str, rows: pl.DataFrame) -> None:
    """Note that a coach has read rows of injury detail; nothing where they have been noted today already."""
    home = os.environ.get("THIRDSTEP_HOME", "")
    if table not in DETAIL or rows.is_empty() or "athlete_id" not in rows.columns or not home:
        return
    about = sorted(rows["athlete_id"].unique().to_list())
    today = dt.datetime.now().date()
    for one in about if len(about) <= MOST_NAMED else [WHOLE_SQUAD]:
        with _lock:
            key = (home, viewer.name, one, today)
            if key in _noted:
                continue
            _noted.add(key)
        path = Path(home) / "access.sqlite"
        if path.exists():
            try:
                Accounts(path).note(viewer.name, READ, one)
            except CannotWrite as wrong:  # the page is still shown; it is noted when it can be
                logging.getLogger(__name__).error("a read of injury detail could not be noted: %s", wrong)
                with _lock:
                    _noted.discard(key)
