"""Flags in hindsight: what was known when, the counting rules, and what chance alone finds."""

import datetime as dt
from typing import Any

import numpy as np
import polars as pl
import pytest
from scipy import stats

from pipelines.board.computing import checked
from pipelines.derived.common.entered import add_known
from pipelines.derived.hamstring.flag import hamstring_flag
from pipelines.derived.hindsight.replay import flag_backtest_week
from schemas.derived.backtest import FlagBacktestWeek
from schemas.settings import version_of
from tests.derived.common.review_frames import AS_OF, SETTINGS, athletes, day, frame
from tests.derived.hindsight.backtest_frames import SEASON, WEEK, counted, entries, injury, judged_weeks, row_of

SUNDAY = dt.date(2026, 11, 15)  # the last review evening with its seven days over by AS_OF, Sunday 22 November


def decisions(*rows: tuple[str, dt.date, str, str | None, dt.datetime | None]) -> pl.DataFrame:
    names = ["athlete_id", "week_of", "topic", "call", "decided_at"]
    return pl.DataFrame(
        rows, schema=dict(zip(names, [pl.String, pl.Date, pl.String, pl.String, pl.Datetime("us")], strict=True)),
        orient="row",
    )  # fmt: skip


def checkin_row(on: dt.date, tight: int = 1, name: str = "ann") -> dict[str, Any]:
    return {"athlete_id": name, "checked_on": on, "sleep_h": 8.0, "sleep_quality": 4, "fatigue": 4, "soreness": 4,
            "stress": 4, "mood": 4, "hamstring_tightness_l": tight, "hamstring_tightness_r": 1, "pain": 0,
            "ill": False}  # fmt: skip


def usual(weeks: int = 10, tight: dict[dt.date, int] | None = None, name: str = "ann") -> list[dict[str, Any]]:
    """Check-ins of every day of so many weeks up to and with AS_OF; tight says on which days it was how tight."""
    days = [AS_OF - dt.timedelta(days=back) for back in range(7 * weeks - 1, -1, -1)]
    return [checkin_row(on, (tight or {}).get(on, 1), name) for on in days]


def known_runs(weeks: int = 10, name: str = "ann") -> pl.DataFrame:
    """Weeks of running within the own range, so that exposure is quiet and never lacks its data."""
    monday = AS_OF - dt.timedelta(days=6)
    rows = [monday - WEEK * back for back in range(weeks - 1, -1, -1)]
    return frame("speed_exposure", *(
        {"athlete_id": name, "week_of": on, "metres_95": 60.0, "metres_90": 80.0, "expected_metres_90": 80.0,
         "above_z": 0.0, **dict.fromkeys(("first_95_on", "last_95_on", "first_90_on", "last_90_on"),
                                         on + dt.timedelta(days=4)),
         "usual_metres_95_low": 40.0, "usual_metres_95_high": 90.0} for on in rows
    ))  # fmt: skip


def weeks_of(checkins: list[dict[str, Any]], **given: Any) -> pl.DataFrame:
    empty_session = pl.DataFrame(schema={"athlete_id": pl.String, "session_date": pl.Date})
    frames = {
        "entry_day": given.pop("entry_day", entries()),
        "checkin": frame("checkin", *checkins),
        "session": given.pop("session", empty_session),
        "injury": frame("injury", *given.pop("injury", [])),
        "plan": frame("plan", *given.pop("plan", [])),
        "decision": decisions(*given.pop("decision", [])),
        "strength_state": frame("strength_state"),
        "speed_exposure": given.pop("speed_exposure", known_runs()),
        "work_week": frame("work_week"),
        "athlete": given.pop("athlete", athletes("ann")),
    }
    assert not given
    found = flag_backtest_week(**frames, settings=SETTINGS, as_of=AS_OF)
    return checked("flag_backtest_week", found, FlagBacktestWeek)


