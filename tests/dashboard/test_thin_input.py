"""Bad and thin input, from the record to the page: each has its state and its sentence, and nothing is made up."""

import datetime as dt
from collections.abc import Callable
from html import unescape
from pathlib import Path
from typing import Any

import polars as pl
import pytest

from dashboard import wording
from dashboard.wording import returning
from pipelines import flow
from pipelines.board.derivation import WORDS, inputs_of
from pipelines.derived.hindsight.backtest import flag_backtest
from pipelines.derived.registry import derivations
from schemas.base import Table
from schemas.caveats import all_caveats
from schemas.derived.registry import derived_models
from schemas.records import RECORDS
from schemas.settings import SquadSettings
from tests.dashboard.conftest import ATHLETE, HEAD, html_of
from tests.dashboard.small_board import put_board, rows_of
from tests.dashboard.test_hindsight import board_with, weeks

CAVEATS = all_caveats()
AS_OF = dt.date(2026, 11, 22)  # a Sunday
MONDAY = AS_OF - dt.timedelta(days=6)
SETTINGS = SquadSettings()
SHOWN = (
    "readiness_day", "readiness_reason", "readiness_noise", "hamstring_flag", "load_day", "load_week",
    "speed_exposure", "work_week", "strength_state", "spring_state", "plan_done", "return_ladder",
)  # fmt: skip
QUIET = {"sleep_h": 8.0, "sleep_quality": 4, "fatigue": 4, "soreness": 4, "stress": 4, "mood": 4,
         "hamstring_tightness_l": 0, "hamstring_tightness_r": 0, "pain": 0, "ill": False}  # fmt: skip
Row = dict[str, Any]


def days(first: int, last: int = 0) -> list[dt.date]:
    """Return the days from so many days back to so many days back."""
    return [AS_OF - dt.timedelta(days=back) for back in range(first, last - 1, -1)]


def trained(who: str, on: list[dt.date], effort: float | None = 5.0, alike: bool = False) -> list[Row]:
    """Return one session a day; minutes rise through the week unless all days are alike."""
    return [
        {"athlete_id": who, "session_date": day, "session_no": 1, "kind": "tempo", "effort_0_10": effort,
         "duration_min": 60.0 if alike else 40.0 + 10 * day.weekday()}
        for day in on
    ]  # fmt: skip


def answered(who: str, on: list[dt.date]) -> list[Row]:
    """Return the same quiet check-in on every day."""
    return [{"athlete_id": who, "checked_on": day, **QUIET} for day in on]


def hurt(who: str, onset: int, returned: int | None, side: str = "l") -> Row:
    """Return a hamstring injury from so many days back."""
    return {
        "athlete_id": who, "onset_on": AS_OF - dt.timedelta(days=onset), "site": "hamstring", "side": side,
        "stopped_training": True, "returned_on": None if returned is None else AS_OF - dt.timedelta(days=returned),
    }  # fmt: skip


def record() -> dict[str, list[Row]]:
    """Return the rows of the ten cases, an athlete each."""
    who = ("silent", "week", "same", "effortless", "away", "overlap", "backwards", "minor")
    born = {"minor": dt.date(2010, 5, 1)}
    long = days(83)
    return {
        "athlete": [
            {"athlete_id": i, "display_name": i.title(), "event_group": "short_sprints", "birth_date": born.get(i)}
            for i in who
        ],
        "session": [
            *trained("silent", long),
            *trained("week", days(6)),
            *trained("same", long, alike=True),
            *trained("effortless", days(83, 7)),
            *trained("effortless", days(6), effort=None),
            *trained("away", days(113, 30)),
            *trained("overlap", long),
            *trained("backwards", long),
            *trained("minor", long),
        ],
        "checkin": [
            *answered("week", days(6)),
            *answered("same", days(41)),
            *answered("effortless", days(41)),
            *answered("away", days(71, 30)),
            *answered("overlap", days(41)),
            *answered("backwards", days(41)),
            *answered("minor", days(41, 1)),
            {"athlete_id": "minor", "checked_on": AS_OF, **QUIET, "pain": 4, "pain_site": "left hamstring"},
        ],
        "injury": [hurt("overlap", 20, None), hurt("overlap", 12, None, side="r"), hurt("backwards", 10, 15)],
    }  # fmt: skip


