"""Opening the record of a home: one writer at a time, opened, used, closed; and the clock."""

import datetime as dt
from collections.abc import Iterator
from contextlib import closing, contextmanager

from pipelines import swapping, warehouse
from pipelines.errors import ThirdstepError
from pipelines.home import Home, Say, only_writer, say_nothing
from pipelines.settings_file import read_settings
from pipelines.sources import journal
from pipelines.trouble import plain_words
from schemas.settings import SquadSettings


@contextmanager
def record(home: Home, say: Say = say_nothing, *, to_look: bool = False) -> Iterator[warehouse.Connection]:
    """Open the record while the block runs.

    Args:
        home: Whose record.
        say: Is told when another writer is waited for.
        to_look: Nothing will be kept: a home without a record gives an empty one and is not made.

    Raises:
        ThirdstepError: The record is missing although sources are kept, is damaged, or may not be written.
    """
    if swapping.is_left(home):
        with only_writer(home, say):
            swapping.finish(home)
    if not home.record.exists() and journal.last_event_no(home.sources):
        raise ThirdstepError(
            f"'{home.record}' is missing, but its sources are kept. 'thirdstep rebuild' makes it again from them."
        )
    if to_look and not home.record.exists():
        with closing(warehouse.in_memory()) as con:
            yield con
        return
    prepare(home)
    with plain_words(home.record), only_writer(home, say), closing(warehouse.connect(home.record)) as con:
        mend_log(con, home)
        yield con


def prepare(home: Home) -> None:
    """Make the home folder, with its settings to read and change."""
    with plain_words(home.root):
        home.prepare()


def mend_log(con: warehouse.Connection, home: Home) -> None:
    """Take away the one event that a stopped writer logged and did not commit.

    Raises:
        ThirdstepError: The record and the log of its sources do not belong together.
    """
    held, logged = warehouse.last_event(con), journal.last_event_no(home.sources)
    if logged == held + 1:
        journal.take_away(home.sources, logged)
    elif logged > held:
        raise ThirdstepError(
            f"The record knows {held} loads and undos, its sources {logged}: the record file is older than its "
            "sources. 'thirdstep rebuild' makes it again from them."
        )


def now(*, to_the_second: bool = True) -> dt.datetime:
    """Return the club's own wall-clock time.

    Local and without a zone on purpose: 'what was known by then' is asked of days as people lived them.
    """
    time = dt.datetime.now()
    return time.replace(microsecond=0) if to_the_second else time


def looking_from(settings: SquadSettings) -> dt.date:
    """Return the day the tool looks from: the one of the settings, else today."""
    return settings.as_of or now().date()


def last_possible_day(home: Home) -> dt.date:
    """Return the day after which a date lies in the future; a demo frozen on a later day may reach it."""
    return max(now().date(), read_settings(home.settings).as_of or dt.date.min)