def one(weeks: pl.DataFrame, sunday: dt.date) -> dict[str, Any]:
    return weeks.filter(judged_on=sunday).row(0, named=True)


def test_a_week_is_asked_on_the_sunday_before_and_only_when_it_is_over():
    # ten weeks of check-ins from Monday 14 September: Sundays 20 September to 15 November, nine of them. On the first
    # two fewer than 14 own answers stand before them, and there was never a test: two of three families cannot say.
    weeks = weeks_of(usual())
    assert weeks["judged_on"].to_list() == [dt.date(2026, 9, 20) + WEEK * n for n in range(9)]
    assert (weeks["week_of"] - weeks["judged_on"]).unique().to_list() == [dt.timedelta(days=1)]
    assert weeks["outcome"].to_list() == ["no_flag_possible"] * 2 + ["quiet"] * 7


@pytest.mark.parametrize(("after", "outcome"), [(0, "quiet"), (1, "hit"), (7, "hit"), (8, "false_flag")])
def test_an_injury_counts_when_it_comes_one_to_seven_days_after_the_flag(after: int, outcome: str):
    tight = {SUNDAY - WEEK: 6}
    weeks = weeks_of(usual(tight=tight), injury=[injury(SUNDAY - WEEK + dt.timedelta(days=after))])
    # on the evening itself the athlete is injured already: the week is left out and the week before was a miss
    expected = "left_out" if after == 0 else outcome
    assert one(weeks, SUNDAY - WEEK)["outcome"] == expected


def test_an_injury_is_counted_once_and_the_weeks_until_return_are_left_out():
    onset = SUNDAY - 3 * WEEK + dt.timedelta(days=3)
    again = injury(onset + dt.timedelta(days=9), None, side="r")
    weeks = weeks_of(usual(), injury=[injury(onset, onset + dt.timedelta(days=13)), again])
    assert one(weeks, SUNDAY - 3 * WEEK)["outcome"] == "missed"
    # the second begins while the first is open: it is not a second miss
    assert weeks.filter(pl.col("judged_on") > SUNDAY - 3 * WEEK)["outcome"].unique().to_list() == ["left_out"]
    told = row_of(counted(weeks, [injury(onset, onset + dt.timedelta(days=13)), again]))
    assert (told["injuries"], told["injuries_not_counted"], told["left_out"]) == (1, 1, 3)


def test_an_injury_trained_through_and_one_of_another_place_are_no_outcome():
    soon = SUNDAY + dt.timedelta(days=2)
    through, calf = injury(soon, None, stopped_training=False), injury(soon, None, site="calf")
    assert one(weeks_of(usual(), injury=[through]), SUNDAY)["outcome"] == "quiet"
    assert one(weeks_of(usual(), injury=[calf]), SUNDAY)["outcome"] == "quiet"
    # whether it stopped training is not said: it may have
    assert one(weeks_of(usual(), injury=[injury(soon, None, stopped_training=None)]), SUNDAY)["outcome"] == "missed"


def test_a_week_without_data_has_no_flag_and_counts_into_coverage():
    # nobody heard of the athlete for the last two evenings, and there was never a test
    quiet = [row for row in usual() if row["checked_on"] < SUNDAY - WEEK - dt.timedelta(days=3)]
    weeks = weeks_of(quiet)
    assert one(weeks, SUNDAY)["outcome"] == "no_flag_possible"
    assert one(weeks, SUNDAY)["flagged"] is None
    told = row_of(counted(weeks))
    # by hand: of nine evenings two have no check-in within two days, and two fewer than 14 own answers before them
    assert (told["judged"], told["no_flag_possible"], told["coverage"]) == (5, 4, 5 / 9)


def test_history_alone_is_a_known_injury_of_the_last_twelve_months():
    old = SUNDAY - dt.timedelta(days=365)
    weeks = weeks_of(usual(), injury=[injury(old, old + dt.timedelta(days=30))])
    assert one(weeks, SUNDAY)["history_flagged"] is True
    weeks = weeks_of(usual(), injury=[injury(old - dt.timedelta(days=1), old + dt.timedelta(days=30))])
    assert one(weeks, SUNDAY)["history_flagged"] is False
    assert one(weeks, SUNDAY - WEEK)["history_flagged"] is True


