"""Code for the browser is handed over as one module: what its parts declare must not meet."""

import re
from collections import Counter

import pytest

from dashboard.screens.film.desk import script as film
from dashboard.screens.track.desk import script as track

DECLARED = re.compile(r"^(?:const|let|class|function|async function) (\w+)", re.MULTILINE)


@pytest.mark.parametrize("script", [film, track], ids=["film", "track"])
def test_no_two_parts_declare_one_name(script):
    declared = Counter(DECLARED.findall(script()))
    assert len(declared) > 20
    assert [name for name, times in declared.items() if times > 1] == []
