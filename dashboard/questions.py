"""What a page asks of the flow: two starts compared, curves, what a change is worth, the sentences over a week.

The page gives rows of the board that its viewer may see and gets sentences and rows back; it computes nothing itself.
"""

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from dashboard.home import squad_home

if TYPE_CHECKING:
    from pipelines.flow import Explored

Row = Mapping[str, Any]


def compare(one: Row, other: Row, steps: tuple[Sequence[Row], Sequence[Row]]) -> tuple[str, list[dict], list[dict]]:
    """Return a sentence, the rows of the whole runs and the rows step by step."""
    from pipelines import flow

    return flow.compare_starts(one, other, steps)


def curves(profile: Row) -> tuple[list[dict], list[dict]]:
    """Return a run's speed over distance and its force-velocity line, each with its band."""
    from pipelines import flow

    return flow.run_curves(squad_home(), profile)


def what_if(profile: Row, steps: Sequence[Row], **changes: float) -> "Explored":
    """Return what a change would be worth: a range, its assumptions, or the code of why it cannot be said."""
    from pipelines import flow

    return flow.what_if(squad_home(), profile, steps, **changes)


def week_lede(rows: Sequence[Row], missing: Sequence[str] = ()) -> str:
    """Return the sentences over the lines of the week's sheet that are shown; ``missing``: kinds never entered."""
    from pipelines import flow

    return flow.week_lede(rows, missing)


def unread_files(home: Path, brought_by: str | None) -> list[dict[str, Any]]:
    """Return what was given and not read, of everybody or of what one person brought: file names may name people."""
    from pipelines import flow

    return [one for one in flow.unread_files(flow.Home(home)) if brought_by in (None, one["by"])]


def since_closing(changed: Sequence[tuple[str, str]]) -> str:
    """Say what has changed since the review was closed: pairs of name and what."""
    from pipelines import flow

    return flow.since_closing(changed)
