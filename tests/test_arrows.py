"""Rooms import only what they may: the one-way flow of DEVELOPERS.md, read from the import lines.

The lists say what is allowed; what they do not name is not. An import inside a function counts like any other.
"""

import ast
import sys
from functools import cache
from graphlib import TopologicalSorter
from pathlib import Path

ROOT = Path(__file__).parents[1]
OURS = ("schemas", "pipelines", "dashboard", "seed_data")

# Every room, from the ground up, with the rooms it may import. A room names only rooms above it in this list, so there
# is no circle. A module that stands alone in its package is a room of its own.
ROOMS: dict[str, str] = {
    "schemas.html": "",  # how HTML is filled; apart, so that a page that draws needs no model
    "schemas": "",
    "seed_data": "",
    "pipelines.cells": "schemas",
    "pipelines.checks": "schemas pipelines.cells",
    "pipelines.derived.common": "schemas",
    "pipelines.derived.group": "schemas pipelines.derived.common",
    "pipelines.derived.sprint": "schemas pipelines.derived.common",
    # what timing does to a speed has one home, beside the fit of the splits
    "pipelines.derived.load": "schemas pipelines.derived.common pipelines.derived.sprint",
    "pipelines.derived.readiness": "schemas pipelines.derived.common pipelines.derived.load",
    "pipelines.derived.strength": "schemas pipelines.derived.common pipelines.derived.sprint",
    "pipelines.derived.hamstring": (
        "schemas pipelines.derived.common pipelines.derived.readiness pipelines.derived.strength"
    ),
    "pipelines.derived.hindsight": (
        "schemas pipelines.derived.common pipelines.derived.readiness pipelines.derived.hamstring"
    ),
    "pipelines.derived.start": (
        "schemas pipelines.derived.common pipelines.derived.load pipelines.derived.sprint pipelines.derived.strength"
    ),
    "pipelines.derived.week": (
        "schemas pipelines.derived.common pipelines.derived.sprint pipelines.derived.hamstring pipelines.derived.start"
    ),
    "pipelines.derived.registry": (
        "schemas pipelines.derived.group pipelines.derived.load pipelines.derived.readiness "
        "pipelines.derived.sprint pipelines.derived.strength pipelines.derived.hamstring "
        "pipelines.derived.hindsight pipelines.derived.start pipelines.derived.week"
    ),
    "pipelines.errors": "",
    "pipelines.accounts": "schemas pipelines.errors",
    "pipelines.home": "schemas pipelines.errors",
    "pipelines.layouts.words": "schemas pipelines.cells",
    "pipelines.layouts.rows": "schemas pipelines.cells pipelines.layouts.words",
    "pipelines.layouts.sheets": "schemas pipelines.cells pipelines.layouts.words pipelines.layouts.rows",
    "pipelines.layouts.text": "schemas pipelines.cells pipelines.layouts.words pipelines.layouts.sheets",
    "pipelines.layouts.reading": (
        "schemas pipelines.cells pipelines.layouts.words pipelines.layouts.rows pipelines.layouts.sheets "
        "pipelines.layouts.text"
    ),
    "pipelines.layouts": (
        "schemas pipelines.cells pipelines.errors pipelines.layouts.words pipelines.layouts.rows "
        "pipelines.layouts.sheets pipelines.layouts.text pipelines.layouts.reading"
    ),
    "pipelines.readers": "schemas pipelines.errors",
    "pipelines.intake": (
        "schemas pipelines.checks pipelines.errors pipelines.home pipelines.layouts pipelines.readers"
    ),
    "pipelines.outputs": "schemas pipelines.errors pipelines.home pipelines.intake",
    "pipelines.record": (
        "schemas pipelines.checks pipelines.errors pipelines.accounts pipelines.home pipelines.intake"
    ),
    "pipelines.board": (  # what comes out as it was is kept as there
        "schemas pipelines.derived.common pipelines.derived.registry pipelines.errors pipelines.home pipelines.record"
    ),
    "pipelines.entry": (
        "schemas pipelines.cells pipelines.checks pipelines.derived.common pipelines.errors pipelines.accounts "
        "pipelines.home pipelines.readers pipelines.intake pipelines.record pipelines.board"
    ),
    "pipelines.demo": (
        "schemas seed_data pipelines.errors pipelines.accounts pipelines.home pipelines.intake pipelines.record "
        "pipelines.board pipelines.entry"
    ),
    "pipelines.person": (
        "schemas.html schemas pipelines.checks pipelines.errors pipelines.accounts pipelines.home pipelines.readers "
        "pipelines.intake pipelines.outputs pipelines.record pipelines.board"
    ),
    "pipelines.questions": (
        "schemas pipelines.errors pipelines.derived.common pipelines.derived.load pipelines.derived.readiness "
        "pipelines.derived.sprint pipelines.derived.start pipelines.derived.week pipelines.derived.registry "
        "pipelines.home pipelines.record "
        "pipelines.board"
    ),
    # One squad at a time, as on its own machine: a task knows no engine.
    "pipelines.federation": (
        "schemas pipelines.derived.common pipelines.derived.registry pipelines.errors pipelines.home pipelines.record "
        "pipelines.board"
    ),
    "pipelines.federation.lake": "schemas pipelines.errors pipelines.home",
    "pipelines.federation.questions": "schemas pipelines.federation.lake",
    "pipelines.federation.spark": (
        "schemas pipelines.errors pipelines.home pipelines.federation pipelines.federation.lake "
        "pipelines.federation.questions"
    ),
    "pipelines.federation.running": (
        "schemas pipelines.errors pipelines.home pipelines.board pipelines.federation pipelines.federation.lake "
        "pipelines.federation.questions"
    ),
    "pipelines.federation.demo": (
        "schemas seed_data pipelines.errors pipelines.home pipelines.record pipelines.entry pipelines.federation"
    ),
    "pipelines.federation.command": (
        "pipelines.home pipelines.federation pipelines.federation.spark pipelines.federation.running "
        "pipelines.federation.demo"
    ),
    "pipelines.flow": (
        "schemas pipelines.errors "
        "pipelines.accounts pipelines.home pipelines.intake pipelines.outputs pipelines.record pipelines.board "
        "pipelines.entry pipelines.demo pipelines.person pipelines.questions pipelines.federation "
        "pipelines.federation.running pipelines.federation.command"
    ),
    "pipelines.cli": (
        "pipelines.errors pipelines.accounts pipelines.home pipelines.outputs pipelines.record pipelines.entry "
        "pipelines.flow"
    ),
    "dashboard.charts": "",
    "dashboard.home": "pipelines.flow",  # the home that is served, as the flow takes it
    "dashboard.questions": "pipelines.flow dashboard.home",
    "dashboard.wording": "schemas",
    "dashboard.access": (
        "schemas.html schemas pipelines.errors pipelines.accounts pipelines.home dashboard.home dashboard.wording"
    ),
    "dashboard.kept": "",
    "dashboard.board": "pipelines.board dashboard.home dashboard.kept dashboard.access",
    "dashboard.downloads": "pipelines.flow dashboard.charts dashboard.wording dashboard.access",
    "dashboard.reads": "dashboard.access dashboard.board",
    "dashboard.writes": "schemas pipelines.flow dashboard.home dashboard.wording dashboard.access dashboard.board",
    "dashboard.parts": (
        "schemas.html schemas dashboard.home dashboard.wording dashboard.access dashboard.board dashboard.downloads "
        "dashboard.reads dashboard.writes"
    ),
    "dashboard.app": (
        "schemas.html dashboard.home dashboard.wording dashboard.access dashboard.board dashboard.writes "
        "dashboard.parts"
    ),
    "dashboard.screens.check_in": (  # who is under age has one home, in schemas
        "schemas.html schemas pipelines.flow dashboard.home dashboard.wording dashboard.access dashboard.board "
        "dashboard.reads dashboard.writes "
        "dashboard.parts"
    ),
    # Minutes and effort of an athlete's own day: the day and the form are the check-in's.
    "dashboard.screens.after": (
        "schemas.html pipelines.flow dashboard.home dashboard.wording dashboard.access dashboard.reads "
        "dashboard.writes "
        "dashboard.parts dashboard.screens.check_in"
    ),
    "dashboard.screens.track": (  # what a time can be has one home, in schemas
        "schemas.html schemas pipelines.flow dashboard.home dashboard.wording dashboard.access dashboard.reads "
        "dashboard.writes "
        "dashboard.parts dashboard.screens.check_in"
    ),
    "dashboard.screens.data": (
        "schemas.html schemas pipelines.flow dashboard.home dashboard.wording dashboard.access dashboard.board "
        "dashboard.downloads dashboard.writes dashboard.parts"
    ),
    "dashboard.screens.film": (
        "schemas.html pipelines.flow dashboard.home dashboard.wording dashboard.access dashboard.board "
        "dashboard.downloads "
        "dashboard.reads dashboard.writes dashboard.parts"
    ),
    "dashboard.screens.followed": "schemas.html dashboard.wording dashboard.reads dashboard.parts",
    "dashboard.screens.group": "schemas.html dashboard.wording dashboard.reads dashboard.parts",
    "dashboard.screens.hindsight": (
        "schemas.html schemas pipelines.flow dashboard.charts dashboard.home dashboard.wording dashboard.access "
        "dashboard.reads dashboard.writes dashboard.parts"
    ),
    "dashboard.screens.methods": (
        "schemas.html dashboard.wording dashboard.reads dashboard.parts dashboard.screens.hindsight"
    ),
    "dashboard.screens.people": (
        "schemas.html schemas pipelines.accounts pipelines.outputs pipelines.flow dashboard.home dashboard.wording "
        "dashboard.access "
        "dashboard.board dashboard.downloads dashboard.writes dashboard.parts dashboard.screens.check_in"
    ),
    # Consent given and withdrawn by the person or a minor's guardian, and their copy of everything.
    "dashboard.screens.consent": (
        "schemas.html schemas pipelines.flow dashboard.home dashboard.wording dashboard.access "
        "dashboard.downloads dashboard.reads dashboard.writes dashboard.parts dashboard.screens.check_in"
    ),
    "dashboard.screens.plan": (  # what a plan would mean is kept as what was read is
        "schemas.html schemas pipelines.flow dashboard.home dashboard.kept dashboard.wording dashboard.access "
        "dashboard.board dashboard.reads dashboard.writes dashboard.parts"
    ),
    # Drills of the squad's own: written down, proposed, used.
    "dashboard.screens.library": (
        "schemas.html schemas dashboard.wording dashboard.access dashboard.reads dashboard.writes dashboard.parts"
    ),
    # lots for a trial are drawn and kept on the page that shows what trials found
    "dashboard.screens.starts": (
        "schemas.html pipelines.flow dashboard.charts dashboard.home dashboard.questions dashboard.wording "
        "dashboard.access dashboard.reads dashboard.writes dashboard.parts"
    ),
    "dashboard.screens.athlete": (
        "schemas.html dashboard.charts dashboard.questions dashboard.wording dashboard.reads dashboard.parts "
        "dashboard.screens.check_in dashboard.screens.after dashboard.screens.starts"
    ),
    "dashboard.screens.week": (
        "schemas.html dashboard.home dashboard.questions dashboard.wording dashboard.access dashboard.board "
        "dashboard.downloads dashboard.reads dashboard.writes dashboard.parts"
    ),
    "dashboard.sheets": (
        "dashboard.charts dashboard.home dashboard.wording dashboard.access dashboard.board dashboard.reads "
        "dashboard.writes dashboard.parts dashboard.screens.athlete dashboard.screens.plan dashboard.screens.week"
    ),
    "dashboard.run": "pipelines.flow dashboard.access dashboard.board dashboard.downloads dashboard.sheets",
    "dashboard.serve": "",
}

