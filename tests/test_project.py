"""The project file: exact versions without addresses, and a top level that holds only what the design card names."""

import re
import tomllib
from pathlib import Path

ROOT = Path(__file__).parents[1]
TOP_LEVEL = {
    "pyproject.toml", "README.md", "DEVELOPERS.md", "dashboard", "pipelines", "schemas", "tests", "seed_data",
}  # fmt: skip


def project() -> dict:
    return tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))


def plain(requirement: str) -> str:
    return re.split(r"[\s\[<>=;]", requirement, maxsplit=1)[0].lower().replace("_", "-")


def test_every_package_asked_for_is_held_at_one_version():
    pins = project()["tool"]["uv"]["constraint-dependencies"]
    held = {plain(pin) for pin in pins if "==" in pin}
    asked = [*project()["project"]["dependencies"], *project()["dependency-groups"]["dev"]]
    assert {plain(requirement) for requirement in asked} <= held


def test_the_project_file_records_no_address():
    assert "://" not in (ROOT / "pyproject.toml").read_text(encoding="utf-8")


def test_the_top_level_is_the_design_card_s():
    found = {path.name for path in ROOT.iterdir() if not path.name.startswith(".") and path.name != "uv.lock"}
    assert found == TOP_LEVEL


def test_the_readme_opens_with_the_job_and_names_two_commands():
    paragraphs = (ROOT / "README.md").read_text(encoding="utf-8").split("\n\n")
    assert paragraphs[0].startswith("# ")
    assert len(paragraphs[1]) > 300
    commands = re.findall(r"^python3 -m venv .*$", (ROOT / "README.md").read_text(encoding="utf-8"), flags=re.M)
    assert len(commands) == 2
