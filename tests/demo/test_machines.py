"""The same record gives the same tables on machines of other kinds: with fewer threads or more, or an older processor.

The library that computes takes a thread for each processor, and cuts its work into as many pieces. Three athletes
here; ``tests/bench/bench_machines.py`` takes the whole squad.
"""

from pathlib import Path

import pytest

from pipelines import flow
from schemas.tolerance import are_alike
from tests.demo.deriving import Frames, Machines

pytestmark = pytest.mark.long  # five processes, each with the whole of the library
THREADS = (1, 2, 8, 16)
# An older processor of the same family, for numpy and for the library that solves its equations.
OLDER = {"NPY_DISABLE_CPU_FEATURES": "X86_V3 X86_V4", "OPENBLAS_CORETYPE": "Nehalem"}
FEW = 3  # athletes: enough to leave empty pieces among eight threads


@pytest.fixture(scope="module")
def by_threads(demo_home: flow.Home, tmp_path_factory: pytest.TempPathFactory) -> dict[str, Frames]:
    folder: Path = tmp_path_factory.mktemp("machines")
    few = Machines(demo_home, folder).records["athlete"]["athlete_id"].head(FEW)
    return Machines(demo_home, folder, few).derive(
        {**{str(n): {"POLARS_MAX_THREADS": str(n)} for n in THREADS}, "older": OLDER}
    )


@pytest.mark.parametrize("threads", THREADS[1:])
def test_the_demo_is_derived_alike_with_any_number_of_threads(threads: int, by_threads: dict[str, Frames]):
    one, many = by_threads["1"], by_threads[str(threads)]
    assert set(one) == set(many)
    assert one["hamstring_flag"]["athlete_id"].n_unique() == FEW
    assert [name for name, frame in one.items() if not are_alike(many[name], frame)] == []


def test_the_demo_is_derived_alike_on_an_older_processor_within_the_tolerance(by_threads: dict[str, Frames]):
    here, older = by_threads["1"], by_threads["older"]
    assert [name for name, frame in here.items() if not are_alike(older[name], frame)] == []
