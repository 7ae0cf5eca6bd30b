"""The home folder that is served."""

import datetime as dt
import os
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pipelines.flow import Home


class NoBoard(FileNotFoundError):  # noqa: N818 - reads as a sentence where it is raised
    """Nothing has been published in this home yet."""


def home_folder() -> Path:
    """Return the home folder named by THIRDSTEP_HOME."""
    value = os.environ.get("THIRDSTEP_HOME", "")
    if not value:
        raise NoBoard("THIRDSTEP_HOME names no home folder.")
    return Path(value)


def squad_home() -> "Home":
    """Return the served home as the flow takes it."""
    from pipelines import flow  # a page that asks nothing of the flow does not wait for it

    return flow.Home(home_folder())


def frozen_day() -> dt.date | None:
    """Return the day at which the clock of a demo stands; null where the clock goes on."""
    from pipelines import flow

    return flow.settings(squad_home()).as_of


def todays_date() -> dt.date:
    """Return the day that every page and form takes for today: that of the demo's clock, else the machine's."""
    return frozen_day() or dt.datetime.now().date()
