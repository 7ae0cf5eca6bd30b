"""One file that holds a home: every source and event, the record, settings and accounts, each with its checksum.

The board is left out; it is built again from the record.
"""

import contextlib
import datetime as dt
import json
import shutil
import sqlite3
import tempfile
import zipfile
from pathlib import Path

from pipelines.durable import move_durably
from pipelines.errors import ThirdstepError
from pipelines.home import Home
from pipelines.sources import checksum
from pipelines.trouble import plain_words

MANIFEST = "manifest.json"
FORMAT = "thirdstep-backup-1"


def write_backup(home: Home, target: Path, at: dt.datetime) -> int:
    """Write a backup file and return how many files it holds. The writer lock is held, so the record is closed."""
    aside = target.with_name(target.name + ".part")
    with plain_words(target), tempfile.TemporaryDirectory() as held:
        target.parent.mkdir(parents=True, exist_ok=True)
        files = {path.relative_to(home.root).as_posix(): path for path in _to_keep(home)}
        if home.access.exists():
            files[home.access.name] = _copy_sqlite(home.access, Path(held) / home.access.name)
        sums: dict[str, str] = {}
        try:
            with zipfile.ZipFile(aside, "w", zipfile.ZIP_DEFLATED, compresslevel=3) as archive:
                for name, path in files.items():
                    content = path.read_bytes()
                    sums[name] = checksum(content)
                    archive.writestr(name, content)
                told = {"format": FORMAT, "made_at": at.isoformat(), "files": sums}
                archive.writestr(MANIFEST, json.dumps(told, indent=1))
            aside.chmod(0o600)
            move_durably(aside, target)
        finally:
            aside.unlink(missing_ok=True)
    return len(sums)


def read_backup(home: Home, source: Path) -> int:
    """Fill an empty home from a backup file, all of it checked first; return how many files it held.

    Raises:
        ThirdstepError: The home is not empty, or the file is no backup, is damaged, or names a file outside the home.
    """
    if home.record.exists() or any(home.sources.rglob("*.json")):
        raise ThirdstepError(
            f"'{home.root}' holds a record already, and a restore never overwrites one. "
            "Give an empty folder with --home DIR, or move the old one away."
        )
    with plain_words(source):
        home.prepare()
        with tempfile.TemporaryDirectory(dir=home.root, prefix="restore-") as held:
            names = _unpack(source, Path(held))
            for name in names:
                target = home.root / name
                target.parent.mkdir(parents=True, exist_ok=True)
                move_durably(Path(held) / name, target)
    return len(names)


def _unpack(source: Path, folder: Path) -> list[str]:
    try:
        with zipfile.ZipFile(source) as archive:
            told = json.loads(archive.read(MANIFEST))
            if told.get("format") != FORMAT:
                raise ThirdstepError(
                    f"'{source}' is a backup of another version of thirdstep. Restore it with that one."
                )
            for name, sha256 in told["files"].items():
                target = (folder / name).resolve()
                if not target.is_relative_to(folder.resolve()):
                    raise ThirdstepError(f"'{source}' names a file outside the home folder. It was not restored.")
                content = archive.read(name)
                if checksum(content) != sha256:
                    raise ThirdstepError(f"'{source}' is damaged ({name}). Nothing was restored. Try an older backup.")
                target.parent.mkdir(parents=True, exist_ok=True)
                target.write_bytes(content)
    except (zipfile.BadZipFile, KeyError, ValueError, EOFError) as trouble:
        raise ThirdstepError(
            f"'{source}' is no whole backup file. Nothing was restored. Try an older backup."
        ) from trouble
    return list(told["files"])


def _to_keep(home: Home) -> list[Path]:
    kept = [path for path in sorted(home.sources.rglob("*")) if path.is_file() and not path.name.endswith(".part")]
    return kept + [path for path in (home.record, home.settings, home.answers) if path.exists()]


def _copy_sqlite(path: Path, copy: Path) -> Path:
    """Copy a database that may be in use, as one moment of it."""
    with contextlib.closing(sqlite3.connect(path)) as live, contextlib.closing(sqlite3.connect(copy)) as copied:
        live.backup(copied)
    return copy


def set_aside_record(home: Home, at: dt.datetime) -> Path | None:
    """Move the record file among the backups before another takes its place; null where there is none."""
    if not home.record.exists():
        return None
    home.backups.mkdir(parents=True, exist_ok=True)
    kept = home.backups / f"record-{at:%Y%m%d-%H%M%S-%f}.duckdb"
    wal = home.record.with_name(home.record.name + ".wal")
    if wal.exists():
        shutil.move(wal, kept.with_name(kept.name + ".wal"))
    shutil.move(home.record, kept)
    return kept
