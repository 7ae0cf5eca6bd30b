"""Which functions of ours each test calls and what it costs: so a fault is tried by those tests alone that can meet it.

Each test file is run once with every call noted, in a process of its own, and again when it or its helpers change.
A test counts by what it called itself; the others of its file come after, as they may share a fixture. What stands
outside of functions (tables of words, limits) is met by whoever calls a function that names it, other modules included.
"""

import ast
import functools
import hashlib
import json
import os
import sys
import threading
import time
from collections.abc import Generator, Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from types import CodeType, FrameType
from typing import Any

import pytest

from tests.bench.mutation import OURS, QUIETLY, ROOT, be_quiet, imported_by, modules_of, path_of, source_of

LONGEST_S = 20.0  # s of processor that the tests of one fault may take; the dearest are left out
FIRST = 8  # tests tried first, before the files of all the others are loaded


@dataclass(frozen=True)
class Case:
    """One test as pytest names it, its processor time (s, with calls noted: somewhat more than bare) and its calls."""

    name: str
    cost_s: float
    calls: frozenset[str]  # as module:function

    @property
    def file(self) -> str:
        """The file it stands in."""
        return self.name.partition("::")[0]


class Recorder:
    """Notes, test by test, which functions of ours are called."""

    def __init__(self) -> None:
        self.told: dict[str, dict[str, Any]] = {}

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Generator[None, object, object]:
        """Run one test with its calls noted."""
        seen: dict[int, CodeType] = {}

        def note(frame: FrameType, event: str, arg: object) -> None:
            seen[id(frame.f_code)] = frame.f_code

        began = time.process_time()
        threading.settrace(note)
        sys.settrace(note)
        try:
            return (yield)
        finally:
            sys.settrace(None)
            threading.settrace(None)  # type: ignore[arg-type]
            calls = sorted({named for code in seen.values() if (named := _named(code))})
            self.told[item.nodeid] = {"cost_s": round(time.process_time() - began, 3), "calls": calls}

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        """Leave out a test that fails without a fault: it would notice nothing."""
        if report.failed:
            self.told[report.nodeid] = {"failed": True}

    def passed(self) -> dict[str, dict[str, Any]]:
        """Return what was noted of the tests that passed."""
        return {name: told for name, told in self.told.items() if "failed" not in told}


@functools.cache
def _module_at(file: str) -> str | None:
    path = Path(file)
    if not path.is_relative_to(ROOT) or path.relative_to(ROOT).parts[0] not in OURS:
        return None
    return ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__")


def _named(code: CodeType) -> str | None:
    module = _module_at(code.co_filename)
    function = code.co_qualname.partition(".<locals>")[0]
    return f"{module}:{function}" if module and not function.startswith("<") else None


def record(tests: Iterable[str], kept: Path) -> list[Case]:
    """Return what each test calls, running the files of which that is not known yet."""
    known = json.loads(kept.read_text(encoding="utf-8")) if kept.exists() else {}
    for file in tests:
        key = state_of([file])
        if known.get(file, {}).get("key") == key:
            continue
        known[file] = {"key": key, "cases": _recorded(file)}
        kept.write_text(json.dumps(known), encoding="utf-8")
    return [
        Case(name, told["cost_s"], frozenset(told["calls"]))
        for file in tests
        for name, told in known[file]["cases"].items()
    ]


def _recorded(file: str) -> dict[str, Any]:
    reads, writes = os.pipe()
    child = os.fork()
    if not child:
        try:
            be_quiet()
            recorder = Recorder()
            pytest.main([*(one for one in QUIETLY if one != "-x"), file], plugins=[recorder])
            with os.fdopen(writes, "w", encoding="utf-8") as out:
                json.dump(recorder.passed(), out)
        finally:
            os._exit(0)
    os.close(writes)
    with os.fdopen(reads, encoding="utf-8") as told:
        text = told.read()
    os.waitpid(child, 0)
    return json.loads(text or "{}")


@functools.cache
def _bytes_of(path: Path) -> bytes:
    return path.read_bytes()


def state_of(tests: Sequence[str]) -> str:
    """Return a mark of test files and the helpers they import, as they are now."""
    told = hashlib.sha256()
    for file in tests:
        helpers = sorted(path_of(name) for name in imported_by(ROOT / file) if name.startswith("tests."))
        for path in (ROOT / file, *helpers):
            if path.is_file():
                told.update(_bytes_of(path))
    return told.hexdigest()[:16]


