"""A changed comma derives anew what says it and no number below it, a changed formula all that rests on it."""

import ast
import json
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from pipelines.board import code_behind
from pipelines.derived.registry import derivations
from schemas.derived.registry import DERIVED, derived_models
from schemas.records import RECORDS

CODE = code_behind.sources()


def changed_by(name: str, before: str = "", after: str = "") -> set[str]:
    """Return the tables whose code is another one when a module's is: where a text of it is, or a value is added."""
    source = CODE[name].decode()
    assert before in source
    other = {**CODE, name: (source.replace(before, after, 1) if before else f"{source}\n_ADDED = 1\n").encode()}
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


@pytest.mark.parametrize(
    ("name", "before", "after"),
    [
        ("pipelines.derived.sprint.motion", '"""', '"""One word more. '),  # a docstring
        ("pipelines.derived.sprint.motion", "\n\n\n", "\n\n\n# a comment\n\n\n"),
        ("schemas.records.consent", "What was agreed to", "What was agreed, to"),  # what a column holds
        ("schemas.records.steps", "Foot on the ground.", "Foot, on the ground."),
        ("schemas.derived.sprint", "the time to 10 m", "the time, to 10 m"),
        ("schemas.settings", "days a check-in stays good for", "days for which a check-in stays good"),
    ],
)  # fmt: skip
def test_a_comma_in_what_is_said_about_code_or_columns_derives_nothing_anew(name: str, before: str, after: str):
    assert changed_by(name, before, after) == set()


@pytest.mark.parametrize(
    ("name", "before", "after", "table"),
    [
        ("schemas.derived.start", '"the contact", "s"', '"the contact", "ms"', "start_steps"),  # a unit
        ("schemas.derived.sprint", "gt=0", "gt=1", "sprint_profile"),  # a limit
        ("schemas.records.races", "{1,20}", "{1,21}", "race_mark"),  # a pattern
        ("schemas.settings", "checkin_stale_days: int = number(2", "checkin_stale_days: int = number(3", "load_week"),
        ("schemas.vocabulary", '"blocks"', '"block"', "start_trend"),
        ("pipelines.derived.start.signs", "Push cut short", "Push, cut short", "start_pattern"),  # what a row says
    ],
)
def test_what_a_row_holds_or_must_be_counts(name: str, before: str, after: str, table: str):
    assert table in changed_by(name, before, after)


def test_no_pattern_that_a_value_must_match_is_taken_for_a_description():
    columns = [c for model in (*RECORDS.values(), *DERIVED.values()) for c in model.to_schema().columns.values()]
    patterns = [check.statistics["pattern"] for c in columns for check in c.checks if check.name == "str_matches"]
    assert len(patterns) > 5
    for pattern in patterns:
        inner = pattern.removeprefix("^(?:").removesuffix(")$")
        said = f"x: str = column('What it is.', matches={inner!r})"
        other = said.replace(repr(inner), repr(inner + "x"))
        name = "schemas.records.races"
        classes = [f"class A:\n    {one}\n".encode() for one in (said, other)]
        assert code_behind.what_counts(name, classes[0]) != code_behind.what_counts(name, classes[1]), pattern


def test_code_reads_the_same_in_every_process_whatever_order_its_sets_have():
    script = (
        "from pipelines.board import code_behind as c\n"
        "print(c.of_modules(['pipelines.derived.week.sheet'], c.sources()))"
    )
    root = Path(__file__).parents[2]
    told = {
        subprocess.check_output([sys.executable, "-c", script], cwd=root, env={**os.environ, "PYTHONHASHSEED": seed})
        for seed in ("1", "2")
    }
    assert len(told) == 1


# Tables that say nothing in sentences: numbers, codes and keys alone.
NUMBERS = (
    "sprint_noise", "sprint_profile", "sprint_session", "sprint_curve", "gate_best", "sled_profile", "race_mark",
    "start_steps", "start_phase", "start_best_contact", "load_day", "load_week", "speed_exposure", "exposure_calendar",
    "work_week", "spring_state", "checkin_answer", "answer_due", "return_ladder", "group_load", "plan_done",
)  # fmt: skip
SENTENCE = re.compile(r"[a-z]{2,},? [^=<>]*[a-z]{2,}", re.IGNORECASE)


def sentences_of(content: bytes) -> list[str]:
    """Return the sentences that a module's code can say: texts of several words, no docstring and no error."""
    tree = ast.parse(content)
    silent = {id(part) for node in ast.walk(tree) if isinstance(node, ast.Raise) for part in ast.walk(node)}
    for node in ast.walk(tree):
        if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef) and node.body:
            silent |= {id(part) for part in ast.walk(node.body[0]) if isinstance(node.body[0], ast.Expr)}
    texts = [n.value for n in ast.walk(tree) if isinstance(n, ast.Constant) and id(n) not in silent]
    return [text for text in texts if isinstance(text, str) and SENTENCE.search(text)]


@pytest.mark.parametrize("table", NUMBERS)
def test_a_table_of_numbers_hangs_on_no_module_that_says_sentences(table: str):
    names = (derivations()[table].__module__, derived_models()[table].__module__)
    told = {
        name: sentences_of(CODE[name])
        for name in code_behind.behind(names, CODE)
        if name.startswith("pipelines.derived")
    }
    assert {name: said for name, said in told.items() if said} == {}


def test_no_formula_reads_what_is_said_about_a_column():
    # What is said about columns does not count (above): no row may hold it.
    for name, content in CODE.items():
        if name.startswith("pipelines.derived"):
            names = {node.attr for node in ast.walk(ast.parse(content)) if isinstance(node, ast.Attribute)}
            assert not names & {"description", "metadata", "model_fields", "__doc__"}, name


def test_a_function_from_elsewhere_hangs_on_all_code():
    assert code_behind.of_modules(["tests.flow.conftest"], CODE) == code_behind.of_all(CODE)


def test_nothing_that_is_imported_when_a_table_s_code_runs_is_left_out():
    name = "pipelines.derived.week.sheet"
    script = f"import json, sys, importlib; importlib.import_module({name!r}); print(json.dumps(list(sys.modules)))"
    loaded = json.loads(subprocess.check_output([sys.executable, "-c", script], cwd=Path(__file__).parents[2]))
    ours = {one for one in loaded if one in CODE}
    assert len(ours) > 20
    assert ours <= code_behind.behind([name], CODE)
