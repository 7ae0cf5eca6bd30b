"""The files that a person names on the command line: folders are walked, each file gets a short name."""

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from pipelines.errors import ThirdstepError
from pipelines.home.trouble import plain_words


@dataclass(frozen=True)
class Found:
    """One file to load: on the disk, or with its bytes at hand."""

    name: str
    path: Path | None = None
    content: bytes = b""


def gather(paths: Iterable[Path]) -> list[Found]:
    """Return the files under some paths in order of name, each once.

    A file is named by its own name, one inside a folder by its way from there, so that two files of one name in two
    folders stay apart and no path of the machine is stored. Hidden files and the lock files of open spreadsheets are
    passed over.
    """
    found: dict[Path, Found] = {}
    for given in paths:
        if given.is_dir():
            for path in sorted(given.rglob("*")):
                inside = path.relative_to(given)
                hidden = any(part.startswith((".", "~$")) for part in inside.parts)
                if path.is_file() and not hidden:
                    found.setdefault(path.resolve(), Found(inside.as_posix(), path))
        else:
            found.setdefault(given.resolve(), Found(given.name, given))
    return list(found.values())


def read_bytes(file: Found) -> tuple[bytes, str]:
    """Return the bytes of a file, or why they cannot be had."""
    if file.path is None:
        return file.content, ""
    if not file.path.exists():
        return b"", f"{file.name}: there is no such file."
    try:
        with plain_words(file.path):
            return file.path.read_bytes(), ""
    except ThirdstepError as trouble:
        return b"", trouble.message
