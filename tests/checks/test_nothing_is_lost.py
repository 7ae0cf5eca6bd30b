"""Rows read = rows accepted + rows set aside, whatever the file: properties over generated messy files."""

import polars as pl
from hypothesis import given
from hypothesis import strategies as st

from pipelines.errors import ThirdstepError
from schemas.records import RECORDS
from schemas.shape import table_shape
from tests.examples import examples
from tests.intake import take_in

names = st.sampled_from(["Ana Berg", "berg, ana", "Bea Lund", "Nobody", "", "Mean", "# note", "ana-berg"])
days = st.sampled_from(["2026-03-03", "13.3.2026", "03/04/2026", "30.2.2026", "2030-01-01", "", "soon", "46084"])
times = st.one_of(
    st.floats(0.5, 9).map(lambda value: f"{value:.2f}"),
    st.sampled_from(["1,85", "DNF", "-", "", "x", "1:02.3", "1850", "1.8 s"]),
)
masses = st.sampled_from(["60", "6.8", "132 lb", "", "heavy", "60,5"])
wide_row = st.tuples(names, days, times, times, times, masses)
long_row = st.tuples(names, days, st.sampled_from(["1", "2", "", "x"]), st.sampled_from(["10", "20", "30", ""]), times)
lift_row = st.tuples(
    names, days, st.sampled_from(["Squat", "Hip thrust", ""]), st.sampled_from(["3x5 @ 100", "2x3", "5", "?"])
)
messy = st.one_of(
    st.tuples(st.just("Name;Date;10m;20m;30m;Body mass"), st.lists(wide_row, min_size=1, max_size=8)),
    st.tuples(
        st.just("athlete_id;session_date;rep_no;distance_m;elapsed_s"), st.lists(long_row, min_size=1, max_size=8)
    ),
    st.tuples(st.just("Athlete;Date;Distance (m);Time"), st.lists(long_row.map(lambda r: r[:2] + r[3:]), min_size=1)),
    st.tuples(st.just("Athlete;Date;Exercise;Sets x reps"), st.lists(lift_row, min_size=1, max_size=8)),
)


def as_text(header: str, rows: list[tuple[str, ...]]) -> str:
    return "\n".join([header, *(";".join(row) for row in rows)])


@examples(150)
@given(messy)
def test_every_row_is_accepted_or_set_aside_and_no_value_is_both(table):
    header, body = table
    full = sum(1 for row in body if any(cell.strip() for cell in row))
    try:
        checked = take_in(as_text(header, body))
    except ThirdstepError:
        assert not full or len(body) < 2  # a single row may look like a title; nothing of it is stored
        return
    kept = {line for frame in checked.accepted.values() for line in frame["source_line"]}
    assert checked.rows_read == full
    told = checked.set_aside.filter(pl.col("reason").str.contains("Row set aside"))
    assert not set(told["source_line"]) & kept  # of a row that is aside whole nothing is kept
    assert kept <= set(range(2, len(body) + 2))
    assert checked.set_aside["reason"].null_count() == 0
    # kept lines name the first row of a key; every other row not set aside repeats a run or a session of theirs
    for name, frame in checked.accepted.items():
        key = list(table_shape(name).key)
        assert set(key) <= set(frame.columns)
        assert frame.select(key).is_duplicated().sum() == 0
        assert frame.select(key).null_count().sum_horizontal().item() == 0
        whole = frame.select(
            pl.col(column) if column in frame.columns else pl.lit(None, dtype=shape.dtype).alias(column)
            for column, shape in table_shape(name).columns.items()
        )
        RECORDS[name].validate(whole)


@examples(60)
@given(messy)
def test_taking_the_same_file_in_twice_gives_the_same(table):
    text = as_text(*table)
    try:
        first, second = take_in(text), take_in(text)
    except ThirdstepError:
        return
    assert first.set_aside.equals(second.set_aside)
    assert {name: frame.to_dicts() for name, frame in first.accepted.items()} == {
        name: frame.to_dicts() for name, frame in second.accepted.items()
    }


good = st.lists(st.tuples(st.integers(1, 9), st.sampled_from([10, 20, 30])), unique=True, min_size=1, max_size=20)


@examples(60)
@given(good, st.permutations(["athlete_id", "session_date", "rep_no", "distance_m", "elapsed_s"]))
def test_a_clean_file_of_own_column_names_loads_whole_in_any_order(splits, order):
    rows = [
        {
            "athlete_id": "ana-berg",
            "session_date": "2026-03-03",
            "rep_no": run,
            "distance_m": gate,
            "elapsed_s": gate / 8 + 0.5,
        }
        for run, gate in splits
    ]
    text = "\n".join([",".join(order), *(",".join(str(row[name]) for name in order) for row in rows)])
    checked = take_in(text)
    assert checked.set_aside.height == 0
    assert checked.rows_read == checked.accepted["split"].height == len(rows)
    assert checked.accepted["rep"].height == len({run for run, _ in splits})
