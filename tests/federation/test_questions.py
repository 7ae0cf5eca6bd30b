"""What is told of many squads: the sums against libraries of others, and no cell by which anybody is found."""

import datetime as dt
from itertools import combinations

import numpy as np
import polars as pl
import pytest

ibis = pytest.importorskip("ibis", reason="needs the extra: uv run --extra federation pytest")
pytest.importorskip("deltalake", reason="needs the extra: uv run --extra federation pytest")

from hypothesis import given  # noqa: E402
from hypothesis import strategies as st  # noqa: E402
from scipy import stats  # noqa: E402

from pipelines.federation import questions  # noqa: E402
from pipelines.federation.reference import reference_rows  # noqa: E402
from schemas.records.reference import ReferenceValue  # noqa: E402
from schemas.shared import SHARED  # noqa: E402
from tests.examples import examples  # noqa: E402

LAST_WEEK = 1350


def asked(name: str, rows: list[dict]) -> list[dict]:
    """Return the answer to one question, over rows of its table; what a row does not say is as usual."""
    table, question = questions.QUESTIONS[name]
    frame = pl.DataFrame(rows, schema=SHARED[table].to_schema().types, orient="row")
    connection = ibis.duckdb.connect()
    connection.con.register("rows", frame.to_arrow())
    return connection.to_pyarrow(question(connection.table("rows"))).to_pylist()


def run_of(squad: str, person: str, time: float, **said: object) -> dict:
    usual = {
        "squad": squad, "person": person, "week_no": LAST_WEEK, "day_no": 1, "run_no": 1, "sex": "f", "age_from": 18,
        "event_group": "short_sprints", "start_kind": "blocks", "clock_start": "gun", "timing_kind": "electronic",
        "t_10_s": time,
    }  # fmt: skip
    return {**usual, **said}


def week_of(squad: str, person: str, outcome: str, flagged: bool, history: bool = False, week: int = LAST_WEEK) -> dict:
    return {
        "squad": squad, "person": person, "week_no": week, "flagged": flagged, "history_flagged": history,
        "outcome": outcome,
    }  # fmt: skip


def squads_of(people: int, squads: int) -> list[tuple[str, str]]:
    return [(f"s{place % squads}", f"p{place}") for place in range(people)]


def test_typical_error_is_the_pooled_spread_of_a_persons_day():
    rng = np.random.default_rng(1)
    rows, squares, freedom = [], 0.0, 0
    for squad, person in squads_of(12, 3):
        for day in (1, 2):
            times = rng.normal(2.0 + day / 10, 0.01, size=3)
            squares, freedom = squares + float(((times - times.mean()) ** 2).sum()), freedom + 2
            rows += [run_of(squad, person, float(t), day_no=day, run_no=n + 1) for n, t in enumerate(times)]
    [cell] = asked("typical_error", rows)
    assert cell["value"] == pytest.approx((squares / freedom) ** 0.5, rel=1e-12)
    assert (cell["people"], cell["squads"], cell["freedom"]) == (12, 3, 48)


def test_quartiles_are_numpys_over_peoples_own_medians():
    rng = np.random.default_rng(2)
    rows, own = [], []
    for squad, person in squads_of(15, 4):
        times = rng.normal(2.0, 0.05, size=5)
        own.append(float(np.median(times)))
        rows += [run_of(squad, person, float(t), run_no=n + 1) for n, t in enumerate(times)]
    [cell] = asked("norm", rows)
    assert [cell["low"], cell["value"], cell["high"]] == pytest.approx(np.quantile(own, [0.25, 0.5, 0.75]), rel=1e-12)


def test_the_spread_between_squads_is_the_component_of_a_one_way_analysis():
    # MSB / MSW is the F of scipy.stats.f_oneway; with m people in each squad n0 = m (Searle 1971).
    rng = np.random.default_rng(3)
    groups = [rng.normal(2.0 + 0.1 * squad, 0.05, size=6) for squad in range(4)]
    rows = [run_of(f"s{s}", f"p{s}-{n}", float(t)) for s, group in enumerate(groups) for n, t in enumerate(group)]
    [cell] = asked("norm", rows)
    within = float(np.mean([group.var(ddof=1) for group in groups]))
    expected = ((stats.f_oneway(*groups).statistic - 1) * within / 6) ** 0.5
    assert cell["squads_sd"] == pytest.approx(expected, rel=1e-9)


def test_squads_no_further_apart_than_chance_have_no_spread_between_them():
    rows = [run_of(f"s{s}", f"p{s}-{n}", 2.0 + n / 100) for s in range(3) for n in range(4)]
    assert asked("norm", rows)[0]["squads_sd"] == 0.0


def test_improvement_is_the_slope_of_a_regression_over_weeks():
    rng = np.random.default_rng(4)
    rows, slopes = [], []
    for squad, person in squads_of(11, 3):
        weeks = np.arange(LAST_WEEK - 50, LAST_WEEK + 1, 5)
        times = 2.1 - 0.0005 * (weeks - weeks[0]) + rng.normal(0, 0.01, size=weeks.size)
        slopes.append(52.18 * stats.linregress(weeks, times).slope)
        rows += [run_of(squad, person, float(t), week_no=int(w)) for w, t in zip(weeks, times, strict=True)]
    [cell] = asked("improvement", rows)
    assert cell["value"] == pytest.approx(float(np.median(slopes)), rel=1e-9)


