"""One file that holds a home: every source and event, the record, settings and accounts, each with its checksum.

The board is left out; it is built again from the record. So is the secret of a club's own sign-in: a backup travels.
"""

import contextlib
import datetime as dt
import hashlib
import json
import os
import shutil
import sqlite3
import tempfile
import zipfile
import zlib
from pathlib import Path
from typing import IO

from pipelines.accounts.openid import SETTINGS_FILE
from pipelines.errors import ThirdstepError
from pipelines.home.durable import flush_folder, flush_tree, make_folder, move_durably, write_durably
from pipelines.home.folder import Home
from pipelines.home.trouble import plain_words
from pipelines.record import backup_index

MANIFEST = "manifest.json"
FORMAT = "thirdstep-backup-1"
MARK = "restoring.json"
FOLDER = "restoring"
PIECE_BYTES = 1 << 20


def write_backup(home: Home, target: Path, at: dt.datetime) -> int:
    """Write a backup file and return how many files it holds. The writer lock is held, so the record is closed."""
    aside = target.with_name(target.name + ".part")
    with plain_words(target), tempfile.TemporaryDirectory() as held:
        target.parent.mkdir(parents=True, exist_ok=True)
        files = {path.relative_to(home.root).as_posix(): path for path in _to_keep(home)}
        if home.access.exists():
            files[home.access.name] = _copy_sqlite(home.access, Path(held) / home.access.name)
        try:
            with zipfile.ZipFile(aside, "w", zipfile.ZIP_DEFLATED, compresslevel=3) as archive:
                aside.chmod(0o600)
                sums = {name: _pack(archive, name, path) for name, path in files.items()}
                told = {"format": FORMAT, "made_at": at.isoformat(), "files": sums}
                archive.writestr(MANIFEST, json.dumps(told, indent=1))
            move_durably(aside, target)
        finally:
            aside.unlink(missing_ok=True)
    with plain_words(home.backups):
        backup_index.note(home, target, at)
    return len(sums)


def _pack(archive: zipfile.ZipFile, name: str, path: Path) -> str:
    """Put a file into the archive, a piece at a time, and return its SHA-256."""
    with path.open("rb") as source, archive.open(zipfile.ZipInfo(name), "w", force_zip64=True) as target:
        return _copy(source, target)


def _copy(source: IO[bytes], target: IO[bytes]) -> str:
    sha256 = hashlib.sha256()
    while piece := source.read(PIECE_BYTES):
        sha256.update(piece)
        target.write(piece)
    return sha256.hexdigest()


def read_backup(home: Home, source: Path) -> int:
    """Fill an empty home from a backup file, all of it checked first; return how many files it held.

    Everything is unpacked aside; writing the mark is the moment that counts, as in an erasure.

    Raises:
        ThirdstepError: The home is not empty, or the file is no backup, is damaged, or names a file outside the home.
    """
    if home.record.exists() or any(home.sources.rglob("*.json")):
        raise ThirdstepError(
            f"'{home.root}' holds a record already, and a restore never overwrites one. "
            "Give an empty folder with --home DIR, or move the old one away."
        )
    with plain_words(source):
        aside = home.root / FOLDER
        aside.mkdir()
        try:
            names = _unpack(source, aside)
        except BaseException:
            shutil.rmtree(aside, ignore_errors=True)
            raise
        flush_tree(aside)
        write_durably(home.root / MARK, json.dumps(names).encode())
        finish_restore(home)
    return len(names)


def is_left(home: Home) -> bool:
    """Return whether a restore was begun and not finished."""
    return (home.root / MARK).exists() or (home.root / FOLDER).exists()


def finish_restore(home: Home) -> None:
    """Move what is left of a decided restore into place; of another, throw the folder away. The writer lock is held."""
    mark, aside = home.root / MARK, home.root / FOLDER
    if mark.exists():
        for name in json.loads(mark.read_text(encoding="utf-8")):
            if (aside / name).exists():
                make_folder((home.root / name).parent)
                (aside / name).replace(home.root / name)
        flush_tree(home.sources)
        flush_folder(home.root)
    shutil.rmtree(aside, ignore_errors=True)
    if mark.exists():
        mark.unlink()
        flush_folder(home.root)


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
                target.parent.mkdir(parents=True, exist_ok=True)
                with archive.open(name) as packed, target.open("wb") as file:
                    found = _copy(packed, file)
                if found != sha256:
                    raise ThirdstepError(f"'{source}' is damaged ({name}). Nothing was restored. Try an older backup.")
    except (zipfile.BadZipFile, zlib.error, KeyError, ValueError, EOFError) as trouble:
        raise ThirdstepError(
            f"'{source}' is no whole backup file. Nothing was restored. Try an older backup."
        ) from trouble
    return list(told["files"])


def _to_keep(home: Home) -> list[Path]:
    kept = [path for path in sorted(home.sources.rglob("*")) if path.is_file() and not path.name.endswith(".part")]
    return kept + [
        path for path in (home.record, home.settings, home.answers, home.root / SETTINGS_FILE) if path.exists()
    ]


def _copy_sqlite(path: Path, copy: Path) -> Path:
    """Copy a database that may be in use, as one moment of it."""
    with contextlib.closing(sqlite3.connect(path)) as live, contextlib.closing(sqlite3.connect(copy)) as copied:
        live.backup(copied)
    return copy


def set_aside_record(home: Home, at: dt.datetime) -> Path | None:
    """Keep the record file among the backups before another takes its place; null where there is none.

    It stays where it is too, so that there is a record at every moment. Only its unwritten changes go: they are in the
    log, and would be taken for those of the file that comes.
    """
    if not home.record.exists():
        return None
    home.backups.mkdir(parents=True, exist_ok=True)
    kept = home.backups / f"record-{at:%Y%m%d-%H%M%S-%f}.duckdb"
    wal = home.record.with_name(home.record.name + ".wal")
    for old, new in ((wal, kept.with_name(kept.name + ".wal")), (home.record, kept)):
        if old.exists():
            try:
                os.link(old, new)
            except OSError:  # the file system has no second names
                shutil.copy2(old, new)
    wal.unlink(missing_ok=True)
    return kept
