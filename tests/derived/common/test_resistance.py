"""What counts as a free run, said in one place."""

import ast
from pathlib import Path

import polars as pl
import pytest

from pipelines.derived.common.resistance import free_runs, is_free_run, resistance

ROOT = Path(__file__).parents[3]
# One asks for what was said, not for what counts: what a load costs in speed needs both runs said.
OTHERS = {"common/resistance.py", "sprint/sled.py"}


@pytest.mark.parametrize(
    ("kind", "load_kg", "pulled"),
    [
        ("none", None, "none"),
        (None, None, "none"),
        (None, 0.0, "none"),
        ("none", 0.0, "none"),
        (None, 12.5, "sled"),
        ("none", 12.5, "sled"),
        ("sled", None, "sled"),
        ("sled", 0.0, "sled"),
        ("incline", None, "incline"),
        ("other", 3.0, "other"),
    ],
)
def test_a_run_without_a_word_or_a_load_is_free_and_a_load_is_a_sled(
    kind: str | None, load_kg: float | None, pulled: str
) -> None:
    """Source: common practice, none published."""
    rep = pl.DataFrame(
        {"resistance_kind": [kind], "resistance_load_kg": [load_kg], "outcome": ["completed"]},
        schema={"resistance_kind": pl.String, "resistance_load_kg": pl.Float64, "outcome": pl.String},
    )
    row = rep.select(pulled=resistance(), is_free=is_free_run()).row(0, named=True)
    assert row == {"pulled": pulled, "is_free": pulled == "none"}
    assert free_runs(rep).height == (pulled == "none")


def test_a_false_start_is_no_free_run_and_an_outcome_nobody_wrote_is_one() -> None:
    outcomes = [None, "completed", "stopped", "false_start"]
    rep = pl.DataFrame({"resistance_kind": ["none"] * 4, "resistance_load_kg": [None] * 4, "outcome": outcomes})
    assert free_runs(rep)["outcome"].to_list() == [None, "completed", "stopped"]


def test_no_other_rule_says_what_a_free_run_is() -> None:
    found = set()
    for path in (ROOT / "pipelines" / "derived").rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Compare) and '"resistance_kind"' in ast.unparse(node).replace("'", '"'):
                found.add(path.relative_to(ROOT / "pipelines" / "derived").as_posix())
    assert found <= OTHERS, f"these compare resistance_kind themselves: {sorted(found - OTHERS)}"
