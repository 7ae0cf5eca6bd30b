"""What leaves a squad: only the allow-list, only who agreed, nothing by which anybody is named."""

import datetime as dt
import re

import polars as pl
import pytest

from pipelines.federation.share import consents_on, pseudonym, shared_frames
from schemas.records import RECORDS
from schemas.shared import SHARED
from schemas.shared.tables import AGE_BANDS, WEEK_ZERO
from seed_data.federation import people, squad_files, squad_key

DAY = dt.date(2026, 11, 20)


def consent(*rows: tuple[str, str, dt.date, dt.date | None]) -> pl.DataFrame:
    schema = {"athlete_id": pl.String, "topic": pl.String, "given_on": pl.Date, "withdrawn_on": pl.Date}
    return pl.DataFrame(rows, schema=schema, orient="row")


def test_a_pseudonym_is_the_published_hmac():
    # RFC 4231 (2005), test case 2: key "Jefe", data "what do ya want for nothing?", HMAC-SHA-256 5bdcc146bf60754e...
    assert pseudonym(b"Jefe", "what", "do ya want for nothing?") == "5bdcc146bf60754e6a042426"


def test_without_the_squads_secret_nobody_makes_its_pseudonyms():
    assert pseudonym(b"one", "coldmere", "a") != pseudonym(b"other", "coldmere", "a")
    assert pseudonym(b"one", "coldmere", "a") != pseudonym(b"one", "elmstrand", "a")


def test_no_row_is_no_consent_and_another_topic_is_no_sharing():
    given = dt.date(2026, 6, 1)
    assert consents_on(consent(), DAY).is_empty()
    assert consents_on(consent(("a", "health", given, None), ("a", "video", given, None)), DAY).is_empty()
    assert consents_on(consent(("a", "sharing", given, None)), DAY)["athlete_id"].to_list() == ["a"]


@pytest.mark.parametrize(
    ("given_on", "withdrawn_on", "stands"),
    [
        (dt.date(2026, 6, 1), dt.date(2026, 11, 21), True),  # taken back from tomorrow on
        (dt.date(2026, 6, 1), DAY, False),  # taken back today
        (dt.date(2026, 11, 21), None, False),  # not given yet
    ],
)
def test_a_consent_holds_from_the_day_it_is_given_until_the_day_it_is_taken_back(given_on, withdrawn_on, stands):
    assert consents_on(consent(("a", "sharing", given_on, withdrawn_on)), DAY).height == stands


def test_the_last_consent_counts_whatever_came_before():
    again = consent(("a", "sharing", dt.date(2026, 1, 1), dt.date(2026, 2, 1)), ("a", "sharing", DAY, None))
    gone = consent(("a", "sharing", dt.date(2026, 1, 1), None), ("a", "sharing", dt.date(2026, 2, 1), DAY))
    assert consents_on(again, DAY).height == 1
    assert consents_on(gone, DAY).height == 0


def test_flag_weeks_stay_where_the_consent_on_health_was_taken_back():
    given = dt.date(2026, 6, 1)
    rows = consents_on(consent(("a", "sharing", given, None), ("a", "health", given, DAY)), DAY)
    assert rows.to_dicts() == [{"athlete_id": "a", "shares_health": False}]
    shared = shared_frames("coldmere", b"secret", *one_squad(may=rows))
    assert shared["shared_run"].height == 1
    assert shared["shared_flag_week"].is_empty()


