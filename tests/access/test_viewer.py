"""Who looks: what is taken for granted of nobody."""

from dashboard.access.viewer import Viewer


def test_nobody_counts_as_fresh_who_has_not_just_given_the_pass_phrase():
    assert not Viewer("Coach", "staff").is_fresh


def test_two_viewers_are_one_person_whether_fresh_or_not():
    assert Viewer("Coach", "staff", is_fresh=True) == Viewer("Coach", "staff")
    assert Viewer("Coach", "staff") != Viewer("Coach", "head_coach")