def chosen(module: str, line: int, cases: Sequence[Case]) -> list[Case]:
    """Return the tests that may meet a fault of a line, the small and cheap first, within what one fault may cost."""
    functions = meeting(module, line)
    direct = [one for one in cases if one.calls & functions]
    if not direct:
        near = tuple(f"{name}:" for name in (module, *importers().get(module, ())))
        direct = [one for one in cases if any(call.startswith(near) for call in one.calls)]
    files, names = {one.file for one in direct}, {one.name for one in direct}
    beside = [one for one in cases if one.file in files and one.name not in names]
    ordered = [*sorted(direct, key=_dearness), *sorted(beside, key=_dearness)]
    taken, spent_s = [], 0.0
    for one in ordered:
        if spent_s + one.cost_s <= LONGEST_S:
            taken.append(one)
            spent_s += one.cost_s
    return taken


def _dearness(case: Case) -> float:
    return (case.cost_s + 0.005) * (len(case.calls) + 10)


def meeting(module: str, line: int) -> frozenset[str]:
    """Return the functions that run a line, or that name what it makes where it stands outside of functions."""
    for statement in _tree(module).body:
        first = min([statement.lineno, *(one.lineno for one in getattr(statement, "decorator_list", []))])
        if not first <= line <= (statement.end_lineno or first):
            continue
        if isinstance(statement, ast.ClassDef):
            for one in statement.body:
                if isinstance(one, ast.FunctionDef) and one.body[0].lineno <= line <= (one.end_lineno or 0):
                    return frozenset({f"{module}:{statement.name}.{one.name}"})
        elif isinstance(statement, ast.FunctionDef) and line >= statement.body[0].lineno:
            return frozenset({f"{module}:{statement.name}"})
        return naming(module, frozenset(_made_by(statement)))
    return frozenset()


@functools.cache
def naming(module: str, names: frozenset[str]) -> frozenset[str]:
    """Return the functions, of a module and of those that import it, that name something of it or made from it."""
    found: set[str] = set()
    waiting, done = [(module, names)], set[tuple[str, str]]()
    while waiting:
        where, asked = waiting.pop()
        asked = frozenset(name for name in asked if (where, name) not in done)
        if not asked:
            continue
        done |= {(where, name) for name in asked}
        made: set[str] = set()
        for statement in _tree(where).body:
            if isinstance(statement, ast.ClassDef):
                parts = [one for one in statement.body if isinstance(one, ast.FunctionDef)]
                own = statement.name in asked
                found |= {f"{where}:{statement.name}.{one.name}" for one in parts if own or _mentions(one) & asked}
                if _mentions(statement) & asked:
                    made.add(statement.name)
            elif isinstance(statement, ast.FunctionDef):
                if statement.name in asked or _mentions(statement) & asked:
                    found.add(f"{where}:{statement.name}")
            elif _mentions(statement) & asked:
                made |= set(_made_by(statement))
        waiting.append((where, frozenset(made)))
        waiting += [(one, asked) for one in importers().get(where, ())]
    return frozenset(found)


def _made_by(statement: ast.stmt) -> list[str]:
    if isinstance(statement, (ast.ClassDef, ast.FunctionDef)):
        return [statement.name]
    return [one.id for one in ast.walk(statement) if isinstance(one, ast.Name) and isinstance(one.ctx, ast.Store)]


@functools.cache
def _mentions(node: ast.AST) -> frozenset[str]:
    return frozenset(
        one.id if isinstance(one, ast.Name) else one.attr
        for one in ast.walk(node)
        if isinstance(one, (ast.Name, ast.Attribute))
    )


@functools.cache
def _tree(module: str) -> ast.Module:
    return ast.parse(source_of(module))


@functools.cache
def importers() -> dict[str, tuple[str, ...]]:
    """Return, for each module of ours, those that import it themselves."""
    found: dict[str, list[str]] = {}
    for module in (one for room in OURS for one in modules_of(room)):
        for name in imported_by(path_of(module)):
            found.setdefault(name, []).append(module)
    return {name: tuple(modules) for name, modules in found.items()}
