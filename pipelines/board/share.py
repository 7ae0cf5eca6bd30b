"""One process of a derivation that several share: it derives tables of some athletes, as it is asked to line by line.

What it reads and what it makes lies in a spool; what is asked and answered are lines of JSON. Polars is told to use one
thread here: as many processes run as there are processors.
"""

import contextlib
import datetime as dt
import json
import os
import subprocess
import sys
from collections.abc import Collection, Mapping, Sequence
from pathlib import Path
from typing import Any

import polars as pl

from pipelines.board.computing import Computing, DerivationFailed
from pipelines.board.derivation import (
    ATHLETE,
    NOTHING_EARLIER,
    SETTLED,
    WORDS,
    Earlier,
    Made,
    Run,
    inputs_of,
    parameters_of,
)
from pipelines.board.reading import OpenBoard, opened
from pipelines.board.spool import Spool
from pipelines.derived.registry import Derivation, columns_read, derivations, in_parts
from pipelines.errors import ThirdstepError
from schemas.derived.registry import derived_models
from schemas.settings import SquadSettings

_START = "from pipelines.board.share import serve; serve()"
_ALONE = {"POLARS_MAX_THREADS": "1", "OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1", "MALLOC_ARENA_MAX": "2"}
MEMORY = "_RJEM_MALLOC_CONF"
# What Polars itself writes before what is set there, in each process anew: to give memory back after half a second, and
# then to ask the system for it anew, which took a fifth of all seconds. A process of a derivation keeps what it has
# for longer, large pieces too, and for all its threads in one place; for ever took 3 GiB for 1,000 athletes.
OF_POLARS = "dirty_decay_ms:500,muzzy_decay_ms:1000"
_KEPT = "dirty_decay_ms:10000,muzzy_decay_ms:0,oversize_threshold:0,narenas:1"
END_WAIT_S = 5.0


class Spooled(dict[str, Made]):
    """The tables at hand; one that is not is taken from the spool."""

    def __init__(self, spool: Spool, share: int | None) -> None:
        super().__init__()
        self._spool, self._share = spool, share

    def __missing__(self, name: str) -> Made:
        """Return a table as it lies in the spool."""
        self[name] = Made.anew(self._spool.get(name, self._share))
        return self[name]


class SpooledRun(Run):
    """A derivation of a share of the athletes, or of the squad's tables, that keeps fingerprints in the spool."""

    def __init__(
        self, spool: Spool, share: int | None, settings: SquadSettings, as_of: dt.date, earlier: Earlier
    ) -> None:
        super().__init__(Spooled(spool, share), settings, as_of, earlier)
        self.spool, self.share = spool, share
        self._read: dict[str, tuple[str, ...]] = {}

    def prepare(self, part: Derivation) -> None:
        """Keep what a table of the squad needs of this share's athletes, under the name of its function."""
        name = part.__name__
        self._read = columns_read().get(name, {})
        parameters = parameters_of(part)
        for parameter in parameters:
            self.take_in(parameter)
        try:
            found = part(**{parameter: self._given(parameter) for parameter in parameters})
        except (Exception, pl.exceptions.PanicException) as trouble:
            raise DerivationFailed(f"'{name}' could not be computed: {type(trouble).__name__}: {trouble}") from trouble
        self._read = {}
        self.spool.put(name, found, self.share)

    def _whole(self, compute: Computing, parameters: Sequence[str]) -> pl.DataFrame:
        """Return a table of the squad; from the parts that lie in the spool where it can be made so."""
        made = in_parts().get(compute.name)
        if made is None:
            self._read = columns_read().get(compute.name, {})
            found = super()._whole(compute, parameters)
            self._read = {}
            return found
        parts = [self.spool.get(made.part.__name__, number) for number in range(len(self.spool.shares))]
        rest = {parameter: self._given(parameter) for parameter in parameters_of(made.whole) if parameter != "parts"}
        return Computing(compute.name, made.whole, compute.model)({"parts": parts, **rest})

    def _given(self, parameter: str) -> object:
        wanted = self._read.get(parameter)
        if wanted is None:
            return super()._given(parameter)
        return self._cut(self.made[parameter.removesuffix(SETTLED)].frame.select(wanted), parameter)

    def take_in(self, parameter: str) -> None:
        """Fingerprint the rows of a table that is read, where nobody has yet."""
        if parameter in self.contents:
            return
        kept = prints_of(parameter)
        if self.spool.holds(kept, self.share):
            frame = self.made[parameter.removesuffix(SETTLED)].frame
            self.contents.add_known(parameter, self.spool.get(kept, self.share), frame)
            return
        super().take_in(parameter)
        if self.contents.has_athletes(parameter):
            self.spool.put(kept, self.contents.of(parameter), self.share)


def prints_of(parameter: str) -> str:
    """Return the name under which the spool keeps the fingerprints of a table that is read."""
    return f"prints of {parameter}"


