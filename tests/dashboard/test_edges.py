"""The ends of an error bar."""

from dashboard.charts import start as charts
from dashboard.parts.edges import edges


def test_an_unknown_error_has_no_bar_and_a_known_one_of_nothing_has():
    assert edges(10.0, None) == (None, None)
    assert edges(10.0, 0.0) == (10.0, 10.0)
    assert edges(10.0, 0.5, 2) == (9.0, 11.0)


def test_the_charts_draw_error_bars_only_where_the_error_is_known():
    for spec, column in (
        (charts.first_contacts("light"), "error_low_ms"),
        (charts.step_frequency("light"), "low_hz"),
        (charts.speed("light"), "low_mps"),
    ):
        assert f"isValid(datum.{column})" in str(spec)
