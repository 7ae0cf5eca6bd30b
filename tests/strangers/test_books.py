"""Six larger folders of strangers: nothing is stored wrong; answered, at least 95 of 100 certain cells are stored."""

import pytest

from pipelines import flow
from tests.strangers.folders import BOOKS, KEY, load
from tests.strangers.scoring import score

LEAST_SHARE = 0.95  # of the cells that a person reads without asking; the aim of the design
UNANSWERED = 0.88  # ... with nothing answered: the day of a roster's weights and whose plan it is are asked for


@pytest.mark.parametrize(
    ("case", "least"), [*((case, LEAST_SHARE) for case in BOOKS), ("workbook_of_twelve_tabs", UNANSWERED)]
)
def test_a_stranger_s_folder_is_stored_right_and_never_wrong(case, least, tmp_path):
    home = flow.find_home(tmp_path / "home")
    load(home, case, answered=least == LEAST_SHARE)
    made = score(home, KEY[case])
    certain = sum(1 for fact in KEY[case]["facts"] if fact["sure"] == "certain")
    assert made.wrong == []
    assert made.certain_waiting.total() <= (1 - least) * certain
