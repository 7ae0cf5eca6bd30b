"""How hard a session was: a scale that always rises, so that only its ends are asked."""

import pytest

from tests.intake import rows, take_in

LOG = "date,athlete,minutes,RPE\n2026-10-05,Ana Berg,60,{}\n2026-10-06,Ana Berg,75,{}\n"


def asked_of(checked):
    [asked] = [one for one in checked.questions if one.ask == "scales"]
    return asked


def test_nobody_is_asked_whether_a_hard_session_is_good():
    asked = asked_of(take_in(LOG.format(3, 5), "log.csv"))
    assert "which end is good" not in asked.sentence
    assert all("hardest" in said and "good" not in said for _, said in asked.answers)
    assert len(asked.answers) == len({said for _, said in asked.answers})


def test_the_older_scale_of_exertion_is_offered_first_where_the_numbers_are_of_it():
    # Borg 1970: 6 (no exertion) to 20 (maximal); from memory
    asked = asked_of(take_in(LOG.format(13, 17), "log.csv"))
    assert asked.answers[0] == ("6 to 20, 20 is good", "from 6 to 20; 20 is the hardest")


@pytest.mark.parametrize(
    ("answer", "given", "kept"),
    [("0 to 10, 10 is good", (3, 5), [3.0, 5.0]),
     # both ends laid on ours: (13 - 6) / 14 x 10 = 5, (20 - 6) / 14 x 10 = 10
     ("6 to 20, 20 is good", (13, 20), [5.0, 10.0])],
)  # fmt: skip
def test_an_answer_is_obeyed(answer, given, kept):
    checked = take_in(LOG.format(*given), "log.csv", scales={"RPE": answer})
    assert ([value for (value,) in rows(checked, "session", "effort_0_10")], checked.questions) == (kept, [])
