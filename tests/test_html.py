"""HTML is written in templates of one home, which escapes by default: found by reading the code, and by trying it."""

import ast
import re
from functools import cache
from pathlib import Path

import pytest

from dashboard.parts.marks import caution, mark, prose, take_links
from schemas.html import Markup, as_html, html, join_html

ROOT = Path(__file__).parents[1]
HOME = "schemas/html.py"
TAG = re.compile(r"<(/?[a-zA-Z][\w-]*[\s>/]|!doctype|/[a-z])", re.IGNORECASE)
FILLS = {"html"}  # the function whose first argument is a template
# A name that holds a style sheet, a script, or a pattern: no value is ever put into it.
NO_TEMPLATE = re.compile(r"(STYLE|SCRIPT|_SEND_ON)$")
# Text that is looked for in what others wrote, and no template: each with its reason.
LOOKED_FOR = {
    "dashboard/access/gate.py": "the scripts of the framework's own page",
    "pipelines/layouts/words/headings.py": "patterns of headings in people's sheets",
    "pipelines/layouts/reading/no_home.py": "patterns of hurdles in people's sheets",
    "pipelines/layouts/words/run_words.py": "patterns of runs in headings",
    "pipelines/layouts/sheets/weeks.py": "patterns of weeks in people's sheets",
    "pipelines/layouts/words/sets.py": "patterns of sets in people's sheets",
}
MODULES = [p for room in ("schemas", "pipelines", "dashboard") for p in sorted((ROOT / room).rglob("*.py"))]
HOSTILE = "<script>alert('1')</script>\"& x"


parsed = cache(ast.parse)  # the same modules for every rule


def loose_tags(source: str) -> list[str]:
    """Return every text with a tag that is no template, and every template that is not written out, with its line."""
    tree = parsed(source)
    fine: set[int] = set()
    found = []
    for node in ast.walk(tree):
        if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef):
            first = node.body[0] if node.body else None
            fine |= {id(first.value)} if isinstance(first, ast.Expr) else set()
        if isinstance(node, ast.Assign) and any(NO_TEMPLATE.search(ast.unparse(one)) for one in node.targets):
            fine |= {id(one) for one in ast.walk(node.value)}
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in FILLS:
            if not node.args or not isinstance(node.args[0], ast.Constant):
                found.append(f"line {node.lineno}: a template that is not written out")
            fine |= {id(node.args[0])} if node.args else set()
        if isinstance(node, ast.Call) and ast.unparse(node.func) in ("Markup", "markupsafe.Markup") and node.args:
            found.append(f"line {node.lineno}: text called HTML outside the home")
    for node in ast.walk(tree):
        is_text = isinstance(node, ast.Constant) and isinstance(node.value, str)
        if is_text and id(node) not in fine and TAG.search(node.value):  # type: ignore[attr-defined]
            found.append(f"line {node.lineno}: {ast.unparse(node)[:80]}")  # type: ignore[attr-defined]
    return found


def gives_html(value: ast.expr | None) -> bool:
    """Return whether an expression is a filled template, in one of its ways or with more added to it."""
    if isinstance(value, ast.IfExp):
        return gives_html(value.body) or gives_html(value.orelse)
    if isinstance(value, ast.BinOp):
        return gives_html(value.left)
    return isinstance(value, ast.Call) and ast.unparse(value.func) in ("html", "join_html", "as_html")


def called_plain(source: str) -> list[str]:
    """Return every function that gives back a filled template and says that it gives back plain text."""
    found = []
    for node in ast.walk(parsed(source)):
        if isinstance(node, ast.FunctionDef) and node.returns is not None and ast.unparse(node.returns) == "str":
            inner = {id(one) for f in ast.walk(node) if isinstance(f, ast.FunctionDef) and f is not node
                     for one in ast.walk(f)}  # fmt: skip
            given = [one for one in ast.walk(node) if isinstance(one, ast.Return) and id(one) not in inner]
            if any(gives_html(one.value) for one in given):
                found.append(f"line {node.lineno}: {node.name}")
    return found