def test_few_weeks_or_half_a_winter_tell_no_improvement():
    few = [run_of(s, p, 2.0, week_no=LAST_WEEK - 5 * n) for s, p in squads_of(12, 3) for n in range(9)]
    short = [run_of(s, p, 2.0, week_no=LAST_WEEK - n) for s, p in squads_of(12, 3) for n in range(20)]
    assert asked("improvement", few) == []
    assert asked("improvement", short) == []


def test_a_flags_hits_are_counted_over_weeks_with_and_without_injury():
    rows = [week_of(s, p, "hit" if n < 6 else "missed", n < 6) for n, (s, p) in enumerate(squads_of(10, 3))]
    rows += [week_of(s, p, "quiet", False, week=LAST_WEEK - 1) for s, p in squads_of(10, 3)]
    told = {(r["rule"], r["is_injured"]): r["value"] for r in asked("flags", rows)}
    assert told["flag_in_force", True] == 0.6  # 6 of 10 weeks
    assert told["flag_in_force", False] == 0.0
    assert told["history_alone", True] == 0.0


@pytest.mark.parametrize(
    ("people", "squads", "is_told"),
    [(10, 3, True), (9, 3, False), (10, 2, False), (40, 2, False)],
)
def test_a_cell_needs_ten_people_of_three_squads(people, squads, is_told):
    rows = [run_of(squad, person, 2.0 + n / 100) for n, (squad, person) in enumerate(squads_of(people, squads))]
    assert bool(asked("norm", rows)) == is_told


def test_a_squad_that_is_more_than_half_of_a_cell_hides_it():
    half = (
        [("s0", f"a{n}") for n in range(6)] + [("s1", f"b{n}") for n in range(3)] + [("s2", f"c{n}") for n in range(3)]
    )
    more = [("s0", "a-more"), *half]
    assert len(asked("norm", [run_of(s, p, 2.0) for s, p in half])) == 1  # 6 of 12
    assert asked("norm", [run_of(s, p, 2.0) for s, p in more]) == []  # 7 of 13


def test_a_person_counts_in_one_age_band_only():
    # Else the cells of two bands, with all but one person in common, would differ by that one.
    rows = [run_of(s, p, 2.0, age_from=16, week_no=LAST_WEEK - 9) for s, p in squads_of(12, 3)]
    rows += [run_of(s, p, 1.9, age_from=18) for s, p in squads_of(11, 3)]
    [cell] = asked("norm", rows)
    assert (cell["age_from"], cell["people"]) == (18, 11)


def test_injuries_of_fewer_than_ten_people_are_not_told():
    rows = [week_of(s, p, "quiet", False) for s, p in squads_of(40, 4)]
    rows += [week_of(s, p, "hit", True, week=LAST_WEEK - 1) for s, p in squads_of(9, 3)]
    assert {row["is_injured"] for row in asked("flags", rows)} == {False}


PEOPLE = st.lists(
    st.tuples(st.integers(0, 4), st.sampled_from("fm"), st.sampled_from([16, 18, 23]), st.booleans()),
    min_size=20, max_size=70,
)  # fmt: skip


@examples(12)
@given(PEOPLE)
def test_no_cell_below_the_floor_is_told_nor_found_as_a_difference(people):
    """Of one measure no two cells share a person: there is nothing to subtract."""
    rows, where = [], {}
    for n, (squad, sex, age, stands) in enumerate(people):
        said = {"start_kind": "standing", "clock_start": "first_gate"} if stands else {}
        rows.append(run_of(f"s{squad}", f"p{n}", 2.0 + n / 1000, sex=sex, age_from=age, **said))
        where.setdefault((age, sex, bool(said)), []).append(f"s{squad}")
    told = {(c["age_from"], c["sex"], c["start_kind"] == "standing"): c for c in asked("norm", rows)}
    for key, squads in where.items():
        most = max(squads.count(one) for one in squads)
        enough = len(squads) >= 10 and len(set(squads)) >= 3 and most <= len(squads) / 2
        assert (key in told) == enough
    members = {key: {n for n, (_, sex, age, stands) in enumerate(people) if (age, sex, stands) == key} for key in told}
    assert not any(one & other for one, other in combinations(members.values(), 2))
    published = reference_rows({"norm": list(told.values())}, "2026_q4")
    assert ReferenceValue.to_schema().is_met_by(published)
    assert (published["people"] % 5 == 0).all()
    names = {"person", "weeks", "freedom", "most_of_one"}
    assert not names & set(published.columns)


def test_the_norm_of_a_year_leaves_older_runs_out():
    rows = [run_of(s, p, 2.0) for s, p in squads_of(10, 3)]
    rows += [run_of(s, p, 9.0, week_no=LAST_WEEK - 52) for s, p in squads_of(10, 3)]
    assert asked("norm", rows)[0]["high"] == 2.0


def test_no_rows_are_no_cells():
    for name in questions.QUESTIONS:
        assert asked(name, []) == []


def test_a_quarter_is_named_by_its_year():
    from pipelines.federation.reference import quarter_of

    assert [quarter_of(dt.date(2026, month, 1)) for month in (1, 3, 4, 12)] == [
        "2026_q1", "2026_q1", "2026_q2", "2026_q4",
    ]  # fmt: skip
