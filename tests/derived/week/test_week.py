"""The weekly sheet and the sentences over it."""

import datetime as dt
import math
from typing import Any

import polars as pl
import pytest

from pipelines.derived.hamstring.flag import hamstring_flag
from pipelines.derived.readiness.call import readiness_day, readiness_reason
from pipelines.derived.readiness.checkin_answers import checkin_answer
from pipelines.derived.start.focus_words import WORKS
from pipelines.derived.start.progress import start_progress
from pipelines.derived.week.advice import advice, advised_work
from pipelines.derived.week.lines import add_load_missing
from pipelines.derived.week.sheet import squad_week, week_sheet
from pipelines.questions.week import lede_of
from schemas.derived.noise import StartNoise
from schemas.derived.progress import StartTrend
from schemas.derived.shift import StartShift
from schemas.derived.week import SquadWeek, WeekSheet
from tests.derived.common.review_frames import AS_OF, SETTINGS, athletes, day, frame, quiet_month

ALL_ENTERED = pl.DataFrame(schema={"kind": pl.String, "place": pl.Int64, "words": pl.String})
NO_LOAD_DAY = pl.DataFrame(schema={"athlete_id": pl.String, "day_on": pl.Date, "reason": pl.String})
THIS_WEEK = day(6)  # Monday 16 November
LAST_WEEK = day(13)
TREND_SCHEMA: dict[str, Any] = {name: column.dtype.type for name, column in StartTrend.to_schema().columns.items()}
KIND = {
    "metric": "t_10_s", "start_kind": "blocks", "clock_start": "first_movement", "timing_kind": "electronic",
    "measured_by": "gate", "age_group": "adult",
}  # fmt: skip
SPREAD = {"typical_error": 0.01, "typical_error_freedom": 30, "day_form_sd": 0.002, "wave_sd": 0.0, "wave_high_sd": 0.0,
          "drift_sd_per_day": 0.002}  # fmt: skip
# By hand: one athlete leaves no spread, so 0.3 of the typical error of 0.01 s counts.
NOISE = {
    **KIND, "athletes": 1, "days": 8, **SPREAD, "typical_error_of": "such_runs", "fit_error": None,
    "neighbour_sd": 0.006, "swc": 0.003, "swc_basis": "hopkins_hewson_2001", "swc_reason": "swc_from_own_variation",
}  # fmt: skip
NO_SHIFT = pl.DataFrame(schema={name: column.dtype.type for name, column in StartShift.to_schema().columns.items()})


def trend(times: dict[int, float], name: str = "ann", error_s: float = 0.004) -> list[dict[str, Any]]:
    """A series of 10 m times by days back; the level is the day's own time, as if the error were nought."""
    return [
        {"athlete_id": name, **KIND, "set_up": "not_stated", "session_date": day(back), "reps": 3, "observed": time,
         "observed_se": error_s, "own_share": 1.0, "level": time, "level_se": error_s, "lower_95": time - 0.008,
         "upper_95": time + 0.008, **SPREAD}
        for back, time in times.items()
    ]  # fmt: skip


def sheet(
    checkins: list[dict[str, Any]],
    *,
    names: tuple[str, ...] = ("ann",),
    trends: list[dict[str, Any]] | None = None,
    weeks: list[dict[str, Any]] | None = None,
    focus: list[dict[str, Any]] | None = None,
    injuries: list[dict[str, Any]] | None = None,
    as_of: dt.date = AS_OF,
    people: pl.DataFrame | None = None,
) -> pl.DataFrame:
    asked: dict[str, Any] = {"settings": SETTINGS, "as_of": as_of}
    people = athletes(*names, sex="f") if people is None else people
    checkin, injury, load = (
        frame("checkin", *checkins),
        frame("injury", *(injuries or [])),
        frame("load_week", *(weeks or [])),
    )
    spring = frame("spring_state")
    answers = checkin_answer(checkin, **asked)
    reasons = readiness_reason(checkin, answers, injury, spring, load, people, **asked)
    flags = hamstring_flag(
        checkin, answers, injury, frame("strength_state"), frame("speed_exposure"), frame("work_week"),
        frame("start_pattern"), frame("plan"), frame("session"), people, **asked,
    )  # fmt: skip
    series = pl.DataFrame(trends or [], schema=TREND_SCHEMA, orient="row")
    noise = StartNoise.validate(pl.DataFrame([NOISE]).with_columns(pl.col("fit_error").cast(pl.Float64)))
    StartTrend.validate(series)
    days = readiness_day(reasons, checkin, answers, spring, people, **asked)
    proposed = frame("start_focus", *(focus or []))
    told = advice(days, reasons, flags, frame("return_ladder"), proposed, frame("plan"), people, as_of=as_of)
    work = advised_work(told, proposed, frame("body_measure"), as_of=as_of)
    rows = week_sheet(
        days,
        flags,
        start_progress(series, noise, NO_SHIFT, **asked),
        series,
        noise,
        NO_SHIFT,
        load,
        NO_LOAD_DAY,
        told,
        work,
        **asked,
    )
    WeekSheet.validate(rows)
    SquadWeek.validate(squad_week(rows, ALL_ENTERED))
    return rows


