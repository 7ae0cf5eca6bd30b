"""Questions about single runs: two starts compared, a run's curves, what a change would be worth. Nothing is stored."""

from collections.abc import Mapping, Sequence
from typing import Any

from pipelines.derived.sprint import curve
from pipelines.derived.start import compare
from pipelines.derived.start.base_run import Explored
from pipelines.derived.start.base_run import what_if as answer
from pipelines.home.folder import Home
from pipelines.home.settings import read_settings


def compare_starts(
    one: Mapping[str, Any], other: Mapping[str, Any], steps: tuple[Sequence[Mapping[str, Any]], ...]
) -> tuple[str, list[dict[str, Any]], list[dict[str, Any]]]:
    """Set two starts against each other: sentence, rows of the whole runs, rows step by step."""
    runs, by_step = compare.compare_runs(one, other), compare.compare_steps(*steps)
    return compare.say_differences(by_step, runs), runs, by_step


def run_curves(home: Home, profile: Mapping[str, Any]) -> tuple[list[dict[str, float]], list[dict[str, float]]]:
    """Return a run's speed over distance and its force-velocity line, each with its band; empty where trust forbids."""
    return curve.speed_curve(profile), curve.force_line(profile, read_settings(home.settings))


def what_if(home: Home, profile: Mapping[str, Any], steps: Sequence[Mapping[str, Any]], **changes: float) -> Explored:
    """Return what a change of one step or of the whole run would be worth: a range and its assumptions, no promise."""
    return answer(profile, steps, read_settings(home.settings), **changes)  # type: ignore[arg-type]
