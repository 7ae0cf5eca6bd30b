"""Flags in hindsight: what was known when, the counting rules, and what chance alone finds."""

import datetime as dt
from typing import Any

import numpy as np
import polars as pl
import pytest
from scipy import stats
from statsmodels.stats.proportion import proportion_confint

from pipelines.board.computing import checked
from pipelines.derived.common.entered import add_known
from pipelines.derived.hamstring.flag import hamstring_flag
from pipelines.derived.hindsight.backtest import compute_chance, draw_athletes, flag_backtest
from pipelines.derived.hindsight.replay import flag_backtest_week
from schemas.derived.backtest import FlagBacktest, FlagBacktestWeek
from schemas.settings import version_of
from tests.derived.common.review_frames import AS_OF, SETTINGS, athletes, day, frame

SUNDAY = dt.date(2026, 11, 15)  # the last review evening with its seven days over by AS_OF, Sunday 22 November
WEEK = dt.timedelta(days=7)
ENTRY = {
    "table_name": pl.String,
    "athlete_id": pl.String,
    "day_on": pl.Date,
    "entered_on": pl.Date,
    "load_no": pl.Int64,
}


def entries(*rows: tuple[str, dt.date, dt.date], name: str = "ann") -> pl.DataFrame:
    return pl.DataFrame([(t, name, d, e, 1) for t, d, e in rows], schema=ENTRY, orient="row")


def decisions(*rows: tuple[str, dt.date, str, str, dt.datetime | None]) -> pl.DataFrame:
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


def injury(onset: dt.date, returned: dt.date | None = None, **more: Any) -> dict[str, Any]:
    return {"athlete_id": "ann", "onset_on": onset, "site": "hamstring", "side": "l", "stopped_training": True,
            "returned_on": returned, **more}  # fmt: skip


# --- which weeks, and what counts ---


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
        frame("strength_state"), runs, frame("work_week"), frame("start_pattern"), frame("plan"), athletes(*names),
        settings=window, as_of=AS_OF,
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
        ("training", "adapt", SUNDAY + dt.timedelta(days=3), False),  # on the day of the injury or later
    ],
)
def test_acted_is_a_change_before_any_onset(topic: str, call: str, at: dt.date, acted: bool):
    decided = ("ann", SUNDAY - dt.timedelta(days=6), topic, call, dt.datetime.combine(at, dt.time(18)))
    weeks = weeks_of(usual(tight={SUNDAY: 6}), decision=[decided], injury=[injury(SUNDAY + dt.timedelta(days=3))])
    assert one(weeks, SUNDAY)["acted"] is acted
    rows = {r["rule"]: r for r in counted(weeks).iter_rows(named=True)}
    assert (rows["acted_on"]["hits"], rows["not_acted_on"]["hits"]) == ((1, 0) if acted else (0, 1))
    assert rows["acted_on"]["missed"] is None
    assert rows["acted_on"]["without_injury"] is None


# --- the counts ---


def judged_weeks(cells: list[tuple[int, int, int, int]], acted: bool = False) -> pl.DataFrame:
    """Return weeks with hits, false flags, missed and quiet of each athlete."""
    rows = []
    for number, (hits, false_flags, missed, quiet) in enumerate(cells):
        kinds = [(True, True)] * hits + [(True, False)] * false_flags + [(False, True)] * missed
        kinds += [(False, False)] * quiet
        for week, (flagged, followed) in enumerate(kinds):
            monday = dt.date(2025, 1, 6) + WEEK * week
            rows.append((f"a-{number:02d}", monday, flagged, monday if followed else None))
    names = {"athlete_id": pl.String, "week_of": pl.Date, "flagged": pl.Boolean, "injured_on": pl.Date}
    return pl.DataFrame(rows, schema=names, orient="row").with_columns(
        judged_on=pl.col("week_of") - pl.duration(days=1),
        level=pl.when("flagged").then(pl.lit("one_family")).otherwise(pl.lit("none")),
        families=pl.when("flagged").then(pl.lit("state")),
        flagged_without_budget=pl.col("flagged"),
        history_flagged=pl.lit(value=False),
        acted=pl.lit(acted),
        outcome=pl.when(pl.col("flagged") & pl.col("injured_on").is_not_null())
        .then(pl.lit("hit"))
        .when("flagged")
        .then(pl.lit("false_flag"))
        .when(pl.col("injured_on").is_not_null())
        .then(pl.lit("missed"))
        .otherwise(pl.lit("quiet")),
        reason=pl.lit(None, pl.String),
    )


def counted(
    weeks: pl.DataFrame, injuries: list[dict[str, Any]] | None = None, entry_day: pl.DataFrame | None = None
) -> pl.DataFrame:
    told = weeks.drop_nulls("injured_on").select("athlete_id", "injured_on").rows()
    hurt = injuries if injuries is not None else [injury(on, athlete_id=name) for name, on in told]
    found = flag_backtest(
        weeks,
        frame("injury", *hurt),
        entries() if entry_day is None else entry_day,
        settings=SETTINGS,
        as_of=AS_OF,
    )
    return checked("flag_backtest", found, FlagBacktest)


