"""A backup file of somebody's, unpacked aside and held against what it says of itself. Nothing in it is trusted."""

import json
import shutil
import sqlite3
import zipfile
import zlib
from contextlib import closing
from dataclasses import dataclass
from hashlib import sha256 as new_sha256
from pathlib import Path
from typing import Any

from pipelines.accounts.at_rest import KEY_FILE, MARK
from pipelines.accounts.openid import SETTINGS_FILE
from pipelines.errors import ThirdstepError
from pipelines.home.signing import Signature, fingerprint, is_of

MANIFEST, SIGNATURE = "manifest.json", "manifest.sig.json"
FORMAT = "thirdstep-backup-1"
MOST_MANIFEST_BYTES = 1 << 26  # some 400,000 sources; own choice
PIECE_BYTES = 1 << 20
ACCESS = ("access.sqlite", SETTINGS_FILE, KEY_FILE)
SINGLE = ("record.duckdb", "settings.toml", "answers.toml", *ACCESS)
ROOM_LEFT_BYTES = 1 << 26  # of the disk that stay free; own choice


@dataclass(frozen=True)
class Unpacked:
    """What was unpacked: the names of its files, their bytes together, when it was made and who signed it."""

    names: list[str]
    size_bytes: int
    made_at: str
    signed_by: str | None


def unpack(archive_file: Path, folder: Path, called: str) -> Unpacked:
    """Unpack a backup into a folder, every file held against its length and checksum.

    Args:
        archive_file: The file, unsealed.
        folder: Where its files go.
        called: What people call it.

    Raises:
        ThirdstepError: It is no backup, of another version, damaged, changed, larger than it says, or holds what no
            backup of ours holds.
    """
    try:
        with zipfile.ZipFile(archive_file) as archive:
            manifest = _small(archive, MANIFEST, called)
            told = json.loads(manifest)
            if told.get("format") != FORMAT:
                raise ThirdstepError(
                    f"'{called}' is a backup of another version of thirdstep. Restore it with that one."
                )
            signed_by = _signed_by(archive, manifest, called)
            sizes = told.get("bytes") or {name: archive.getinfo(name).file_size for name in told["files"]}
            _must_fit(sizes, folder, called)
            for name, sha256 in told["files"].items():
                _take(archive, name, sha256, int(sizes[name]), folder, called)
    except (zipfile.BadZipFile, zlib.error, KeyError, ValueError, TypeError, AttributeError, EOFError) as trouble:
        raise ThirdstepError(
            f"'{called}' is no whole backup file. Nothing was restored. Try an older backup."
        ) from trouble
    return Unpacked(list(told["files"]), sum(sizes.values()), str(told.get("made_at", "")), signed_by)


def _small(archive: zipfile.ZipFile, name: str, called: str) -> bytes:
    if archive.getinfo(name).file_size > MOST_MANIFEST_BYTES:
        raise ThirdstepError(f"'{called}' lists more than a backup can hold. Nothing was restored.")
    return archive.read(name)


def _signed_by(archive: zipfile.ZipFile, manifest: bytes, called: str) -> str | None:
    if SIGNATURE not in archive.namelist():
        return None
    signed = Signature(**json.loads(_small(archive, SIGNATURE, called)))
    if not is_of(manifest, signed):
        raise ThirdstepError(f"'{called}' was changed after it was signed. Nothing was restored. Try an older backup.")
    return fingerprint(signed.public_key)


def _must_fit(sizes: dict[str, Any], folder: Path, called: str) -> None:
    whole = sum(int(size) for size in sizes.values())
    if any(int(size) < 0 for size in sizes.values()) or whole > shutil.disk_usage(folder).free - ROOM_LEFT_BYTES:
        raise ThirdstepError(
            f"'{called}' says it holds {whole / 1e6:,.0f} MB, and there is not that much room. Nothing was restored."
        )


def _take(archive: zipfile.ZipFile, name: str, sha256: str, size: int, folder: Path, called: str) -> None:
    target = (folder / name).resolve()
    if not target.is_relative_to(folder.resolve()):
        raise ThirdstepError(f"'{called}' names a file outside the home folder. It was not restored.")
    if name not in SINGLE and not (name.startswith("sources/") and ".." not in name):
        raise ThirdstepError(f"'{called}' holds '{name}', which no backup of thirdstep has. Nothing was restored.")
    target.parent.mkdir(parents=True, exist_ok=True)
    digest, length = new_sha256(), 0
    with archive.open(name) as packed, target.open("wb") as file:
        while piece := packed.read(PIECE_BYTES):
            length += len(piece)
            if length > size:
                raise ThirdstepError(
                    f"'{name}' in '{called}' is larger than the {size} bytes it says. Nothing was restored."
                )
            digest.update(piece)
            file.write(piece)
    if digest.hexdigest() != sha256 or length != size:
        raise ThirdstepError(f"'{called}' is damaged ({name}). Nothing was restored. Try an older backup.")


def accounts_in(folder: Path, called: str) -> tuple[tuple[str, str], ...]:
    """Return name and role of each open account that an unpacked backup brings.

    Raises:
        ThirdstepError: The file of accounts cannot be read, or holds more than tables: what would act by itself.
    """
    path = folder / ACCESS[0]
    if not path.exists():
        return ()
    try:
        with closing(sqlite3.connect(f"file:{path}?mode=ro", uri=True)) as db:
            if db.execute("select count(*) from sqlite_master where type not in ('table', 'index')").fetchone()[0]:
                raise ThirdstepError(f"The accounts in '{called}' would act by themselves. Nothing was restored.")
            rows = db.execute("select name, role from account where closed_at is null order by role, name").fetchall()
    except sqlite3.Error as trouble:
        raise ThirdstepError(f"The accounts in '{called}' cannot be read. Nothing was restored.") from trouble
    return tuple((str(name), str(role)) for name, role in rows)


def second_factors_without_key(folder: Path) -> int:
    """Return how many second factors an unpacked backup brings whose key it does not: recovery codes alone open "
    "them."""
    path = folder / ACCESS[0]
    if not path.exists() or (folder / KEY_FILE).exists():
        return 0
    try:
        with closing(sqlite3.connect(f"file:{path}?mode=ro", uri=True)) as db:
            found = db.execute("select count(*) from second_factor where confirmed_at is not null and secret like ?",
                               (f"{MARK}%",)).fetchone()  # fmt: skip
    except sqlite3.Error:  # a file of before there were any
        return 0
    return int(found[0])


def club_in(folder: Path) -> str:
    """Return what an unpacked backup says of a club's sign-in, as written; "" where it says nothing."""
    path = folder / SETTINGS_FILE
    return path.read_text(encoding="utf-8", errors="replace").strip() if path.exists() else ""