def test_a_function_that_gives_back_html_says_so():
    # then mypy tells HTML from text, and 'HTML + text', which escapes, from 'text + text'
    named = {path.relative_to(ROOT).as_posix(): called_plain(path.read_text(encoding="utf-8")) for path in MODULES}
    assert {name: found for name, found in named.items() if found} == {}
    assert called_plain("def f(x) -> str:\n    return html('<b>{}</b>', x) if x else ''") == ["line 1: f"]


def test_a_tag_stands_in_a_template_of_the_home_and_nowhere_else():
    tags = {path.relative_to(ROOT).as_posix(): loose_tags(path.read_text(encoding="utf-8")) for path in MODULES}
    assert {name: found for name, found in tags.items() if found and name not in {HOME, *LOOKED_FOR}} == {}
    assert [name for name in LOOKED_FOR if not tags[name]] == [], "named without need"


def test_only_drawings_and_styles_of_ours_are_taken_as_html():
    calls = {
        (path.relative_to(ROOT).as_posix(), ast.unparse(node.args[0]))
        for path in MODULES
        for node in ast.walk(parsed(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "as_html"
    }
    assert calls == TAKEN_AS_HTML


@pytest.mark.parametrize(
    "line",
    [
        'page.show(f"<b>{name}</b>")', 'said = "<b>" + name + "</b>"', 'said = "<b>%s</b>" % name',
        'said = "<b>{}</b>".format(name)', 'html(f"<b>{name}</b>")', "html(TEMPLATE, name)", "Markup(name)",
        'said = "".join(["<li>", name])',
    ],
)  # fmt: skip
def test_the_reading_finds_html_built_by_hand(line: str):
    assert loose_tags(line)


@pytest.mark.parametrize("line", ['html("<b>{}</b>", name)', 'said = "a < b"', "_STYLE = '<style>b{}</style>'"])
def test_the_reading_leaves_templates_and_signs_alone(line: str):
    assert loose_tags(line) == []


def test_a_value_is_escaped_wherever_it_meets_html():
    escaped = "&lt;script&gt;alert(&#39;1&#39;)&lt;/script&gt;&#34;&amp; x"
    assert html("<b>{}</b>", HOSTILE) == f"<b>{escaped}</b>"
    assert html("<b>{}</b>", html("<i>{}</i>", HOSTILE)) == f"<b><i>{escaped}</i></b>"
    assert join_html([HOSTILE, html("<hr>")], " & ") == f"{escaped} &amp; <hr>"
    assert html("<p>") + HOSTILE == f"<p>{escaped}"
    assert HOSTILE + html("</p>") == f"{escaped}</p>"


def test_what_forgot_that_it_is_html_is_shown_and_never_run():
    # A plain join of two pieces is a plain text: it is escaped where it goes in, which everybody sees.
    assert html("<p>{}</p>", "".join([html("<b>{}</b>", "a")])) == "<p>&lt;b&gt;a&lt;/b&gt;</p>"


def test_unknown_is_empty_and_a_number_is_written_as_asked():
    assert html("<td>{}</td><td>{:.1f}</td>", None, 2.25) == "<td></td><td>2.2</td>"
    assert isinstance(html("<br>"), Markup)
    assert html("{}", as_html("<svg/>")) == "<svg/>"


def test_the_parts_that_every_page_uses_escape_what_they_are_told():
    for drawn in (caution(HOSTILE), prose(HOSTILE), mark("adapt", {"adapt": HOSTILE}, HOSTILE),
                  take_links({HOSTILE: HOSTILE})):  # fmt: skip
        assert isinstance(drawn, Markup)
        assert "<script" not in drawn


# Where text is taken as HTML without being escaped: a style sheet or script of ours, a drawing library's SVG.
TAKEN_AS_HTML = {
    ("dashboard/access/forms.py", "STYLE"), ("dashboard/access/forms.py", "script"),
    ("dashboard/access/own.py", "told.getvalue().decode()"), ("dashboard/parts/group_style.py", "_style()"),
    ("dashboard/parts/marks.py", "bind_units(text(value))"), ("dashboard/parts/page.py", "_style()"),
    ("dashboard/parts/page.py", "extra"), ("dashboard/screens/people/page.py", "square_svg(said[2])"),
    ("pipelines/person/export.py", "_STYLE"),
}  # fmt: skip
