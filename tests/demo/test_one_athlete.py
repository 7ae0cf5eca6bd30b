"""An athlete's rows follow from that athlete's rows alone, to the last bit: so only what changed is derived again.

A few athletes of the demo every day; the whole squad among the long runs.
"""

import datetime as dt

import polars as pl
import pytest

from pipelines import flow
from pipelines.board import derivation as derive
from pipelines.board.computing import Computing
from pipelines.board.entry_days import entry_days
from pipelines.derived.registry import BY_ATHLETE, OF_THE_SQUAD, derivations
from pipelines.home.settings import read_settings
from pipelines.record import opening, warehouse
from schemas.derived.registry import derived_models
from schemas.settings import SquadSettings
from tests.demo.deriving import busiest

ALONE = 3  # athletes looked at one by one
FEW = 5  # athletes of the everyday run


@pytest.fixture(scope="module")
def settings(demo_home: flow.Home) -> SquadSettings:
    return read_settings(demo_home.settings)


@pytest.fixture(scope="module")
def as_of(settings: SquadSettings) -> dt.date:
    return opening.looking_from(settings)


@pytest.fixture(scope="module", params=["few", pytest.param("the whole squad", marks=pytest.mark.long)])
def records(request: pytest.FixtureRequest, demo_home: flow.Home) -> dict[str, pl.DataFrame]:
    with opening.record(demo_home) as con:
        frames = {**warehouse.record_frames(con), "entry_day": entry_days(con)}
    pulled = frames["rep"].filter(resistance_kind="sled")["athlete_id"][0]
    return busiest(frames, FEW, pulled) if request.param == "few" else frames


def derived(records, settings, as_of, **more) -> derive.Derived:
    return derive.derive_all(
        records, settings, as_of, functions=derivations(), models=derived_models(), by_athlete=BY_ATHLETE, **more
    )


def assert_alike(after: derive.Derived, afresh: derive.Derived) -> None:
    """Hold a derivation that took rows over against one from nothing, also in what it says of those rows."""
    for name, frame in afresh.frames.items():
        assert after.frames[name].equals(frame), name
    assert after.fingerprints == afresh.fingerprints
    assert after.athlete_contents.equals(afresh.athlete_contents)
    assert after.athlete_fingerprints.equals(afresh.athlete_fingerprints)


@pytest.fixture(scope="module")
def whole(records, settings, as_of) -> derive.Derived:
    return derived(records, settings, as_of)


def test_every_table_is_of_an_athlete_or_of_the_squad(whole: derive.Derived):
    assert set(derivations()) == set(derived_models()) >= OF_THE_SQUAD
    assert all("athlete_id" in whole.frames[name].columns for name in BY_ATHLETE)


@pytest.mark.parametrize("name", BY_ATHLETE)
def test_an_athlete_alone_has_the_rows_of_an_athlete_among_all(name, records, whole, settings, as_of):
    tables = {**records, **whole.frames, "settings": settings, "as_of": as_of}
    given = {name: tables[name] for name in derive.inputs_of(derivations()[name])}
    compute = Computing(name, derivations()[name], derived_models()[name])
    rows = whole.frames[name]
    seen = rows["athlete_id"].value_counts(sort=True)["athlete_id"]
    for athlete in seen.head(ALONE) if seen.len() else records["athlete"]["athlete_id"].head(1):
        alone = {
            table: frame.filter(athlete_id=athlete)
            if isinstance(frame, pl.DataFrame) and "athlete_id" in frame.columns
            else frame
            for table, frame in given.items()
        }
        assert compute(alone).equals(rows.filter(athlete_id=athlete)), athlete


