"""Levels of a hamstring follow from the states; more evidence lowers none, and the unknown is never quiet."""

from hypothesis import HealthCheck, given
from hypothesis import strategies as st

from tests.derived.common.review_frames import day, quiet_month
from tests.derived.hamstring.flag_frames import EVEN, INJURY, LOST, TEST, WEEKS, family, flag
from tests.examples import examples


@examples(30, suppress_health_check=[HealthCheck.too_slow])
@given(
    tight=st.none() | st.integers(0, 10),
    returned=st.none() | st.integers(0, 59),
    injured=st.booleans(),
    above=st.none() | st.floats(-4, 8),
    p_fallen=st.none() | st.floats(0, 1),
    gap=st.integers(0, 60),
)
def test_levels_follow_from_the_states_and_nobody_gets_a_risk(
    tight: int | None, returned: int | None, injured: bool, above: float | None, p_fallen: float | None, gap: int
):
    injury = INJURY | {"returned_on": None if returned is None else day(returned)}
    flags = flag(
        checkins=quiet_month(hamstring_tightness_l=tight, hamstring_tightness_r=tight),
        injuries=[injury] if injured else [],
        tests=[TEST | {"side": "l", "p_fallen": p_fallen, "own_change_percent": -5.0}],
        weeks=[WEEKS[0], WEEKS[1] | {"above_z": above}],
        work=[{"athlete_id": "ann", "week_of": day(60), "last_eccentric_on": day(gap)}],
    )
    for _, rows in flags.group_by("day_on"):
        states = dict(zip(rows["family"], rows["state"], strict=True))
        speaking = sum(states[name] == "speaks" for name in ("history", "capacity", "exposure", "state"))
        lacking = sum(states[name] == "cannot_say" for name in ("capacity", "exposure", "state"))
        expected = (
            "several_families" if speaking > 1
            else "one_family" if speaking == 1
            else "cannot_say" if lacking >= 2 or states["state"] == "cannot_say"
            else "none"
        )  # fmt: skip
        assert set(rows["level"]) == {expected}
        assert set(rows["families_speaking"]) == {speaking}
    assert not [text for text in flags["sentence"] if "risk" in text.lower() or "chance of injury" in text.lower()]


RANK = {"cannot_say": 0, "none": 0, "one_family": 1, "several_families": 2}


@examples(25, suppress_health_check=[HealthCheck.too_slow])
@given(
    tight=st.lists(st.integers(0, 10), min_size=5, max_size=5),
    worse_days=st.integers(0, 5),
    step=st.integers(1, 5),
    p_fallen=st.floats(0, 1),
    surer=st.floats(0, 1),
    above=st.floats(-3, 6),
    higher=st.floats(0, 3),
)
def test_more_evidence_never_lowers_a_level(
    tight: list[int], worse_days: int, step: int, p_fallen: float, surer: float, above: float, higher: float
):
    def level(extra: bool) -> int:
        month = quiet_month()
        for back, value in enumerate(tight):  # tighter on the last days, up to today
            month[-1 - back]["hamstring_tightness_l"] = min(10, value + step * (extra and back < worse_days))
        sure = p_fallen + (1 - p_fallen) * surer * extra
        return RANK[family(flag(
            checkins=month,
            tests=[LOST | {"p_fallen": sure, "p_fallen_before": sure}],
            weeks=[WEEKS[0], WEEKS[1] | {"above_z": above + higher * extra}],
        ), "state")["level"]]  # fmt: skip

    assert level(True) >= level(False)


@examples(15, suppress_health_check=[HealthCheck.too_slow])
@given(
    no_checkin=st.booleans(), no_tests=st.booleans(), no_weeks=st.booleans(), thin=st.booleans(), unknown=st.booleans()
)
def test_what_is_not_known_is_never_quiet(no_checkin: bool, no_tests: bool, no_weeks: bool, thin: bool, unknown: bool):
    flags = flag(
        checkins=[] if no_checkin else quiet_month(days=10 if thin else 40),
        tests=[] if no_tests else [row | ({"p_fallen": None} if unknown else {}) for row in EVEN],
        weeks=[] if no_weeks else [row | ({"above_z": None, "expected_metres_90": None} if unknown else {})
                                   for row in WEEKS],
    )  # fmt: skip
    states = {name: family(flags, name)["state"] for name in ("capacity", "exposure", "state")}
    assert states == {
        "capacity": "cannot_say" if no_tests or unknown else "quiet",
        "exposure": "cannot_say" if no_weeks or unknown else "quiet",
        "state": "cannot_say" if no_checkin or thin else "quiet",
    }
    assert family(flags, "state")["level"] == (
        "cannot_say"
        if states["state"] == "cannot_say" or sum(state == "cannot_say" for state in states.values()) >= 2
        else "none"
    )