def framed(rows: dict[str, list[Row]]) -> dict[str, pl.DataFrame]:
    """Return every record table with its model's columns; what a row does not say is null."""
    frames = {}
    for name, model in RECORDS.items():
        types = {column: found.dtype.type for column, found in model.to_schema().columns.items()}
        frames[name] = pl.DataFrame([{c: row.get(c) for c in types} for row in rows.get(name, ())], schema=types)
    return frames


@pytest.fixture(scope="module")
def derived() -> dict[str, pl.DataFrame]:
    """Return the tables the pages read, each made by its own function from the ten cases."""
    frames = framed(record())
    models = derived_models()

    def made(name: str) -> pl.DataFrame:
        table = name.removesuffix("_settled")
        if table not in frames:
            model: type[Table] = models[table]
            given = {n: made(n) for n in inputs_of(derivations()[table]) if n not in WORDS}
            more = {"settings": SETTINGS, "as_of": AS_OF}
            wanted = {n: more[n] for n in inputs_of(derivations()[table]) if n in WORDS}
            frames[table] = derivations()[table](**given, **wanted)
            model.validate(frames[table])
        return frames[table]

    for name in SHOWN:
        made(name)
    return {name: frames[name] for name in (*RECORDS, *SHOWN)}


@pytest.fixture(scope="module")
def thin_home(home: Path, derived: dict[str, pl.DataFrame], tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The board of the few with the ten in their place: no table holds a row of anybody else."""
    others = {name: rows_of(home, name, []) for name in derived_models() if name not in SHOWN}
    return put_board(tmp_path_factory.mktemp("thin"), home, {**others, **derived})


@pytest.fixture
def page_of(open_as: Callable, thin_home: Path) -> Callable[[str], str]:
    def opened(who: str) -> str:
        at = open_as(HEAD, "athlete", at_home=thin_home, athlete=who)
        assert not at.exception
        return unescape(html_of(at))

    return opened


def last(derived: dict[str, pl.DataFrame], table: str, who: str, day: str) -> Row:
    """Return the last row of an athlete."""
    rows: list[Row] = derived[table].filter(pl.col("athlete_id") == who).sort(day).to_dicts()
    return rows[-1]


def families(derived: dict[str, pl.DataFrame], who: str) -> dict[str, Row]:
    """Return today's families of an athlete."""
    here = derived["hamstring_flag"].filter((pl.col("athlete_id") == who) & (pl.col("day_on") == AS_OF))
    return {row["family"]: row for row in here.to_dicts()}


def test_no_checkins_at_all_is_no_call_and_cannot_say(derived, page_of):
    call = last(derived, "readiness_day", "silent", "day_on")
    assert (call["call"], call["reason"]) == ("no_call", "never_checked_in")
    assert families(derived, "silent")["state"]["state"] == "cannot_say"
    said = page_of("silent")
    assert "no call: no check-in yet" in said
    assert f"{wording.CANNOT_SAY}: {CAVEATS['no_recent_checkin']}" in said
    assert wording.NOTHING_UNUSUAL not in said


def test_one_week_of_data_has_no_usual_and_no_place_and_says_how_much_is_needed(derived, page_of):
    call = last(derived, "readiness_day", "week", "day_on")
    # seven answers, today left out of its own usual: six
    assert (call["call"], call["reason"]) == ("cannot_say", "thin_baseline")
    week = last(derived, "load_week", "week", "week_of")
    # 5 x (40 + 50 + ... + 100) = 5 x 490
    assert (week["load_au"], week["percentile"], week["own_low_au"], week["ratio_uncoupled"]) == (
        2450,
        None,
        None,
        None,
    )
    said = page_of("week")
    assert "6 own answers to compare with, 14 needed" in said
    assert wording.NOTHING_UNUSUAL not in said
    assert "needs 8 complete weeks without injury; there are 0" in said
    assert wording.RATIO_HIDDEN in said


def test_constant_answers_speak_of_nothing_and_equal_days_have_no_monotony(derived, page_of):
    answers = derived["readiness_reason"].filter(pl.col("athlete_id") == "same")
    assert answers.is_empty()
    week = last(derived, "load_week", "same", "week_of")
    # seven days of 5 x 60
    assert (week["load_au"], week["sd_au"], week["monotony"], week["strain_au"]) == (2100, 0, None, None)
    said = page_of("same")
    assert wording.NOTHING_UNUSUAL in said
    assert said.count(CAVEATS["days_all_equal"]) == 2  # beside monotony and beside strain


def test_a_nought_on_an_item_of_one_to_five_is_set_aside_with_its_sentence(open_as: Callable, tmp_path: Path):
    people = b"athlete_id,display_name\nann-vale,Ann Vale\n"
    flow.load_bytes(flow.Home(tmp_path), "people.csv", people, "coach", derive_after=False)
    at = open_as(HEAD, "data", at_home=tmp_path)
    rows = ["athlete_id,checked_on,fatigue,mood", "ann-vale,2026-11-20,0,4", "ann-vale,2026-11-21,4,4"]
    at.get("file_uploader")[0].set_value([("checkins.csv", "\n".join(rows).encode(), "text/csv")])
    at.run()
    assert not at.exception
    said = unescape(html_of(at))
    assert "2 rows would be stored. 1 cell would be set aside alone." in said  # the mood of that morning is kept
    assert "0 is outside 1 to 5. Only this cell is set aside. Check the number." in said


def test_sessions_without_effort_leave_the_week_at_least(derived, page_of):
    week = last(derived, "load_week", "effortless", "week_of")
    assert (week["load_au"], week["load_known_au"], week["days_known"]) == (None, None, 0)
    assert week["monotony"] is None
    assert last(derived, "load_day", "effortless", "day_on")["reason"] == "session_without_effort"
    said = page_of("effortless")
    assert "This week’s load is not known in full" in said
    assert CAVEATS["days_unknown"] in said


def test_a_month_away_is_unknown_not_nought(derived, page_of):
    week = last(derived, "load_week", "away", "week_of")
    assert (week["load_au"], week["days_known"], week["reason"]) == (None, 0, "days_unknown")
    work = last(derived, "work_week", "away", "week_of")
    assert (work["eccentric_hamstring_sets"], work["jump_contacts"], work["reason"]) == (
        None,
        None,
        "no_session_logged",
    )
    call = last(derived, "readiness_day", "away", "day_on")
    assert (call["call"], call["reason"]) == ("no_call", "no_checkin")
    said = page_of("away")
    assert "no call: no check-in for 30 days" in said
    assert "0 of 7 days known" in said
    assert CAVEATS["no_session_logged"] in said


def test_overlapping_injuries_are_each_told_once_and_keep_their_ladders(derived, page_of):
    reasons = derived["readiness_reason"].filter((pl.col("athlete_id") == "overlap") & (pl.col("day_on") == AS_OF))
    hurts = [row["sentence"] for row in reasons.to_dicts() if row["evidence_table"] == "injury"]
    assert len(hurts) == len(set(hurts)) == 2
    # weeks of 2, 9 and 16 Nov: each is one injury week, whichever injury it was
    marked = derived["load_week"].filter((pl.col("athlete_id") == "overlap") & pl.col("injury_week"))
    assert marked["week_of"].to_list() == [MONDAY - dt.timedelta(weeks=n) for n in (2, 1, 0)]
    said = page_of("overlap")
    assert said.count("not returned") >= 2
    assert said.count('class="ladder-state"') == 2
    assert wording.INJURY_WEEK in said


def test_a_return_before_the_onset_is_read_as_open_and_asks_to_be_mended(derived, page_of):
    call = last(derived, "readiness_day", "backwards", "day_on")
    assert call["call"] == "talk_first"
    flag = families(derived, "backwards")["history"]
    assert (flag["state"], flag["reason"], flag["lapses_on"]) == ("speaks", "return_before_onset", None)
    said = page_of("backwards")
    assert "its return day lies before the onset, mend the entry" in said
    assert wording.NO_END in said
    assert returning.LADDER_TITLE in said


def test_a_session_entered_three_weeks_late_is_missing_until_then_and_the_page_says_so(
    open_as: Callable, board_like: Callable[..., Path]
):
    judged = weeks(1, 4, 1, 20)
    entered = pl.DataFrame([
        {"table_name": "session", "athlete_id": "ann", "day_on": day, "load_no": number,
         "entered_on": day + dt.timedelta(days=21 if number == 1 else 0)}
        for number, day in enumerate([dt.date(2026, 6, 3), dt.date(2026, 6, 4)], start=1)
    ])  # fmt: skip
    injuries = pl.DataFrame(schema={"athlete_id": pl.String, "onset_on": pl.Date, "site": pl.String, "side": pl.String,
                                    "stopped_training": pl.Boolean, "returned_on": pl.Date})  # fmt: skip
    found = flag_backtest(judged, injuries, entered, settings=SETTINGS, as_of=AS_OF)
    told = found.filter(pl.col("rule") == "flag_in_force")["entered_sentence"].item()
    assert "1 of 2 entries came after their week was over; until then they count as missing." in told
    at = open_as(HEAD, "hindsight", at_home=board_like(flag_backtest=found, flag_backtest_week=judged))
    assert not at.exception
    assert "1 of 2 entries came after their week was over" in html_of(at).replace("\u202f", " ").replace("\xa0", " ")


def test_a_minor_gets_the_caution_where_somebody_acts_on_it(derived, page_of):
    call = last(derived, "readiness_day", "minor", "day_on")
    assert (call["call"], call["caution"] is not None) == ("talk_first", True)
    assert last(derived, "readiness_day", "overlap", "day_on")["caution"] is None  # no birth date, nothing assumed
    assert str(call["caution"]) in page_of("minor")


def test_nobody_gets_a_probability_of_injury():
    # A chance of a drop, a change or a squad's look back may be had; never one of an athlete's injury.
    for name, model in derived_models().items():
        for column, found in model.to_schema().columns.items():
            said = f"{column} {found.description or ''}".lower().replace("it is no chance of injury", "")
            assert not ("probab" in said and "injur" in said), f"{name}.{column}"
            assert "risk_score" not in column, f"{name}.{column}"
            assert "injury_risk" not in column, f"{name}.{column}"


def test_what_chance_alone_would_mark_is_told_to_coaches_and_to_no_athlete(open_as, thin_home, derived):
    noise = derived["readiness_noise"].row(0, named=True)
    # their answers never change but for what they complain of and tell: chance marks next to nothing
    assert noise["athletes"] > 0
    assert noise["expected_false_notes_per_day"] < 0.2
    told = wording.noise_told(noise)
    assert told in unescape(html_of(open_as(HEAD, "methods", at_home=thin_home)))
    assert told not in unescape(html_of(open_as(ATHLETE, "methods", at_home=thin_home)))


def test_what_may_be_incomplete_is_written_as_at_least():
    row = {"week_of": MONDAY, "reason": "jumps_unknown", "eccentric_hamstring_sets": 4, "jump_contacts": 30,
           "resisted_metres": 0.0, "sled_kg_metres": None}  # fmt: skip
    [told] = wording.kind_rows([row], [key for key, _ in wording.KIND_COLUMNS if key != "eccentric_gap_days"])
    # the lifting is known, the jumps are not; a nought and an unknown stay what they are
    assert told["eccentric_hamstring_sets"] == 4
    assert told["jump_contacts"] == "at least 30"
    assert (told["resisted_metres"], told["sled_kg_metres"]) == (0.0, None)


def test_the_week_is_told_against_plan_and_own_weeks():
    week = {"week_of": MONDAY, "load_au": 2300.0, "change_au": 300.0, "change_percent": 15.0, "percentile": 91.6667,
            "weeks_in_range": 12, "monotony": 1.0971, "strain_au": 2523.0, "ratio_uncoupled": 1.2,
            "reason": None}  # fmt: skip
    plan = {"planned_au": 2000.0, "load_au": 2300.0, "difference_au": 300.0, "difference_percent": 15.0,
            "planned_fast_metres": 120.0, "done_fast_metres": 90.0, "reason": None}  # fmt: skip
    told = {fact["what"]: (fact["value"], fact["note"]) for fact in wording.load_facts(week, plan, CAVEATS, 8)}
    assert told[wording.LOAD_PLACE] == ("92", "of 100; 12 own complete weeks of the last 52, injury weeks out")
    assert told[wording.MONOTONY][0] == "1.10"
    assert told[wording.RATIO] == ("1.20", wording.RATIO_NOTE)
    assert "fast metres 90 of 120 planned" in told[wording.LOAD_PLAN_DONE][1]


@pytest.mark.parametrize("opened", ["how_acted", "how_injuries"])
def test_acted_and_injuries_open_to_their_formula_and_rows(open_as, home, tmp_path, opened):
    at = open_as(HEAD, "hindsight", at_home=board_with(home, tmp_path, weeks(2, 15, 1, 60, acted=3)))
    before = html_of(at)
    at.session_state[opened] = True
    at.run()
    assert not at.exception
    assert html_of(at).count("Rows behind: flag backtest week") == before.count("Rows behind: flag backtest week") + 1