def row(rows: pl.DataFrame, week_of: dt.date = THIS_WEEK, name: str = "ann") -> dict[str, Any]:
    return rows.filter((pl.col("week_of") == week_of) & (pl.col("athlete_id") == name)).row(0, named=True)


def test_one_row_per_athlete_and_week_the_last_is_the_running_one():
    rows = sheet(quiet_month())
    # 56 days to Sunday 22 November: eight whole weeks
    assert rows["week_of"].to_list() == [day(6 + 7 * back) for back in range(7, -1, -1)]
    assert row(rows)["day_on"] == AS_OF
    wednesday = day(4)
    running = sheet(quiet_month(), as_of=wednesday)
    assert row(running)["day_on"] == wednesday
    assert row(running, LAST_WEEK)["day_on"] == day(7)


def test_calls_and_reasons_stand_as_on_the_day_of_the_week():
    month = quiet_month(hamstring_tightness_l=6, soreness=2)
    month[-2]["hamstring_tightness_l"] = month[-3]["hamstring_tightness_l"] = 5
    rows = sheet(month)
    now = row(rows)
    assert now["training_call"] == "talk_first"
    assert now["focus_headline"] == "No maximal runs before the talk"
    assert now["training_reason"] == "left hamstring tight 6 of 10, third day; own usual 1"
    assert now["training_more"] == 1
    assert now["hamstring_level"] == "one_family"
    assert now["hamstring_reason"] == "left hamstring tight 6 of 10, third day; own usual 1"
    assert now["hamstring_words"] == "watch: tightness"
    assert now["changed"] == "talk first, last week as planned; hamstring, new: tightness"
    assert row(rows, LAST_WEEK)["training_call"] == "as_planned"
    assert row(rows, LAST_WEEK)["training_reason"] is None


def test_several_families_are_named_and_no_data_says_where():
    month = quiet_month(hamstring_tightness_l=6)
    back = {"athlete_id": "ann", "onset_on": day(60), "site": "hamstring", "side": "l", "stopped_training": True,
            "returned_on": day(40)}  # fmt: skip
    now = row(sheet(month, injuries=[back]))
    assert now["hamstring_words"] == "watch: injury and tightness"
    assert now["hamstring_reason"] == "week 6 since return, left hamstring; left hamstring tight 6 of 10; own usual 1"
    assert now["hamstring_reads_injury"]
    silent = row(sheet([]))
    assert (silent["hamstring_level"], silent["hamstring_reason"]) == (
        "cannot_say",
        "not known: strength, fast running, tightness",
    )


def test_no_checkin_is_told_with_its_days():
    rows = sheet(quiet_month(until=4))
    now = row(rows)
    assert (now["training_call"], now["training_reason"]) == ("no_call", "no check-in for 4 days")
    assert (now["checkin_gap_days"], now["training_more"]) == (4, 0)
    assert now["focus_headline"] == "Ask for a check-in"
    assert row(sheet([]))["training_reason"] == "no check-in yet"
    assert row(sheet([]))["checkin_gap_days"] is None


BEFORE = dict.fromkeys(range(48, 84, 7), 1.95)
FASTER = BEFORE | {41: 1.95, 34: 1.94, 27: 1.94, 20: 1.92, 13: 1.90, 6: 1.88, 2: 1.87}


