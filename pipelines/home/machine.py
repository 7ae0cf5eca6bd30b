"""How this machine does: room on the disk of a home, and the memory of this process."""

import contextlib
import shutil
import sys
from dataclasses import dataclass
from pathlib import Path

LITTLE_ROOM_BYTES = 1 << 30  # of the disk, under which it is said loudly; own choice


@dataclass(frozen=True)
class Machine:
    """What is left of the disk, and what this process holds and held at most; null where the system does not tell."""

    disk_free_bytes: int
    disk_bytes: int
    memory_bytes: int | None
    memory_peak_bytes: int | None

    @property
    def has_little_room(self) -> bool:
        """Whether loads and boards may soon find no room."""
        return self.disk_free_bytes < LITTLE_ROOM_BYTES


def state_of(root: Path) -> Machine:
    """Return how the machine does that a home lies on."""
    disk = shutil.disk_usage(root)
    now, peak = _memory()
    return Machine(disk.free, disk.total, now, peak)


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
