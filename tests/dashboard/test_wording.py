"""The words of the interface: one name says one thing."""

import ast
from collections.abc import Iterator
from pathlib import Path

from dashboard import wording


def names_given(module: ast.Module) -> Iterator[str]:
    """Yield what a module names at its top: words in capitals, and functions that write sentences."""
    for step in module.body:
        if isinstance(step, ast.Assign):
            yield from (part.id for target in step.targets for part in ast.walk(target) if isinstance(part, ast.Name))
        elif isinstance(step, ast.AnnAssign) and isinstance(step.target, ast.Name):
            yield step.target.id
        elif isinstance(step, ast.FunctionDef):
            yield step.name


def test_no_name_is_given_to_two_words():
    # Pages read `wording.NAME`; of two modules with one name the later would speak for both.
    homes: dict[str, list[str]] = {}
    for path in sorted(Path(wording.__file__).parent.glob("*.py")):
        for name in names_given(ast.parse(path.read_text(encoding="utf-8"))):
            if not name.startswith("_") and name != "Row":
                homes.setdefault(name, []).append(path.stem)
    assert len(homes) > 200
    assert {name: found for name, found in homes.items() if len(found) > 1} == {}