def test_six_weeks_of_level_stand_in_a_line_with_the_noise_band():
    rows = sheet(quiet_month(), trends=trend(FASTER))
    now = row(rows)
    # Mondays 12 Oct (41 days back) to 16 Nov; two sessions in the last week, the later one (1.87) stands
    assert now["trend_points"] == [1.95, 1.94, 1.94, 1.92, 1.90, 1.87]
    # band: reference level -+ mdc, mdc = 1.96 sqrt 2 x 0.01 = 0.0277
    width = [high - low for low, high in zip(now["trend_low"], now["trend_high"], strict=True)]
    assert width == pytest.approx([2 * 1.96 * math.sqrt(2) * 0.01] * 6, abs=1e-4)
    assert now["progress_word"] == "improving"
    assert now["progress_metric"] == "t_10_s"
    # by hand: 1.95 before; in the last 28 days 1.94, 1.92, 1.90, 1.88 and 1.87, the last two drawn in to 1.89 - 0.008
    # (median of the last four less two day SDs): mean 1.9048, 45 ms faster; 1.96 x 0.004 sqrt(1/5 + 1/6) = 4.7 ms.
    assert now["progress_sentence"].startswith("45 ms faster at 10 m, ± 5; worthwhile, ")
    assert now["progress_sentence"].endswith("% sure")


def test_weeks_without_a_session_leave_a_gap_in_the_line():
    now = row(sheet(quiet_month(), trends=trend({41: 1.95, 20: 1.92, 6: 1.88})))
    assert now["trend_points"] == [1.95, None, None, 1.92, None, 1.88]


def test_progress_of_a_week_gone_by_is_compared_from_its_own_days():
    times = BEFORE | dict.fromkeys((41, 34, 27, 20, 13), 1.95) | {6: 1.94, 4: 1.94, 3: 1.93, 2: 1.92}
    rows = sheet(quiet_month(), trends=trend(times))
    assert row(rows)["progress_word"] == "improving"
    assert row(rows, LAST_WEEK)["progress_word"] != "improving"
    assert "start improving, " in row(rows)["changed"]
    early = row(rows, day(6 + 7 * 7))
    assert (early["progress_word"], early["progress_sentence"][:15]) == ("not_clear", "Cannot tell yet")


def test_a_change_that_rounds_to_nought_has_no_sign_and_holding_is_no_news():
    level = BEFORE | {41: 1.951, 34: 1.95, 27: 1.95, 20: 1.95, 13: 1.95, 6: 1.95, 2: 1.95}
    rows = sheet(
        quiet_month(days=75),
        names=("ann", "bob"),
        trends=[*trend(level), *trend({k: v + 0.2 for k, v in level.items()}, "bob")],
    )
    now = row(rows)
    assert now["progress_sentence"].startswith("0 ms at 10 m, ± ")
    assert now["progress_word"] in ("holding", "not_clear")
    assert now["changed"] is None


def test_an_athlete_without_starts_has_no_word_and_no_line():
    now = row(sheet(quiet_month()))
    assert [now[name] for name in ("progress_word", "progress_sentence", "trend_points", "trend_low")] == [None] * 4


def load(back: int, load_au: float | None, high: float | None = 2400.0) -> dict[str, Any]:
    return {"athlete_id": "ann", "week_of": day(6 + 7 * back), "load_au": load_au, "own_low_au": 1500.0,
            "own_high_au": high, "change_percent": 20.0, "expected_au": 1900.0,
            "above_z": 4.0 if load_au == 2500.0 else None if load_au is None else 0.0}  # fmt: skip


def test_six_weeks_of_load_keep_their_gaps_and_the_own_range():
    loads = [load(5, 2000.0), load(4, 2100.0), load(3, None), load(2, 1900.0), load(1, 2000.0), load(0, 2500.0)]
    now = row(sheet(quiet_month(), weeks=loads))
    assert now["load_points"] == [2000, 2100, None, 1900, 2000, 2500]
    assert (now["load_low"], now["load_high"], now["load_above"]) == (1500, 2400, True)
    assert now["training_reason"] == "week load 2500 AU, 1900 to be expected by plan and own weeks"


def test_load_above_is_unknown_when_either_is():
    assert row(sheet(quiet_month(), weeks=[load(1, 2000.0), load(0, None)]))["load_above"] is None
    assert row(sheet(quiet_month(), weeks=[load(0, 9000.0, None)]))["load_above"] is None
    assert row(sheet(quiet_month(), weeks=[load(0, 2000.0)]))["load_above"] is False
    assert row(sheet(quiet_month()))["load_points"] is None


