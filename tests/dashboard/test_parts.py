"""The parts a page is made of: nothing unescaped, nothing unknown drawn as zero, words as a coach would say them."""

import datetime as dt
import json

import pytest

from dashboard import wording
from dashboard.access.viewer import Viewer
from dashboard.charts import start, work
from dashboard.parts.figure import table
from dashboard.parts.lines import load_bars, trend_line
from dashboard.parts.marks import empty, lede, mark
from dashboard.parts.week_sheet import filter_line, link, sheet_table
from dashboard.screens.week.side import side_column
from dashboard.writes import decision_rows

NASTY = '<img src=x onerror="alert(1)">\'"'
ROW = {
    "athlete_id": NASTY,
    "training_call": "adapt",
    "training_reason": NASTY,
    "training_more": 2,
    "hamstring_level": "one_family",
    "hamstring_reason": NASTY,
    "trend_points": [1.9, None, 1.88],
    "trend_low": [1.87],
    "trend_high": [1.91],
    "progress_word": "holding",
    "progress_sentence": NASTY,
    "load_points": [None, 1900.0],
    "load_low": 1700.0,
    "load_high": 2000.0,
    "load_above": False,
    "focus_headline": NASTY,
    "week_of": dt.date(2026, 11, 16),
}
ATHLETE = {"athlete_id": NASTY, "display_name": NASTY, "event_group": "hurdles", "squad": NASTY}


@pytest.mark.parametrize(
    "html",
    [
        sheet_table([ROW], {NASTY: ATHLETE}, {}),
        sheet_table([ROW], {NASTY: ATHLETE}, {NASTY: {"call": NASTY, "decided_by": NASTY}}),
        filter_line([ATHLETE, {**ATHLETE, "squad": "B"}], {NASTY: "adapt"}, {"squad": NASTY}),
        side_column([(NASTY, NASTY)], [(NASTY, NASTY, NASTY)], [(NASTY, None)]),
        mark("adapt", wording.TRAINING, NASTY),
        mark(NASTY, {}, None),
        lede(NASTY),
        empty(NASTY, NASTY),
        link(NASTY, {"a": NASTY}),
        table([{"a": NASTY}], [("a", NASTY, None)], NASTY),
    ],
)
def test_no_value_reaches_the_page_unescaped(html: str):
    assert "<img" not in html
    assert '"alert' not in html
    assert "'\"" not in html


def test_an_unknown_week_is_an_open_bar_and_no_zero():
    drawn = load_bars([1900.0, None, 2100.0], 1700.0, 2000.0, True)
    assert drawn.count('class="gap"') == 1
    assert drawn.count('class="bar') == 2
    assert drawn.count("over") >= 1
    assert 'height="0.0"' not in drawn


def test_a_gap_in_the_trend_breaks_the_line():
    drawn = trend_line([1.90, 1.89, None, 1.88, 1.87], [1.86], [1.92])
    assert drawn.count("<polyline") == 2
    assert drawn.count("<circle") == 4


def test_a_faster_time_is_drawn_higher():
    # by hand: of 1.90 s and 1.80 s without a band, 1.80 is best and stands at the top edge, y = 3
    drawn = trend_line([1.90, 1.80], None, None)
    assert 'cx="108.0" cy="3.0"' in drawn
    assert 'cx="4.0" cy="27.0"' in drawn


def test_a_trend_without_a_timed_start_says_so():
    assert "no timed start" in trend_line([None, None], None, None)
    assert "no known week" in load_bars([None], None, None, None)


def test_states_differ_by_word_and_mark_not_by_colour_alone():
    classes = {mark(slug, wording.TRAINING).split('class="')[1].split('"')[0] for slug in wording.TRAINING}
    assert classes == {"call quiet", "call adapt", "call talk", "call none"}


