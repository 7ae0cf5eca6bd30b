"""What is dear to make is kept between runs, in a folder of this user's own and never somebody else's."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests import compiled

ROOT = Path(__file__).parents[1]
ASKS = """
import subprocess, sys
sys.path.insert(0, sys.argv[1])
from tests.compiled import keep_compiled
keep_compiled()
import here
subprocess.run([sys.executable, "-c", "import there"], cwd=sys.argv[1], check=True)
"""


@pytest.mark.parametrize("forbidden", [True, False])
def test_compiled_modules_are_kept_where_they_may_not_stand_beside_their_sources(tmp_path: Path, forbidden: bool):
    code, kept = tmp_path / "code", tmp_path / "kept"
    for folder in (code, kept):
        folder.mkdir()
    for name in ("here", "there"):
        (code / f"{name}.py").write_text("", encoding="utf-8")
    env = {name: told for name, told in os.environ.items() if not name.startswith("PYTHON")} | {"TMPDIR": str(kept)}
    more = {"PYTHONDONTWRITEBYTECODE": "1"} if forbidden else {}
    subprocess.run([sys.executable, "-c", ASKS, str(code)], cwd=ROOT, env=env | more, check=True)
    found = {one.name.split(".")[0] for one in kept.rglob("*.pyc")}
    assert ({"here", "there"} <= found, (code / "__pycache__").exists()) == (forbidden, not forbidden)


@pytest.mark.skipif(not hasattr(os, "getuid"), reason="users have no numbers here")
def test_a_folder_of_somebody_else_is_not_used(tmp_path, monkeypatch):
    monkeypatch.setattr(compiled.tempfile, "gettempdir", lambda: str(tmp_path))
    made = compiled.shelf()
    assert made.stat().st_mode & 0o777 == 0o700
    mine = made.rename(tmp_path / "mine")
    made.symlink_to(mine)
    with pytest.raises(PermissionError, match="belongs to somebody else"):
        compiled.shelf()
