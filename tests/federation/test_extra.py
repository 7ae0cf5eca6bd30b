"""A club that has no use for the extra pays nothing for it; who needs it is told how to get it."""

import importlib.util
import os
import re
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest
from click.testing import CliRunner

from pipelines.cli.main import main
from pipelines.errors import ThirdstepError
from pipelines.federation import extra

ROOT = Path(__file__).parents[2]
OF_THE_EXTRA = ("deltalake", "ibis", "pyspark", "py4j", "sqlglot")


def hide(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let the libraries of the extra be not installed."""
    find = importlib.util.find_spec
    monkeypatch.setattr(importlib.util, "find_spec", lambda name: None if name in OF_THE_EXTRA else find(name))


@pytest.mark.parametrize(
    "command", [["federation", "demo"], ["federation", "run", ".", "--folder", "f"]], ids=["demo", "run"]
)
def test_without_the_extra_a_command_says_how_to_run_it(command, monkeypatch, tmp_path):
    hide(monkeypatch)
    monkeypatch.chdir(tmp_path)
    told = CliRunner().invoke(main, ["--home", str(tmp_path / "home"), *command])
    assert told.exit_code == 1
    assert "uv run --extra federation thirdstep federation" in told.output
    assert "Traceback" not in told.output
    assert not (tmp_path / "f").exists()  # nothing was begun


def test_without_java_it_is_said_and_what_to_install(monkeypatch, tmp_path):
    monkeypatch.delenv("JAVA_HOME", raising=False)
    monkeypatch.setenv("PATH", str(tmp_path))
    with pytest.raises(ThirdstepError, match=r"There is no Java on this machine.*Install Java 17 or newer.*--here"):
        extra.need_java()


def test_without_java_the_demo_builds_nothing_before_it_says_so(monkeypatch, tmp_path):
    pytest.importorskip("ibis", reason="needs the extra: uv run --extra federation pytest")
    monkeypatch.delenv("JAVA_HOME", raising=False)
    monkeypatch.setenv("PATH", str(tmp_path))
    told = CliRunner().invoke(main, ["federation", "demo", "--folder", str(tmp_path / "demo")])
    assert told.exit_code == 1
    assert "There is no Java on this machine" in told.output
    assert not (tmp_path / "demo").exists()


@pytest.mark.skipif(os.name == "nt", reason="a shell script stands for Java")
def test_an_old_java_is_named_with_the_one_that_is_needed(monkeypatch, tmp_path):
    java = tmp_path / "bin" / "java"
    java.parent.mkdir()
    java.write_text("#!/bin/sh\necho 'openjdk version \"11.0.2\"' >&2\n")
    java.chmod(0o755)
    monkeypatch.setenv("JAVA_HOME", str(tmp_path))
    with pytest.raises(ThirdstepError, match=r"is Java 11, and Spark needs 17"):
        extra.need_java()


def test_the_command_line_and_the_dashboard_import_nothing_of_the_extra():
    ask = (
        "import sys, pipelines.cli.main, pipelines.flow, dashboard.board, pipelines.federation.extra; "
        f"print([n for n in {OF_THE_EXTRA} if n in sys.modules])"
    )
    told = subprocess.run([sys.executable, "-c", ask], capture_output=True, text=True, cwd=ROOT, check=True)
    assert told.stdout.strip() == "[]"


def test_help_of_the_federation_imports_nothing_of_the_extra():
    ask = (
        "import sys; sys.argv = ['thirdstep', 'federation', '--help']\n"
        "from pipelines.cli.main import main\n"
        "try: main()\nexcept SystemExit: pass\n"
        f"print([n for n in {OF_THE_EXTRA} + ('polars', 'duckdb') if n in sys.modules])"
    )
    told = subprocess.run([sys.executable, "-c", ask], capture_output=True, text=True, cwd=ROOT, check=True)
    assert told.stdout.strip().endswith("[]")


def test_only_the_extra_asks_for_its_libraries():
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    plain = {re.split(r"[^\w-]", one)[0] for one in project["dependencies"]}
    assert not plain & {"pyspark", "deltalake", "ibis-framework"}
    assert len(project["optional-dependencies"]["federation"]) == 3
