"""Every source kept as it came: its bytes under their SHA-256, and beside them who brought it, when, as what."""

import datetime as dt
import hashlib
import json
from pathlib import Path

from pipelines.errors import ThirdstepError
from pipelines.home.durable import write_durably


def checksum(content: bytes) -> str:
    """Return the SHA-256 of some bytes in lower-case hex (FIPS 180-4)."""
    return hashlib.sha256(content).hexdigest()


def source_path(folder: Path, sha256: str) -> Path:
    """Return where the bytes of a source lie."""
    return folder / sha256[:2] / sha256


def keep(folder: Path, name: str, content: bytes, by: str, at: dt.datetime) -> str:
    """Keep the bytes of a source and return their SHA-256. The right bytes that are there already are left alone."""
    sha256 = checksum(content)
    path = source_path(folder, sha256)
    if path.exists():
        _heal(path, content, folder)
    else:
        write_durably(path, content, aside_in=folder)
    sidecar = path.with_suffix(".json")
    if not sidecar.exists():
        note = {"name": name, "by": by, "at": at.isoformat(), "sha256": sha256, "bytes": len(content)}
        write_durably(sidecar, json.dumps(note, ensure_ascii=False, indent=1).encode("utf-8"), aside_in=folder)
    return sha256


def heal(folder: Path, content: bytes) -> bool:
    """Put the right bytes in place of a kept source that was damaged; return whether it was. A missing one stays so."""
    return _heal(source_path(folder, checksum(content)), content, folder)


def _heal(path: Path, content: bytes, folder: Path) -> bool:
    try:
        is_damaged = path.read_bytes() != content
    except OSError:
        return False
    if is_damaged:
        write_durably(path, content, aside_in=folder)
    return is_damaged


def read_source(folder: Path, sha256: str) -> bytes:
    """Return the bytes of a source, checked against their SHA-256.

    Raises:
        ThirdstepError: The source is not there, or its bytes have changed.
    """
    path = source_path(folder, sha256)
    if not path.exists():
        raise ThirdstepError(f"The kept source {sha256[:12]}… is missing from '{folder}'. Bring it back from a backup.")
    content = path.read_bytes()
    if checksum(content) != sha256:
        raise ThirdstepError(f"The kept source {sha256[:12]}… in '{folder}' is damaged. Bring it back from a backup.")
    return content
