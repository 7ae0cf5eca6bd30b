"""Small faults put into a module, one at a time, to see whether its tests notice: comparisons, numbers, words, signs.

A mutant's module is put in place of the real one in a process of its own, so no file is changed. Forked from a process
that has the large libraries in memory: POSIX only, like every bench that kills. Which tests are run, and in which
order, ``reach.py`` says; the first that fails ends it.
"""

import ast
import contextlib
import functools
import gc
import importlib
import importlib.abc
import importlib.util
import os
import resource
import signal
import sys
import tempfile
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from importlib.machinery import ModuleSpec
from pathlib import Path
from types import ModuleType

import pytest
from hypothesis.configuration import set_hypothesis_home_dir

from tests.examples import register_profiles

ROOT = Path(__file__).parents[2]
COMPARED: dict[type, type] = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq,
    ast.In: ast.NotIn, ast.NotIn: ast.In, ast.Is: ast.IsNot, ast.IsNot: ast.Is,
}  # fmt: skip
RECKONED: dict[type, type] = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult, ast.BitAnd: ast.BitOr,
    ast.BitOr: ast.BitAnd, ast.FloorDiv: ast.Mult, ast.Mod: ast.Mult,
}  # fmt: skip
OURS = ("schemas", "pipelines", "dashboard", "tests")
STANDS_FOR = "mutated"  # in place of a word
# What these rooms' tests share stands in files of their own; conftest.py would import the whole program.
QUIETLY = ("-x", "-q", "--tb=no", "--noconftest", "-p", "no:cacheprovider", "-p", "no:unraisableexception",
           "-p", "no:threadexception", "-m", "not long")  # fmt: skip
NO_TEST = 5  # how pytest ends where it found none
ALL_PASSED = "all passed"
LONGEST_WAIT_S = 1800  # s by the clock, on a machine busy with other work
CODE_WORDS = 40  # characters: a longer text is a sentence for people, and a comma in it no fault of the rule


@dataclass(frozen=True)
class Fault:
    """One fault that a module can have: which of them, where it is, and what becomes of what."""

    module: str
    number: int
    line: int
    what: str
    where: str  # the line of code, by which it is known again when lines move
    nth: int  # how many like it stand before it in the module

    @property
    def name(self) -> str:
        """What it is known by."""
        return f"{self.module} | {self.where} | {self.what}" + (f" | {self.nth + 1}" if self.nth else "")


def source_of(module: str) -> str:
    """Return the source of a module of ours."""
    return path_of(module).read_text(encoding="utf-8")


def path_of(module: str) -> Path:
    """Return where a module of ours lies."""
    plain = ROOT / (module.replace(".", "/") + ".py")
    return plain if plain.exists() else ROOT / module.replace(".", "/") / "__init__.py"


def modules_of(room: str) -> list[str]:
    """Return the modules of a room, or the one that is named."""
    folder = ROOT / room.replace(".", "/")
    if not folder.is_dir():
        return [room]
    found = (path.relative_to(ROOT).with_suffix("") for path in sorted(folder.rglob("*.py")))
    return [".".join(path.parts).removesuffix(".__init__") for path in found]


def faults_of(module: str) -> list[Fault]:
    """Return every fault that a module can have, in the order of its tree."""
    source = source_of(module)
    lines = source.splitlines()
    before: Counter[tuple[str, str]] = Counter()
    found = []
    for number, (node, what, _) in enumerate(_places(ast.parse(source))):
        where = " ".join(lines[node.lineno - 1].split())
        found.append(Fault(module, number, node.lineno, what, where, before[where, what]))
        before[where, what] += 1
    return found


def put_in(fault: Fault) -> str:
    """Return the source of the fault's module with it."""
    tree = ast.parse(source_of(fault.module))
    node, _, change = _places(tree)[fault.number]
    change(node)
    return ast.unparse(ast.fix_missing_locations(tree))


def _places(tree: ast.Module) -> list[tuple]:
    docs = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
    typed = {id(part) for node in ast.walk(tree) for part in _annotations(node)}
    handed_on = {id(part) for node in tree.body if _is_all(node) for part in ast.walk(node)}
    out_of_reach = docs | typed | handed_on
    return [
        (node, what, change)
        for node in list(ast.walk(tree))
        if id(node) not in out_of_reach and hasattr(node, "lineno")
        for what, change in _faults(node)
    ]


