"""Which small faults in the rules no test notices: ``pytest -s tests/bench/bench_mutation.py``.

Access is tried whole; of the derivations and the checks a sample, drawn by lot with a seed. What was tried is kept in
``.artifacts/mutation.jsonl`` and not tried again while the module and its tests are as they were: a run that is
stopped goes on where it was, and two may run side by side. In the environment: ``MUTATE`` (a room or a module
instead), ``MUTATE_SAMPLE``, ``MUTATE_SEED``, ``MUTATE_MINUTES`` (of each room; 60), ``MUTATE_PART`` (``1/2`` and
``2/2`` share the work).
"""

import hashlib
import json
import os
import random
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import duckdb  # noqa: F401 - in memory before the mutants are forked
import pandera.polars  # noqa: F401
import pytest
import scipy.stats  # noqa: F401

from tests.bench.equivalent import EQUIVALENT
from tests.bench.mutation import ROOT, Fault, ends, faults_of, holding, load_tests, modules_of, path_of

LONGEST_S = 240  # s; far more than any list of tests takes
KEPT = ROOT / ".artifacts" / "mutation.jsonl"


@dataclass(frozen=True)
class Room:
    """Some modules, the tests that hold them, how many faults are tried (None: all) and how many must be noticed."""

    modules: tuple[str, ...]
    tests: tuple[str, ...]
    sample: int | None
    least: float


ROOMS = {
    "access": Room(
        ("dashboard.access.rules", "dashboard.access.viewer", "schemas.rights", "schemas.age"),
        ("tests/access/test_rules.py", "tests/access/test_rights_rules.py"), None, 1.0,
    ),
    "checks": Room(
        ("pipelines.checks",),
        ("tests/checks/test_values.py", "tests/checks/test_rules.py", "tests/checks", "tests/layouts"), 200, 0.9,
    ),
    "derived": Room(("pipelines.derived",), ("tests/derived",), 400, 0.9),
}  # fmt: skip


def drawn(room: Room, sample: int | None, seed: int) -> list[Fault]:
    """Return the faults to try: all, or so many by lot, each as likely as any other."""
    asked = os.environ.get("MUTATE")
    modules = [one for name in room.modules for one in modules_of(name)]
    if asked:
        modules = [one for one in modules if one == asked or one.startswith(f"{asked}.")]
    every = [fault for module in modules for fault in faults_of(module)]
    if sample is None or sample >= len(every):
        return every
    return random.Random(seed).sample(every, len(every))[:sample]  # a larger sample holds every smaller one


def key_of(fault: Fault, tests: Sequence[str]) -> str:
    """Return what a result rests on: the module, its tests and the fault."""
    told = hashlib.sha256(path_of(fault.module).read_bytes())
    for one in tests:
        told.update(Path(ROOT / one).read_bytes())
    return f"{told.hexdigest()[:16]} {fault.number}"


def kept() -> dict[str, str]:
    """Return how each fault tried so far ended."""
    if not KEPT.exists():
        return {}
    rows = (json.loads(line) for line in KEPT.read_text(encoding="utf-8").splitlines())
    return {row["key"]: row["ended"] for row in rows}


def try_one(fault: Fault, stages: Sequence[list[str]], sound: set[str]) -> str:
    """Return how a fault ends: failed or no end (noticed) or passed.

    Of each folder of tests those first asked for are run as they are, and must pass.
    """
    for tests in stages:
        load_tests(tests)
        folder = str(Path(tests[0]).parent)
        if folder not in sound:
            assert ends(None, fault.module, tests, LONGEST_S) == "passed", f"they fail without a fault: {tests}"
            sound.add(folder)
        ended = ends(fault, fault.module, tests, LONGEST_S)
        if ended != "passed":
            return ended
    return "passed"


@pytest.mark.parametrize("name", ROOMS)
def test_small_faults_are_noticed(name: str):
    room = ROOMS[name]
    sample = os.environ.get("MUTATE_SAMPLE")
    faults = drawn(
        room, int(sample) if sample and room.sample else room.sample, int(os.environ.get("MUTATE_SEED", "20261130"))
    )
    part, _, parts = os.environ.get("MUTATE_PART", "1/1").partition("/")
    until = time.monotonic() + 60 * float(os.environ.get("MUTATE_MINUTES", "60"))
    KEPT.parent.mkdir(exist_ok=True)
    known, sound = kept(), set[str]()
    found: list[tuple[Fault, str]] = []
    for place, fault in enumerate(sorted(faults, key=lambda one: (one.module, one.number))):
        stages = [one for one in holding(fault.module, room.tests) if one]
        key = key_of(fault, [one for stage in stages for one in stage])
        if key not in known:
            if place % int(parts) != int(part) - 1 or time.monotonic() > until:
                continue
            known[key] = try_one(fault, stages, sound)
            with KEPT.open("a", encoding="utf-8") as file:
                line = {"key": key, "ended": known[key], "fault": fault.name, "line": fault.line}
                file.write(json.dumps(line, ensure_ascii=False) + "\n")
        found.append((fault, known[key]))
    if not found:
        pytest.skip("none of this room was asked for")
    alive = [fault for fault, ended in found if ended == "passed"]
    same = [fault for fault in alive if fault.name in EQUIVALENT]
    slow = sum(ended == "no end" for _, ended in found)
    counted = len(found) - len(same)
    killed = counted - len(alive) + len(same)
    print(
        f"\n{name}: {len(found)} of {len(faults)} tried; {killed} of {counted} noticed ({killed / counted:.1%}), "
        f"{slow} of them by no end; {len(same)} more change nothing"
    )
    for fault in alive:
        print(f"  {'=' if fault in same else ' '} {fault.module}:{fault.line}: {fault.what}: {fault.where}")
    assert killed / counted >= room.least
