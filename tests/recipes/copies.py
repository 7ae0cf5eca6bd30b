"""A copy of the code to follow a recipe of DEVELOPERS.md on, and the files that the recipe names."""

import os
import re
import shutil
import subprocess
import sys
import textwrap
from pathlib import Path

ROOT = Path(__file__).parents[2]
GUIDE = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")


def kept_of(folder: Path) -> Path | None:
    """Return where Python keeps the compiled modules of a folder; None where they stand beside the code itself."""
    return Path(sys.pycache_prefix, *folder.absolute().parts[1:]) if sys.pycache_prefix else None


class Copy:
    """A copy of the code to follow a recipe on."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        for room in ("schemas", "pipelines", "dashboard"):
            shutil.copytree(ROOT / room, folder / room, ignore=shutil.ignore_patterns("static"))
            compiled = kept_of(ROOT / room)
            if compiled is not None and compiled.is_dir():  # where it stands beside the code it was copied with it
                shutil.copytree(compiled, kept_of(folder / room))
        self.touched: list[str] = []

    def clear(self) -> None:
        """Take away what was kept compiled for the copy."""
        kept = kept_of(self.folder)
        if kept is not None:
            shutil.rmtree(kept, ignore_errors=True)

    def add(self, path: str, text: str) -> None:
        """Add lines at the end of a file, or make one."""
        target = self.folder / path
        target.parent.mkdir(parents=True, exist_ok=True)
        before = target.read_text(encoding="utf-8") if target.exists() else ""
        target.write_text(before + textwrap.dedent(text), encoding="utf-8")
        self.touched.append(path)

    def put(self, path: str, after: str, text: str) -> None:
        """Put text right behind the first place where other text stands."""
        target = self.folder / path
        before = target.read_text(encoding="utf-8")
        assert after in before, f"{path} has no '{after}' any more: the recipe's place is gone"
        target.write_text(before.replace(after, after + text, 1), encoding="utf-8")
        self.touched.append(path)

    def run(self, code: str) -> str:
        """Run a script on the copy and return what it prints."""
        done = subprocess.run(
            [sys.executable, "-c", textwrap.dedent(code)], cwd=self.folder, capture_output=True, text=True,
            encoding="utf-8", check=False, timeout=120,
            env={**os.environ, "PYTHONDONTWRITEBYTECODE": "1"},  # what is compiled of a copy serves nobody again
        )  # fmt: skip
        assert done.returncode == 0, done.stderr[-3000:]
        return done.stdout.strip()


def files_of(title: str) -> set[str]:
    """Return the files and folders that a recipe of DEVELOPERS.md names."""
    found = re.search(rf"^## {re.escape(title)}\n(.*?)(?=^## )", GUIDE, re.MULTILINE | re.DOTALL)
    assert found, f"DEVELOPERS.md has no recipe '{title}'"
    return set(re.findall(r"`([\w/<>]+(?:\.py|\.toml|/))`", found[1]))


def is_named(path: str, named: set[str]) -> bool:
    """Return whether a recipe names a file, or the folder of a new one."""
    patterns = (re.sub(r"<\w+>", r"\\w+", one) + (r"\w+\.py" if one.endswith("/") else "") for one in named)
    return any(re.fullmatch(pattern, path) for pattern in patterns)


def must_be_named(copy: Copy, title: str) -> None:
    """Hold what was touched against what the recipe says."""
    named = files_of(title)
    assert [path for path in copy.touched if not is_named(path, named)] == []