# --- what was known at the time ---


def test_a_row_entered_late_is_missing_until_it_was_entered():
    # tight on the evening of 8 November, and the check-in was typed in on the 10th
    tight, typed = SUNDAY - WEEK, SUNDAY - dt.timedelta(days=5)
    checkins = usual(tight={tight: 6})
    assert one(weeks_of(checkins), tight)["flagged"] is True
    in_time = entries(("checkin", tight, tight))
    assert one(weeks_of(checkins, entry_day=in_time), tight)["flagged"] is True
    late = entries(("checkin", tight, typed))
    assert one(weeks_of(checkins, entry_day=late), tight)["flagged"] is False


def test_an_injury_told_later_is_an_outcome_but_no_history_before_it_was_told():
    onset, told = SUNDAY - 4 * WEEK + dt.timedelta(days=2), SUNDAY - dt.timedelta(days=2)
    known = entries(("injury", onset, told))
    weeks = weeks_of(usual(), injury=[injury(onset, onset + dt.timedelta(days=6))], entry_day=known)
    assert one(weeks, SUNDAY - 4 * WEEK)["outcome"] == "missed"
    assert weeks.filter("history_flagged")["judged_on"].to_list() == [SUNDAY]
    # back within eight weeks: the family speaks, from the evening on which it was known
    assert weeks.filter("flagged").select("judged_on", "families").rows() == [(SUNDAY, "history")]


def test_a_week_of_runs_entered_late_is_unknown_on_its_evening():
    monday = SUNDAY - dt.timedelta(days=6)
    over = known_runs().with_columns(above_z=pl.when(pl.col("week_of") == monday).then(5.0).otherwise("above_z"))
    assert one(weeks_of(usual(), speed_exposure=over), SUNDAY)["families"] == "exposure"
    late = entries(("split", monday + dt.timedelta(days=4), SUNDAY + dt.timedelta(days=1)))
    # capacity lacks a test and exposure its week: cannot say
    assert one(weeks_of(usual(), speed_exposure=over, entry_day=late), SUNDAY)["outcome"] == "no_flag_possible"


def test_a_plan_counts_from_the_day_it_was_entered():
    ahead = [{"athlete_id": "ann", "planned_on": SUNDAY + dt.timedelta(days=3), "plan_no": 1, "kind": "top_speed"}]
    runs = known_runs().with_columns(
        metres_95=pl.lit(0.0),
        usual_metres_95_low=pl.lit(0.0),
        **dict.fromkeys(
            ("first_95_on", "last_95_on", "first_90_on", "last_90_on"), pl.lit(SUNDAY - dt.timedelta(days=20))
        ),
    )
    known = {on: entries(("plan", ahead[0]["planned_on"], on)) for on in (SUNDAY, SUNDAY + dt.timedelta(days=1))}
    flags = [one(weeks_of(usual(), plan=ahead, speed_exposure=runs, entry_day=e), SUNDAY) for e in known.values()]
    assert [flag["families"] for flag in flags] == ["exposure", None]


def test_a_past_entered_in_one_go_counts_from_its_own_days_and_says_so():
    loaded = AS_OF + dt.timedelta(days=3)
    days = [row["checked_on"] for row in usual()]
    known = add_known(entries(*(("checkin", on, loaded) for on in days)))
    assert known["known_on"].to_list() == days
    assert known["entered"].unique().to_list() == ["in_one_go"]
    tight = {SUNDAY: 6}
    weeks = weeks_of(usual(tight=tight), entry_day=entries(*(("checkin", on, loaded) for on in days)))
    assert one(weeks, SUNDAY)["flagged"] is True
    said = row_of(counted(weeks, entry_day=entries(*(("checkin", on, loaded) for on in days))))["entered_sentence"]
    assert said == (
        "It was all entered in one go on 25 Nov 2026: what was known at the time cannot be told; dates of the rows are "
        "used instead."
    )


