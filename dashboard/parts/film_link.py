"""The address at which the marks of a filmed run open; every step time on every page leads there."""

from collections.abc import Mapping
from typing import Any


def film_address(run: Mapping[str, Any]) -> str:
    """Return the address of a run's marks, relative to any page of the dashboard."""
    return f"film?athlete={run['athlete_id']}&day={run['session_date']}&session={run['session_no']}&run={run['rep_no']}"