@pytest.mark.parametrize(
    ("value", "places", "signed", "written"),
    [
        (None, 2, False, "–"),
        (-0.03, 2, True, "−0.03"),
        (0.031, 2, True, "+0.03"),
        (1234.5, 0, False, "1\u202f234"),
        (0.0, 2, True, "0.00"),
    ],
)
def test_numbers_are_written_with_a_real_minus_and_unknown_as_a_dash(value, places, signed, written):
    assert wording.number(value, places, signed=signed) == written


def test_agreeing_keeps_the_proposal_and_changing_keeps_the_change():
    viewer = Viewer("Coach", "head_coach")
    row = {
        "athlete_id": "a",
        "week_of": dt.date(2026, 11, 16),
        "training_call": "adapt",
        "focus_headline": "heavy sled",
        "hamstring_level": "none",
    }
    now = dt.datetime(2026, 11, 22, 9, 0, 0, 5)
    agreed = {r["topic"]: r["call"] for r in decision_rows(viewer, row, now)}
    assert agreed == {"training": "adapt", "start_work": "heavy sled"}
    changed = decision_rows(viewer, row, now, training="as_planned", work=" light sled ", note=" rested ")
    assert {r["topic"]: r["call"] for r in changed} == {"training": "as planned", "start_work": "light sled"}
    assert {r["note"] for r in changed} == {"rested"}
    assert {r["decided_by"] for r in changed} == {"Coach"}


def test_no_call_is_not_written_down_as_a_decision_on_training():
    row = {
        "athlete_id": "a",
        "week_of": dt.date(2026, 11, 16),
        "training_call": "no_call",
        "focus_headline": "ask for check-in",
        "hamstring_level": "several_families",
    }
    rows = decision_rows(Viewer("Coach", "head_coach"), row, dt.datetime(2026, 11, 22))
    assert {r["topic"] for r in rows} == {"start_work", "hamstring"}


SPECS = [
    start.start_trend,
    lambda s: start.start_trend(s, "m/s", "higher", "right"),
    start.first_contacts,
    start.step_frequency,
    start.speed,
    start.residuals,
    lambda s: work.week_bars(s, "m"),
    lambda s: work.two_sides(s, "N"),
]


@pytest.mark.parametrize("spec_of", SPECS)
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_a_chart_holds_no_rows_and_reaches_no_address(spec_of, scheme: str):
    spec = spec_of(scheme)
    written = json.dumps({k: v for k, v in spec.items() if k != "$schema"})
    assert "datasets" not in spec
    assert "values" not in json.dumps(spec.get("data", {}))
    assert "://" not in written


@pytest.mark.parametrize("spec_of", SPECS)
def test_dark_and_light_differ_in_colour_only(spec_of):
    def without_colours(spec: object) -> object:
        if isinstance(spec, dict):
            return {k: without_colours(v) for k, v in spec.items()}
        if isinstance(spec, list):
            return [without_colours(v) for v in spec]
        return "#" if isinstance(spec, str) and spec.startswith("#") else spec

    assert without_colours(spec_of("light")) == without_colours(spec_of("dark"))


def test_better_is_upwards_for_times_and_for_speeds():
    assert '"reverse": true' in json.dumps(start.start_trend("light", "s", "lower"))
    assert '"reverse": true' not in json.dumps(start.start_trend("light", "m/s", "higher"))


def luminance(colour: str) -> float:
    channels = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("role", ["ink", "soft", "blue", "verm"])
def test_text_colours_reach_contrast_4_5_on_paper(scheme: str, role: str):
    """W3C Web Content Accessibility Guidelines 2.2, success criterion 1.4.3 (formula from memory)."""
    from dashboard.charts.palette import PALETTES

    one, two = sorted((luminance(getattr(PALETTES[scheme], role)), luminance(PALETTES[scheme].paper)))
    assert (two + 0.05) / (one + 0.05) >= 4.5


def test_a_docstring_is_read_as_paragraphs_and_formulas_keep_their_line():
    long = "One row per athlete and week, in which the days are summed that are known and"
    said = wording.unindented(f"{long}\n    no others.\n\n    load = effort x min\n    Null when unknown.")
    assert said == f"{long} no others.\n\nload = effort x min\nNull when unknown."
