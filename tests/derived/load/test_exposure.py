"""Fast running by week, against own best by the same timing. Times of the table: own example, by hand."""

import datetime as dt
from typing import Any

import polars as pl
import pytest

from pipelines.derived.load.exposure import speed_exposure
from schemas.derived.exposure import SpeedExposure
from tests.derived.load.work_frames import MONDAY, SETTINGS, checked, day, record, schema_of

NO_LOGS = record("day_log")

# date, metres, seconds of flying sections; own best 10.20 m/s comes from a run of 20.4 m in 2.00 s three weeks before.
NOTE = [
    (dt.date(2026, 2, 9), 20.4, 2.00),
    (dt.date(2026, 3, 2), 30, 3.34),  # 8.9820 m/s, 88.06 %
    (dt.date(2026, 3, 2), 30, 3.12),  # 9.6154, 94.27
    (dt.date(2026, 3, 5), 20, 2.05),  # 9.7561, 95.65
    (dt.date(2026, 3, 9), 30, 3.05),  # 9.8361, 96.43
    (dt.date(2026, 3, 9), 30, 3.09),  # 9.7087, 95.18
    (dt.date(2026, 3, 13), 30, 3.30),  # 9.0909, 89.13
]
FLYING = {"start_kind": "rolling", "clock_start": "first_gate", "timing_kind": "electronic"}


class Track:
    """Runs, their splits and their sessions, put together by the test."""

    def __init__(self) -> None:
        self.reps: list[dict[str, Any]] = []
        self.splits: list[dict[str, Any]] = []
        self.sessions: list[dict[str, Any]] = []

    def run(self, on: dt.date, gates: list[tuple[float, float]], **rep: Any) -> "Track":
        key = {"athlete_id": rep.pop("athlete_id", "ann"), "session_date": on, "session_no": 1}
        if key not in [{name: row[name] for name in key} for row in self.sessions]:
            self.sessions.append({**key, "kind": "top_speed"})
        key |= {"rep_no": sum(row["session_date"] == on for row in self.reps) + 1}
        self.reps.append(key | FLYING | rep)
        self.splits += [key | {"distance_m": metres, "elapsed_s": time} for metres, time in gates]
        return self

    def session(self, on: dt.date, **fields: Any) -> "Track":
        self.sessions.append({"session_date": on, **fields})
        return self

    def weeks(self, as_of: dt.date, logs: pl.DataFrame = NO_LOGS) -> pl.DataFrame:
        frames = record("split", *self.splits), record("rep", *self.reps), record("session", *self.sessions)
        return checked(SpeedExposure, speed_exposure(*frames, logs, record("plan"), settings=SETTINGS, as_of=as_of))


def note_runs() -> Track:
    track = Track()
    for on, metres, time in NOTE:
        track.run(on, [(metres, time)])
    return track


def test_exposure_of_the_note_at_16_march():
    weeks = note_runs().weeks(dt.date(2026, 3, 16))
    assert weeks["week_of"].to_list()[-3:] == [dt.date(2026, 3, 2), dt.date(2026, 3, 9), dt.date(2026, 3, 16)]
    first, second, now = (weeks.row(index, named=True) for index in (-3, -2, -1))
    # by the definitions, window 2 to 16 March: E90 = 4, E95 = 3, D90 = 110 m, D95 = 80 m, both gaps 7 days
    assert (first["efforts_90"], first["efforts_95"], first["metres_90"], first["metres_95"]) == (2, 1, 50, 20)
    assert (second["efforts_90"], second["efforts_95"], second["metres_90"], second["metres_95"]) == (2, 2, 60, 60)
    assert first["efforts_90"] + second["efforts_90"] == 4
    assert first["metres_95"] + second["metres_95"] == 80
    assert (now["gap_90_days"], now["gap_95_days"]) == (7, 7)
    assert now["last_95_on"] == dt.date(2026, 3, 9)
    # 30 / 3.05 = 9.8361 m/s, 9.8361 / 10.20 = 96.43 %
    assert second["fastest_share"] == pytest.approx(0.9643, abs=1e-4)
    assert second["best_speed_mps"] == pytest.approx(10.20)
    assert second["change_metres_95"] == 40


def test_gap_of_a_past_week_ends_on_its_sunday():
    weeks = note_runs().weeks(dt.date(2026, 3, 16))
    # week of 2 March: from Thursday 5 to Sunday 8; week of 9 March: from Monday 9 to Sunday 15
    assert weeks["gap_95_days"].to_list()[-3:] == [3, 6, 7]


