"""Putting a record without a person in place of the one with them: all of it or nothing, whatever stops the machine.

The new sources, record and answers are made whole in a folder aside. Writing the mark is the moment that counts: before
it nothing has changed and the folder is thrown away; after it every opening of the record first finishes what is left.
"""

import contextlib
import json
import shutil
from pathlib import Path

from pipelines.home.durable import flush_folder, flush_tree, sweep, write_durably
from pipelines.home.folder import Home
from pipelines.record import backup_index

MARK = "erasing.json"
FOLDER = "erasing"


def aside(home: Home) -> Path:
    """Return the folder in which the new state is made."""
    return home.root / FOLDER


def is_left(home: Home) -> bool:
    """Return whether an erasure was begun and not finished."""
    return (home.root / MARK).exists() or aside(home).exists()


def start_over(home: Home) -> Path:
    """Throw away what a stopped erasure made aside, and return an empty folder. The writer lock is held."""
    shutil.rmtree(aside(home), ignore_errors=True)
    aside(home).mkdir(parents=True)
    return aside(home)


def decide(home: Home, athlete_id: str, by: str) -> None:
    """Decide the erasure, all of the new state being on the disk: from here on it happens.

    Without an athlete it is of rows past their keeping.
    """
    flush_tree(aside(home))
    write_durably(home.root / MARK, json.dumps({"athlete_id": athlete_id, "by": by}).encode())


def finish(home: Home) -> None:
    """Do what is left of a decided erasure, every step of which may be done twice; of another, throw the folder away.

    The writer lock is held.
    """
    mark, new = home.root / MARK, aside(home)
    if not mark.exists():
        shutil.rmtree(new, ignore_errors=True)
        return
    told = json.loads(mark.read_text(encoding="utf-8"))
    if (new / "sources").exists():
        if home.sources.exists():
            shutil.rmtree(new / "before", ignore_errors=True)
            home.sources.rename(new / "before")
        (new / "sources").rename(home.sources)
    if (new / home.record.name).exists():
        home.record.with_name(home.record.name + ".wal").unlink(missing_ok=True)
        (new / home.record.name).replace(home.record)
    if (new / home.answers.name).exists():
        (new / home.answers.name).replace(home.answers)
    home.unread.unlink(missing_ok=True)  # its file names may name somebody who was erased
    if (new / backup_index.NAME).exists():
        (new / backup_index.NAME).replace(home.backups / backup_index.NAME)
    for old in home.backups.glob("record-*.duckdb*"):
        old.unlink(missing_ok=True)
    _take_boards_away(home)
    from pipelines.accounts.accounts import Accounts  # hashing makes it slow to import
    from pipelines.accounts.file import ERASED, PAST_ERASED, PERSON_ERASED

    accounts = Accounts(home.access)
    if told["athlete_id"]:
        accounts.forget(told["athlete_id"])
    accounts.note(
        told.get("by", ""), *((PERSON_ERASED, ERASED) if told["athlete_id"] else (PAST_ERASED, ""))
    )  # what was offered to take away before dies with it
    sweep(home.root)
    for folder in (new, home.backups, home.board, home.root):  # else the old state could come back without its mark
        flush_folder(folder)
    shutil.rmtree(new, ignore_errors=True)
    mark.unlink()
    flush_folder(home.root)


def _take_boards_away(home: Home) -> None:
    """Take every board away and leave an empty file with the last number, so that the next one gets a new name."""
    (home.board / "current").unlink(missing_ok=True)
    boards = sorted(home.board.glob("board-*.duckdb"))
    if boards:
        empty = home.board / "empty.part"
        empty.touch()
        with contextlib.suppress(OSError):
            empty.replace(boards[-1])
    for old in {*home.board.glob("board-*")} - {*boards[-1:]}:
        with contextlib.suppress(OSError):  # a reader on Windows may hold it; the next publish tries again
            old.unlink()
