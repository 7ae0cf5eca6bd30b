"""What the head coach's rule editor asks of the flow: the history, a change, a look back under other numbers."""

from typing import TYPE_CHECKING, Any

from dashboard.access.viewer import Viewer
from dashboard.home import home_folder
from dashboard.screens.hindsight import words
from dashboard.writes import NotKept, publish_soon

if TYPE_CHECKING:
    from pipelines.flow import Home
    from schemas.settings import SquadSettings

Row = dict[str, Any]


def _only_head_coach(viewer: Viewer) -> "Home":
    """Return the home for the head coach, and refuse everybody else."""
    from pipelines import flow

    if viewer.role != "head_coach":
        raise NotKept(words.FOR_HEAD_COACH)
    return flow.Home(home_folder())


def rule_history(viewer: Viewer) -> list[Row]:
    """Return every change of the rules, oldest first."""
    from pipelines import flow

    try:
        return flow.rule_history(_only_head_coach(viewer)).to_dicts()
    except flow.ThirdstepError as wrong:
        raise NotKept(str(wrong)) from wrong


def rules_in_force(viewer: Viewer) -> "SquadSettings":
    """Return the squad's settings in force, as they stand in the home."""
    from pipelines import flow

    try:
        return flow.settings(_only_head_coach(viewer))
    except flow.ThirdstepError as wrong:
        raise NotKept(str(wrong)) from wrong


def change_rule(viewer: Viewer, name: str, value: float, why: str) -> None:
    """Change one number; the board is derived anew beside the page."""
    from pipelines import flow

    home = _only_head_coach(viewer)
    try:
        flow.change_rule(home, name, value, viewer.name, why, derive_after=False)
    except flow.ThirdstepError as wrong:
        raise NotKept(str(wrong)) from wrong
    publish_soon()


def flags_under(viewer: Viewer, change_no: int) -> list[Row]:
    """Return the look back under the rules as they stood after a change."""
    from pipelines import flow

    home = _only_head_coach(viewer)
    try:
        return flow.flags_under_rule(home, change_no).to_dicts()
    except flow.ThirdstepError as wrong:
        raise NotKept(str(wrong)) from wrong