def test_exactly_90_percent_counts():
    # 9.18 / 10.20 = 0.90 by hand; as floats it falls a hair short
    weeks = Track().run(MONDAY, [(20.4, 2.0)]).run(day(1), [(9.18, 1.0)]).weeks(day(1))
    assert weeks["efforts_90"].to_list() == [2]
    assert weeks["efforts_95"].to_list() == [1]


def test_a_run_counts_once_and_its_fast_sections_give_the_metres():
    block = {"start_kind": "blocks", "clock_start": "gun"}
    track = Track().run(MONDAY, [(10, 2.0), (20, 3.1), (30, 4.1), (40, 5.1), (50, 6.15)], **block)
    week = track.weeks(day(0)).row(0, named=True)
    # sections: 10 m in 1.10, 1.00, 1.00, 1.05 s -> 9.09, 10, 10, 9.52 m/s: shares .909, 1, 1, .952; the first 10 m
    # from blocks hold the reaction and are no section
    assert (week["efforts_90"], week["efforts_95"], week["metres_90"], week["metres_95"]) == (1, 1, 40, 30)


def test_own_best_is_up_to_and_including_that_day_and_twelve_months_back():
    track = Track().run(MONDAY, [(20, 2.0)]).run(day(364), [(20, 2.2)]).run(day(371), [(20, 2.2)])
    weeks = track.weeks(day(371))
    shares = dict(zip(weeks["week_of"], weeks["fastest_share"], strict=True))
    # the first day is its own best; 2.0 / 2.2 = 0.909 within 365 days; a week later the old best is out
    assert shares[MONDAY] == 1
    assert shares[day(364)] == pytest.approx(2.0 / 2.2)
    assert shares[day(371)] == 1


def test_hand_times_are_counted_as_not_judged_and_nothing_more():
    track = note_runs().run(dt.date(2026, 3, 10), [(30, 2.5)], timing_kind="hand")
    week = track.weeks(dt.date(2026, 3, 16)).row(-2, named=True)
    assert (week["efforts_95"], week["metres_95"], week["unclassified_efforts"]) == (2, 60, 1)
    assert week["best_speed_mps"] == pytest.approx(10.20)
    assert week["reason"] == "speed_unclassified"


def test_a_week_of_hand_times_only_is_unknown_not_nought():
    week = Track().run(MONDAY, [(30, 3.0)], timing_kind="hand").weeks(day(6)).row(0, named=True)
    assert (week["efforts_95"], week["metres_95"], week["gap_95_days"], week["timing_kind"]) == (None, None, None, None)
    assert (week["unclassified_efforts"], week["reason"]) == (1, "no_judged_speed")


def test_the_timing_most_runs_have_is_the_one_compared_within():
    track = note_runs().run(dt.date(2026, 3, 10), [(30, 2.6)], timing_kind="video")
    week = track.weeks(dt.date(2026, 3, 16)).row(-2, named=True)
    assert (week["timing_kind"], week["unclassified_efforts"]) == ("electronic", 1)
    assert week["best_speed_mps"] == pytest.approx(10.20)


def test_resisted_runs_and_false_starts_are_out():
    track = note_runs()
    track.run(dt.date(2026, 3, 10), [(30, 2.9)], resistance_kind="sled", resistance_load_kg=30)
    track.run(dt.date(2026, 3, 10), [(30, 2.9)], resistance_load_kg=30)
    track.run(dt.date(2026, 3, 10), [(30, 2.9)], resistance_kind="other")
    track.run(dt.date(2026, 3, 10), [(30, 2.9)], outcome="false_start")
    week = track.weeks(dt.date(2026, 3, 16)).row(-2, named=True)
    assert (week["efforts_95"], week["unclassified_efforts"]) == (2, 0)
    assert week["best_speed_mps"] == pytest.approx(10.20)


def test_sections_under_5_m_are_not_judged():
    # 4 m in 0.35 s would be 11.4 m/s; 0.01 s is 3 % of it
    week = Track().run(MONDAY, [(30, 3.0)]).run(MONDAY, [(4, 0.35)]).weeks(day(0)).row(0, named=True)
    assert week["best_speed_mps"] == pytest.approx(10)
    assert week["unclassified_efforts"] == 1


def test_never_seen_is_null_not_a_large_gap():
    track = Track().session(MONDAY, kind="strength", duration_min=60.0)
    week = track.weeks(day(6)).row(0, named=True)
    assert (week["gap_90_days"], week["gap_95_days"], week["last_95_on"]) == (None, None, None)
    assert week["efforts_95"] == 0


