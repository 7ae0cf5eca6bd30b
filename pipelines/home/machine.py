"""How this machine does: room on the disk of a home, whether that is encrypted, and the memory of this process."""

import contextlib
import shutil
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

from pipelines.home.folder import Home

MOUNTS, BLOCKS = Path("/proc/self/mountinfo"), Path("/sys/dev/block")
MOST_FILES = 65_536  # open at once; own choice
MOST_LAYERS = 8  # of devices upon devices
LITTLE_ROOM_BYTES = 1 << 30  # of the disk, under which it is said loudly; own choice


@dataclass(frozen=True)
class Machine:
    """What is left of the disk, and what this process holds and held at most; null where the system does not tell."""

    disk_free_bytes: int
    disk_bytes: int
    memory_bytes: int | None
    memory_peak_bytes: int | None
    is_encrypted: bool | None = None  # whether the system encrypts the disk; null where it does not tell

    @property
    def has_little_room(self) -> bool:
        """Whether loads and boards may soon find no room."""
        return self.disk_free_bytes < LITTLE_ROOM_BYTES


def state_of(root: Path) -> Machine:
    """Return how the machine does that a home lies on."""
    disk = shutil.disk_usage(root)
    now, peak = _memory()
    return Machine(disk.free, disk.total, now, peak, is_disk_encrypted(root))


def machine_state(home: Home) -> Machine:
    """Return the room left on the disk of a home, and the memory of this process."""
    return state_of(home.root)


def allow_many_files() -> None:
    """Let this process and its children hold as many files and connections open as the system allows them.

    The usual 1,024 are soon taken by somebody who opens connections and says nothing on them.
    """
    try:
        import resource
    except ImportError:  # Windows, which has no such number
        return
    _, most = resource.getrlimit(resource.RLIMIT_NOFILE)
    wanted = MOST_FILES if most == resource.RLIM_INFINITY else min(most, MOST_FILES)
    with contextlib.suppress(OSError, ValueError):
        resource.setrlimit(resource.RLIMIT_NOFILE, (max(wanted, resource.getrlimit(resource.RLIMIT_NOFILE)[0]), most))


def is_disk_encrypted(root: Path, mounts: Path = MOUNTS, blocks: Path = BLOCKS) -> bool | None:
    """Return whether the system encrypts the disk that a folder lies on; null where it does not tell.

    Linux: whether the mount's device, or one below it, is one of the kernel's encrypted ones. A disk that encrypts
    itself is not seen. macOS: what fdesetup says of the whole disk. Windows tells it to administrators alone.
    """
    if sys.platform == "darwin":
        return _is_on(["fdesetup", "status"])
    try:
        lines = mounts.read_text(encoding="utf-8").splitlines()
    except OSError:
        return None
    best = max((one for line in lines if (one := _mount(line)) and root.resolve().is_relative_to(one[0])),
               key=lambda one: len(one[0].parts), default=None)  # fmt: skip
    if best is None:
        return None
    if best[2] == "ecryptfs":
        return True
    device = blocks / best[1]
    return _has_encrypted(device) if device.exists() else None


def _mount(line: str) -> tuple[Path, str, str] | None:
    """Return place, number of the device and kind of a line of mountinfo; null for one that is no such line."""
    left, _, right = line.partition(" - ")
    told, kind = left.split(" "), right.split(" ")
    return (Path(told[4].replace("\\040", " ")), told[2], kind[0]) if len(told) > 4 else None


def _has_encrypted(device: Path, deep: int = 0) -> bool:
    with contextlib.suppress(OSError):
        if (device / "dm" / "uuid").read_text(encoding="utf-8").startswith("CRYPT-"):
            return True
    below = device / "slaves"
    if deep > MOST_LAYERS or not below.is_dir():
        return False
    found = [_has_encrypted(one, deep + 1) for one in below.iterdir()]
    return bool(found) and all(found)


def _is_on(command: list[str]) -> bool | None:
    try:
        said = subprocess.run(command, capture_output=True, check=True, timeout=10, text=True).stdout
    except (OSError, subprocess.SubprocessError):
        return None
    return " On." in said if said.startswith("FileVault is") else None


def _memory() -> tuple[int | None, int | None]:
    """Return what this process holds and held at most, in bytes: Linux tells both, other POSIX systems the peak."""
    with contextlib.suppress(OSError, ValueError, KeyError):
        lines = Path("/proc/self/status").read_text(encoding="utf-8").splitlines()
        told = dict(line.split(":", 1) for line in lines if ":" in line)
        return int(told["VmRSS"].split()[0]) * 1024, int(told["VmHWM"].split()[0]) * 1024
    try:
        import resource
    except ImportError:  # Windows
        return None, None
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return None, peak if sys.platform == "darwin" else peak * 1024
