"""Which lines of ours each test runs and what it costs: so a fault is tried by those tests alone that can meet it.

Each test file is run once with every line noted, in a process of its own, and again when it or its helpers change.
What runs when the file is loaded or in a fixture that several tests share counts for all of them. What stands outside
of functions (tables of words, limits) is met by whoever calls a function that names it, other modules included.
"""

import ast
import contextlib
import functools
import hashlib
import json
import os
import sys
import threading
import time
from collections.abc import Callable, Generator, Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from types import CodeType, FrameType
from typing import Any

import pytest

from tests.bench.mutation import OURS, QUIETLY, ROOT, be_quiet, imported_by, modules_of, path_of, source_of

LONGEST_S = 12.0  # s of processor that the tests of one fault may take; the dearest are left out
FIRST = 8  # tests tried first, before the files of all the others are loaded


@dataclass(frozen=True)
class Case:
    """One test as pytest names it, its processor time (s, with lines noted: more than bare) and what it ran."""

    name: str
    cost_s: float
    calls: frozenset[str]  # as module:function
    lines: dict[str, frozenset[int]]  # module -> lines; of modules that are as they were when it was noted

    @property
    def file(self) -> str:
        """The file it stands in."""
        return self.name.partition("::")[0]


Ran = dict[int, tuple[CodeType, set[int]]]  # code by its identity, and the lines of it that were run


class Recorder:
    """Notes, test by test, which lines of ours are run."""

    def __init__(self) -> None:
        self.ran: Ran | None = None  # where to note; null: nothing is noted
        self.shared: Ran = {}  # of all tests of the file
        self.cases: dict[str, tuple[float, Ran]] = {}
        self.failed: set[str] = set()

    def _note(self, frame: FrameType, event: str, arg: object) -> Callable[..., Any] | None:
        if self.ran is None:
            return None
        code = frame.f_code
        known = self.ran.get(id(code))
        if known is None:
            known = self.ran[id(code)] = (code, set())
        if _module_at(code.co_filename) is None:
            return None
        add = known[1].add

        def note_line(frame: FrameType, event: str, arg: object) -> Callable[..., Any]:
            add(frame.f_lineno)
            return note_line

        return note_line

    @contextlib.contextmanager
    def _noting(self, ran: Ran) -> Iterator[None]:
        before, self.ran = self.ran, ran
        threading.settrace(self._note)
        sys.settrace(self._note)
        try:
            yield
        finally:
            self.ran = before
            if before is None:
                sys.settrace(None)
                threading.settrace(None)  # type: ignore[arg-type]

    @pytest.hookimpl(wrapper=True)
    def pytest_make_collect_report(self, collector: pytest.Collector) -> Generator[None, object, object]:
        """Load a file with what it runs at once noted for all of its tests."""
        with self._noting(self.shared):
            return (yield)

    @pytest.hookimpl(wrapper=True)
    def pytest_fixture_setup(self, fixturedef: Any) -> Generator[None, object, object]:
        """Make a fixture; one that several tests share is noted for all of them."""
        if fixturedef.scope == "function":
            return (yield)
        with self._noting(self.shared):
            return (yield)

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Generator[None, object, object]:
        """Run one test with its lines noted."""
        ran: Ran = {}
        began = time.process_time()
        with self._noting(ran):
            result = yield
        self.cases[item.nodeid] = (round(time.process_time() - began, 3), ran)
        return result

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        """Leave out a test that fails without a fault: it would notice nothing."""
        if report.failed:
            self.failed.add(report.nodeid)

    def told(self) -> dict[str, Any]:
        """Return what was noted of the tests that passed."""
        passed = {name: case for name, case in self.cases.items() if name not in self.failed}
        return {
            name: {"cost_s": cost_s, "calls": _calls(ran, self.shared), "lines": _lines(ran, self.shared)}
            for name, (cost_s, ran) in passed.items()
        }


def _calls(*several: Ran) -> list[str]:
    return sorted({named for ran in several for code, _ in ran.values() if (named := _named(code))})


def _lines(*several: Ran) -> dict[str, list[int]]:
    found: dict[str, set[int]] = {}
    for ran in several:
        for code, lines in ran.values():
            module = _module_at(code.co_filename)
            if module is not None and not module.startswith("tests.") and code.co_name != "<module>":
                found.setdefault(module, set()).update(lines)
    return {module: sorted(lines) for module, lines in found.items()}


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
        cases = _recorded(file)
        modules = {module for told in cases.values() for module in told["lines"]}
        known[file] = {"key": key, "cases": cases, "states": {one: module_state(one) for one in sorted(modules)}}
        aside = kept.with_suffix(f".{os.getpid()}")
        aside.write_text(json.dumps(known), encoding="utf-8")
        aside.replace(kept)
    return [
        Case(
            name,
            told["cost_s"],
            frozenset(told["calls"]),
            {
                module: frozenset(lines)
                for module, lines in told["lines"].items()
                if known[file]["states"][module] == module_state(module)
            },
        )
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
                json.dump(recorder.told(), out)
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


@functools.cache
def module_state(module: str) -> str:
    """Return a mark of a module as it is now; of one that is gone none."""
    return hashlib.sha256(_bytes_of(path_of(module))).hexdigest()[:16] if path_of(module).is_file() else ""


def chosen(module: str, line: int, cases: Sequence[Case]) -> list[Case]:
    """Return the tests that may meet a fault of a line, the small and cheap first, within what one fault may cost."""
    lines, within, functions = meeting(module, line)
    met = [
        one
        for one in cases
        if (one.lines[module] & lines if module in one.lines else within in one.calls) or one.calls & functions
    ]
    taken, spent_s = [], 0.0
    for one in sorted(met, key=_dearness):
        if spent_s + one.cost_s <= LONGEST_S:
            taken.append(one)
            spent_s += one.cost_s
    return taken


def _dearness(case: Case) -> float:
    return (case.cost_s + 0.005) * (len(case.calls) + 10)


def meeting(module: str, line: int) -> tuple[frozenset[int], str, frozenset[str]]:
    """Return the lines of the statement a line is part of and its function; outside, those that name what it makes."""
    for statement in _tree(module).body:
        first = min([statement.lineno, *(one.lineno for one in getattr(statement, "decorator_list", []))])
        if not first <= line <= (statement.end_lineno or first):
            continue
        is_class = isinstance(statement, ast.ClassDef)
        for one in statement.body if is_class else [statement]:
            if isinstance(one, ast.FunctionDef) and one.body[0].lineno <= line <= (one.end_lineno or 0):
                name = f"{statement.name}.{one.name}" if is_class else one.name
                return _statement_at(one.body, line), f"{module}:{name}", frozenset()
        return frozenset(), "", naming(module, frozenset(_made_by(statement)))
    return frozenset(), "", frozenset()


def _statement_at(body: Sequence[ast.stmt], line: int) -> frozenset[int]:
    """Return the lines of the innermost statement at a line; of one that holds others, those of its head."""
    for one in body:
        if not one.lineno <= line <= (one.end_lineno or one.lineno):
            continue
        inner = [part for part in ast.walk(one) if isinstance(part, ast.stmt) and part is not one]
        for part in inner:
            if part.lineno <= line <= (part.end_lineno or part.lineno):
                return _statement_at(inner, line)
        last = min([part.lineno - 1 for part in inner], default=one.end_lineno or one.lineno)
        return frozenset(range(one.lineno, max(last, one.lineno) + 1))
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
