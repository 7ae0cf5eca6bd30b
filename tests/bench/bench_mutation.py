"""Which small faults in the rules no test notices: ``pytest -s tests/bench/bench_mutation.py``.

``THIRDSTEP_MUTATE=module:sample`` tries one module, and of its mutants every so many at most.
"""

import os
import random

import duckdb  # noqa: F401 - in memory before the mutants are forked
import pandera.polars  # noqa: F401
import pytest
import scipy.stats  # noqa: F401

from tests.bench.mutation import ROOT, is_killed, load_tests, mutants_of

# Module, tests that hold it, and how many mutants are tried at most (None: all).
MODULES: dict[str, tuple[tuple[str, ...], int | None]] = {
    "dashboard.access.rules": (("tests/access/test_rules.py",), None),
    "dashboard.access.viewer": (("tests/access/test_rules.py",), None),
    "schemas.rights": (("tests/access/test_rights_rules.py",), None),
    "pipelines.checks.dates": (("tests/checks/test_values.py", "tests/checks/test_rules.py"), 60),
    "pipelines.checks.numbers": (("tests/checks/test_values.py", "tests/checks/test_rules.py"), 60),
    "pipelines.checks.ranges": (("tests/checks/test_rules.py", "tests/checks/test_values.py"), 60),
    "pipelines.checks.split_times": (("tests/checks/test_rules.py", "tests/checks/test_values.py"), 60),
    "pipelines.derived.readiness.call": (("tests/derived/readiness",), 60),
    "pipelines.derived.readiness.reason_rows": (("tests/derived/readiness",), 60),
    "pipelines.derived.hamstring.signs": (("tests/derived/hamstring",), 60),
    "pipelines.derived.sprint.motion": (("tests/derived/sprint/test_motion.py",), 60),
    "pipelines.derived.start.phase": (("tests/derived/start",), 60),
}
LEAST = {"dashboard.access.rules": 1.0, "dashboard.access.viewer": 1.0, "schemas.rights": 1.0}
SEED = 20261130


@pytest.mark.parametrize("module", MODULES)
def test_small_faults_are_noticed(module: str):
    chosen, _, most = os.environ.get("THIRDSTEP_MUTATE", "").partition(":")
    if chosen and chosen != module:
        pytest.skip("another module was asked for")
    tests, sample = MODULES[module]
    mutants = list(mutants_of((ROOT / (module.replace(".", "/") + ".py")).read_text(encoding="utf-8")))
    tried = int(most) if most else sample
    if tried and tried < len(mutants):
        mutants = sorted(random.Random(SEED).sample(mutants, tried), key=lambda m: m.line)
    load_tests(tests)
    survivors = [mutant for mutant in mutants if not is_killed(module, mutant, tests)]
    share = 1 - len(survivors) / len(mutants)
    print(f"\n{module}: {len(mutants) - len(survivors)} of {len(mutants)} killed ({share:.0%})")
    for mutant in survivors:
        print(f"  line {mutant.line}: {mutant.fault}")
    assert share >= LEAST.get(module, 0.9)
