"""What several pages ask of the board in the same way."""

import datetime as dt
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import streamlit as st

from dashboard.access.viewer import Viewer
from dashboard.board import Board

SCREENS = Path(__file__).parent / "screens"


@dataclass(frozen=True)
class Opened:
    """The viewer and the board of this run."""

    viewer: Viewer
    board: Board
    _read: dict[str, list[dict]] = field(default_factory=dict, compare=False, repr=False)

    def rows(self, table: str, where: dict[str, Any] | None = None, **more: Any) -> list[dict]:
        """Return rows of a table that this viewer may see.

        What several parts of a page ask alike is read once: this lives for one run, of one viewer, on one build.
        """
        asked = repr((table, where, more))
        if asked not in self._read:
            self._read[asked] = self.board.rows(self.viewer, table, where, **more)
        return [dict(row) for row in self._read[asked]]

    def setting(self, name: str) -> float:
        """Return a number of the squad's settings, as it was in force when the board was made."""
        [row] = self.rows("setting", {"name": name})
        return float(row["number"])


def query_value(name: str, allowed: set[str] | None = None) -> str | None:
    """Return a value of the address, or null when it is absent or not among those allowed."""
    value = st.query_params.get(name)
    if value is None or (allowed is not None and value not in allowed):
        return None
    return str(value)


def parsed_day(value: str | None) -> dt.date | None:
    """Return an ISO day of the address, or null."""
    try:
        return dt.date.fromisoformat(value) if value else None
    except ValueError:
        return None


def monday_of(day: dt.date) -> dt.date:
    """Return the Monday of a day's week."""
    return day - dt.timedelta(days=day.weekday())