def test_twenty_seven_past_days_on_one_day_are_late_and_twenty_eight_are_a_past_in_one_go():
    for count, entered in ((27, {"late", "at_the_time"}), (28, {"in_one_go"})):
        rows = entries(*(("checkin", day(back), AS_OF + dt.timedelta(days=1)) for back in range(count)))
        assert set(add_known(rows)["entered"]) <= entered
    # entered on the Monday after: its own week was over, so even the last day is late
    assert add_known(entries(("session", AS_OF, AS_OF + dt.timedelta(days=1))))["entered"].to_list() == ["late"]
    assert add_known(entries(("session", day(6), AS_OF)))["entered"].to_list() == ["at_the_time"]


def test_what_was_known_of_an_athlete_hangs_on_nobody_elses_rows():
    loaded = AS_OF + dt.timedelta(days=1)
    ann = entries(*(("checkin", day(back), loaded) for back in range(10)))
    bea = entries(*(("checkin", day(back), loaded) for back in range(60))).with_columns(athlete_id=pl.lit("bea"))
    together = add_known(pl.concat([ann, bea]))
    assert together.filter(athlete_id="ann").equals(add_known(ann))
    assert set(together.filter(athlete_id="bea")["entered"]) == {"in_one_go"}


def test_where_all_was_known_in_time_the_replay_is_the_flag_itself():
    rng = np.random.default_rng(3)
    names = ["ann", "bea", "cleo"]
    rows = [
        checkin_row(AS_OF - dt.timedelta(days=back), int(rng.choice([0, 1, 1, 2, 6])), name)
        for name in names for back in range(69, -1, -1) if rng.random() < 0.7
    ]  # fmt: skip
    runs = pl.concat([known_runs(name=name) for name in names]).with_columns(
        metres_95=pl.Series(rng.choice([0.0, 60.0, 120.0, np.nan], 30)).fill_nan(None)
    )
    hurt = [injury(SUNDAY - 5 * WEEK, SUNDAY - 4 * WEEK)]
    replayed = weeks_of(rows, speed_exposure=runs, injury=hurt, athlete=athletes(*names))
    from pipelines.derived.readiness.checkin_answers import checkin_answer

    window = SETTINGS.changed({"review_days": 70})
    checkin = frame("checkin", *rows)
    flags = hamstring_flag(
        checkin, checkin_answer(checkin, settings=window, as_of=AS_OF), frame("injury", *hurt),
        frame("strength_state"), runs, frame("work_week"), frame("start_pattern"), frame("plan"),
        frame("session"), athletes(*names), settings=window, as_of=AS_OF,
    ).filter(family="state")  # fmt: skip
    both = replayed.drop_nulls("level").join(
        flags.select("athlete_id", "level", judged_on="day_on"), on=["athlete_id", "judged_on"], suffix="_now"
    )
    assert both.height == replayed["level"].count() == 26  # 27 evenings, one of them with an injury open
    assert both["level"].to_list() == both["level_now"].to_list()
    assert both["level"].n_unique() > 2


def test_beside_the_flag_stands_the_one_without_a_budget_on_the_same_rows():
    # muscles 1 of 5 on one evening: a sign of its own once; it names no hamstring and none now
    sore = [row | ({"soreness": 1} if row["checked_on"] == SUNDAY else {}) for row in usual()]
    week = one(weeks_of(sore), SUNDAY)
    assert (week["flagged"], week["flagged_without_budget"]) == (False, True)
    calm = one(weeks_of(usual()), SUNDAY)
    assert (calm["flagged"], calm["flagged_without_budget"]) == (False, False)
    back = injury(SUNDAY - 4 * WEEK, SUNDAY - WEEK)
    both = one(weeks_of(usual(), injury=[back]), SUNDAY)
    assert (both["flagged"], both["flagged_without_budget"]) == (True, True)


