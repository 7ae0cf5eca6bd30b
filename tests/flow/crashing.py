"""Children that are killed in the middle of their work: at the n-th thing they do to the disk or the database.

A mother process imports everything once and forks a child for each job. A child counts its stages (a file opened for
writing, a name made, moved or taken away, a flush, a statement that begins, logs or ends a transaction) and kills
itself with SIGKILL before the stage it was told. With ``lose`` it first takes back what was not flushed, as a power
loss may: names whose folder was not flushed are as before, files that were not flushed are half as long.
"""

import contextlib
import importlib
import json
import os
import signal
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

VERBS = ("begin", "commit", "rollback", "checkpoint", "attach", "detach", "insert into load", "update info")
NAMES = ("os.rename", "os.remove", "os.mkdir", "os.rmdir", "os.link")


class Disk:
    """What a child does to a home, stage by stage, and what of it a power loss would take back."""

    def __init__(self, home: Path, die_at: int, shadow: Path | None) -> None:
        self.home, self.die_at, self.shadow = str(home), die_at, shadow
        self.stages: list[str] = []
        self.unflushed: list[tuple[str, str, str, str]] = []  # what, name, name before or kept copy, folders to flush
        self.dirty: set[str] = set()
        self.quiet = False

    def stage(self, what: str) -> None:
        """Count a stage, or die before it."""
        self.stages.append(what)
        if len(self.stages) == self.die_at:
            self.quiet = True
            if self.shadow:
                self.lose()
            os.kill(os.getpid(), signal.SIGKILL)

    def hook(self, event: str, told: tuple[Any, ...]) -> None:
        """Hear of everything Python does to files."""
        if self.quiet or (event not in NAMES and event != "open"):
            return
        if event == "open":
            path, _, flags = told
            writes = isinstance(flags, int) and flags & (os.O_WRONLY | os.O_RDWR | os.O_CREAT)
            if not isinstance(path, str) or not writes or not path.startswith(self.home):
                return
            if not path.endswith(".lock"):
                self.stage(f"open {self.short(path)}")
                self.note("open", path, "")
                if flags & os.O_TRUNC:
                    self.dirty.add(path)
            return
        folders = told[2:] if event in ("os.rename", "os.link") else told[-1:]
        paths = [self.full(part, fd) for part, fd in zip(told, folders, strict=False)]
        if paths[-1].startswith(self.home):
            self.stage(f"{event} {' '.join(map(self.short, paths))}")
            self.note(event, paths[-1], paths[0] if len(paths) > 1 else "")

    def short(self, path: str) -> str:
        """Return a path inside the home."""
        return os.path.relpath(path, self.home)

    def full(self, path: Any, folder: Any) -> str:
        """Return where a path lies that was given within an opened folder."""
        named = os.fsdecode(path)
        inside = os.readlink(f"/proc/self/fd/{folder}") if isinstance(folder, int) and folder >= 0 else os.getcwd()
        return os.path.join(inside, named)

    def note(self, what: str, path: str, other: str) -> None:
        """Keep what is needed to take a step back."""
        if not self.shadow:
            return
        self.quiet = True
        kept = ""
        if what in ("os.rename", "os.remove") and os.path.isfile(path):
            kept = str(self.shadow / str(len(self.stages)))
            os.link(path, kept)
        if not (what in ("open", "os.mkdir") and os.path.exists(path)):
            self.unflushed.append((what, path, other if what == "os.rename" else "", kept))
        if other in self.dirty and what == "os.rename":
            self.dirty.add(path)
        self.quiet = False

    def flushed(self, handle: int) -> None:
        """Hear of a flush, which makes a file's bytes or a folder's names last."""
        path = os.readlink(f"/proc/self/fd/{handle}")
        self.stage(f"fsync {self.short(path)}")
        self.dirty.discard(path)
        self.unflushed = [step for step in self.unflushed if os.path.dirname(step[1]) != path]

    def lose(self) -> None:
        """Take back what was not flushed, last first."""
        for path in self.dirty:
            if os.path.isfile(path):
                os.truncate(path, os.path.getsize(path) // 2)
        for what, path, before, kept in reversed(self.unflushed):
            if what == "os.rename" and os.path.exists(path):
                os.makedirs(os.path.dirname(before), exist_ok=True)
                os.rename(path, before)
            elif what in ("open", "os.link") and os.path.exists(path):
                os.remove(path)
            elif what == "os.mkdir" and os.path.isdir(path) and not os.listdir(path):
                os.rmdir(path)
            elif what == "os.rmdir":
                os.makedirs(path, exist_ok=True)
            if kept:
                os.makedirs(os.path.dirname(path), exist_ok=True)
                os.replace(kept, path)


class Told:
    """A database connection that says which statement comes."""

    def __init__(self, con: Any, disk: Disk) -> None:
        self._con, self._disk = con, disk

    def execute(self, query: str, *more: Any) -> Any:
        """Run a statement; those that matter are stages."""
        verb = next((v for v in VERBS if query.startswith(v)), "")
        if verb:
            self._disk.stage(f"before {verb}")
        done = self._con.execute(query, *more)
        if verb == "commit":
            self._disk.stage("after commit")
        return done

    def close(self) -> None:
        """Close it."""
        self._disk.stage("before close")
        self._con.close()

    def __enter__(self) -> "Told":
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def __getattr__(self, name: str) -> Any:
        return getattr(self._con, name)


def tasks() -> dict[str, Callable[..., object]]:
    """Return what is done, by name; each takes the home and the file beside it."""
    from pipelines import flow

    return {
        "load": lambda home, path: flow.load(home, [path], by="coach"),
        "undo": lambda home, _: flow.undo(home, 4, by="coach"),
        "follow": lambda home, path: (flow.load(home, [path], by="coach", derive_after=False), flow.follow(home)),
        "publish": lambda home, _: flow.derive_board(home),
        "erase": lambda home, _: flow.erase_person(home, "ada-reed", "coach"),
        "rebuild": lambda home, _: flow.rebuild(home),
        "restore": flow.restore,
    }


def child(job: dict[str, Any]) -> None:
    """Do a job, counting its stages; it may be the last thing this process does."""
    import duckdb

    from pipelines import flow
    from pipelines.board import building
    from tests.flow import conftest

    if job["small"]:
        building.derivations = lambda: {"load_week": conftest.load_week, "load_day": conftest.load_day}
        building.derived_models = lambda: {"load_week": conftest.LoadWeek, "load_day": conftest.LoadDay}
    disk = Disk(Path(job["home"]), job["die_at"], Path(job["shadow"]) if job["shadow"] else None)
    connect, fsync = duckdb.connect, os.fsync
    duckdb.connect = lambda *a, **m: Told(connect(*a, **m), disk)
    os.fsync = lambda handle: (disk.flushed(handle), fsync(handle))[1]
    sys.addaudithook(disk.hook)
    tasks()[job["task"]](flow.Home(Path(job["home"])), Path(job["file"]))
    disk.quiet = True
    Path(job["said"]).write_text(json.dumps({"stages": disk.stages, "modules": list(sys.modules)}), encoding="utf-8")


def mother() -> None:
    """Fork a child for each job that comes in, and say how it ended.

    The mother computes nothing itself: a fork takes no threads along. It imports what a child that came to its end had.
    """
    importlib.import_module("pipelines.flow")
    for line in sys.stdin:
        job = json.loads(line)
        if not (number := os.fork()):
            sys.stdin.close()
            child(job)
            os._exit(0)
        ended = os.waitstatus_to_exitcode(os.waitpid(number, 0)[1])
        if ended == 0:
            for name in json.loads(Path(job["said"]).read_text(encoding="utf-8"))["modules"]:
                with contextlib.suppress(Exception):
                    importlib.import_module(name)
        print(ended, flush=True)


class Mother:
    """The mother process, seen from the tests."""

    def __init__(self, *before: str) -> None:
        self.process = subprocess.Popen(
            [*before, sys.executable, "-m", "tests.flow.crashing"],
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, cwd=Path(__file__).parents[2],
        )  # fmt: skip

    def run(
        self, task: str, home: Path, file: Path, die_at: int, *, lose: bool, small: bool = True
    ) -> list[str] | None:
        """Do a task in a child that dies before a stage (0: never); return the stages if it came to its end."""
        said, shadow = home.with_name("said.json"), home.with_name("shadow")
        said.unlink(missing_ok=True)
        shadow.mkdir(exist_ok=True)
        job = {"task": task, "home": str(home), "file": str(file), "die_at": die_at, "said": str(said),
               "shadow": str(shadow) if lose else "", "small": small}  # fmt: skip
        assert self.process.stdin
        assert self.process.stdout
        print(json.dumps(job), file=self.process.stdin, flush=True)
        ended = int(self.process.stdout.readline())
        assert ended in (0, -signal.SIGKILL), f"{task} at {die_at} ended with {ended}"
        return json.loads(said.read_text(encoding="utf-8"))["stages"] if ended == 0 else None

    def close(self) -> None:
        """End it."""
        self.process.communicate()


if __name__ == "__main__":
    mother()
