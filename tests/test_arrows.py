"""Rooms import only what they may: the one-way flow of DEVELOPERS.md, read from the import lines."""

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
PURE_ROOMS = ("readers", "layouts", "checks", "derived")  # reading single cells (pipelines.cells) is common to all
SHELL_ROOMS = ("flow", "cli", "record", "board", "home", "accounts", "entry", "person", "outputs")
KEEPERS = ("pipelines.flow", "pipelines.cli")


def modules() -> list[Path]:
    return [path for room in ("schemas", "pipelines", "dashboard", "seed_data") for path in (ROOT / room).rglob("*.py")]


def name_of(path: Path) -> str:
    return ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__")


def imports_of(path: Path) -> set[str]:
    found: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: relative import"
            found |= {node.module or ""} | {f"{node.module}.{alias.name}" for alias in node.names}
    return found


def reaches(imports: set[str], *rooms: str) -> set[str]:
    return {name for name in imports if any(name == room or name.startswith(room + ".") for room in rooms)}


def test_the_rooms_are_found():
    names = {name_of(path) for path in modules()}
    assert {"schemas.base", "pipelines.flow", "dashboard.board"} <= names


@pytest.mark.parametrize("path", modules(), ids=name_of)
def test_a_room_imports_only_what_it_may(path: Path):
    name, imports = name_of(path), imports_of(path)
    if name.startswith("schemas"):
        assert not reaches(imports, "pipelines", "dashboard", "seed_data", "duckdb", "streamlit", "pathlib", "os")
    if name.startswith("pipelines"):
        assert not reaches(imports, "dashboard", "streamlit", "altair")
    for room in PURE_ROOMS:
        if name.startswith(f"pipelines.{room}"):
            others = [f"pipelines.{other}" for other in PURE_ROOMS if other != room]
            shells = [f"pipelines.{shell}" for shell in SHELL_ROOMS]
            assert not reaches(imports, *others, *shells, "duckdb", "pathlib", "os", "time")
    if name.startswith("dashboard"):
        assert not reaches(imports, *(f"pipelines.{room}" for room in PURE_ROOMS))
        assert not reaches(imports, "pipelines.record.warehouse", "pipelines.board.publish")
        if name != "dashboard.board":
            assert not reaches(imports, "duckdb")
    if not name.startswith(("pipelines.flow", "pipelines.cli")):
        assert not reaches(imports, "pipelines.cli")


@pytest.mark.parametrize(
    "path", [p for p in modules() if name_of(p).startswith(("pipelines.derived", "pipelines.checks"))], ids=name_of
)
def test_a_pure_room_never_asks_the_clock(path: Path):
    source = path.read_text(encoding="utf-8")
    for call in ("date.today(", "datetime.now(", "time.time(", "utcnow("):
        assert call not in source
