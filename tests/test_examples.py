"""The everyday run tries a property on an eighth of its examples, the full one on all of them."""

from collections.abc import Iterator

import pytest
from hypothesis import settings

from tests.examples import FEWEST, examples


@pytest.fixture(autouse=True)
def _profile_put_back() -> Iterator[None]:
    before = settings.get_current_profile_name()
    yield
    settings.load_profile(before)


@pytest.mark.parametrize(("profile", "tried"), [("full", 60), ("quick", 7)])
def test_a_profile_decides_how_many_examples_are_tried(profile, tried):
    settings.load_profile(profile)
    assert examples(60).max_examples == tried
    assert examples(60).deadline is settings().deadline is None


def test_few_examples_stay_enough_to_try():
    settings.load_profile("quick")
    assert examples(8).max_examples == FEWEST