def test_a_new_run_computes_one_athlete_and_nothing_else_differs(records, whole, settings, as_of):
    timed = whole.frames["sprint_profile"].filter(timing_kind="electronic").drop_nulls("t_10_s")
    last = timed.sort("session_date", "athlete_id").row(-1, named=True)
    key = {name: last[name] for name in ("athlete_id", "session_date", "session_no", "rep_no")}
    split = records["split"].filter(**key)
    assert split.height >= 3
    number = pl.lit(99, dtype=pl.Int64)
    run = records["rep"].filter(**key).with_columns(rep_no=number)
    faster = split.with_columns(rep_no=number, elapsed_s=pl.col("elapsed_s") * 0.98)
    again = {
        **records,
        "rep": pl.concat([records["rep"], run]).sort(list(key)),
        "split": pl.concat([records["split"], faster]).sort([*key, "distance_m"]),
    }
    after = derived(again, settings, as_of, earlier=derive.Earlier.of(whole))
    afresh = derived(again, settings, as_of)
    assert_alike(after, afresh)
    assert after.recomputed["sprint_profile"] == 1
    assert set(after.recomputed.values()) == {1}
    assert {"strength_state", "spring_state", "load_day", "start_noise"} <= set(after.reused)
    others = [
        name
        for name in BY_ATHLETE
        if not afresh.frames[name].filter(pl.col("athlete_id") != key["athlete_id"]).equals(
            whole.frames[name].filter(pl.col("athlete_id") != key["athlete_id"])
        )
    ]  # fmt: skip
    assert others == []
    profile = afresh.frames["sprint_profile"].filter(**{**key, "rep_no": 99})
    assert profile["t_10_s"].item() is not None


def test_an_athletes_first_run_is_fitted_alone_as_among_all(records, whole, settings, as_of):
    filmed = whole.frames["start_phase"].filter(pl.col("contact_fit_limit_s").is_not_null())
    first = filmed.unique("athlete_id", keep="first", maintain_order=True).select(
        "athlete_id", "session_date", "session_no", "rep_no"
    )
    of_runs = [name for name in ("rep", "split", "step", "set_position", "technique_note") if name in records]
    one_each = {**records, **{n: records[n].join(first, on=first.columns, how="semi") for n in of_runs}}
    among = derived(one_each, settings, as_of)
    assert among.frames["sprint_profile"]["t_10_s_se"].count() >= 3
    for who in first["athlete_id"]:
        tables = {**one_each, **among.frames, "settings": settings, "as_of": as_of}
        for name in ("sprint_profile", "sprint_session", "start_steps", "start_phase"):
            alone = {
                table: tables[table].filter(athlete_id=who)
                if "athlete_id" in getattr(tables[table], "columns", ())
                else tables[table]
                for table in derive.inputs_of(derivations()[name])
            }
            rows = Computing(name, derivations()[name], derived_models()[name])(alone)
            assert rows.equals(among.frames[name].filter(athlete_id=who)), (name, who)


@pytest.mark.parametrize("days", [1, 7])
def test_another_day_takes_over_what_does_not_ask_for_the_day(days, records, whole, settings, as_of):
    later = as_of + dt.timedelta(days=days)
    after = derived(records, settings, later, earlier=derive.Earlier.of(whole))
    afresh = derived(records, settings, later)
    assert_alike(after, afresh)
    assert {"start_steps", "start_phase", "sled_profile"} <= set(after.reused)
    # What rests on whole weeks is the squad's of this week until the next one begins, and so are a run's errors.
    for name in ("start_noise", "sprint_noise", "sprint_profile"):
        assert (name in after.reused) == (later.isocalendar().week == as_of.isocalendar().week), name


def test_what_an_athlete_takes_away_is_gone(records, whole, settings, as_of):
    gone = records["athlete"]["athlete_id"][0]
    left = {n: f.filter(pl.col("athlete_id") != gone) if "athlete_id" in f.columns else f for n, f in records.items()}
    after = derived(left, settings, as_of, earlier=derive.Earlier.of(whole))
    assert all(frame.filter(athlete_id=gone).is_empty() for frame in (after.frames[name] for name in BY_ATHLETE))