def row_of(found: pl.DataFrame, rule: str = "flag_in_force") -> dict[str, Any]:
    return found.filter(rule=rule).row(0, named=True)


# 25 athletes x 40 weeks, 10 injuries in ten athletes: six hit, four missed; 198 false flags, 792 quiet.
# Own example; textbook definitions, values by hand: 10 x 7 + 8 x 13 + 12 x 2 = 198 false flags.
SEASON = [(1, 7, 0, 32)] * 6 + [(0, 7, 1, 32)] * 4 + [(0, 8, 0, 32)] * 13 + [(0, 8, 0, 32)] * 2
SEASON[-2:] = [(0, 12, 0, 28), (0, 12, 0, 28)]


def test_a_season_worked_by_hand():
    found = counted(judged_weeks(SEASON))
    flag = row_of(found)
    assert (flag["weeks"], flag["athletes"], flag["judged"], flag["injuries"]) == (40, 25, 1000, 10)
    assert (flag["hits"], flag["false_flags"], flag["missed"], flag["quiet"]) == (6, 198, 4, 792)
    assert flag["without_injury"] == 990  # 1000 - 10
    assert flag["sensitivity"] == 0.6  # 6 / 10
    assert flag["specificity"] == 0.8  # 792 / 990
    assert flag["ppv"] == pytest.approx(0.0294118, abs=1e-7)  # 6 / 204
    assert flag["lift"] == pytest.approx(2.941176, abs=1e-6)  # 0.0294118 / 0.01
    assert flag["false_per_hit"] == 33  # 198 / 6
    assert flag["flags_a_week"] == 5.1  # 204 / 40
    assert flag["reason"] is None
    assert flag["sentence"].startswith("In 40 weeks: 6 of 10 injuries were flagged (26 to 88 %")


def test_intervals_stand_beside_every_share():
    flag = row_of(counted(judged_weeks(SEASON)))
    # Wilson 1927, Clopper & Pearson 1934 (both from memory), and statsmodels
    for share, count, of in (("sensitivity", 6, 10), ("ppv", 6, 204), ("specificity", 792, 990)):
        for method, ours in (("wilson", "wilson"), ("beta", "exact")):
            low, high = proportion_confint(count, of, method=method)
            assert (flag[f"{share}_{ours}_low"], flag[f"{share}_{ours}_high"]) == pytest.approx((low, high), abs=1e-6)
        assert flag[f"{share}_athletes_low"] <= flag[share] <= flag[f"{share}_athletes_high"]
    assert (flag["ppv_exact_low"], flag["ppv_exact_high"]) == pytest.approx((0.010869, 0.062915), abs=1e-6)


def test_the_comparisons_over_the_same_weeks():
    found = counted(judged_weeks(SEASON))
    never, always, random = (row_of(found, rule) for rule in ("never", "always", "random"))
    assert (never["hits"], never["missed"], never["specificity"], never["ppv"]) == (0, 10, 1.0, None)
    assert (always["hits"], always["false_flags"], always["lift"]) == (10, 990, 1.0)
    # by hand: six injured athletes with 8 flags in 40 weeks, four with 7: 6 x 8 / 40 + 4 x 7 / 40 = 1.9 hits
    assert random["hits"] == pytest.approx(1.9)
    assert random["false_flags"] == pytest.approx(204 - 1.9)
    assert random["quiet"] + random["missed"] == pytest.approx(796)


def test_chance_is_the_distribution_of_all_shuffles():
    counts = np.array([(1, 7, 0, 32)] * 6 + [(0, 7, 1, 32)] * 4)
    expected, as_good = compute_chance(counts)
    # every athlete has one injury: a hit with probability flags / weeks. Poisson-binomial by scipy's binomials:
    # P(X + Y >= 6), X ~ Bin(6, 8/40), Y ~ Bin(4, 7/40)
    x, y = stats.binom(6, 0.2), stats.binom(4, 0.175)
    by_hand = sum(x.pmf(i) * y.pmf(j) for i in range(7) for j in range(5) if i + j >= 6)
    assert expected == pytest.approx(1.9)
    assert as_good == pytest.approx(by_hand)
    # two injuries of one athlete: hypergeometric, scipy
    assert compute_chance(np.array([(2, 3, 0, 15)]))[1] == pytest.approx(stats.hypergeom(20, 5, 2).sf(1))
    assert compute_chance(np.array([(0, 3, 0, 15)])) == (0.0, None)