def _is_all(node: ast.stmt) -> bool:
    """Return whether a statement is ``__all__``: the type checker reads it, and nothing here imports everything."""
    return isinstance(node, ast.Assign) and any(getattr(one, "id", "") == "__all__" for one in node.targets)


def _annotations(node: ast.AST) -> Iterator[ast.AST]:
    """Yield what says a type: nothing runs it. The words of a literal are read by the type checker alone."""
    said = [getattr(node, "annotation", None), getattr(node, "returns", None)]
    if isinstance(node, ast.Subscript) and getattr(node.value, "id", "") == "Literal":
        said.append(node.slice)
    for one in said:
        if one is not None:
            yield from ast.walk(one)


def _faults(node: ast.AST) -> Iterator[tuple]:
    """Yield each fault that a node can have, with the change that makes it."""
    if isinstance(node, ast.Compare):
        for place, op in enumerate(node.ops):
            if type(op) in COMPARED:
                other = COMPARED[type(op)]
                yield f"{type(op).__name__} to {other.__name__}", lambda n, i=place, o=other: n.ops.__setitem__(i, o())
    elif isinstance(node, (ast.BinOp, ast.AugAssign)) and type(node.op) in RECKONED and not _is_text(node):
        other = RECKONED[type(node.op)]
        yield f"{type(node.op).__name__} to {other.__name__}", lambda n, o=other: setattr(n, "op", o())
    elif isinstance(node, ast.BoolOp):
        other = ast.Or if isinstance(node.op, ast.And) else ast.And
        yield f"{type(node.op).__name__} to {other.__name__}", lambda n, o=other: setattr(n, "op", o())
    elif isinstance(node, ast.UnaryOp) and isinstance(node.op, (ast.Not, ast.Invert)):
        yield "a 'not' is gone", lambda n: _become(n, n.operand)
    elif isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.USub):
        yield "a minus is gone", lambda n: _become(n, n.operand)
    elif isinstance(node, ast.IfExp):
        yield "if and else change places", _swap
    elif isinstance(node, ast.Constant):
        yield from _of_constant(node)
    elif isinstance(node, (ast.Tuple, ast.Set, ast.List)) and not isinstance(getattr(node, "ctx", None), ast.Store):
        for place in range(len(node.elts)) if len(node.elts) > 1 else ():
            yield f"'{ast.unparse(node.elts[place])[:40]}' is left out", lambda n, i=place: n.elts.pop(i)


def _of_constant(node: ast.Constant) -> Iterator[tuple]:
    if isinstance(node.value, bool):
        yield f"{node.value} to {not node.value}", lambda n: setattr(n, "value", not n.value)
    elif isinstance(node.value, (int, float)):
        yield f"{node.value} to {node.value + 1}", lambda n: setattr(n, "value", n.value + 1)
    elif isinstance(node.value, str) and node.value and len(node.value) <= CODE_WORDS:
        yield f"'{node.value}' to another word", lambda n: setattr(n, "value", n.value + STANDS_FOR)


def _is_text(node: ast.BinOp | ast.AugAssign) -> bool:
    """Return whether an operation joins texts, so far as its own line says."""
    parts = [node.left, node.right] if isinstance(node, ast.BinOp) else [node.value]
    return any(isinstance(p, (ast.JoinedStr, ast.List)) or isinstance(getattr(p, "value", None), str) for p in parts)


def _become(node: ast.AST, other: ast.AST) -> None:
    node.__class__ = other.__class__
    node.__dict__ = other.__dict__


def _swap(node: ast.IfExp) -> None:
    node.body, node.orelse = node.orelse, node.body


class _InPlace(importlib.abc.MetaPathFinder, importlib.abc.InspectLoader):
    """Gives a module another source."""

    def __init__(self, name: str, source: str) -> None:
        self.name, self.source = name, source

    def find_spec(self, name: str, path: Sequence[str] | None, target: ModuleType | None = None) -> ModuleSpec | None:
        """Return where the module comes from; null for every other module."""
        if name != self.name:
            return None
        file = path_of(name)
        within = [str(file.parent)] if file.name == "__init__.py" else None
        return importlib.util.spec_from_file_location(name, file, loader=self, submodule_search_locations=within)

    def get_source(self, fullname: str) -> str:
        """Return the source with its fault."""
        return self.source

    def get_filename(self, fullname: str) -> str:
        """Return the module's file: what lies beside it is found there."""
        return str(path_of(fullname))


