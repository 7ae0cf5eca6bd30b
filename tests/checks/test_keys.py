"""Keys as whole numbers: equal exactly where the rows are equal; running numbers in the order of the rows."""

import datetime as dt

import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipelines.checks.keys import key_code, number_in_order, number_runs
from tests.examples import examples

KEY = ["who", "day", "no", "metres"]
rows = st.lists(
    st.tuples(
        st.sampled_from(["ana", "bea", None]),
        st.sampled_from([dt.date(2026, 3, 3), dt.date(2026, 3, 4), None]),
        st.sampled_from([1, 2, -1, None]),
        st.sampled_from([10.25, 10.75, None]),
    ),
    min_size=1,
    max_size=12,
)


def framed(told: list[tuple]) -> pl.DataFrame:
    kinds = {"who": pl.String, "day": pl.Date, "no": pl.Int64, "metres": pl.Float64}
    return pl.DataFrame(told, schema=kinds, orient="row")


def same(codes: list, told: list) -> bool:
    """Return whether two rows have one code exactly where they are equal."""
    pairs = [(one, other) for one in range(len(told)) for other in range(one)]
    return all((codes[one] == codes[other]) == (told[one] == told[other]) for one, other in pairs)


@examples(60)
@given(rows)
def test_a_key_s_number_is_equal_exactly_where_the_rows_are(told):
    assert same(key_code(framed(told), KEY).to_list(), told)


def test_keys_too_many_for_a_whole_number_are_ranked_instead():
    # three spans of about 2**31: together over 2**62, where a product would no longer fit
    wide = [(0, 0, 0), (2**31, 2**31, 2**31), (0, 2**31, 0), (2**31, 2**31, 2**31), (1, 0, 0), (0, 0, 1)]
    frame = pl.DataFrame(wide, schema={"a": pl.Int64, "b": pl.Int64, "c": pl.Int64}, orient="row")
    code = key_code(frame, ["a", "b", "c"])
    assert same(code.to_list(), wide)
    assert code.name == key_code(frame, ["a"]).name == "code"  # by which it is joined


def test_a_product_of_spans_that_would_run_over_does_not_make_two_keys_one():
    # spans of 2**32 in b and c: a * 2**32 * 2**32 is nought in 64 bits, whatever a is
    most = 2**32 - 2
    told = [(0, 0, 0), (1, 0, 0), (0, most, most), (1, most, most)]
    frame = pl.DataFrame(told, schema={"a": pl.Int64, "b": pl.Int64, "c": pl.Int64}, orient="row")
    assert same(key_code(frame, ["a", "b", "c"]).to_list(), told)


@pytest.mark.parametrize("kind", [pl.String, pl.Int64, pl.Float64])
def test_a_column_that_says_nothing_tells_no_rows_apart(kind):
    frame = pl.DataFrame({"a": pl.Series([None, None, None], dtype=kind), "b": [1, 1, 2]})
    assert same(key_code(frame, ["a", "b"]).to_list(), [1, 1, 2])
    assert key_code(frame, []).to_list() == [0, 0, 0]


@examples(60)
@given(rows)
def test_rows_of_a_key_are_numbered_from_one_in_their_order(told):
    counted: dict[tuple, int] = {}
    expected = []
    for row in told:
        counted[row] = counted.get(row, 0) + 1
        expected.append(counted[row])
    assert number_in_order(framed(told), KEY).to_list() == expected


def test_a_new_run_begins_where_the_distance_does_not_rise_and_only_where_one_comes_again():
    frame = pl.DataFrame({"who": ["ana"] * 5 + ["bea"] * 3, "metres": [10, 20, 30, 10, 20, 30, 10, 20]})
    assert number_runs(frame, ["who"], "metres").to_list() == [1, 1, 1, 2, 2, 1, 1, 1]  # Bea's differ: one run
    again = pl.DataFrame({"who": ["ana", "bea", "ana", "bea", "ana"], "metres": [10, 10, 10, 20, 20]})
    assert number_runs(again, ["who"], "metres").to_list() == [1, 1, 2, 1, 2]  # equal does not rise; each by itself
    assert number_runs(frame.head(0), ["who"], "metres").to_list() == []