def test_focus_is_the_first_one_proposed():
    focus = [{"athlete_id": "ann", "week_of": THIS_WEEK, "rank": rank, "limit": limit, "why": "Because.",
              **vars(WORKS[limit])} for rank, limit in ((2, "set_too_low"), (1, "set_too_high"))]  # fmt: skip
    now = row(sheet(quiet_month(), focus=focus))
    assert (now["focus_headline"], now["focus_caution"]) == ("Lower the set position", "Change one thing at a time.")
    bare = row(sheet(quiet_month()))
    assert (bare["focus_headline"], bare["focus_caution"]) == ("Train as planned", None)


def test_exceptions_stand_first():
    checkins = [
        *quiet_month("calm"), *quiet_month("sore", soreness=2), *quiet_month("tight", hamstring_tightness_l=6),
    ]  # fmt: skip
    rows = sheet(checkins, names=("calm", "silent", "sore", "tight"))
    last = rows.filter(pl.col("week_of") == THIS_WEEK).sort("loudness", descending=True)
    assert last["athlete_id"].to_list() == ["tight", "sore", "silent", "calm"]


def test_nothing_changed_says_nothing():
    rows = sheet(quiet_month(days=75))  # the first of 56 days has its 14 own answers before it
    assert rows["changed"].null_count() == rows.height


def test_a_note_that_names_the_hamstring_stands_on_the_sheet_and_changes_no_level():
    month = quiet_month()
    month[-3]["note"] = "hamstring pulled a little"
    noted, calm = row(sheet(month)), row(sheet(quiet_month()))
    assert (noted["read_note_on"], calm["read_note_on"]) == (day(2), None)
    assert noted["hamstring_level"] == calm["hamstring_level"]


def test_an_empty_squad_gives_an_empty_sheet_and_no_squad_row():
    rows = sheet([], people=athletes())
    assert rows.height == 0
    assert squad_week(rows, ALL_ENTERED).height == 0


def test_squad_row_counts_the_calls():
    checkins = [*quiet_month("calm"), *quiet_month("sore", soreness=2), *quiet_month("tight", hamstring_tightness_l=6)]
    rows = sheet(checkins, names=("calm", "silent", "sore", "tight"), trends=trend(FASTER, "calm"))
    last = squad_week(rows, ALL_ENTERED).row(-1, named=True)
    names = ("athletes", "as_planned", "adapt", "talk_first", "cannot_say", "no_call")
    assert [last[name] for name in names] == [4, 1, 1, 1, 0, 1]
    assert (last["starts_judged"], last["improving"], last["slipping"]) == (1, 1, 0)
    assert last["lede"] == (
        "One of four is as planned. One wants a change, one a talk before they run, and one has not reported. "
        "One has a hamstring to watch; of three nothing can be said. "
        "One start is faster than measurement noise can explain."
    )
    # the page asks about the lines it shows, by the same rule: all of them give the board's sentence
    shown = rows.filter(pl.col("week_of") == last["week_of"]).to_dicts()
    assert lede_of(shown) == last["lede"]
    assert lede_of([row for row in shown if row["training_call"] == "adapt"]).startswith(
        "The one athlete on the sheet wants a change."
    )


def test_no_known_week_of_load_says_what_it_lacks():
    # the sheet of Wednesday 18 November: the last week that is over began on the 9th
    rows = pl.DataFrame({
        "athlete_id": ["ann", "bea", "cleo"], "week_of": [dt.date(2026, 11, 16)] * 3,
        "day_on": [dt.date(2026, 11, 18)] * 3, "load_points": [None, None, [None, 900.0]],
    }, schema_overrides={"load_points": pl.List(pl.Float64)})  # fmt: skip
    reasons = ["day_not_logged", None, "day_not_logged", "session_without_effort", None, None, "day_not_logged"]
    days = pl.concat(
        pl.DataFrame({"athlete_id": who, "day_on": [dt.date(2026, 11, 9 + n) for n in range(7)], "reason": reasons})
        for who in ("ann", "cleo")
    )
    days = pl.concat([days, days.with_columns(pl.col("day_on").dt.offset_by("-7d"))])
    told = add_load_missing(rows, days)["load_missing"].to_list()
    assert told == ["last week: 3 days not entered (rest days too), 1 day without effort", None, None]
