"""Killed, or without power, at stages spread over load, undo, publish and erase.

A sample, and of it in the everyday run both ways of a load and the harder way of the rest, which is to lose power;
``tests/bench/bench_crash.py`` goes through every stage.
"""

from collections.abc import Iterator

import pytest

from tests.flow.crashed import Killed
from tests.flow.crashing import Mother

SAMPLE = {"load": 2, "undo": 1, "follow": 1, "publish": 1, "erase": 1}


@pytest.fixture(scope="module")
def killed(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Killed]:
    """A home to be killed in, with the small derived tables."""
    from pipelines.board import building
    from tests.flow import conftest

    mother = Mother()
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(building, "derivations", lambda: {"load_week": conftest.load_week, "load_day": conftest.load_day})
        patch.setattr(
            building, "derived_models", lambda: {"load_week": conftest.LoadWeek, "load_day": conftest.LoadDay}
        )
        yield Killed(tmp_path_factory.mktemp("killed"), mother)
    mother.close()


@pytest.mark.parametrize(
    ("task", "lose"),
    [
        pytest.param(task, lose, id=f"{task}-{how}", marks=() if lose or task == "load" else pytest.mark.long)
        for task in SAMPLE
        for lose, how in ((False, "killed"), (True, "power lost"))
    ],
)
def test_what_was_acknowledged_is_there_and_nothing_half(killed: Killed, task: str, lose: bool):
    count, sample = killed.learn(task), SAMPLE[task]
    for place in range(sample):
        die_at = 1 + (2 * place + lose) * (count - 1) // (2 * sample)
        assert killed.run(task, die_at, lose=lose) is None
        killed.check(task, acknowledged=False)
