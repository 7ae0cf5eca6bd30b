"""Which small faults in the rules no test notices: ``pytest -s tests/bench/bench_mutation.py``.

Access is tried whole; of the derivations and the checks a sample, drawn by lot with a seed. Each fault is tried by the
tests that can meet it (``reach.py``; the first run notes for each test what it calls). How each ended is kept in
``.artifacts/mutation.jsonl``: a run that is stopped goes on where it was, and two may run side by side. What was
noticed is not tried again while its module is as it was and the test that noticed it still stands; what was not is
tried again when a test that can meet it changed. In the environment: ``MUTATE`` (a room or a module instead),
``MUTATE_SAMPLE``, ``MUTATE_SEED``, ``MUTATE_MINUTES`` (of each room; 60), ``MUTATE_PART`` (``1/2`` and ``2/2`` share
the work).
"""

import hashlib
import json
import os
import time
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import duckdb  # noqa: F401 - in memory before the mutants are forked
import pandera.polars  # noqa: F401
import pytest
import scipy.stats  # noqa: F401

from tests.bench.equivalent import EQUIVALENT
from tests.bench.mutation import ROOT, Fault, ends, faults_of, load_tests, modules_of
from tests.bench.reach import FIRST, Case, chosen, module_state, record, state_of

LONGEST_S = 60  # s of processor, three times what the tests of one fault take without it
HERE = ROOT / ".artifacts"
KEPT = HERE / "mutation.jsonl"


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
    "checks": Room(("pipelines.checks",), ("tests/checks", "tests/layouts"), 200, 0.9),
    "derived": Room(("pipelines.derived",), ("tests/derived",), 400, 0.9),
}  # fmt: skip


def drawn(room: Room, sample: int | None, seed: int) -> list[Fault]:
    """Return the faults to try: all, or so many by lot, each as likely as any other.

    A larger sample holds every smaller one, and a change of one module leaves the lots of the others as they were.
    """
    asked = os.environ.get("MUTATE")
    modules = [one for name in room.modules for one in modules_of(name)]
    if asked:
        modules = [one for one in modules if one == asked or one.startswith(f"{asked}.")]
    every = [fault for module in modules for fault in faults_of(module)]
    if sample is None or sample >= len(every):
        return every
    return sorted(every, key=lambda one: hashlib.sha256(f"{seed} {one.name}".encode()).digest())[:sample]


def files_of(room: Room) -> list[str]:
    """Return the test files of a room, each once."""
    found: set[str] = set()
    for one in room.tests:
        paths = [ROOT / one] if one.endswith(".py") else (ROOT / one).rglob("test_*.py")
        found |= {str(path.relative_to(ROOT)) for path in paths}
    return sorted(found)


def kept() -> dict[tuple[str, str], dict[str, Any]]:
    """Return how each fault tried so far ended, by module as it was then and fault; the latest counts."""
    if not KEPT.exists():
        return {}
    rows = (json.loads(line) for line in KEPT.read_text(encoding="utf-8").splitlines())
    return {(row["state"], row["fault"]): row for row in rows}


def still_holds(row: dict[str, Any] | None, tests: Sequence[Case]) -> bool:
    """Return whether what was found of a fault needs no new try."""
    if row is None:
        return False
    if row["ended"] == "passed":
        return row["tried"] == len(tests) and row["tests"] == state_of(sorted({one.file for one in tests}))
    file, _, test = row["by"].partition("::")
    named = test.rpartition("::")[2].partition("[")[0]
    return not file or ((ROOT / file).exists() and named in (ROOT / file).read_text(encoding="utf-8"))


def try_one(fault: Fault, tests: Sequence[Case]) -> dict[str, Any]:
    """Try a fault: return how it ended, by which test, and what it cost."""
    names = [one.name for one in tests]
    waves = [one for one in (names[:FIRST], names[FIRST:]) if one]
    began = time.monotonic()
    ended, by = ends(fault, fault.module, waves, LONGEST_S) if waves else ("passed", "")
    return {
        "state": module_state(fault.module), "fault": fault.name, "line": fault.line, "ended": ended, "by": by,
        "tests": state_of(sorted({one.file for one in tests})), "tried": len(names),
        "took_s": round(time.monotonic() - began, 2),
    }  # fmt: skip


def print_table(found: Iterable[tuple[Fault, str]]) -> None:
    """Print how many of each room, or module of a room without rooms, were tried, noticed and change nothing."""
    counts: dict[str, Counter[str]] = {}
    for fault, ended in found:
        parts = fault.module.split(".")
        counted = counts.setdefault(".".join(parts[:3]), Counter())
        counted[ended if ended != "passed" else "same" if fault.name in EQUIVALENT else "alive"] += 1
    for name, counted in sorted(counts.items()):
        print(
            f"  {name:36} tried {counted.total():4}  noticed {counted['failed'] + counted['no end']:4}"
            f"  change nothing {counted['same']:3}  not noticed {counted['alive']:3}"
        )


@pytest.mark.parametrize("name", ROOMS)
def test_small_faults_are_noticed(name: str):
    room = ROOMS[name]
    sample, seed = os.environ.get("MUTATE_SAMPLE"), int(os.environ.get("MUTATE_SEED", "20261130"))
    faults = drawn(room, int(sample) if sample and room.sample else room.sample, seed)
    if not faults:
        pytest.skip("none of this room was asked for")
    part, _, parts = os.environ.get("MUTATE_PART", "1/1").partition("/")
    until = time.monotonic() + 60 * float(os.environ.get("MUTATE_MINUTES", "60"))
    HERE.mkdir(exist_ok=True)
    files = files_of(room)
    load_tests(files)
    cases = record(files, HERE / f"reach_{name}.json")
    known, is_sound = kept(), None
    found: list[tuple[Fault, str]] = []
    for place, fault in enumerate(faults):
        tests = chosen(fault.module, fault.line, cases)
        row = known.get((module_state(fault.module), fault.name))
        if row is None or not still_holds(row, tests):
            if place % int(parts) != int(part) - 1 or time.monotonic() > until:
                continue
            if is_sound is None and tests:
                is_sound = ends(None, fault.module, [[one.name for one in tests]], LONGEST_S)[0] == "passed"
                assert is_sound, f"tests fail without a fault: {tests[0].file} or another that meets {fault.module}"
            row = try_one(fault, tests)
            with KEPT.open("a", encoding="utf-8") as file:
                file.write(json.dumps(row, ensure_ascii=False) + "\n")
        found.append((fault, row["ended"]))
    alive = [fault for fault, ended in found if ended == "passed" and fault.name not in EQUIVALENT]
    same = [fault for fault, ended in found if ended == "passed" and fault.name in EQUIVALENT]
    counted = len(found) - len(same)
    slow = sum(ended == "no end" for _, ended in found)
    print(
        f"\n{name}: {len(found)} of {len(faults)} tried (seed {seed}); {counted - len(alive)} of {counted} noticed "
        f"({(counted - len(alive)) / max(counted, 1):.1%}), {slow} of them by no end; {len(same)} more change nothing"
    )
    print_table(found)
    for fault in sorted(alive, key=lambda one: (one.module, one.line)):
        print(f"  {fault.module}:{fault.line}: {fault.what}: {fault.where}")
    assert counted - len(alive) >= room.least * counted
