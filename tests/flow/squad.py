"""Files with the record's own column names, for a squad of two."""

import itertools
import shutil
from collections.abc import Callable, Iterable
from pathlib import Path

import polars as pl

from pipelines import flow
from pipelines.board import building, publish, reading
from pipelines.home.folder import Home
from pipelines.record import opening, warehouse

ROSTER = "athlete_id,display_name\nada-reed,Ada Reed\nbo-lind,Bo Lind\n"
SESSIONS = (
    "athlete_id,session_date,session_no,kind,duration_min,effort_0_10\n"
    "ada-reed,2025-11-03,1,acceleration,80,6\n"
    "bo-lind,2025-11-03,1,tempo,60,4\n"
)
SPLITS = (
    "athlete_id,session_date,session_no,rep_no,distance_m,elapsed_s\n"
    "ada-reed,2025-11-03,1,1,10,1.80\n"
    "ada-reed,2025-11-03,1,1,20,2.95\n"
    "ada-reed,2025-11-03,1,1,30,4.00\n"
)
FILES = {"sessions.csv": SESSIONS, "roster.csv": ROSTER, "splits.csv": SPLITS}


def write(folder: Path, **files: str) -> list[Path]:
    """Write files (name without .csv) into a folder and return their paths in the order given."""
    folder.mkdir(parents=True, exist_ok=True)
    paths = [folder / f"{name}.csv" for name in files]
    for path, text in zip(paths, files.values(), strict=True):
        path.write_text(text, encoding="utf-8", newline="")
    return paths


def write_squad(folder: Path) -> Path:
    """Write the squad's three files into a folder and return it."""
    write(folder, **{name.removesuffix(".csv"): text for name, text in FILES.items()})
    return folder


def tables(home: Home, names: Iterable[str]) -> dict[str, pl.DataFrame]:
    """Return tables of the record as ``flow.table`` does, the record opened once for all of them."""
    with opening.record(home, to_look=True) as con:
        return {name: warehouse.table(con, name) for name in names}


def on_board(home: Home, names: Iterable[str]) -> dict[str, pl.DataFrame]:
    """Return derived tables as ``flow.table`` does, the board opened once for all of them."""
    path = publish.current_board(home)
    assert path is not None
    with reading.opened(path) as board:
        return {name: board.read(name) for name in names}


_made: dict[str, Path] = {}  # homes filled once in this process, to copy
_numbers = itertools.count()
place_of_the_made: list[Path] = []  # one folder, given by conftest.py


def fill(home: Home, how: Callable[[Home], object]) -> Home:
    """Fill a home that is not there yet: by a function the first time in this process, from then on by a copy."""
    name = f"{how.__module__}.{how.__qualname__} {sorted(building.derivations())}"
    if name not in _made:
        first = Home(place_of_the_made[-1] / str(next(_numbers)) / "home")  # one way to fill may call another
        first.root.parent.mkdir(parents=True, exist_ok=True)  # what a way lays beside the home has its place
        how(first)
        _made[name] = first.root
    shutil.copytree(_made[name], home.root)
    return home


def load_roster(home: Home) -> None:
    """Fill a home with the roster alone, and no board."""
    fill(home, _roster)


def load_squad(home: Home) -> None:
    """Fill a home with the squad's three files and publish its board."""
    fill(home, _squad)


def _roster(home: Home) -> None:
    flow.load(home, write(home.root.parent / "in", roster=ROSTER), by="coach", derive_after=False)


def _squad(home: Home) -> None:
    flow.load(home, [write_squad(home.root.parent / "in")], by="coach")
