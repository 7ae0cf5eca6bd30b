"""One file that holds a home: every source and event, the record, settings and accounts, each with its checksum.

The list of checksums is signed with a key of the home; with a phrase the whole file is sealed. The board is left out;
it is built again from the record. So are that key and the secret of a club's own sign-in: a backup travels. The key
of the second factors goes with a sealed one alone.
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
from collections.abc import Callable, Mapping
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import IO, cast

from pipelines.accounts.at_rest import KEY_FILE
from pipelines.accounts.openid import SETTINGS_FILE
from pipelines.errors import ThirdstepError
from pipelines.home.durable import flush_folder, flush_tree, make_folder, move_durably, write_durably
from pipelines.home.folder import Home
from pipelines.home.sealing import Sealer, check_phrase, is_sealed, make_private, unseal
from pipelines.home.signing import fingerprint, sign
from pipelines.home.trouble import plain_words
from pipelines.record import backup_index, unpacking
from pipelines.record.backup_index import RESTORING_FOLDER, RESTORING_MARK
from pipelines.record.unpacking import FORMAT, MANIFEST, SIGNATURE

PIECE_BYTES = 1 << 20


@dataclass(frozen=True)
class Brought:
    """What a backup would bring, told before any of it is taken."""

    files: int
    size_bytes: int
    made_at: str
    signed_by: str | None  # fingerprint of the key; null where it is not signed
    accounts: tuple[tuple[str, str], ...]  # name and role of each open one
    club: str  # the club's sign-in as openid.toml has it; "" where there is none
    second_without_key: int = 0  # second factors whose key does not come: recovery codes alone open them


Agree = Callable[[Brought], bool]


def write_backup(home: Home, target: Path, at: dt.datetime, phrase: str = "") -> tuple[int, str]:
    """Write a signed backup file; return how many files it holds and the fingerprint of the key it is signed with.

    With a phrase it is sealed as it is written: nothing of it stands on the disk in plain. The writer lock is held, so
    the record is closed.
    """
    if phrase:
        check_phrase(phrase)
    aside = target.with_name(target.name + ".part")
    with plain_words(target), tempfile.TemporaryDirectory() as held:
        target.parent.mkdir(parents=True, exist_ok=True)
        files = {path.relative_to(home.root).as_posix(): path for path in _to_keep(home)}
        key = home.access.with_name(KEY_FILE)
        if phrase and key.exists():  # a backup that anybody can open brings no second factor's secret with it
            files[key.name] = key
        if home.access.exists():
            files[home.access.name] = _copy_sqlite(home.access, Path(held) / home.access.name)
        try:
            with make_private(aside) as plain:
                if phrase:
                    with Sealer(plain, phrase) as sealed:
                        signed_by = _write_archive(home, cast(IO[bytes], sealed), files, at)
                else:
                    signed_by = _write_archive(home, plain, files, at)
            move_durably(aside, target)
        finally:
            aside.unlink(missing_ok=True)
    with plain_words(home.backups):
        backup_index.note(home, target, at)
    return len(files), signed_by


def _write_archive(home: Home, target: IO[bytes], files: Mapping[str, Path], at: dt.datetime) -> str:
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED, compresslevel=3) as archive:
        packed = {name: _pack(archive, name, path) for name, path in files.items()}
        told = {
            "format": FORMAT, "made_at": at.isoformat(), "files": {name: one[0] for name, one in packed.items()},
            "bytes": {name: one[1] for name, one in packed.items()},
        }  # fmt: skip
        manifest = json.dumps(told, indent=1).encode()
        archive.writestr(MANIFEST, manifest)
        signed = sign(home.root, manifest)
        archive.writestr(SIGNATURE, json.dumps(asdict(signed), indent=1))
    return fingerprint(signed.public_key)


def _pack(archive: zipfile.ZipFile, name: str, path: Path) -> tuple[str, int]:
    """Put a file into the archive, a piece at a time, and return its SHA-256 and length."""
    with path.open("rb") as source, archive.open(zipfile.ZipInfo(name), "w", force_zip64=True) as target:
        return _copy(source, target)


def _copy(source: IO[bytes], target: IO[bytes]) -> tuple[str, int]:
    """Copy; return SHA-256 and length."""
    sha256, length = hashlib.sha256(), 0
    while piece := source.read(PIECE_BYTES):
        length += len(piece)
        sha256.update(piece)
        target.write(piece)
    return sha256.hexdigest(), length


def read_backup(
    home: Home,
    source: Path,
    *,
    phrase: str = "",
    agree: Agree | None = None,
    with_access: bool = True,
    signed_by: str = "",
) -> int:
    """Fill an empty home from a backup file, all of it checked first; return how many files were taken.

    Everything is unpacked aside; writing the mark is the moment that counts, as in an erasure.

    Args:
        home: The empty home.
        source: The backup file.
        phrase: What opens it, where it is sealed.
        agree: Is told what it would bring before any of it is taken, and says whether it may; null for yes.
        with_access: Whether accounts and the club's sign-in are taken.
        signed_by: The fingerprint it must be signed by; "" for any or none.

    Raises:
        ThirdstepError: The home is not empty, or the file is no backup, is sealed with another phrase, is damaged,
            holds what no backup holds or more than it says, is signed by another key, or was not agreed to.
    """
    if home.record.exists() or any(home.sources.rglob("*.json")):
        raise ThirdstepError(
            f"'{home.root}' holds a record already, and a restore never overwrites one. "
            "Give an empty folder with --home DIR, or move the old one away."
        )
    with plain_words(source):
        aside = home.root / RESTORING_FOLDER
        aside.mkdir(mode=0o700)
        try:
            names = _checked(source, aside, phrase, agree, with_access, signed_by)
        except BaseException:
            shutil.rmtree(aside, ignore_errors=True)
            raise
        flush_tree(aside)
        write_durably(home.root / RESTORING_MARK, json.dumps(names).encode())
        finish_restore(home)
    return len(names)


def _checked(
    source: Path, aside: Path, phrase: str, agree: Agree | None, with_access: bool, signed_by: str
) -> list[str]:
    """Unpack a backup aside, hold it against all that it says of itself, and ask; return the names that are taken."""
    opened = source
    if is_sealed(source):
        if not phrase:
            raise ThirdstepError(f"'{source}' is sealed. Give its phrase: thirdstep restore asks for it.")
        opened = aside / "unsealed.part"
        with source.open("rb") as sealed, make_private(opened) as plain:
            unseal(sealed, plain, phrase, str(source))
    brought = unpacking.unpack(opened, aside, str(source))
    if opened != source:
        opened.unlink()
    wanted = signed_by.replace(" ", "").lower()
    if wanted and wanted != (brought.signed_by or "").replace(" ", ""):
        raise ThirdstepError(
            f"'{source}' is {f'signed by {brought.signed_by}' if brought.signed_by else 'not signed'}, not by "
            f"{signed_by}. Nothing was restored."
        )
    names = brought.names
    if not with_access:
        names = [name for name in names if name not in unpacking.ACCESS]
    told = Brought(
        len(names), brought.size_bytes, brought.made_at, brought.signed_by,
        unpacking.accounts_in(aside, str(source)) if with_access else (),
        unpacking.club_in(aside) if with_access else "",
        unpacking.second_factors_without_key(aside) if with_access else 0,
    )  # fmt: skip
    if agree is not None and not agree(told):
        raise ThirdstepError("Nothing was restored.")
    return names


def finish_restore(home: Home) -> None:
    """Move what is left of a decided restore into place; of another, throw the folder away. The writer lock is held."""
    mark, aside = home.root / RESTORING_MARK, home.root / RESTORING_FOLDER
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
