"""The demo's derivation in a process of its own, as another machine would run it.

``python -m tests.demo.deriving FOLDER`` reads the record tables and settings that lie there and writes what follows
from them to ``derived`` in it.
"""

import os
import subprocess
import sys
from collections.abc import Iterable, Mapping
from contextlib import ExitStack
from pathlib import Path

import polars as pl

from pipelines import flow
from pipelines.board import derivation
from pipelines.board.entry_days import entry_days
from pipelines.derived.registry import BY_ATHLETE, derivations
from pipelines.home.settings import read_settings
from pipelines.record import opening, warehouse
from schemas.derived.registry import derived_models
from tests.compiled import THREADS_OF_PRODUCTS

Frames = dict[str, pl.DataFrame]


def busiest(records: Frames, count: int, *also: str) -> Frames:
    """Return the rows of the athletes who have rows in the most tables and of those named, and what is nobody's."""
    seen = pl.concat([f.select("athlete_id").unique() for f in records.values() if "athlete_id" in f.columns])
    order = seen["athlete_id"].value_counts(sort=True).sort("count", "athlete_id", descending=True)
    some = [*order["athlete_id"].head(count), *also]
    return {
        name: frame.filter(pl.col("athlete_id").is_in(some)) if "athlete_id" in frame.columns else frame
        for name, frame in records.items()
    }


class Machines:
    """Some record tables, and what machines of several kinds derive from them."""

    def __init__(self, home: flow.Home, folder: Path, athletes: Iterable[str] | None = None) -> None:
        """Lay out the home's record, of some athletes only where they are named."""
        self.folder, self.settings = folder, home.settings
        some = None if athletes is None else list(athletes)
        with opening.record(home) as con:
            self.records = {
                name: frame.filter(pl.col("athlete_id").is_in(some))
                if some is not None and "athlete_id" in frame.columns
                else frame
                for name, frame in {**warehouse.record_frames(con), "entry_day": entry_days(con)}.items()
            }

    def derive(self, kinds: Mapping[str, Mapping[str, str]]) -> dict[str, Frames]:
        """Return what each kind of machine derives; a kind is what its environment adds to this one's."""
        with ExitStack() as stack:
            running = {kind: stack.enter_context(self._begun(kind, env)) for kind, env in kinds.items()}
            for kind, process in running.items():
                said, _ = process.communicate(timeout=900)
                assert process.returncode == 0, f"{kind}: {said[-3000:]}"
        return {kind: _read(self.folder / kind / "derived") for kind in kinds}

    def _begun(self, kind: str, env: Mapping[str, str]) -> subprocess.Popen[str]:
        _write(self.records, self.folder / kind)
        (self.folder / kind / "settings.toml").write_bytes(self.settings.read_bytes())
        return subprocess.Popen(
            [sys.executable, "-m", "tests.demo.deriving", str(self.folder / kind)],
            cwd=Path(__file__).parents[2], env={**_plain(os.environ), **env}, text=True, encoding="utf-8",
            stdout=subprocess.PIPE, stderr=subprocess.STDOUT,
        )  # fmt: skip


def derive(folder: Path) -> None:
    """Derive what follows from the tables and settings in a folder."""
    settings = read_settings(folder / "settings.toml")
    done = derivation.derive_all(
        _read(folder), settings, opening.looking_from(settings),
        functions=derivations(), models=derived_models(), by_athlete=BY_ATHLETE,
    )  # fmt: skip
    _write(done.frames, folder / "derived")


def _write(frames: Frames, folder: Path) -> None:
    folder.mkdir(parents=True)
    for name, frame in frames.items():
        frame.write_parquet(folder / f"{name}.parquet")


def _plain(surroundings: Mapping[str, str]) -> dict[str, str]:
    """Return the environment without what the tests set to spare processor: a machine has it as it comes."""
    return {name: told for name, told in surroundings.items() if name != THREADS_OF_PRODUCTS}


def _read(folder: Path) -> Frames:
    return {path.stem: pl.read_parquet(path) for path in sorted(folder.glob("*.parquet"))}


if __name__ == "__main__":
    derive(Path(sys.argv[1]))
