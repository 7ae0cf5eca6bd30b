"""Who on this machine may read the home folder: its owner alone, also where the folder was made beforehand.

POSIX only. On Windows a folder has the permissions of the one it lies in, which this program neither reads nor sets.
"""

import os
import stat
from collections.abc import Iterator
from pathlib import Path

from pipelines.errors import ThirdstepError

OTHERS = stat.S_IRWXG | stat.S_IRWXO
# What shows that a folder is a home of ours, so that closing it to others closes nothing else.
OURS = ("sources", "record.duckdb", "access.sqlite", "settings.toml", "openid.toml", "board")
IS_CHECKED = os.name == "posix"


def close_to_others(root: Path) -> None:
    """Take a home's permissions for others away.

    Raises:
        ThirdstepError: Others can read it and that cannot be mended here, with what to do.
    """
    if not IS_CHECKED or not root.stat().st_mode & OTHERS or not os.access(root, os.W_OK | os.X_OK):
        return
    told = root.stat()
    if told.st_uid != os.geteuid():
        raise ThirdstepError(
            f"'{root}' can be read by others on this machine and belongs to another user. It will hold health data: "
            f"have its owner run chmod 700 '{root}', or give another folder with --home DIR."
        )
    inside = {path.name for path in root.iterdir()}
    is_shared = told.st_mode & stat.S_ISVTX or root.resolve() in (Path.home().resolve(), Path(root.anchor))
    if is_shared or (inside and not inside.intersection(OURS)):
        raise ThirdstepError(
            f"'{root}' can be read by others on this machine and holds other things than a home of thirdstep. "
            "Give a folder of its own with --home DIR; a new one is made for you alone."
        )
    _narrow(root)
    if root.stat().st_mode & OTHERS:
        raise ThirdstepError(
            f"'{root}' can be read by others on this machine, and the disk it lies on keeps no permissions. "
            "It will hold health data: give a folder on another disk with --home DIR."
        )
    for folder, folders, files in os.walk(root):
        for name in (*folders, *files):
            _narrow(Path(folder, name))


def open_to_others(root: Path) -> Iterator[str]:
    """Yield what of a home others on this machine may read: the folder itself, or nothing behind its closed door."""
    if IS_CHECKED and root.exists() and root.stat().st_mode & OTHERS:
        yield f"'{root}'"


def _narrow(path: Path) -> None:
    if not path.is_symlink():
        path.chmod(stat.S_IMODE(path.stat().st_mode) & ~OTHERS)