@pytest.mark.parametrize(
    ("kind", "minutes", "expected"),
    [
        ("strength", 60, 0),
        ("tempo", 40, 0),
        ("top_speed", 60, None),
        (None, 60, None),
        (None, 0, 0),
        ("race", None, None),
    ],
)
def test_nought_needs_a_week_whose_running_is_all_logged(kind, minutes, expected):
    # our own rule: a running session (or one of unknown kind) without its runs leaves the count unknown
    track = Track().session(MONDAY, kind=kind, duration_min=minutes)
    week = track.weeks(day(6)).row(0, named=True)
    assert (week["efforts_90"], week["metres_95"]) == (expected, expected)
    assert week["reason"] == (None if expected == 0 else "runs_not_timed")


def test_a_month_away_is_unknown_and_a_month_marked_complete_is_nought():
    away = note_runs().weeks(dt.date(2026, 4, 12))
    assert away["efforts_95"].to_list()[-4:] == [None] * 4
    assert away["reason"].to_list()[-1] == "no_session_logged"
    logs = record("day_log", *({"logged_on": day(14 + after), "is_complete": True} for after in range(21)))
    closed = note_runs().weeks(dt.date(2026, 4, 5), logs)
    assert closed["efforts_95"].to_list()[-3:] == [0, 0, 0]
    # Sunday 5 April is 27 days after Monday 9 March
    assert closed["gap_95_days"].to_list()[-1] == 27


def test_usual_metres_need_eight_earlier_weeks_with_running():
    track = Track()
    for week in range(9):
        track.run(day(7 * week), [(10 * (week + 1), week + 1.0)])  # always 10 m/s: 10, 20, .. 90 m at own best
    weeks = track.weeks(day(7 * 8 + 6))
    assert weeks["usual_metres_95_low"].is_null().to_list() == [True] * 8 + [False]
    # eight weeks 10..80 m, linear quantiles: 10 % at place 0.7 -> 17 m; 90 % at 6.3 -> 73 m
    assert weeks["usual_metres_95_low"][8] == pytest.approx(17)
    assert weeks["usual_metres_95_high"][8] == pytest.approx(73)


def test_a_best_from_few_days_says_so():
    weeks = note_runs().weeks(dt.date(2026, 3, 16))
    reasons = dict(zip(weeks["week_of"], weeks["reason"], strict=True))
    assert reasons[dt.date(2026, 2, 9)] == "best_not_settled"
    assert reasons[dt.date(2026, 3, 9)] is None


def test_starts_alone_hold_no_top_speed_and_say_so():
    # common practice, no source: top speed is seldom reached within 40 m of a standing start
    block = {"start_kind": "blocks", "clock_start": "gun"}
    starts = Track().run(MONDAY, [(10, 2.0), (20, 3.1), (30, 4.1)], **block)
    assert starts.weeks(day(6))["reason"].to_list() == ["best_from_start"]
    assert starts.run(day(1), [(30, 2.9)]).weeks(day(6))["reason"].to_list() == ["best_from_start"]
    # from the first flying run on, later weeks have a reference
    weeks = starts.run(day(8), [(10, 2.0), (20, 3.1)], **block).run(day(9), [(10, 2.0)], **block).weeks(day(13))
    assert weeks["reason"].to_list()[-1] != "best_from_start"


def test_runs_after_the_day_looked_from_are_not_seen():
    assert note_runs().weeks(dt.date(2026, 3, 5))["gap_95_days"][-1] == 0
    assert note_runs().weeks(dt.date(2026, 3, 4))["last_95_on"][-1] == dt.date(2026, 2, 9)


def test_athletes_keep_their_own_best():
    track = note_runs().run(dt.date(2026, 3, 10), [(20, 2.5)], athlete_id="bo")
    weeks = track.weeks(dt.date(2026, 3, 16))
    bo = weeks.filter(pl.col("athlete_id") == "bo").row(0, named=True)
    assert (bo["best_speed_mps"], bo["efforts_95"]) == (8, 1)
    assert weeks.filter(pl.col("athlete_id") == "ann")["efforts_95"].to_list()[-3:] == [1, 2, None]


def test_nothing_in_nothing_out():
    weeks = Track().weeks(MONDAY)
    assert weeks.is_empty()
    assert weeks.schema == pl.Schema(schema_of(SpeedExposure))


@pytest.mark.parametrize(
    ("between", "longest"),
    [
        ({"kind": "strength", "duration_min": 60.0}, 14),  # a week known to hold no fast running
        ({"kind": "top_speed", "duration_min": 60.0}, 7),  # its runs are not in the record: perhaps they were fast
    ],
)
def test_a_gap_over_a_week_that_nobody_measured_is_no_known_gap(between: dict[str, Any], longest: int):
    track = Track()
    for week in (*range(8), 9, 10):
        track.run(day(7 * week), [(20, 2.0)])
    track.session(day(7 * 8), **between)
    last = track.weeks(day(7 * 10 + 6)).tail(1).row(0, named=True)
    assert last["longest_gap_95_days"] == longest
