"""Opening the record of a home: one at a time, what a stopped one left is put right, used, closed; and the clock."""

import contextlib
import datetime as dt
import shutil
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from typing import TYPE_CHECKING

from pipelines.errors import ThirdstepError
from pipelines.home.durable import move_durably, sweep
from pipelines.home.folder import Home, Say, only_writer, say_nothing
from pipelines.home.trouble import plain_words
from pipelines.record import backup_index, kept_open, warehouse
from pipelines.record import migrations as migrating
from pipelines.record import replacement as swapping
from pipelines.record.sources import journal

if TYPE_CHECKING:
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
    with plain_words(home.root):
        nothing_yet = to_look and not home.record.exists() and not is_left(home)
    if nothing_yet:
        _must_be_there(home)
        with kept_open.blank() as con:
            yield con
        return
    with alone(home, say):
        _must_be_there(home)
        with kept_open.releasing(_connected(home), home.record) as con:
            yield con


def make_again(home: Home, tell: Callable[[int, int, str], None], *, whole_only: bool = False) -> list[str]:
    """Make the record again from its sources and put it in place of the old one, which is kept among the backups.

    Args:
        home: Whose; nobody else is writing.
        tell: Is told how far it is.
        whole_only: Keep the old one where something does not come out as it was logged.

    Returns:
        What did not come out as it was logged; empty when all did.
    """
    from pipelines.record import backup, replaying

    aside = home.record.with_suffix(".rebuild")
    with closing(warehouse.connect(aside)) as con:
        oddities = replaying.replay(con, home, tell)
    if whole_only and oddities:
        aside.unlink()
        return oddities
    backup.set_aside_record(home, now())
    move_durably(aside, home.record)
    return oddities


def _connected(home: Home) -> warehouse.Connection:
    """Open the record, of this version and with all that its log says. Nobody else is writing."""
    con = kept_open.connect(home.record)
    try:
        _chain_once(con, home)
        if warehouse.last_event(con) != journal.last_event_no(home.sources):
            from pipelines.record import replaying  # with all that reads and checks: who only looks need not wait

            replaying.catch_up(con, home)
        if not migrating.wants_replay(con):
            return con
    except BaseException:
        con.close()
        raise
    con.close()
    with contextlib.suppress(ThirdstepError):
        make_again(home, lambda *_: None, whole_only=True)
    con = kept_open.connect(home.record)
    migrating.replay_failed(con)  # where it did not, there is nothing to take away
    return con


def _chain_once(con: warehouse.Connection, home: Home) -> None:
    """Chain the log of an earlier version, once: a log that lost its chain later was tampered with."""
    if con.execute("select 1 from info where name = 'log_chained'").fetchall():
        return
    if not journal.is_chained(home.sources):
        journal.chain(home.sources)
    con.execute("insert into info values ('log_chained', 'yes')")


@contextmanager
def alone(home: Home, say: Say = say_nothing) -> Iterator[None]:
    """Be the only writer of a home in which everything that was begun is finished or taken back."""
    prepare(home)
    with plain_words(home.record), only_writer(home, say):
        swapping.finish(home)
        if backup_index.is_restoring(home):
            from pipelines.record import backup  # with what seals and signs: seldom needed

            backup.finish_restore(home)
        _drop_unfinished(home)
        yield


@contextmanager
def closed(home: Home, say: Say = say_nothing) -> Iterator[None]:
    """Be alone with a record whose file holds all of it: nothing waits beside it to be written."""
    with alone(home, say):
        _must_be_there(home)
        if home.record.exists():
            _connected(home).close()
        yield


def is_left(home: Home) -> bool:
    """Return whether an erasure or a restore was begun and not finished; opening the record settles it."""
    return swapping.is_left(home) or backup_index.is_restoring(home)


def _drop_unfinished(home: Home) -> None:
    """Take away what a stopped writer left beside the record: files made aside, spilled rows, an old copy in use."""
    for left in (*home.root.glob("record.duckdb.*"), *home.root.glob("record.rebuild*")):
        if left.is_dir():
            shutil.rmtree(left, ignore_errors=True)
        elif left.name != f"{home.record.name}.wal":
            left.unlink(missing_ok=True)
    for folder in (home.sources, home.sources / "log", home.backups):  # written by who holds the record's lock alone
        sweep(folder)
    for mark in (swapping.MARK, backup_index.RESTORING_MARK):
        sweep(home.root, f"{mark}.*.part")
    for kept in home.backups.glob("record-*.duckdb"):  # another name of the record itself: its successor never came
        if home.record.exists() and kept.samefile(home.record):
            kept.unlink()


def _must_be_there(home: Home) -> None:
    if not home.record.exists() and journal.last_event_no(home.sources):
        raise ThirdstepError(
            f"'{home.record}' is missing, but its sources are kept. 'thirdstep rebuild' makes it again from them."
        )


def prepare(home: Home) -> None:
    """Make the home folder, with its settings to read and change."""
    with plain_words(home.root):
        home.prepare()


def now(*, to_the_second: bool = True) -> dt.datetime:
    """Return the club's own wall-clock time.

    Local and without a zone on purpose: 'what was known by then' is asked of days as people lived them.
    """
    time = dt.datetime.now()
    return time.replace(microsecond=0) if to_the_second else time


def looking_from(settings: "SquadSettings") -> dt.date:
    """Return the day the tool looks from: the one of the settings, else today."""
    return settings.as_of or now().date()


def last_possible_day(home: Home) -> dt.date:
    """Return the day after which a date lies in the future; a demo frozen on a later day may reach it."""
    from pipelines.home.settings import read_settings

    return max(now().date(), read_settings(home.settings).as_of or dt.date.min)
