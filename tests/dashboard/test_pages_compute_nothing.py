"""A page computes nothing: no sum, difference, quotient or interval of values that it read, found by reading its code.

What stays allowed is what the eye needs: a value in another power of ten of its unit (0.180 s as 180 ms, a share as
percent), and days counted on a calendar.
"""

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
ROOMS = ("screens", "parts", "wording", "charts", "sheets")
OPERATORS = (ast.Add, ast.Sub, ast.Mult, ast.Div, ast.FloorDiv, ast.Mod, ast.Pow)
SAME_VALUE = {"float", "int", "abs", "round"}
OF_MANY = {"sum", "mean", "median", "std", "var", "quantile", "diff", "cum_sum", "pct_change"}
TENS = {10, 100, 1000, 0.1, 0.01, 0.001}
UNIT_NAMES = {"scale"}  # a power of ten from the table of a measure
NORMAL_95 = (1.95, 1.97)  # a standard error times this is half an interval: that belongs on the board
# Values that are no measurement: how often a picker was turned, words put one behind the other.
NO_DATA = {"film_turn", "label"}
PAGES = [p.relative_to(ROOT).as_posix() for room in ROOMS for p in sorted((ROOT / "dashboard" / room).rglob("*.py"))]


def read_names(node: ast.AST) -> set[str]:
    """Return the names of the values of a row, or of columns, that an operand is itself: row["x"], pl.col("x")."""
    if isinstance(node, ast.BinOp | ast.UnaryOp | ast.BoolOp | ast.IfExp):
        parts = ("left", "right", "operand", "body", "orelse")
        inside = [getattr(node, part) for part in parts if hasattr(node, part)] + getattr(node, "values", [])
        return set().union(*map(read_names, inside))
    if isinstance(node, ast.Call):
        first = node.args[0] if node.args else None
        if isinstance(node.func, ast.Name) and node.func.id in SAME_VALUE and first is not None:
            return read_names(first)
        by_name = isinstance(node.func, ast.Attribute) and node.func.attr in {"col", "get"}
        return {first.value} if by_name and isinstance(first, ast.Constant) and isinstance(first.value, str) else set()
    if not (isinstance(node, ast.Subscript) and isinstance(node.slice, ast.Constant)):
        return set()
    is_table_of_ours = ast.unparse(node.value).rsplit(".", maxsplit=1)[-1].isupper()  # SCALES["ms"]
    return set() if is_table_of_ours or not isinstance(node.slice.value, str) else {node.slice.value}


def only_changes_the_unit(node: ast.BinOp) -> bool:
    """Return whether one value is only taken times or through a power of ten."""
    sides = (node.left, node.right) if isinstance(node.op, ast.Mult) else (node.right,)
    if not isinstance(node.op, ast.Mult | ast.Div):
        return False
    for side in sides:
        is_ten = isinstance(side, ast.Constant) and side.value in TENS
        is_named = isinstance(side, ast.Name) and side.id in UNIT_NAMES
        other = node.left if side is node.right else node.right
        if (is_ten or is_named) and not isinstance(other, ast.BinOp):
            return True
    return False


def counts_days(node: ast.BinOp) -> bool:
    """Return whether a stretch of time is added to a day or taken off it."""
    return any("timedelta" in ast.dump(side) for side in (node.left, node.right))


def computed(source: str) -> list[str]:
    """Return what a page's code computes of the values it read, each with its line."""
    found, inner = [], set()
    for node in ast.walk(ast.parse(source)):
        value = node.value if isinstance(node, ast.Constant) else None
        if isinstance(value, float) and NORMAL_95[0] < value < NORMAL_95[1]:
            found.append(f"line {node.lineno}: the factor of an interval, {value}")
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr in OF_MANY:
            found.append(f"line {node.lineno}: {ast.unparse(node)}")
        if not isinstance(node, ast.BinOp) or not isinstance(node.op, OPERATORS) or id(node) in inner:
            continue
        inner |= {id(one) for one in ast.walk(node)}
        names = read_names(node) - NO_DATA
        if names and not only_changes_the_unit(node) and not counts_days(node):
            found.append(f"line {node.lineno}: {ast.unparse(node)}")
    return found


@pytest.mark.parametrize("name", PAGES)
def test_a_page_s_code_computes_nothing_of_what_it_read(name: str):
    assert computed((ROOT / name).read_text(encoding="utf-8")) == []


@pytest.mark.parametrize(
    "line",
    [
        'low = row["slope"] - 2 * row["slope_se"]', 'share = row["flags"] / row["weeks"]',
        'frame.select(pl.col("a") - pl.col("b"))', 'half = times * 1.96', 'frame["seconds"].mean()',
        'total = (row["quiet"] or 0) + row["false_flags"]', 'ms = (row["b"] - row["a"]) * 1000',
        'twice = 2 * row["noise_s"]',
    ],
)  # fmt: skip
def test_the_reading_finds_what_a_page_may_not_do(line: str):
    assert computed(line)


@pytest.mark.parametrize(
    "line",
    [
        'ms = row["contact_s"] * 1000', 'percent = 100 * row["share"]', 'since = row["day_on"] - dt.timedelta(days=42)',
        'html = head + row_html(row["name"])', "place = number * STEP + LEFT",
    ],
)  # fmt: skip
def test_the_reading_leaves_units_days_and_drawing_alone(line: str):
    assert computed(line) == []
