"""The demo's home, built once and kept between runs: a run of one test need not wait a minute for it.

It lies in the system's folder for temporary files, under a name made of all that decides what is in it: the code and
files that build it, the versions of the packages, the day (rows say when they were loaded), and what the environment
says of threads and processor. A changed line there means another name, and so another build. What was built while a
line changed is half of the old code: it serves the process that built it, and is not kept. Nobody opens what is kept:
each process copies it first.
"""

import datetime as dt
import hashlib
import os
import platform
import shutil
import tempfile
import time
import warnings
from collections.abc import Callable
from importlib.metadata import distributions
from pathlib import Path

import polars as pl
from filelock import FileLock, Timeout

from pipelines import flow
from schemas.base import table_key
from schemas.records import RECORDS
from tests.compiled import BEGUN_AT, COMPILED, shelf

PROJECT = Path(__file__).resolve().parents[1]
DECIDES = ("pipelines", "schemas", "seed_data")
ENVIRONMENT = ("POLARS_MAX_THREADS", "NPY_DISABLE_CPU_FEATURES")
# The cases of the demo in which most of what a page can say is said, and from which day on their rows are taken.
FROM = {
    "teo-brandmere": None,  # better by the start and the sled, with decisions
    "dilys-fernbank": None,  # slips: pushes cut short
    "marit-oakhollow": None,  # talk first: tight on the left
    "ines-quarrington": None,  # adapt: a load above the own range
    "caspian-wray": None,  # back from a strain
    "asa-lindenmoor": None,  # nothing wrong
    "noemi-starling-pace": None,  # silent for days
    "per-ashdown": None,  # never checked in
    "luca-pemberwick": dt.date(2026, 11, 2),  # under 18, and too little to say anything: three weeks
    "rune-halvard-okoro": dt.date(2027, 1, 1),  # on the roster, with no row
}
# What the demo's own files leave empty and a page must not show to everybody.
INJURY_NOTE = ("caspian-wray", "Told only to the head coach")
DAYS = ("_date", "_on", "week_of")  # how the column with the day of a row is named, in this order of the key
MOST_KEPT = 12
SURELY_COPIED_S = 3600.0  # nobody copies longer than this


def key_of(project: Path, day: dt.date) -> str:
    """Return the name of the demo that the code in a folder builds on a day, here."""
    told = hashlib.sha256()
    packages = sorted(f"{one.metadata['Name']} {one.version}" for one in distributions())
    surroundings = [f"{name}={os.environ.get(name, '')}" for name in ENVIRONMENT]
    told.update(
        "\n".join([str(day), platform.platform(), platform.python_version(), *surroundings, *packages]).encode()
    )
    for path in _deciding(project):
        told.update(f"\n{path.relative_to(project).as_posix()} {path.stat().st_size}\n".encode())
        told.update(path.read_bytes())
    return told.hexdigest()[:24]


def _deciding(project: Path) -> list[Path]:
    """Return the files that decide what is in the demo."""
    found = (path for room in DECIDES for path in sorted((project / room).rglob("*")))
    return [path for path in found if path.is_file() and path.suffix != ".pyc"]


def changed_since(project: Path, began: float) -> list[str]:
    """Return the files that changed since a moment: a process that runs since then may hold them as they were.

    A file brought from elsewhere keeps the time it was written at; when it came, its other time says.
    """
    looks = ((path, path.stat()) for path in _deciding(project))
    return [path.relative_to(project).as_posix() for path, look in looks if max(look.st_mtime, look.st_ctime) > began]


def copy_demo(target: Path) -> flow.Home:
    """Put a copy of the demo's home in a folder that is not there yet, building it first where none is kept."""
    return _copy("", flow.build_demo, target)


def copy_few(target: Path) -> flow.Home:
    """Do so with a home of the same kind that holds a few of the demo's athletes, and the board of their rows."""
    return _copy("-few", build_few, target)


def build_few(home: flow.Home) -> None:
    """Fill a home with the rows of a few of the demo's athletes, a file a table, and publish its board."""
    with tempfile.TemporaryDirectory() as folder:
        demo = copy_demo(Path(folder) / "demo")
        files = Path(folder) / "files"
        files.mkdir()
        for name in RECORDS:
            frame = few_of(name, flow.table(demo, name))
            if frame.height:
                frame.write_csv(files / f"{name}.csv")
        home.prepare()
        home.settings.write_bytes(demo.settings.read_bytes())
        for outcome in flow.load(home, [files], by=flow.Writer("coach", "head_coach")):
            assert not outcome.problem, f"{outcome.file}: {outcome.problem}"
            assert not outcome.set_aside, f"{outcome.file}: {outcome.reasons}"


def few_of(name: str, rows: pl.DataFrame) -> pl.DataFrame:
    """Return the rows of a record table that the few have, in the table's own columns."""
    model = RECORDS[name]
    own = rows.select([one for one in model.to_schema().columns if one in rows.columns])
    if "athlete_id" not in own.columns:
        return own
    own = own.filter(pl.col("athlete_id").is_in(list(FROM)))
    if name == "injury":
        who, note = INJURY_NOTE
        own = own.with_columns(note=pl.when(pl.col("athlete_id") == who).then(pl.lit(note)).otherwise("note"))
    day = next((one for one in table_key(model) if one.endswith(DAYS)), None)
    if name == "athlete" or day is None:
        return own
    begins = pl.col("athlete_id").replace_strict(FROM, return_dtype=pl.Date)
    return own.filter(begins.is_null() | (pl.col(day) >= begins))


def copy_empty(target: Path) -> flow.Home:
    """Do so with a home that holds no row, and the board of none."""
    return _copy("-empty", flow.derive_board, target)


def _copy(kind: str, build: Callable[[flow.Home], object], target: Path) -> flow.Home:
    folder = shelf()
    how = f"{kind}-{hashlib.sha256(Path(__file__).read_bytes()).hexdigest()[:8]}" if kind else ""
    key = key_of(PROJECT, dt.date.today())
    kept = folder / f"{key}{how}"
    with FileLock(f"{kept}.lock"):
        if not kept.exists():
            begun = kept.with_suffix(".part")
            shutil.rmtree(begun, ignore_errors=True)
            build(flow.find_home(begun))
            changed = changed_since(PROJECT, BEGUN_AT)
            if changed or key_of(PROJECT, dt.date.today()) != key:
                warnings.warn(f"the code changed while tests ran; their demo is not kept: {changed}", stacklevel=2)
                shutil.move(begun, target)
                return flow.find_home(target)
            begun.rename(kept)
            clear(folder)
        os.utime(kept)
        shutil.copytree(kept, target)
    return flow.find_home(target)


def clear(folder: Path) -> None:
    """Take away the demos longest out of use, but none that a process may still be copying."""
    demos = (one for one in folder.iterdir() if one.is_dir() and one.name != COMPILED)
    found = sorted(demos, key=lambda one: one.stat().st_mtime)
    for old in found[:-MOST_KEPT]:
        if time.time() - old.stat().st_mtime < SURELY_COPIED_S:
            continue
        lock = FileLock(f"{old.with_suffix('')}.lock")
        try:
            with lock.acquire(timeout=0):
                shutil.rmtree(old)
        except Timeout:
            continue
