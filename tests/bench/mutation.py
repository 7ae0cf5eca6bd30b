"""Small faults put into a module, one at a time, to see whether its tests notice: comparisons, numbers, words, signs.

A mutant's module is put in place of the real one in a process of its own, so no file is changed. Forked from a process
that has the large libraries in memory: POSIX only, like every bench that kills.
"""

import ast
import contextlib
import copy
import importlib
import importlib.abc
import importlib.util
import os
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from importlib.machinery import ModuleSpec
from pathlib import Path
from types import ModuleType

import pytest

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
CODE_WORDS = 40  # characters: a longer text is a sentence for people, and a comma in it no fault of the rule


@dataclass(frozen=True)
class Mutant:
    """One fault: where it is, and the source with it."""

    line: int
    fault: str
    source: str


def mutants_of(source: str) -> Iterator[Mutant]:
    """Yield every mutant of a module's source, in the order of its lines."""
    tree = ast.parse(source)
    docs = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
    places = [
        (number, fault, change)
        for number, node in enumerate(ast.walk(tree))
        if id(node) not in docs
        for fault, change in _faults(node)
    ]
    for number, fault, change in places:
        changed = copy.deepcopy(tree)
        node = next(node for place, node in enumerate(ast.walk(changed)) if place == number)
        change(node)
        text = ast.unparse(ast.fix_missing_locations(changed))
        if text != ast.unparse(tree):
            yield Mutant(getattr(node, "lineno", 0), fault, text)


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
        file = ROOT / (name.replace(".", "/") + ".py")
        return importlib.util.spec_from_file_location(name, file, loader=self)

    def get_source(self, fullname: str) -> str:
        """Return the source with its fault."""
        return self.source

    def get_filename(self, fullname: str) -> str:
        """Return the module's file: what lies beside it is found there."""
        return str(ROOT / (fullname.replace(".", "/") + ".py"))


def load_tests(tests: Sequence[str]) -> None:
    """Load what some tests need, once, before mutants are tried: a mutant then loads only what rests on its module."""
    for path in tests:
        for file in [ROOT / path] if path.endswith(".py") else sorted((ROOT / path).rglob("test_*.py")):
            for name in _imports_of(file.read_text(encoding="utf-8")):
                with contextlib.suppress(ImportError):
                    importlib.import_module(name)


def forget(module: str) -> None:
    """Forget a module and every one of ours that rests on it, so that they are loaded again."""
    ours = {name: getattr(one, "__file__", None) for name, one in sys.modules.items() if name.split(".")[0] in OURS}
    needs = {name: _imports_of(Path(file).read_text(encoding="utf-8")) for name, file in ours.items() if file}
    gone = {module}
    while more := {name for name, needed in needs.items() if name not in gone and needed & gone}:
        gone |= more
    for name in gone:
        sys.modules.pop(name, None)
        above, _, own = name.rpartition(".")
        if above in sys.modules and hasattr(sys.modules[above], own):
            delattr(sys.modules[above], own)


def _imports_of(source: str) -> set[str]:
    """Return the names a source imports; a name out of a package may be a module, and counts as one."""
    found: set[str] = set()
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            found |= {node.module} | {f"{node.module}.{alias.name}" for alias in node.names}
    return found


def is_killed(module: str, mutant: Mutant, tests: Sequence[str], most_s: int = 120) -> bool:
    """Return whether the tests fail with the mutant, in a process of its own; one that never ends is killed too."""
    child = os.fork()
    if not child:
        code = 1
        try:
            quiet = os.open(os.devnull, os.O_WRONLY)
            os.dup2(quiet, 1)
            os.dup2(quiet, 2)
            import signal

            signal.alarm(most_s)
            forget(module)
            sys.meta_path.insert(0, _InPlace(module, mutant.source))
            code = int(pytest.main(["-x", "-q", "-p", "no:cacheprovider", "-p", "no:xdist", *tests]))
        finally:
            os._exit(code)
    _, status = os.waitpid(child, 0)
    return status != 0
