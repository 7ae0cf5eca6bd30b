"""That nothing is used of a table is an answer: it is kept with the load, so that a rebuild obeys it too."""

import pytest

from pipelines import flow

pytestmark = pytest.mark.usefixtures("small_derived")  # what is held here is the record; the board is by the way
CLUB = (
    b"Name,Sex,Group\nAna Berg,f,short sprints\nBea Lund,f,hurdles\n\n\n"
    b"Name,Vest,Spikes out?\nAna Berg,M,y\nBea Lund,S,n\n"
)


def test_a_table_of_which_nothing_is_used_stays_so_in_a_rebuild(home):
    [first] = flow.load_files(home, [("club.csv", CLUB)], "coach", derive_after=False)
    asked = [question for question in flow.gathered(first.questions) if question.about in ("Vest", "Spikes out?")]
    assert len(asked) == 2
    told = flow.LayoutOptions(layouts=flow.of_questions([(question, "not_used") for question in asked]))
    [again] = flow.load_files(home, [("club.csv", CLUB)], "coach", told, derive_after=False)
    assert not again.set_aside
    before = flow.rejected(home)
    assert flow.rebuild(home) == []
    assert flow.rejected(home).height == before.height == 0
    assert [why for what, why in flow.verify(home) if "sources give" in what] == [""]