def one_squad(may: pl.DataFrame, **run: object) -> tuple[dict[str, pl.DataFrame], dict[str, pl.DataFrame]]:
    """Return a record and derived tables of one athlete with one run and one flag week."""
    key = {"athlete_id": "a", "session_date": DAY, "session_no": 1, "rep_no": 1}
    said = {"resistance_kind": None, "resistance_load_kg": None, "effort_percent": 100.0, "outcome": "completed"}
    profile = {"start_kind": "blocks", "clock_start": "gun", "timing_kind": "electronic", "t_10_s": 1.98765}
    rep = {**key, **{name: run.get(name, value) for name, value in said.items()}}
    kinds = {"resistance_kind": pl.String, "resistance_load_kg": pl.Float64}
    record = {
        "athlete": pl.DataFrame(
            {"athlete_id": ["a"], "sex": ["f"], "birth_date": [run.get("born", dt.date(2008, 2, 29))],
             "event_group": ["hurdles"], "display_name": ["Anwen Ashwater"]},
            schema_overrides={"birth_date": pl.Date},
        ),
        "rep": pl.DataFrame([rep], schema_overrides=kinds),
        "may_share": may,
    }  # fmt: skip
    derived = {
        "sprint_profile": pl.DataFrame([{**key, **profile, "trust": run.get("trust", "good")}]),
        "flag_backtest_week": pl.DataFrame(
            [{"athlete_id": "a", "week_of": dt.date(2026, 11, 9), "flagged": True, "history_flagged": False,
              "outcome": "hit"}]
        ),
    }  # fmt: skip
    return record, derived


ALL = pl.DataFrame({"athlete_id": ["a"], "shares_health": [True]})


def test_a_day_becomes_its_week_and_a_birth_date_its_band():
    row = shared_frames("coldmere", b"secret", *one_squad(ALL))["shared_run"].to_dicts()[0]
    assert WEEK_ZERO + dt.timedelta(weeks=row["week_no"]) == dt.date(2026, 11, 16)  # Monday of 20 November 2026
    assert (WEEK_ZERO + dt.timedelta(weeks=row["week_no"])).isocalendar()[:2] == DAY.isocalendar()[:2]
    assert AGE_BANDS[row["age_from"]] == "18 and 19"  # 18 since 1 March 2026
    assert row["t_10_s"] == 1.988


@pytest.mark.parametrize(
    ("born", "age_from"),
    [(dt.date(2008, 11, 20), 18), (dt.date(2008, 11, 21), 16), (dt.date(2011, 1, 1), 0), (dt.date(1980, 1, 1), 23)],
)
def test_a_band_begins_on_the_birthday(born, age_from):
    assert shared_frames("coldmere", b"s", *one_squad(ALL, born=born))["shared_run"]["age_from"].item() == age_from


def test_no_birth_date_is_no_band():
    assert shared_frames("coldmere", b"s", *one_squad(ALL, born=None))["shared_run"]["age_from"].item() is None


@pytest.mark.parametrize(
    "run",
    [{"resistance_kind": "sled"}, {"resistance_load_kg": 10.0}, {"effort_percent": 90.0}, {"outcome": "stopped"},
     {"trust": "poor"}],
)  # fmt: skip
def test_only_free_whole_runs_at_full_effort_are_shared(run):
    assert shared_frames("coldmere", b"s", *one_squad(ALL, **run))["shared_run"].is_empty()


@pytest.mark.parametrize("name", SHARED)
def test_no_shared_column_can_hold_a_date_or_words_of_a_person(name):
    for column in SHARED[name].to_schema().columns.values():
        assert column.dtype.type not in (pl.Date, pl.Datetime)
        if column.dtype.type == pl.String:
            assert {check.name for check in column.checks} & {"isin", "str_matches"}, column.name
        assert column.name not in ("athlete_id", "display_name", "birth_date", "note")


def test_words_of_people_stand_in_no_shared_column():
    free = {
        column.name
        for model in RECORDS.values()
        for column in model.to_schema().columns.values()
        if column.dtype.type == pl.String and not column.checks
    }
    shared = {column for model in SHARED.values() for column in model.to_schema().columns}
    assert not (free - {"squad"}) & shared  # 'squad' is the key of the squad here, held to letters, digits and hyphens


def test_an_invented_squad_follows_from_its_number_and_no_two_are_alike():
    assert squad_files(1, 3, 2) == squad_files(1, 3, 2)
    assert squad_files(1, 3, 2)["runs.csv"] != squad_files(2, 3, 2)["runs.csv"]
    assert len({squad_key(number) for number in range(1, 41)}) == 40
    assert all(re.fullmatch("[a-z-]+", one.athlete_id) for number in (1, 2) for one in people(number))
