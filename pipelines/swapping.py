"""Putting a record without a person in place of the one with them: all of it or nothing, whatever stops the machine.

The new sources, record and answers are made whole in a folder aside. Writing the mark is the moment that counts: before
it nothing has changed and the folder is thrown away; after it every opening of the record first finishes what is left.
"""

import contextlib
import json
import shutil
from pathlib import Path

from pipelines.durable import flush_folder, write_durably
from pipelines.home import Home

MARK = "erasing.json"
FOLDER = "erasing"


def aside(home: Home) -> Path:
    """Return the folder in which the new state is made."""
    return home.root / FOLDER


def is_left(home: Home) -> bool:
    """Return whether an erasure has been decided and not finished."""
    return (home.root / MARK).exists()


def start_over(home: Home) -> Path:
    """Throw away what a stopped erasure made aside, and return an empty folder. The writer lock is held."""
    shutil.rmtree(aside(home), ignore_errors=True)
    aside(home).mkdir(parents=True)
    return aside(home)


def decide(home: Home, athlete_id: str) -> None:
    """Decide the erasure: from here on it happens."""
    write_durably(home.root / MARK, json.dumps({"athlete_id": athlete_id}).encode())


def finish(home: Home) -> None:
    """Do what is left of a decided erasure; every step may be done twice. The writer lock is held."""
    mark = home.root / MARK
    if not mark.exists():
        return
    athlete_id = json.loads(mark.read_text(encoding="utf-8"))["athlete_id"]
    new = aside(home)
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
    for old in home.backups.glob("record-*.duckdb*"):
        old.unlink(missing_ok=True)
    _take_boards_away(home)
    from pipelines.accounts import Accounts  # hashing makes it slow to import

    Accounts(home.access).forget(athlete_id)
    shutil.rmtree(new, ignore_errors=True)
    mark.unlink()
    flush_folder(home.root)


def _take_boards_away(home: Home) -> None:
    """Take every board away and leave an empty file with the last number, so that the next one gets a new name."""
    (home.board / "current").unlink(missing_ok=True)
    boards = sorted(home.board.glob("board-*.duckdb*"))
    for old in boards:
        with contextlib.suppress(OSError):  # a reader on Windows may hold it; the next publish tries again
            old.unlink()
    numbers = [old.name for old in boards if old.suffix == ".duckdb"]
    if numbers:
        (home.board / numbers[-1]).touch()
