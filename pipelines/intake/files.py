"""The files that a person names on the command line: folders are walked, each file gets a short name."""

import io
import zipfile
import zlib
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from pipelines.errors import ThirdstepError
from pipelines.home.trouble import plain_words

MOST_PARTS, MOST_UNPACKED = 500, 300_000_000  # files, bytes of an archive; own choice
MOST_SENT = 100_000_000  # bytes of one that is sent to the dashboard, which holds them meanwhile; own choice


@dataclass(frozen=True)
class Found:
    """One file to load: on the disk, or with its bytes at hand."""

    name: str
    path: Path | None = None
    content: bytes = b""
    folder: Path | None = None  # that it was found in


def gather(paths: Iterable[Path]) -> list[Found]:
    """Return the files under some paths in order of name, each once.

    A file is named by its own name, one inside a folder by its way from there, so that two files of one name in two
    folders stay apart and no path of the machine is stored. Hidden files and the lock files of open spreadsheets are
    passed over. A link is what it leads to, as long as that lies in the folder too: others may be able to put links
    there, and what the folder's owner alone may read must not be read for them.
    """
    found: dict[Path, Found] = {}
    packed: list[Found] = []
    for given in paths:
        if given.is_dir():
            for path in sorted(given.rglob("*")):
                inside = path.relative_to(given)
                hidden = any(part.startswith((".", "~$")) for part in inside.parts)
                if path.is_file() and not hidden:
                    found.setdefault(path.resolve(), Found(inside.as_posix(), path, folder=given))
        elif given.suffix.lower() == ".zip":
            packed += unpacked(given.name, given.read_bytes())
        else:
            found.setdefault(given.resolve(), Found(given.name, given))
    return [*found.values(), *packed]


def unpacked(name: str, content: bytes, most: int = MOST_UNPACKED) -> list[Found]:
    """Return the files in a zip archive, each by its way from there; a file that is no archive is itself.

    Args:
        name: Of the file.
        content: Its bytes.
        most: Bytes it may unpack to.

    Raises:
        ThirdstepError: It is damaged, locked, or unpacks to a flood.
    """
    if not name.lower().endswith(".zip"):
        return [Found(name, content=content)]
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            parts = [part for part in archive.infolist() if not part.is_dir() and not _is_hidden(part.filename)]
            if len(parts) > MOST_PARTS or sum(part.file_size for part in parts) > most:
                raise ThirdstepError(
                    f"{name} unpacks to more than a folder of files to load. Unpack it and load parts."
                )
            return [
                Found(part.filename, content=archive.read(part)) for part in sorted(parts, key=lambda p: p.filename)
            ]
    except (zipfile.BadZipFile, RuntimeError, NotImplementedError, EOFError, zlib.error) as trouble:
        raise ThirdstepError(f"{name} is a zip archive that cannot be opened ({trouble}). Pack it again.") from trouble


def _is_hidden(name: str) -> bool:
    return any(part.startswith((".", "~$", "__MACOSX")) for part in name.split("/"))


def read_bytes(file: Found) -> tuple[bytes, str]:
    """Return the bytes of a file, or why they cannot be had."""
    if file.path is None:
        return file.content, ""
    if not file.path.exists():
        return b"", f"{file.name}: there is no such file."
    if leads_out(file):
        return (
            b"",
            f"{file.name} is a link that leads out of its folder and is not followed. Put the file there.",
        )
    try:
        with plain_words(file.path):
            content = file.path.read_bytes()
    except ThirdstepError as trouble:
        return b"", trouble.message
    return (b"", f"{file.name} was changed while it was read. Load it again.") if leads_out(file) else (content, "")


def leads_out(file: Found) -> bool:
    """Return whether a file that was found in a folder lies elsewhere: it, or a folder on the way, is a link."""
    if file.path is None or file.folder is None:
        return False
    return not file.path.resolve().is_relative_to(file.folder.resolve())