def made_from(name: str) -> str:
    """Return the name under which the spool keeps the fingerprints of what a table is made from, by athlete."""
    return f"made from {name}"


def read_as(functions: Mapping[str, Derivation]) -> dict[str, list[str]]:
    """Return as what each table is read by any derivation: as it is, without the running week, or both."""
    found: dict[str, list[str]] = {}
    for function in functions.values():
        for parameter in parameters_of(function):
            ways = found.setdefault(parameter.removesuffix(SETTLED), [])
            if parameter not in WORDS and parameter not in ways:
                ways.append(parameter)
    return found


def _memory() -> str:
    """Return how a process is told to keep memory: as it runs best, but for what somebody has set; the last counts."""
    somebody = os.environ.get(MEMORY, "").replace(OF_POLARS, "").strip(",")
    return f"{_KEPT},{somebody}" if somebody else _KEPT


class Child:
    """A process that derives shares, from the outside."""

    def __init__(self, task: Mapping[str, Any]) -> None:
        self._process = subprocess.Popen(
            [sys.executable, "-c", _START], stdin=subprocess.PIPE, stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL, env={**os.environ, **_ALONE, MEMORY: _memory()}, text=True, encoding="utf-8",
        )  # fmt: skip
        self._tell(task)

    def derive(self, share: int, names: Sequence[str]) -> dict[str, str]:
        """Let it derive tables of a share; return what their fingerprints hold beside the athletes' own.

        Raises:
            DerivationFailed: One of them could not be derived.
        """
        self._tell({"share": share, "names": list(names)})
        assert self._process.stdout is not None
        line = self._process.stdout.readline()
        if not line.endswith("\n"):  # nothing, or an answer that breaks off
            raise DerivationFailed(
                "A process that derives tables ended by itself: the machine may be short of memory. Close other "
                "programs and run it again."
            )
        told = json.loads(line)
        if "failed" in told:
            raise DerivationFailed(told["failed"])
        common: dict[str, str] = told["common"]
        return common

    def _tell(self, told: Mapping[str, Any]) -> None:
        assert self._process.stdin is not None
        with contextlib.suppress(OSError):  # it has ended: the answer that does not come says so
            self._process.stdin.write(json.dumps(told) + "\n")
            self._process.stdin.flush()

    def end(self) -> None:
        """End the process."""
        self._process.kill()
        self._process.wait(END_WAIT_S)
        for pipe in (self._process.stdin, self._process.stdout):
            with contextlib.suppress(OSError):
                if pipe is not None:
                    pipe.close()


# --- inside the process ----------------------------------------------------------------------------------------------


def serve() -> None:
    """Derive what is asked for until the input ends."""
    answers = sys.stdout
    sys.stdout = sys.stderr  # what a library prints is no answer
    task = json.loads(sys.stdin.readline())
    with contextlib.ExitStack() as stack:
        board = stack.enter_context(opened(Path(task["board"]))) if task["board"] else None
        settings = SquadSettings.model_validate_json(task["settings"])
        spool = Spool(Path(task["folder"]), task["shares"])
        as_of = dt.date.fromisoformat(task["as_of"])
        for line in sys.stdin:
            told = json.loads(line)
            share = told["share"]
            try:
                run = SpooledRun(spool, share, settings, as_of, _earlier(board, spool.shares[share]))
                answer: dict[str, Any] = {"common": _derive(run, told["names"])}
            except ThirdstepError as trouble:
                answer = {"failed": trouble.message}
            except (OSError, MemoryError, pl.exceptions.PolarsError) as trouble:
                answer = {"failed": f"{type(trouble).__name__}: {trouble}"}
            answers.write(json.dumps(answer) + "\n")
            answers.flush()


def _derive(run: SpooledRun, names: Sequence[str]) -> dict[str, str]:
    functions, models = derivations(), derived_models()
    read = read_as(functions)
    parts = {made.part.__name__: made.part for made in in_parts().values()}
    functions = {**functions, **parts}
    last = {name: place for place, reader in enumerate(names) for name in inputs_of(functions[reader])}
    for place, name in enumerate(names):
        if name in parts:
            run.prepare(parts[name])
            continue
        run.derive(name, functions[name], models[name], apart=True)
        run.spool.put(name, run.made[name].frame, run.share)
        run.spool.put(made_from(name), run.athlete_prints.pop().drop("table_name"), run.share)
        for parameter in read.get(name, ()):
            run.take_in(parameter)
        for done in (name, *inputs_of(functions[name])):
            if last.get(done, place) <= place:
                run.made.pop(done, None)
    return run.common


def _earlier(board: OpenBoard | None, athletes: Collection[str]) -> Earlier:
    """Return what the last board holds of some athletes."""
    if board is None:
        return NOTHING_EARLIER
    found = board

    def read(name: str) -> pl.DataFrame:
        return found.read(name, athletes if ATHLETE in found.columns(name) else None)

    return Earlier({}, read("athlete_fingerprint"), read("athlete_content"), read)
