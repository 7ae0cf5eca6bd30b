"""One squad: read its export, derive it with the same code as everywhere, share. Knows no engine.

What comes back is small: which tables came out, and how; rows stay in the squad's home.
"""

import datetime as dt
import json
import shutil
import time
from dataclasses import asdict, dataclass, field
from pathlib import Path

import polars as pl

from pipelines.board import fingerprints
from pipelines.board.building import functions_and_models
from pipelines.board.derivation import derive_all
from pipelines.derived.registry import BY_ATHLETE
from pipelines.errors import ThirdstepError
from pipelines.federation.export import LIST, read_export, secret_of, write_table
from pipelines.federation.share import shared_frames
from pipelines.home.durable import write_durably
from pipelines.home.folder import Home
from pipelines.home.machine import state_of
from pipelines.home.settings import read_settings
from pipelines.home.trouble import plain_words


@dataclass(frozen=True)
class Wish:
    """One squad to be derived: its home, and whether its derived tables are kept beside what it shares."""

    squad: str
    home: str
    keeps: bool = False

    def to_json(self) -> str:
        """Return it as text, as it travels to a worker."""
        return json.dumps(asdict(self))


@dataclass(frozen=True)
class Told:
    """What a task says when it is done."""

    squad: str
    print: str = ""  # of the export
    code: str = ""
    as_of: str = ""
    trouble: str = ""  # why the squad is left out, as the end of a sentence; "" when it went well
    derived: dict[str, tuple[int, str]] = field(default_factory=dict)  # rows and fingerprint of each derived table
    shared: dict[str, tuple[int, str]] = field(default_factory=dict)  # rows and SHA-256 of each shared table
    athletes: int = 0
    seconds: float = 0.0
    cpu_s: float = 0.0
    peak_mb: float = 0.0  # the most the worker has held so far; 0 where its system does not say

    def to_json(self) -> str:
        """Return it as text, as it travels back."""
        return json.dumps(asdict(self))


def do_one(wish_json: str) -> str:
    """Derive and share one squad: a wish as text, what it says as text.

    What is wrong with the squad is said, not raised: trying again would not mend it, and the other squads go on. Only a
    worker that dies is tried again, by the engine.
    """
    wish = Wish(**json.loads(wish_json))
    wall, cpu = time.perf_counter(), time.process_time()
    try:
        with plain_words(Path(wish.home)):
            told = _do(wish)
    except ThirdstepError as trouble:
        told = Told(wish.squad, trouble=trouble.message)
    peak = state_of(Path(wish.home)).memory_peak_bytes or 0
    took = {"seconds": time.perf_counter() - wall, "cpu_s": time.process_time() - cpu, "peak_mb": peak / 1e6}
    return json.dumps({**asdict(told), **took})


def _do(wish: Wish) -> Told:
    home = Home(Path(wish.home))
    told, record = read_export(home.federation / "export")
    frames = derive_frames(home, record, told.as_of)
    if wish.keeps:
        for name, frame in frames.items():
            write_table(kept_path(home, name), frame)
    folder = home.federation / "shared"
    shutil.rmtree(folder, ignore_errors=True)
    rows = {}
    for name, frame in shared_frames(told.squad, secret_of(home), record, frames).items():
        rows[name] = (frame.height, write_table(folder / f"{name}.parquet", frame))
    done = Told(
        told.squad, told.print, fingerprints.of_code(), told.as_of, shared=rows, athletes=record["athlete"].height,
        derived={name: (frame.height, fingerprints.of_table(frame)) for name, frame in frames.items()},
    )  # fmt: skip
    write_durably(folder / LIST, done.to_json().encode())
    return done


def derive_frames(home: Home, record: dict[str, pl.DataFrame], as_of: str) -> dict[str, pl.DataFrame]:
    """Return a squad's derived tables: the same derivation as its own board's, nothing changed."""
    functions, models = functions_and_models()
    own = {name: frame for name, frame in record.items() if name != "may_share"}
    settings, day = read_settings(home.settings), dt.date.fromisoformat(as_of)
    return derive_all(own, settings, day, functions=functions, models=models, by_athlete=BY_ATHLETE).frames


def kept_path(home: Home, name: str) -> Path:
    """Return where a derived table is kept for comparing."""
    return home.federation / "derived" / f"{name}.parquet"
