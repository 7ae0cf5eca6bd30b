"""The table of contents: what it names for who checks types is what a caller gets, and nothing else is there."""

import ast
import importlib
from pathlib import Path

import pytest

from pipelines import flow

TREE = ast.parse(Path(flow.__file__).read_text(encoding="utf-8"))
FOR_TYPES = next(node for node in TREE.body if isinstance(node, ast.If) and ast.unparse(node.test) == "TYPE_CHECKING")
IMPORTED = {
    alias.asname or alias.name: (node.module, alias.name)
    for node in FOR_TYPES.body
    if isinstance(node, ast.ImportFrom)
    for alias in node.names
}


@pytest.mark.parametrize("name", sorted(flow.ELSEWHERE))
def test_a_name_of_the_contents_is_the_thing_its_import_line_says(name: str):
    module, there = IMPORTED[name]
    if module.startswith("pipelines.federation"):
        pytest.importorskip("deltalake", reason="needs the extra: uv run --extra federation pytest")
    found = getattr(importlib.import_module(module), there, None)
    assert getattr(flow, name) is (found if found is not None else importlib.import_module(f"{module}.{there}"))


def test_every_name_handed_out_is_made_here_or_stands_in_the_list():
    here = {node.name for node in TREE.body if isinstance(node, ast.FunctionDef)}
    at_once = {a.name for node in TREE.body if isinstance(node, ast.ImportFrom) for a in node.names}
    assert set(flow.__all__) <= here | at_once | set(flow.ELSEWHERE)
    assert set(flow.ELSEWHERE) <= set(flow.__all__)
    assert len(set(flow.__all__)) == len(flow.__all__)


def test_the_module_s_own_code_imports_what_it_uses_of_the_list():
    """Such a name is there for others, who ask the module; in the module itself it is nobody's until somebody asked."""
    missing = []
    for step in (node for node in TREE.body if isinstance(node, ast.FunctionDef)):
        inside = list(ast.walk(step))
        imported = {a.asname or a.name for node in inside if isinstance(node, ast.ImportFrom) for a in node.names}
        own = imported | {node.arg for node in inside if isinstance(node, ast.arg)}
        types = [getattr(node, "annotation", None) or getattr(node, "returns", None) for node in inside]
        in_types = {id(node) for told in types if told is not None for node in ast.walk(told)}
        used = [node for node in inside if isinstance(node, ast.Name) and id(node) not in in_types]
        missing += [f"{step.name}: {node.id}" for node in used if node.id in flow.ELSEWHERE and node.id not in own]
    assert missing == []


def test_a_name_that_is_not_there_is_refused_by_name():
    with pytest.raises(AttributeError, match="no_such_step"):
        flow.no_such_step  # type: ignore[attr-defined]  # noqa: B018
