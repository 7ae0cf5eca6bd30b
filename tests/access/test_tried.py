"""The table of what was tried names tests that are there, and a line that does not hold is seen."""

import ast
from pathlib import Path

from tests.tried import ROOT, TRIED, results, verdict


def test_every_test_that_the_table_names_is_there():
    named = [node for nodes in TRIED.values() for node in nodes]
    assert len(named) == len(set(named))
    for file in {node.split("::")[0] for node in named}:
        tree = ast.parse((ROOT / file).read_text(encoding="utf-8"))
        there = {one.name for one in tree.body if isinstance(one, ast.FunctionDef)}
        assert {node.split("::")[1] for node in named if node.startswith(f"{file}::")} <= there, file


def test_a_line_comes_out_as_its_worst_test(tmp_path: Path):
    told = tmp_path / "told.xml"
    cases = (("one[x]", ""), ("one[y]", "<failure/>"), ("two", "<skipped/>"), ("three", ""))
    inside = "".join(f'<testcase classname="tests.a" name="{name}">{how}</testcase>' for name, how in cases)
    told.write_text(f"<testsuites><testsuite>{inside}</testsuite></testsuites>", encoding="utf-8")
    found = results(told)
    one, two, three, four = (f"tests/a.py::{name}" for name in ("one", "two", "three", "four"))
    assert [verdict(nodes, found) for nodes in ((three,), (three, two), (two, four), (one, two))] == [
        "held", "was skipped", "was not run", "did not hold",
    ]  # fmt: skip


def test_the_table_is_run_where_everything_is():
    assert "python -m tests.tried" in (ROOT / ".ci" / "run").read_text(encoding="utf-8")
