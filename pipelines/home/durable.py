"""Writing a file so that it is there whole or not at all, whatever stops the machine."""

import contextlib
import os
import shutil
from pathlib import Path


def write_durably(path: Path, content: bytes, aside_in: Path | None = None, mode: int = 0o600) -> None:
    """Write a file aside, flush it to the disk and move it into place in one step.

    Args:
        path: Where it goes.
        content: Its bytes.
        aside_in: The folder it is first written in, of the same disk; else that of the file.
        mode: Who may read it (POSIX): its owner alone, unless said otherwise.
    """
    make_folder(path.parent)
    aside = (aside_in or path.parent) / f"{path.name}.{os.getpid()}.part"
    try:
        aside.unlink(missing_ok=True)
        with os.fdopen(os.open(aside, os.O_WRONLY | os.O_CREAT | os.O_EXCL, mode), "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        if mode != 0o600:
            aside.chmod(mode)  # whatever the umask would take away
        aside.replace(path)
    except BaseException:
        aside.unlink(missing_ok=True)
        raise
    flush_folder(path.parent)


def move_durably(aside: Path, path: Path) -> None:
    """Flush a finished file to the disk and move it into place in one step."""
    _flush_file(aside)
    aside.replace(path)
    flush_folder(path.parent)


def make_folder(folder: Path) -> None:
    """Make a folder whose name is on the disk before anything is put into it: a file is no safer than its folder."""
    if folder.is_dir():
        return
    make_folder(folder.parent)
    folder.mkdir(exist_ok=True)
    flush_folder(folder.parent)


def flush_folder(folder: Path) -> None:
    """Flush a folder's list of names to the disk, where the system can do that."""
    with contextlib.suppress(OSError, AttributeError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def flush_tree(folder: Path) -> None:
    """Flush everything in a folder to the disk, and the folders of which it is made."""
    for place, _, names in os.walk(folder, topdown=False):
        for name in names:
            _flush_file(Path(place, name))
        flush_folder(Path(place))
    flush_folder(folder.parent)


def sweep(folder: Path, names: str = "*.part") -> None:
    """Take away what a stopped writer left half-written in a folder. Nobody may be writing such files there."""
    for left in folder.glob(names):
        if left.is_dir():
            shutil.rmtree(left, ignore_errors=True)
        else:
            left.unlink(missing_ok=True)


def _flush_file(path: Path) -> None:
    with path.open("rb+") as file:
        os.fsync(file.fileno())
