"""A changed comma derives anew what says it and no number below it, a changed formula all that rests on it."""

import ast
import json
import subprocess
import sys
from pathlib import Path

import pytest

from pipelines.board import code_behind
from pipelines.derived.registry import derivations
from schemas.derived.registry import derived_models

CODE = code_behind.sources()


def changed_by(name: str) -> set[str]:
    """Return the tables whose code is another one when a module's is."""
    other = {**CODE, name: CODE[name] + b"\n# ,"}
    modules = {table: (f.__module__, derived_models()[table].__module__) for table, f in derivations().items()}
    return {
        table
        for table, names in modules.items()
        if code_behind.of_modules(names, CODE) != code_behind.of_modules(names, other)
    }


def test_every_import_that_stands_in_the_code_is_followed():
    known = frozenset(CODE)
    for name, content in CODE.items():
        found: set[str] = set()
        for node in ast.walk(ast.parse(content, name)):
            if isinstance(node, ast.Import):
                found |= {alias.name for alias in node.names}
            elif isinstance(node, ast.ImportFrom) and node.module:
                found |= {node.module, *(f"{node.module}.{alias.name}" for alias in node.names)}
        assert code_behind._imported(name, content, known) == found & known, name


@pytest.mark.parametrize(
    ("words", "tables"),
    [
        ("pipelines.derived.start.focus_words", {"start_focus"}),
        ("pipelines.derived.start.progress_words", {"start_progress", "start_trial_result"}),
    ],
)
def test_a_comma_in_words_changes_only_the_tables_that_say_them(words, tables):
    assert tables <= changed_by(words)
    assert not changed_by(words) & {"sprint_profile", "start_steps", "start_trend", "load_day", "strength_state"}


def test_a_comma_in_the_words_of_the_week_changes_no_table_of_numbers():
    changed = changed_by("pipelines.derived.week.squad_words")
    assert {"week_sheet", "squad_week"} <= changed
    assert not {one for one in changed if one.startswith(("sprint", "start", "load", "hamstring", "readiness"))}


def test_a_formula_changes_every_table_whose_function_uses_it():
    assert {"sprint_profile", "sprint_curve"} <= changed_by("pipelines.derived.sprint.motion")
    assert changed_by("schemas.base") == set(derivations())


def test_a_function_from_elsewhere_hangs_on_all_code():
    assert code_behind.of_modules(["tests.flow.conftest"], CODE) == code_behind.of_all(CODE)


def test_nothing_that_is_imported_when_a_table_s_code_runs_is_left_out():
    name = "pipelines.derived.week.sheet"
    script = f"import json, sys, importlib; importlib.import_module({name!r}); print(json.dumps(list(sys.modules)))"
    loaded = json.loads(subprocess.check_output([sys.executable, "-c", script], cwd=Path(__file__).parents[2]))
    ours = {one for one in loaded if one in CODE}
    assert len(ours) > 20
    assert ours <= code_behind.behind([name], CODE)
