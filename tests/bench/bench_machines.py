"""The whole demo derived as machines of other kinds would: with 1, 2, 8 and 16 threads, and on an older processor.

``python -m pytest tests/bench/bench_machines.py -s``; ``.ci/run`` does.
"""

from pathlib import Path

import pytest

from pipelines import flow
from schemas.tolerance import are_alike
from tests.demo.deriving import Machines
from tests.demo.test_machines import OLDER, THREADS

pytestmark = pytest.mark.bench


def test_the_whole_demo_is_built_and_derived_alike_with_any_number_of_threads(tmp_path: Path, demo_home: flow.Home):
    machines = Machines(demo_home, tmp_path)
    one = machines.derive({"1": {"POLARS_MAX_THREADS": "1"}})["1"]
    for threads in THREADS[1:]:
        many = machines.derive({str(threads): {"POLARS_MAX_THREADS": str(threads)}})[str(threads)]
        assert [name for name, frame in one.items() if not are_alike(many[name], frame)] == [], threads
    older = machines.derive({"older": OLDER})["older"]
    assert [name for name, frame in one.items() if not are_alike(older[name], frame)] == []
    # The other processor really was another: not even the last digits differ where the setting does nothing.
    assert [name for name, frame in one.items() if not older[name].equals(frame)] != []