def test_chance_agrees_with_flags_shuffled_one_by_one():
    rng = np.random.default_rng(11)
    counts = np.array([(2, 4, 1, 13), (1, 9, 1, 9), (0, 2, 1, 17)])
    shuffles = 20_000
    hits = np.zeros(shuffles)
    for hit, false_flags, missed, quiet in counts:
        total, flags = hit + false_flags + missed + quiet, hit + false_flags
        drawn = rng.random((shuffles, total)).argsort(axis=1) < flags
        hits += drawn[:, : hit + missed].sum(axis=1)
    # Monte Carlo: two standard errors of a share of 20,000 are at most 0.007
    assert compute_chance(counts)[1] == pytest.approx((hits >= 3).mean(), abs=0.01)
    assert compute_chance(counts)[0] == pytest.approx(hits.mean(), abs=0.03)


def simulated(rng: np.random.Generator, risk: float, times: float, athletes: int, weeks: int, rate: float):
    """Return counts of a season: flags at a rate of each athlete's own; an injury is ``times`` as likely after one."""
    rates = np.clip(rng.normal(rate, rate / 3, athletes), 0.02, 0.9)
    flags = rng.random((athletes, weeks)) < rates[:, None]
    hurt = rng.random((athletes, weeks)) < np.where(flags, times * risk, risk)
    cells = (flags & hurt, flags & ~hurt, ~flags & hurt, ~flags & ~hurt)
    return np.stack([cell.sum(axis=1) for cell in cells], axis=1)


def test_nothing_is_found_where_flags_and_injuries_have_nothing_to_do_with_each_other():
    rng = np.random.default_rng(5)
    seasons = 600
    found = [compute_chance(simulated(rng, 0.02, 1.0, 25, 40, 0.2))[1] for _ in range(seasons)]
    rate = np.mean([p is not None and p <= 0.05 for p in found])
    # a test of level 0.05 on counts is conservative; three standard errors above 0.05 are 0.077
    assert 0 < rate < 0.05 + 3 * np.sqrt(0.05 * 0.95 / seasons)


def test_shuffled_injuries_of_a_season_with_an_effect_are_found_no_more_often_than_stated():
    rng = np.random.default_rng(8)
    found = []
    for _ in range(400):
        counts = simulated(rng, 0.02, 4.0, 25, 40, 0.2)
        totals, flags, hurt = counts.sum(axis=1), counts[:, 0] + counts[:, 1], counts[:, 0] + counts[:, 2]
        hits = rng.hypergeometric(hurt, totals - hurt, flags)  # injuries dealt out anew within each athlete
        found.append(
            compute_chance(np.stack([hits, flags - hits, hurt - hits, totals - flags - hurt + hits], axis=1))[1]
        )
    assert np.mean(np.array(found) <= 0.05) < 0.05 + 3 * np.sqrt(0.05 * 0.95 / 400)


def test_a_planted_effect_is_found_at_the_stated_power():
    rng = np.random.default_rng(7)
    seasons, athletes, weeks, risk, rate, times = 300, 100, 120, 0.005, 0.2, 3.0
    found = np.mean(
        [compute_chance(simulated(rng, risk, times, athletes, weeks, rate))[1] <= 0.05 for _ in range(seasons)]
    )
    # stated: about 12,000 x (0.8 x 0.005 + 0.2 x 0.015) = 84 injuries, a share 0.6 / 1.4 = 0.43 of them flagged,
    # against 0.2 of all weeks. One-sample z test of a share, normal approximation (textbook):
    injuries, flagged = athletes * weeks * (0.8 * risk + 0.2 * times * risk), 3 * 0.2 / (3 * 0.2 + 0.8)
    spread0, spread1 = np.sqrt(0.2 * 0.8 / injuries), np.sqrt(flagged * (1 - flagged) / injuries)
    stated = stats.norm.sf((0.2 + 1.645 * spread0 - flagged) / spread1)
    assert stated > 0.99
    assert found > 0.97
    # with a tenth of the record, eight injuries, most such effects are missed: why under ten nothing is concluded
    small = np.mean([
        (compute_chance(simulated(rng, risk, times, 25, 48, rate))[1] or 1.0) <= 0.05 for _ in range(seasons)
    ])  # fmt: skip
    assert small < 0.6


def test_drawing_whole_athletes_is_wider_than_drawing_weeks_where_weeks_hang_together():
    # five athletes are flagged all year and carry all the injuries, twenty are never flagged
    counts = np.array([(2, 38, 0, 0)] * 5 + [(0, 0, 0, 40)] * 20)
    low, high = draw_athletes(counts)["specificity"]
    wilson = proportion_confint(800, 990, method="wilson")
    assert high - low > 3 * (wilson[1] - wilson[0])
    assert draw_athletes(counts) == draw_athletes(counts)  # the same record, the same interval


def test_the_bootstrap_interval_is_scipys():
    counts = np.array(SEASON)
    rows = (np.arange(len(counts)),)

    def sensitivity(drawn):
        taken = counts[drawn]
        return taken[:, 0].sum() / (taken[:, 0] + taken[:, 2]).sum()

    reference = stats.bootstrap(rows, sensitivity, n_resamples=2000, method="percentile", vectorized=False, rng=1)
    low, high = draw_athletes(counts)["sensitivity"]
    assert (low, high) == pytest.approx(tuple(reference.confidence_interval), abs=0.04)


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
