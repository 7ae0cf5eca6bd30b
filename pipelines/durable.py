"""Writing a file so that it is there whole or not at all, whatever stops the machine."""

import contextlib
import os
from pathlib import Path


def write_durably(path: Path, content: bytes) -> None:
    """Write a file aside, flush it to the disk and move it into place in one step."""
    path.parent.mkdir(parents=True, exist_ok=True)
    aside = path.with_name(f"{path.name}.{os.getpid()}.part")
    try:
        with aside.open("wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        aside.replace(path)
    except BaseException:
        aside.unlink(missing_ok=True)
        raise
    flush_folder(path.parent)


def move_durably(aside: Path, path: Path) -> None:
    """Flush a finished file to the disk and move it into place in one step."""
    with aside.open("rb+") as file:
        os.fsync(file.fileno())
    aside.replace(path)
    flush_folder(path.parent)


def flush_folder(folder: Path) -> None:
    """Flush a folder's list of names to the disk, where the system can do that."""
    with contextlib.suppress(OSError, AttributeError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
