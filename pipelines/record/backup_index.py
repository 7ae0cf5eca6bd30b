"""Which backup files were made of a home, so that after an erasure it is known which still hold the erased person."""

import datetime as dt
import json
from collections.abc import Callable
from dataclasses import asdict, dataclass
from pathlib import Path

from pipelines.home.durable import write_durably
from pipelines.home.folder import Home

NAME = "index.json"
RESTORING_MARK, RESTORING_FOLDER = "restoring.json", "restoring"  # of a restore that was decided, and what it moves


def is_restoring(home: Home) -> bool:
    """Return whether a restore was begun and not finished."""
    return (home.root / RESTORING_MARK).exists() or (home.root / RESTORING_FOLDER).exists()


@dataclass(frozen=True)
class Made:
    """One backup file: where and when it was written, how long it was, and whether somebody was erased since."""

    file: str
    made_at: str
    size_bytes: int
    holds_erased: bool = False

    @property
    def is_there(self) -> bool:
        """Whether the file still lies where it was written, of the length it had."""
        path = Path(self.file)
        return path.is_file() and path.stat().st_size == self.size_bytes


def made(home: Home) -> list[Made]:
    """Return the backups made of a home, oldest first."""
    path = home.backups / NAME
    return [Made(**one) for one in json.loads(path.read_text(encoding="utf-8"))] if path.exists() else []


def note(home: Home, target: Path, at: dt.datetime) -> None:
    """Note that a backup was written. The writer lock is held."""
    name = str(target.absolute())
    kept = [one for one in made(home) if one.file != name]
    write_durably(home.backups / NAME, _told([*kept, Made(name, at.isoformat(), target.stat().st_size)]))


def after_erasure(home: Home, redacted: Callable[[str], str]) -> bytes:
    """Return the index as it stands once somebody is erased: what is there holds them, and no file's name does."""
    return _told([
        Made(redacted(one.file), one.made_at, one.size_bytes, holds_erased=True) for one in made(home)
    ])  # fmt: skip


def holding_the_erased(home: Home) -> list[str]:
    """Return the backup files that still lie where they were written and hold somebody who was erased since."""
    return [one.file for one in made(home) if one.holds_erased and one.is_there]


def _told(listed: list[Made]) -> bytes:
    return json.dumps([asdict(one) for one in listed], ensure_ascii=False, indent=1).encode("utf-8")