def load_tests(tests: Sequence[str]) -> None:
    """Load what some tests need, once, before mutants are tried: a mutant then loads only what rests on its module.

    Tests and their helpers are not loaded: some reckon frames at once, and the threads that do so outlive no fork.
    """
    waiting, done = [ROOT / path for path in tests], set[Path]()
    while waiting:
        path = waiting.pop()
        done.add(path)
        for name in imported_by(path):
            if name.startswith("tests."):
                if path_of(name) not in done and path_of(name).is_file():
                    waiting.append(path_of(name))
                continue
            with contextlib.suppress(ImportError):
                importlib.import_module(name)
    registry = importlib.import_module("schemas.derived.registry")
    for model in {**registry.derived_models(), **importlib.import_module("schemas.records").RECORDS}.values():
        model.to_schema()  # made once, not in every child
    for one in [*sys.modules.values()]:  # so are the imports
        if one.__name__.split(".")[0] in OURS and getattr(one, "__file__", None):
            imported_by(Path(str(one.__file__)))


def forget(module: str) -> None:
    """Forget a module and every one of ours that rests on it, so that they are loaded again."""
    ours = {name: getattr(one, "__file__", None) for name, one in sys.modules.items() if name.split(".")[0] in OURS}
    needs = {name: imported_by(Path(file)) for name, file in ours.items() if file}
    gone = {module}
    while more := {name for name, needed in needs.items() if name not in gone and needed & gone}:
        gone |= more
    for name in gone:
        sys.modules.pop(name, None)
        above, _, own = name.rpartition(".")
        if above in sys.modules and hasattr(sys.modules[above], own):
            delattr(sys.modules[above], own)


@functools.cache
def imported_by(file: Path) -> frozenset[str]:
    """Return the names a file imports; a name out of a package may be a module, and counts as one."""
    found: set[str] = set()
    for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            found |= {node.module} | {f"{node.module}.{alias.name}" for alias in node.names}
    return frozenset(found)


class Chosen:
    """Runs the tests that are named, in their order, and holds which of them failed first."""

    def __init__(self, names: Sequence[str]) -> None:
        self.place = {name: place for place, name in enumerate(names)}
        self.noticed_by = ""

    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        """Leave the named alone."""
        named = [one for one in items if one.nodeid in self.place]
        items[:] = sorted(named, key=lambda one: self.place[one.nodeid])

    def pytest_collectreport(self, report: pytest.CollectReport) -> None:
        """A file that cannot be loaded any more notices too."""
        if report.failed:
            self.noticed_by = self.noticed_by or report.nodeid

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        """Hold the first that failed."""
        if report.failed:
            self.noticed_by = self.noticed_by or report.nodeid


def ends(fault: Fault | None, module: str, waves: Sequence[Sequence[str]], most_s: int) -> tuple[str, str]:
    """Return how tests end with a fault in their module, or with none, and which noticed: passed, failed, or no end.

    They run in a process of its own, wave after wave, within so many seconds of processor.
    """
    reads, writes = os.pipe()
    gc.freeze()
    child = os.fork()
    if not child:
        try:
            be_quiet()
            resource.setrlimit(resource.RLIMIT_CPU, (most_s, most_s))
            signal.alarm(LONGEST_WAIT_S)
            forget(module)
            if fault is not None:
                sys.meta_path.insert(0, _InPlace(module, put_in(fault)))
            os.write(writes, _noticed_by(waves).encode())
        finally:
            os._exit(0)
    os.close(writes)
    with os.fdopen(reads, encoding="utf-8") as told:
        said = told.read()
    _, status = os.waitpid(child, 0)
    if os.WIFSIGNALED(status):
        assert os.WTERMSIG(status) != signal.SIGALRM, f"the tests wait for something that does not come: {fault}"
        return "no end", ""
    return ("passed", "") if said == ALL_PASSED else ("failed", said)


def _noticed_by(waves: Sequence[Sequence[str]]) -> str:
    for names in waves:
        chosen = Chosen(names)
        files = dict.fromkeys(name.partition("::")[0] for name in names)
        code = int(pytest.main([*QUIETLY, *files], plugins=[chosen]))
        if code not in (0, NO_TEST):
            return chosen.noticed_by or "pytest itself"
    return ALL_PASSED


def be_quiet() -> None:
    """Make a child ready to run tests: silent, with the plugins of this project alone."""
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    os.dup2(nowhere, 2)
    os.environ["PYTEST_DISABLE_PLUGIN_AUTOLOAD"] = "1"
    set_hypothesis_home_dir(Path(tempfile.gettempdir()) / "thirdstep-mutated")  # its examples are nobody else's
    register_profiles()
