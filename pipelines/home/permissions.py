"""Who on this machine may read the home folder: its owner alone, also where the folder was made beforehand.

By file modes on POSIX systems, by access lists on Windows (``windows``).
"""

import os
import stat
from collections.abc import Iterator
from pathlib import Path

from pipelines.errors import ThirdstepError
from pipelines.home import windows

_OTHER_THINGS = (
    "'{}' can be read by others on this machine and holds other things than a home of thirdstep. "
    "Give a folder of its own with --home DIR; a new one is made for you alone."
)
OTHERS = stat.S_IRWXG | stat.S_IRWXO
# What shows that a folder is a home of ours, so that closing it to others closes nothing else.
OURS = ("sources", "record.duckdb", "access.sqlite", "settings.toml", "openid.toml", "board")
IS_CHECKED = os.name == "posix"
IS_WINDOWS = os.name == "nt"


def close_to_others(root: Path) -> None:
    """Take a home's permissions for others away.

    Raises:
        ThirdstepError: Others can read it and that cannot be mended here, with what to do.
    """
    if IS_WINDOWS:
        _close_on_windows(root)
        return
    if not IS_CHECKED or not root.stat().st_mode & OTHERS or not os.access(root, os.W_OK | os.X_OK):
        return
    told = root.stat()
    if told.st_uid != os.geteuid():
        raise ThirdstepError(
            f"'{root}' can be read by others on this machine and belongs to another user. It will hold health data: "
            f"have its owner run chmod 700 '{root}', or give another folder with --home DIR."
        )
    if told.st_mode & stat.S_ISVTX or _is_somebody_elses(root):
        raise ThirdstepError(_OTHER_THINGS.format(root))
    _narrow(root)
    if root.stat().st_mode & OTHERS:
        raise ThirdstepError(
            f"'{root}' can be read by others on this machine, and the disk it lies on keeps no permissions. "
            "It will hold health data: give a folder on another disk with --home DIR."
        )
    for folder, folders, files in os.walk(root):
        for name in (*folders, *files):
            _narrow(Path(folder, name))


def _is_somebody_elses(root: Path) -> bool:
    inside = {path.name for path in root.iterdir()}
    is_shared = root.resolve() in (Path.home().resolve(), Path(root.anchor))
    return is_shared or bool(inside and not inside.intersection(OURS))


def _close_on_windows(root: Path) -> None:
    """Do the same by the access list. Where the system does not answer nothing is refused; ``unchecked`` says so."""
    if not windows.other_readers(root):
        return
    if _is_somebody_elses(root):
        raise ThirdstepError(_OTHER_THINGS.format(root))
    if not windows.close(root) or windows.other_readers(root):
        raise ThirdstepError(
            f"'{root}' can be read by others on this machine, and its access list could not be changed. It will hold "
            "health data: take the others out under its properties, security, or give another folder with --home DIR."
        )


def unchecked(root: Path) -> str:
    """Say that who may read a home could not be found out; "" where it could."""
    if IS_CHECKED or (IS_WINDOWS and windows.other_readers(root) is not None):
        return ""
    return " (could not be asked of this system: look at the folder's properties, security)"


def open_to_others(root: Path) -> Iterator[str]:
    """Yield what of a home others on this machine may read: the folder itself, or nothing behind its closed door."""
    if IS_WINDOWS and root.exists() and windows.other_readers(root):
        yield f"'{root}'"
    if IS_CHECKED and root.exists() and root.stat().st_mode & OTHERS:
        yield f"'{root}'"


def _narrow(path: Path) -> None:
    if not path.is_symlink():
        path.chmod(stat.S_IMODE(path.stat().st_mode) & ~OTHERS)
