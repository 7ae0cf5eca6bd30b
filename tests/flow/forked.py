"""Code run in a process of its own that is killed, refused or waited for, without importing everything anew.

A mother process holds the libraries in memory and computes nothing itself (a fork takes no threads along). For each job
it forks a warden, which forks the process that runs the code, waits for it and writes down how it ended.
"""

import importlib
import json
import os
import select
import signal
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

HELD = (
    "pipelines.flow", "pipelines.cli.main", "pipelines.entry.bringing", "pipelines.entry.batch",
    "pipelines.record.loading", "pipelines.board.building", "pipelines.derived.registry", "pipelines.person.erasure",
    "schemas.derived.registry", "pandera.polars", "openpyxl",
)  # fmt: skip
COMMAND = "from pipelines.cli.main import main; main()"


@dataclass
class Running:
    """A process that was begun: what it wrote, and how it ended."""

    folder: Path

    @property
    def returncode(self) -> int | None:
        """How it ended, as the standard library says it; null while it runs."""
        ended = self.folder / "ended"
        return int(ended.read_text(encoding="utf-8")) if ended.exists() else None

    @property
    def stdout(self) -> str:
        """What it has written so far."""
        return (self.folder / "out").read_text(encoding="utf-8")

    @property
    def stderr(self) -> str:
        """What it has complained of so far."""
        return (self.folder / "err").read_text(encoding="utf-8")

    def wait(self, timeout_s: float = 300.0) -> int:
        """Wait for its end and return how it ended."""
        until = time.monotonic() + timeout_s
        while (code := self.returncode) is None:
            assert time.monotonic() < until, "it does not end"
            time.sleep(0.02)
        return code


class Mother:
    """The mother process, seen from the tests."""

    def __init__(self) -> None:
        self.folder = Path(tempfile.mkdtemp(prefix="forked-"))
        self.process = subprocess.Popen(
            [sys.executable, "-m", "tests.flow.forked"], stdin=subprocess.PIPE, text=True, cwd=Path(__file__).parents[2]
        )
        self.jobs = 0

    def begin(self, code: str, *argv: object) -> Running:
        """Begin to run some code, with arguments."""
        self.jobs += 1
        folder = self.folder / str(self.jobs)
        folder.mkdir()
        for name in ("out", "err"):
            (folder / name).touch()
        assert self.process.stdin
        job = {"code": code, "argv": [str(one) for one in argv], "folder": str(folder)}
        print(json.dumps(job), file=self.process.stdin, flush=True)
        return Running(folder)

    def run(self, code: str, *argv: object) -> Running:
        """Run some code to its end."""
        running = self.begin(code, *argv)
        running.wait()
        return running

    def close(self) -> None:
        """End it."""
        self.process.communicate()


def mother() -> None:
    """Fork a warden for each job that comes in."""
    for name in HELD:
        importlib.import_module(name)
    signal.signal(signal.SIGCHLD, signal.SIG_IGN)  # nobody asks for a warden
    for line in sys.stdin:
        if not os.fork():
            warden(json.loads(line))


def warden(job: dict) -> None:
    """Run a job in a child; write down what it says (through pipes, as a file has its limits) and how it ended."""
    signal.signal(signal.SIGCHLD, signal.SIG_DFL)
    pipes = {name: os.pipe() for name in ("out", "err")}
    number = os.fork()
    if not number:
        child(job, pipes["out"][1], pipes["err"][1])
    told = {reading: Path(job["folder"], name) for name, (reading, _) in pipes.items()}
    for _, writing in pipes.values():
        os.close(writing)
    while told:
        for reading in select.select(list(told), [], [])[0]:
            said = os.read(reading, 65536)
            if said:
                with told[reading].open("ab") as file:
                    file.write(said)
            else:
                del told[reading]
    ended = os.waitstatus_to_exitcode(os.waitpid(number, 0)[1])
    part = Path(job["folder"], "part")
    part.write_text(str(ended), encoding="utf-8")
    part.rename(part.with_name("ended"))
    os._exit(0)


def child(job: dict, out: int, err: int) -> None:
    """Run a job as ``python -c`` would."""
    code = 1
    os.dup2(out, 1)
    os.dup2(err, 2)
    os.dup2(os.open(os.devnull, os.O_RDONLY), 0)
    sys.argv = ["-c", *job["argv"]]
    try:
        exec(compile(job["code"], "-c", "exec"), {"__name__": "__main__"})
        code = 0
    except SystemExit as said:
        code = said.code if isinstance(said.code, int) else int(said.code is not None)
    except BaseException:
        sys.excepthook(*sys.exc_info())
    finally:
        sys.stdout.flush()
        sys.stderr.flush()
        os._exit(code)


if __name__ == "__main__":
    mother()
