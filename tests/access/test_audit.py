"""The audit of packages: what fails the build, what is only said."""

import importlib.util
from pathlib import Path
from types import ModuleType

import pytest


@pytest.fixture
def audit() -> ModuleType:
    spec = importlib.util.spec_from_file_location("audit", Path(__file__).parents[2] / ".ci" / "audit.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def report(**more: object) -> dict:
    fault = {"id": "PYSEC-0000-1", "aliases": ["CVE-0000-1"], "fix_versions": ["2.0"]}
    return {"dependencies": [{"name": "Some_Package", "version": "1.0", "vulns": [fault]} | more]}


def test_a_known_vulnerability_in_what_is_shipped_fails(audit: ModuleType):
    lines, fails = audit.judge(report(), {"some-package"})
    assert fails
    assert "PYSEC-0000-1 (FAILS; mended in 2.0)" in lines[0]


def test_one_in_a_tool_is_said_and_fails_nothing(audit: ModuleType):
    lines, fails = audit.judge(report(), {"another"})
    assert not fails
    assert "PYSEC-0000-1" in lines[0]


def test_one_that_is_accepted_says_why(audit: ModuleType, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setitem(audit.ACCEPTED, "CVE-0000-1", "that part is not used")
    lines, fails = audit.judge(report(), {"some-package"})
    assert not fails
    assert "accepted: that part is not used" in lines[0]


def test_what_could_not_be_asked_about_is_said_and_never_passes_as_sound(audit: ModuleType):
    told = {"dependencies": [{"name": "x", "skip_reason": "not found"}]}
    lines, fails = audit.judge(told, {"x"})
    assert not fails
    assert lines == ["audit: 0 of 1 packages could be asked about; the rest NOT AUDITED"]
