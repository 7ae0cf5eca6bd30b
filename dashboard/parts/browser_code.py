"""Code that runs in the browser: modules of ours, written and tested one by one, handed over as one."""

import re
from collections.abc import Sequence
from pathlib import Path

_IMPORT = re.compile(r'^import [^"]*from "\./\w+\.js";\n', re.MULTILINE)


def joined(paths: Sequence[Path]) -> str:
    """Return modules as one, in the order in which they need each other: no build step, no address to fetch from."""
    text = "\n".join(_IMPORT.sub("", path.read_text(encoding="utf-8")) for path in paths)
    return re.sub(r"^export (?!default)", "", text, flags=re.MULTILINE)