# The packages of others that a room may import.
PACKAGES: dict[str, str] = {
    "schemas.html": "markupsafe",
    "schemas": "pandera polars pydantic",
    "seed_data": "PIL numpy scipy xlsxwriter",  # PIL draws the demo's film, when it is made anew
    "pipelines.cells": "pint polars rapidfuzz",
    "pipelines.checks": "numpy pandera polars rapidfuzz",
    "pipelines.derived": "numpy polars scipy",
    "pipelines.accounts": "argon2 cryptography pyotp zxcvbn",
    "pipelines.home": "cryptography duckdb filelock platformdirs polars pydantic tomli_w",
    "pipelines.layouts": "polars",
    "pipelines.readers": "charset_normalizer numpy openpyxl polars scipy",
    "pipelines.intake": "openpyxl polars rapidfuzz tomli_w",
    "pipelines.outputs": "polars segno xlsxwriter",
    "pipelines.record": "duckdb polars",
    "pipelines.board": "duckdb numpy pandera polars pyarrow",
    "pipelines.entry": "polars rich",
    "pipelines.person": "duckdb openpyxl polars rapidfuzz tomli_w",
    "pipelines.questions": "polars",
    "pipelines.federation": "polars",
    # Of the extra: nothing else may import these, and nothing imports these modules before it is asked to.
    "pipelines.federation.lake": "deltalake pyarrow",
    "pipelines.federation.questions": "ibis pyarrow",
    "pipelines.federation.spark": "ibis pyarrow pyspark",
    "pipelines.flow": "polars",
    "pipelines.cli": "click",
    "dashboard.charts": "altair vl_convert",
    "dashboard.access": "anyio authlib h11 httpx2 joserfc polars segno starlette streamlit uvicorn",
    "dashboard.board": "duckdb polars",
    "dashboard.downloads": "starlette",
    "dashboard.reads": "streamlit",
    "dashboard.parts": "polars streamlit",
    "dashboard.app": "streamlit",
    "dashboard.screens": "polars streamlit",
    "dashboard.sheets": "starlette typst",
    "dashboard.run": "altair pandas polars starlette streamlit",
    "dashboard.serve": "streamlit uvicorn",
}

