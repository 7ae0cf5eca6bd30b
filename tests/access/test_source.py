"""What the source may not say: text put together as SQL, a cache that knows people, an order of minors by wellness."""

import ast
import tomllib
from collections.abc import Iterator
from functools import cache
from pathlib import Path

from dashboard import wording
from pipelines.outputs.server import OWN_NAMES, _command

ROOT = Path(__file__).parents[2]
SQL_CALLS = {"execute", "executemany", "executescript", "sql", "query"}
SQL_WORDS = ("select ", "insert ", "update ", "delete ", "create ", "alter ", "drop ", "attach ", "copy ", "pragma ")
# Functions that give names as SQL reads them, or text made of such names and placeholders alone.
NAME_MAKERS = {
    "quoted", "listed", "map", "_on_key", "current_rows", "len", "int", "rows_for", "columns_otherwise", "shape_of",
}  # fmt: skip
# What else stands between braces of SQL, each looked at: none of it comes from a file, a form or an address.
LOOKED_AT = {
    "dashboard/access/rules.py": {"ADULT_YEARS", "STAFF_ROWS", "NO_HEALTH_FILE"},
    "dashboard/board.py": {
        "inner",
        "scope",
        "outer",
        "guarded[c]",
        "column",
        "wanted[0]",
        "' or '.join(either)",
        "over",
        "columns",
        "marks",
        "text",
    },  # names of board tables and columns, placeholders
    "pipelines/accounts/file.py": {"table", "column", "VERSION"},
    "pipelines/accounts/accounts.py": {"table"},
    "pipelines/accounts/second.py": {"table"},
    "pipelines/person/erasure.py": {"each", "name"},  # of record tables
    "pipelines/person/keeping.py": {"name"},
    "pipelines/person/export.py": {"name"},  # of a record table
    "pipelines/board/publish.py": {
        "order",
        "str(self.aside).replace(chr(39), chr(39) * 2)",
        "warehouse.WAITING",
        "name",
        "query",
        "day",
        "' union all '.join(parts)",  # of constants in the module
        "columns",
        "each",  # of shapes
    },
    "pipelines/board/following.py": {"ATHLETE"},
    "pipelines/record/kept_open.py": {"str(path).replace(chr(39), chr(39) * 2)"},  # the record's file
    "pipelines/entry/track.py": {"table", "load.table", "where", "', ' + names if names else ''"},  # keys of MAY_SAY
    "pipelines/record/left_rows.py": {"table", "spelled", "one", "', '.join((f'v.{one}' for one in key))"},  # of models
    "pipelines/record/looking.py": {"WAITING", "name", "LOG_ORDER[name]", "order", "query", "most"},  # names it knows
    "pipelines/record/rows.py": {"query"},  # counts the rows of a query it was given whole
    "pipelines/record/warehouse.py": {"WAITING", "order", "where"},
    "pipelines/record/migrations.py": {"table", "column"},  # named in the step itself
    "pipelines/record/run_sets.py": {"held", "own", "number"},  # key columns of a model
}
# Rooms that write the SQL of every record table from its model: they are given shapes and load numbers, never a text.
OF_SHAPES_ALONE = {"pipelines/board/entry_days.py", "pipelines/record/history.py", "pipelines/record/unusual.py"}
# Functions that remember, none of which is given a viewer, a board or rows.
MAY_REMEMBER = {"cache", "lru_cache"}
KNOWS_PEOPLE = {"viewer", "board", "rows", "row", "athlete_id", "athlete", "opened", "frame", "home"}


def sources(*rooms: str) -> Iterator[tuple[str, ast.Module]]:
    for room in rooms:
        yield from parsed(room)


@cache
def parsed(room: str) -> list[tuple[str, ast.Module]]:
    """Return the modules of a room by name: read once for every rule."""
    paths = sorted((ROOT / room).rglob("*.py"))
    return [(path.relative_to(ROOT).as_posix(), ast.parse(path.read_text(encoding="utf-8"))) for path in paths]


