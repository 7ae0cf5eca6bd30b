"""Which code a derived table hangs on: its function's module, its model's, and all that these import, however far down.

Of that code counts what can change a row: no comment, no docstring, no layout of lines, and not the words that describe
a column. A changed comma in the sentences of the week derives the week's sheet anew, and no number below it.
"""

import hashlib
import importlib
import re
from collections.abc import Iterable, Mapping
from functools import cache
from pathlib import Path
from types import CodeType

PACKAGES = ("pipelines.derived", "schemas")  # all that a derived table can depend on
# Modules that describe columns and settings. Their words are for pages and the dictionary; no row holds one.
DESCRIBING = ("schemas.records.", "schemas.derived.", "schemas.settings")
PATTERN = set("[]\\^$|")  # a text with one of these may be the pattern that a value must match


@cache
def sources() -> Mapping[str, bytes]:
    """Return the code of every module by name; of a process, as it was when first asked for."""
    found = {}
    for package in PACKAGES:
        folder = Path(next(iter(importlib.import_module(package).__path__)))
        for path in sorted(folder.rglob("*.py")):
            name = ".".join([package, *path.relative_to(folder).with_suffix("").parts])
            found[name.removesuffix(".__init__")] = path.read_bytes()
    return found


def of_all(code: Mapping[str, bytes]) -> str:
    """Return a digest of all modules."""
    return _digest(code, code)


def of_modules(names: Iterable[str], code: Mapping[str, bytes]) -> str:
    """Return a digest of some modules and of all that they import; of all there are where one is not among these."""
    start = set(names)
    if not start <= code.keys():
        return of_all(code)
    counting = {name: what_counts(name, code[name]) for name in behind(start, code)}
    return _digest(counting, counting)


def behind(names: Iterable[str], code: Mapping[str, bytes]) -> set[str]:
    """Return some modules and all that they import of these packages, with the packages around each."""
    known = frozenset(code)
    seen: set[str] = set()
    left = set(names) & known
    while left:
        name = left.pop()
        seen.add(name)
        left |= ((_imported(name, code[name], known) | {name.rpartition(".")[0]}) & known) - seen
    return seen


_IMPORTS = re.compile(
    rb"^[ \t]*(?:from[ \t]+([\w.]+)[ \t]+import[ \t]*(\([^)]*\)|[^\n#]*)|import[ \t]+([^\n#]+))", re.MULTILINE
)
_NAME = re.compile(rb"[\w.]+")


@cache
def _imported(name: str, content: bytes, known: frozenset[str]) -> frozenset[str]:
    """Return the modules that a module imports anywhere in it; a name out of a package may be a module of its own.

    Read off the lines: a tree of all code took as long as deriving an athlete. That it finds what the tree holds is
    tested of every module.
    """
    found: set[str] = set()
    for package, names, modules in _IMPORTS.findall(content):
        told = [word.decode() for word in _NAME.findall(names or modules)]
        found |= {f"{package.decode()}.{word}" for word in told} | {package.decode()} if package else {*told}
    return frozenset(found & known)


@cache
def what_counts(name: str, content: bytes) -> bytes:
    """Return what of a module can change a row, as Python compiles it: it is the same wherever the Python is."""
    parts: list[str] = []
    module = compile(content, name, "exec", optimize=2, dont_inherit=True)
    _gather(module, parts, module if name.startswith(DESCRIBING) else None)
    return "\n".join(parts).encode()


def _gather(code: CodeType, parts: list[str], describing: CodeType | None) -> None:
    """Gather what a piece of compiled code does: its steps, names and values, and those of the code within it.

    Within a module that describes columns, descriptions are left out; a text that the module itself holds by name may
    be what a row says, and counts.
    """
    arguments = code.co_varnames[: code.co_argcount + code.co_kwonlyargcount]
    parts.append(f"{code.co_name} {arguments} {code.co_names} {code.co_code.hex()} {code.co_exceptiontable.hex()}")
    for value in code.co_consts:
        if isinstance(value, CodeType):
            _gather(value, parts, describing)
        elif describing is None or code is describing or not (isinstance(value, str) and _is_description(value)):
            parts.append(_written(value))


def _is_description(text: str) -> bool:
    return (" " in text or text.endswith(".")) and not PATTERN & set(text)


def _written(value: object) -> str:
    """Write a value so that it reads the same in every process: a set has no order of its own."""
    if isinstance(value, frozenset):
        return f"set {sorted(map(_written, value))}"
    return f"({', '.join(map(_written, value))})" if isinstance(value, tuple) else f"{type(value).__name__} {value!r}"


def _digest(names: Iterable[str], code: Mapping[str, bytes]) -> str:
    digest = hashlib.blake2b(digest_size=16)
    for name in sorted(names):
        digest.update(f"\n{name} {len(code[name])}\n".encode() + code[name])
    return digest.hexdigest()