# Rooms that compute: frames in, frames out, no file, no clock, no chance. Their own words lie beside them, read by
# importlib.resources.
PURE = ("schemas", *(f"pipelines.{room}" for room in ("errors", "cells", "readers", "layouts", "checks", "derived")))
WORLD = "glob os pathlib random secrets shutil socket sqlite3 subprocess tempfile threading time urllib uuid"
CLOCKS = ("date.today(", "datetime.now(", "time.time(", "utcnow(")


def name_of(path: Path) -> str:
    return ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__")


MODULES = {name_of(path): path for top in OURS for path in sorted((ROOT / top).rglob("*.py"))}


@cache
def imports_of(name: str) -> frozenset[str]:
    """Return the modules that a module imports; a name out of a package of ours counts as that module."""
    imported: set[str] = set()
    for node in ast.walk(ast.parse(MODULES[name].read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            imported |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{name}: relative import"
            whole = node.module or ""
            imported |= {f"{whole}.{a.name}" if f"{whole}.{a.name}" in MODULES else whole for a in node.names}
    return frozenset(imported)


def room_of(module: str) -> str:
    """Return the room a module belongs to: the longest name of a room that it begins with."""
    rooms = [room for room in ROOMS if module == room or module.startswith(room + ".")]
    return max(rooms, key=len) if rooms else module


def named_in(table: dict[str, str], room: str) -> set[str]:
    """Return what a table allows a room, under its own name or that of the room around it."""
    around = [words for name, words in table.items() if room == name or room.startswith(name + ".")]
    return set(" ".join(around).split())


def inner_imports() -> dict[str, list[str]]:
    return {name: [i for i in imports_of(name) if i in MODULES] for name in MODULES}


def test_every_module_is_in_a_room():
    alone = {"pipelines", "pipelines.derived", "dashboard", "dashboard.screens"}  # packages that hold only rooms
    assert {room_of(name) for name in MODULES} - alone == set(ROOMS)
    assert all(not MODULES[name].read_text(encoding="utf-8").count("import") for name in alone)


def test_the_list_of_rooms_has_no_circle_and_names_no_arrow_that_is_not_there():
    order = list(ROOMS)
    used: dict[str, set[str]] = {}
    for name in MODULES:
        used.setdefault(room_of(name), set()).update(room_of(other) for other in inner_imports()[name])
    for place, (room, words) in enumerate(ROOMS.items()):
        assert set(words.split()) <= set(order[:place]), f"{room} names a room that does not stand before it"
        assert set(words.split()) == used[room] - {room}, f"{room}: what it imports and what is listed differ"


def test_a_module_imports_only_what_its_room_may():
    """One test of all modules that names each arrow too many: a test a module costs more than its look."""
    wrong: dict[str, set[str]] = {}
    for name in MODULES:
        room = room_of(name)
        ours = {room_of(other) for other in imports_of(name) if other.split(".")[0] in OURS}
        outside = {other.split(".")[0] for other in imports_of(name)} - set(OURS) - sys.stdlib_module_names
        wrong[name] = (ours - {room} - named_in(ROOMS, room)) | (outside - named_in(PACKAGES, room))
    assert {name: sorted(arrows) for name, arrows in wrong.items() if arrows} == {}


def test_no_two_modules_import_each_other_in_a_circle():
    assert list(TopologicalSorter(inner_imports()).static_order())  # raises a CycleError that names the circle


def test_a_pure_room_asks_no_file_no_clock_and_no_chance():
    asked: dict[str, list[str]] = {}
    for name in (name for name in MODULES if name.startswith(PURE)):
        source = MODULES[name].read_text(encoding="utf-8")
        world = {other.split(".")[0] for other in imports_of(name)} & set(WORLD.split())
        asked[name] = sorted(world) + [call for call in CLOCKS if call in source]
    assert len(asked) > 100
    assert {name: what for name, what in asked.items() if what} == {}


def test_no_module_is_longer_than_400_lines():
    lines = {name: path.read_text(encoding="utf-8").count("\n") for name, path in MODULES.items()}
    assert {name: count for name, count in lines.items() if count > 400} == {}, "cut it by duty"
