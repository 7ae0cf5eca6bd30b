"""Which code a derived table hangs on: its function's module, its model's, and all that these import, however far down.

A changed comma in the sentences of the week derives the week's sheet anew, and no number below it.
"""

import hashlib
import importlib
import re
from collections.abc import Iterable, Mapping
from functools import cache
from pathlib import Path

PACKAGES = ("pipelines.derived", "schemas")  # all that a derived table can depend on


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
    return _digest(behind(start, code) if start <= code.keys() else code, code)


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


def _digest(names: Iterable[str], code: Mapping[str, bytes]) -> str:
    digest = hashlib.blake2b(digest_size=16)
    for name in sorted(names):
        digest.update(f"\n{name} {len(code[name])}\n".encode() + code[name])
    return digest.hexdigest()
