"""Units written down by their definitions are those of a reference library (pint), every pair of them."""

import itertools

import pint
import pytest

from pipelines.cells.units import DEFINED, conversion
from schemas.unit_words import MODEL_UNITS


def test_factors_by_definition_are_those_of_the_reference_library():
    registry = pint.UnitRegistry()
    tried = 0
    for (unit, (what, _)), (model_unit, target) in itertools.product(DEFINED.items(), MODEL_UNITS.items()):
        if target not in DEFINED:
            continue
        found = conversion(unit, model_unit)
        if what == DEFINED[target][0]:
            assert found == (pytest.approx(registry.Quantity(1.0, unit).to(target).magnitude, rel=1e-12), 0.0)
            tried += 1
        else:
            assert found is None
    assert tried >= len(DEFINED)


def test_a_unit_that_is_not_among_them_is_still_converted():
    assert conversion("degree_Fahrenheit", "°C") == (pytest.approx(5 / 9), pytest.approx(-160 / 9))
    assert conversion("percent", "kg") is None
