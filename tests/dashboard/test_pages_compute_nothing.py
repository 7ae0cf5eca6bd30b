"""A page computes nothing: no sum, difference, quotient or interval of values that it read, found by reading its code.

What stays allowed is what the eye needs: a value in another power of ten of its unit (0.180 s as 180 ms, a share as
percent), days counted on a calendar, and places in a drawing or a list. The last of these are named one by one below,
with their reason: a helper that adds two values it was handed is found whatever the values are called.
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
# Functions that may reckon with what they are handed, and why: none of them makes a number that somebody reads.
LAYOUT = {
    "dashboard/charts/hindsight.py": "height of a drawing by its rows: share_intervals rules_beside",
    "dashboard/charts/starts.py": "height of a drawing by its rows: squad_slopes",
    "dashboard/parts/block_rows.py": "the lane a block is drawn in: lanes_of",
    "dashboard/parts/in_parts.py": "which of a long list is shown: part_of part_links",
    "dashboard/parts/lines.py": "places of marks in a small drawing: trend_line x y load_bars",
    "dashboard/parts/season.py": "height of a bar in a small drawing: bar_height",
    "dashboard/screens/group/small_figures.py": (
        "places of marks in a small drawing: x y common_scale small_trend _months week_bars"
    ),
    "dashboard/screens/plan/page.py": "height of the grid by its rows: edited_grid",
    "dashboard/sheets/typeset.py": "letters that the fonts lack: pdf",
    "dashboard/screens/data/words.py": "bytes of disk and memory, and how long ago, as people say them: machine _age",
    "dashboard/screens/film/found.py": "a value in the unit of the desk, a power of ten: _lines",
    "dashboard/screens/film/words.py": "how many places a rate is written with: rate_words",
    "dashboard/screens/athlete/raw.py": "how many places a distance is written with: metres",
    "dashboard/wording/forms.py": "how many places a number is written with: _figure",
    "dashboard/screens/check_in/form.py": "the hours of sleep offered, by halves:",
}
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


def is_one(node: ast.AST) -> bool:
    """Return whether an operand is a step of one or two in a list: the next one, the one before."""
    return isinstance(node, ast.Constant) and node.value in (1, 2)


def is_words(node: ast.AST) -> bool:
    """Return whether an operand can only be text or a list: written out, cut out of one, or made by a function."""
    cut = isinstance(node, ast.Subscript) and isinstance(node.slice, ast.Slice)
    text = isinstance(node, ast.Constant) and isinstance(node.value, str)
    listed = isinstance(node, ast.List | ast.Tuple | ast.ListComp | ast.JoinedStr | ast.Call)
    return cut or text or listed or (isinstance(node, ast.BinOp | ast.IfExp) and any(map(is_words, parts_of(node))))


def parts_of(node: ast.BinOp | ast.IfExp) -> tuple[ast.AST, ast.AST]:
    """Return what is joined, or what is chosen from."""
    return (node.left, node.right) if isinstance(node, ast.BinOp) else (node.body, node.orelse)


def is_calendar(node: ast.BinOp) -> bool:
    """Return whether a day or a week is counted on from a day."""
    return counts_days(node) or any(
        isinstance(side, ast.Name) and side.id in {"WEEK", "since", "step", "monday"} for side in parts_of(node)
    )


def is_path(node: ast.BinOp) -> bool:
    """Return whether a file is named in a folder."""
    return isinstance(node.op, ast.Div) and (is_words(node.right) or "HERE" in ast.unparse(node.left))


def is_ours(node: ast.BinOp) -> bool:
    """Return whether both sides are written in the code: numbers, constants, and how many of a list there are."""

    def written(side: ast.AST) -> bool:
        if isinstance(side, ast.BinOp):
            return all(map(written, parts_of(side)))
        if isinstance(side, ast.UnaryOp):
            return written(side.operand)
        named = isinstance(side, ast.Name) and side.id.isupper()
        is_count = isinstance(side, ast.Call) and isinstance(side.func, ast.Name) and side.func.id == "len"
        return named or is_count or isinstance(side, ast.Constant)

    return all(map(written, parts_of(node)))


def reckoned(source: str, allowed: set[str] = frozenset()) -> list[str]:
    """Return every sum, difference, product or quotient of numbers in a page's code that no function may make."""
    found: list[str] = []

    def walk(node: ast.AST, function: str) -> None:
        if isinstance(node, ast.FunctionDef):
            function = node.name
        if isinstance(node, ast.BinOp) and isinstance(node.op, OPERATORS):
            adds_words = isinstance(node.op, ast.Add) and any(map(is_words, parts_of(node)))
            formats = isinstance(node.op, ast.Mod | ast.Mult) and any(
                isinstance(side, ast.List) or (isinstance(side, ast.Constant) and isinstance(side.value, str))
                for side in parts_of(node)
            )
            steps = isinstance(node.op, ast.Add | ast.Sub) and any(map(is_one, parts_of(node)))
            fine = (
                adds_words
                or formats
                or steps
                or is_path(node)
                or is_calendar(node)
                or only_changes_the_unit(node)
                or is_ours(node)
            )
            if not fine and function not in allowed:
                found.append(f"line {node.lineno}, {function}: {ast.unparse(node)}")
                return
        for inside in ast.iter_child_nodes(node):
            walk(inside, function)

    walk(ast.parse(source), "")
    return found


def may_reckon(name: str) -> set[str]:
    """Return the functions of a file that may reckon; "" for what stands in none."""
    return set(LAYOUT[name].rsplit(":", maxsplit=1)[1].split()) or {""} if name in LAYOUT else set()


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


def test_a_page_s_code_computes_nothing_of_what_it_read():
    found = {name: computed((ROOT / name).read_text(encoding="utf-8")) for name in PAGES}
    assert {name: said for name, said in found.items() if said} == {}


def test_no_helper_of_a_page_reckons_with_what_it_is_handed():
    found = {name: reckoned((ROOT / name).read_text(encoding="utf-8"), may_reckon(name)) for name in PAGES}
    assert {name: said for name, said in found.items() if said} == {}


@pytest.mark.parametrize("name", LAYOUT)
def test_what_may_reckon_with_places_still_does(name: str):
    source = (ROOT / name).read_text(encoding="utf-8")
    for function in may_reckon(name):
        assert reckoned(source, may_reckon(name) - {function}), f"{function} of {name} needs no leave any more"


@pytest.mark.parametrize(
    "line",
    [
        "def edges(value, error, times=1.0):\n    return value - times * error, value + times * error",
        "said = new + changed", "half = 1960 * error", "rate = hits / weeks", "both = one.stored + one.replaced",
        'gap = (end - last["on"]).days - limit',
    ],
)  # fmt: skip
def test_the_reading_finds_a_helper_that_reckons(line: str):
    assert reckoned(line)


@pytest.mark.parametrize(
    "line",
    [
        'html = head + row_html(row["name"])', "more = drawn + [blank]", "others = methods[at + 1 : at + 2]",
        "left = len(rows) - MOST_ROWS", "earlier = monday - WEEK", "ms = 1000 * seconds",
    ],
)  # fmt: skip
def test_the_reading_leaves_lists_text_and_units_alone(line: str):
    assert reckoned(line) == []


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