# --- acting on a flag ---


@pytest.mark.parametrize(
    ("topic", "call", "at", "acted"),
    [
        ("training", "adapt", SUNDAY, True),
        ("training", "as planned", SUNDAY, False),
        ("training", "As planned ", SUNDAY, False),
        ("hamstring", "eccentric work twice", SUNDAY, True),
        ("hamstring", "one family", SUNDAY, False),  # the level was noted, nothing was changed
        ("start_work", "heavy sled twice", SUNDAY, False),
        ("training", None, SUNDAY, False),  # nothing was said of what is to be done
        ("training", "adapt", SUNDAY + dt.timedelta(days=3), False),  # on the day of the injury or later
    ],
)
def test_acted_is_a_change_before_any_onset(topic: str, call: str | None, at: dt.date, acted: bool):
    decided = ("ann", SUNDAY - dt.timedelta(days=6), topic, call, dt.datetime.combine(at, dt.time(18)))
    weeks = weeks_of(usual(tight={SUNDAY: 6}), decision=[decided], injury=[injury(SUNDAY + dt.timedelta(days=3))])
    assert one(weeks, SUNDAY)["acted"] is acted
    rows = {r["rule"]: r for r in counted(weeks).iter_rows(named=True)}
    assert (rows["acted_on"]["hits"], rows["not_acted_on"]["hits"]) == ((1, 0) if acted else (0, 1))
    assert rows["acted_on"]["missed"] is None
    assert rows["acted_on"]["without_injury"] is None


# --- thin input ---


def test_under_ten_injuries_nothing_can_be_concluded():
    three = [(1, 7, 0, 18)] * 2 + [(0, 7, 1, 18)] + [(0, 6, 0, 20)] * 22
    flag = row_of(counted(judged_weeks(three)))
    assert flag["sentence"] == "3 injuries in 26 weeks: nothing can be concluded."
    assert flag["reason"] == "too_few_injuries"
    # whole athletes drawn anew would look sure of themselves; the exact interval says how wide it is
    assert flag["sensitivity_athletes_low"] is None
    assert flag["sensitivity_exact_high"] - flag["sensitivity_exact_low"] > 0.8


def test_an_empty_record_says_so():
    weeks = weeks_of([], speed_exposure=frame("speed_exposure"))
    assert weeks.is_empty()
    found = counted(weeks)
    flag = row_of(found)
    assert flag["sentence"] == "No past week can be judged yet: nothing can be concluded."
    assert (flag["reason"], flag["entered_sentence"]) == ("no_weeks_to_judge", "Nothing has been entered yet.")
    assert flag["coverage"] is flag["ppv"] is flag["flags_a_week"] is flag["as_good_by_chance"] is None


def test_the_version_of_the_rule_is_named_and_changes_with_its_numbers():
    flag = row_of(counted(judged_weeks(SEASON)))
    assert flag["rule_version"].endswith(version_of(SETTINGS, "hamstring"))
    other = SETTINGS.changed({"exposure_gap_days": 14})
    assert version_of(other, "hamstring") != version_of(SETTINGS, "hamstring")


def test_the_flag_is_set_against_chance_and_the_weeks_are_named_from_the_first_to_the_last():
    found = counted(judged_weeks([(2, 1, 1, 6)]))
    # outside: scipy's hypergeometric numbers; ten weeks, three flags shuffled over three injuries, two hits or more
    chance = float(stats.hypergeom(10, 3, 3).sf(1))
    assert row_of(found)["as_good_by_chance"] == pytest.approx(chance)
    assert row_of(found, "always")["as_good_by_chance"] is None
    assert row_of(found)["first_week_of"] == dt.date(2025, 1, 6)
    assert row_of(found)["last_week_of"] == dt.date(2025, 3, 10)  # nine weeks on