def _is_made_of_names(value: ast.expr) -> bool:
    called = value.func if isinstance(value, ast.Call) else None
    name = called.attr if isinstance(called, ast.Attribute) else called.id if isinstance(called, ast.Name) else ""
    if name == "join":  # ', '.join(map(quoted, ...)) and the like
        return any(isinstance(n, ast.Name) and n.id in NAME_MAKERS for n in ast.walk(value)) or "'?'" in ast.unparse(
            value
        )
    return name in NAME_MAKERS


def put_together(rooms: tuple[str, ...]) -> dict[str, set[str]]:
    """Return, by file, what stands between braces of texts that read as SQL and is no name made safe."""
    found: dict[str, set[str]] = {}
    for name, tree in sources(*rooms):
        in_calls = {
            id(node)
            for call in ast.walk(tree)
            if isinstance(call, ast.Call) and isinstance(call.func, ast.Attribute) and call.func.attr in SQL_CALLS
            for argument in call.args[:1]
            for node in ast.walk(argument)
        }
        for node in ast.walk(tree):
            if not isinstance(node, ast.JoinedStr):
                continue
            text = "".join(str(part.value) for part in node.values if isinstance(part, ast.Constant)).lower().lstrip()
            if id(node) not in in_calls and not text.startswith(SQL_WORDS):
                continue
            for part in node.values:
                if isinstance(part, ast.FormattedValue) and not _is_made_of_names(part.value):
                    found.setdefault(name, set()).add(ast.unparse(part.value))
    return found


def test_no_text_from_outside_is_put_together_as_sql():
    found = put_together(("dashboard", "pipelines"))
    rest = {name: told for name, told in found.items() if name not in OF_SHAPES_ALONE and "/wording/" not in name}
    new = {name: told - LOOKED_AT.get(name, set()) for name, told in rest.items()}
    assert {name: told for name, told in new.items() if told} == {}


def test_rooms_that_write_sql_from_models_are_given_no_text():
    for name, tree in sources("pipelines"):
        if name not in OF_SHAPES_ALONE:
            continue
        for node in ast.walk(tree):
            if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
                kinds = {a.arg: ast.unparse(a.annotation) for a in node.args.args if a.annotation}
                texts = {a for a, kind in kinds.items() if kind in ("str", "str | None", "Any")}
                assert texts <= {"table", "name", "only", "names", "alias", "places"}, (
                    f"{name}: {node.name} is given text: {sorted(texts)}"
                )


def test_nothing_remembers_across_people():
    """Caches of the framework are one for all visitors; a function that remembers may know of no person."""
    remembering: list[str] = []
    for name, tree in sources("dashboard"):
        for node in ast.walk(tree):
            if isinstance(node, ast.Attribute) and node.attr in ("cache_data", "cache_resource"):
                remembering.append(f"{name}: st.{node.attr}")
            if not isinstance(node, ast.FunctionDef):
                continue
            names = {n.id for d in node.decorator_list for n in ast.walk(d) if isinstance(n, ast.Name)}
            told = {a.arg for a in (*node.args.args, *node.args.kwonlyargs)}
            if names & MAY_REMEMBER and told & KNOWS_PEOPLE:
                remembering.append(f"{name}: {node.name}")
    assert remembering == []


def test_no_file_is_handed_to_the_framework_s_own_download_address():
    offering = {"download_button", "image", "audio", "video", "pyplot", "pdf", "logo"}
    found = [
        f"{name}: st.{node.attr}"
        for name, tree in sources("dashboard")
        for node in ast.walk(tree)
        if isinstance(node, ast.Attribute) and node.attr in offering
        and isinstance(node.value, ast.Name) and node.value.id == "st"
    ]  # fmt: skip
    assert found == []


def test_the_orders_of_the_week_are_by_name_by_group_or_by_what_asks_for_a_decision():
    assert set(wording.SORTS) == {"exceptions", "name", "group"}


def test_usage_statistics_of_the_framework_are_off_and_it_listens_here_alone():
    config = tomllib.loads((ROOT / "dashboard/.streamlit/config.toml").read_text(encoding="utf-8"))
    assert config["browser"]["gatherUsageStats"] is False
    assert config["server"]["address"] == "127.0.0.1"
    assert config["server"]["maxUploadSize"] == 20
    told = _command(8501, OWN_NAMES)
    assert told[told.index("--browser.gatherUsageStats") + 1] == "false"
    assert told[told.index("--server.address") + 1] == "127.0.0.1"
