"""The squad's noise is the same to the last bit, however many athletes' runs are looked at together."""

import numpy as np
import pytest

from pipelines.derived.common import some_athletes
from tests.derived.start.test_progress import START, athletes, follow, squad


def test_noise_does_not_hang_on_how_many_athletes_are_looked_at_together(monkeypatch: pytest.MonkeyPatch):
    days = [d for d in range(70) if d % 7 in (1, 4)]
    paths = 2.0 + 0.05 * np.random.default_rng(5).standard_normal((7, 1)) + np.zeros((7, 70))
    squad_of_seven = squad(paths, days)
    found = []
    for together in (100, 3, 1):
        monkeypatch.setattr(some_athletes, "ATHLETES_AT_ONCE", together)
        _, one, _ = follow(*squad_of_seven, athletes(7), START.replace(month=4))
        found.append(one)
    assert found[0].height
    assert found[0]["typical_error"].null_count() == 0
    assert all(one.equals(found[0]) for one in found)
