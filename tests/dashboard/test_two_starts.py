"""Two starts, what stands beside them, what a change is worth; for coaches, and only their athletes."""

import datetime as dt
from collections.abc import Callable
from pathlib import Path

import polars as pl
import pytest

from dashboard.screens.starts import words
from tests.dashboard.conftest import ATHLETE, HEAD, STAFF, html_of
from tests.dashboard.invented import WEEK
from tests.dashboard.make_board import board_tables, write_board

TEO = "teo-brandmere"
LAST = f"{WEEK.isoformat()}.1.1"
EARLIER = f"{(WEEK - dt.timedelta(weeks=1)).isoformat()}.1.2"
SERIES = {"start_kind": "blocks", "clock_start": "first_movement", "timing_kind": "electronic"}

MEASURED = {"measured_by": "gate", "set_up": "not_stated"}


def lab_tables() -> dict[str, pl.DataFrame]:
    """The invented board with the tables and columns that Two starts reads besides."""
    tables = board_tables()
    profile = tables["sprint_profile"].with_columns(
        fitted_to_m=pl.lit(30.0), body_mass_kg=pl.lit(75.0), height_m=pl.lit(1.80), fit_status=pl.lit("converged"),
        force_velocity_reason=pl.when(pl.col("rep_no") == 3).then(pl.lit("no_body_mass")),
    )  # fmt: skip
    key = ["athlete_id", "session_date", "session_no", "rep_no"]
    tables["sprint_profile"] = profile
    tables["start_phase"] = tables["start_phase"].with_columns(
        contact_sum_s_se=pl.lit(0.003), speed_after_3_mps_se=pl.lit(0.15)
    )
    tables["sprint_curve"] = profile.select(
        *key, distance_m=pl.lit(10.0), elapsed_s=pl.col("t_10_s") + 0.01, fitted_s="t_10_s", residual_s=pl.lit(0.01),
        is_fitted=pl.lit(True), fitted_speed_mps="v_10_mps", stretch_from_m=pl.lit(0.0), stretch_speed_mps=pl.lit(5.2),
        stretch_speed_mps_se=pl.lit(0.03), stretch_speed_low_mps=pl.lit(5.14), stretch_speed_high_mps=pl.lit(5.26),
        stretch_middle_m=pl.lit(5.0), noise_band_s=pl.lit(0.02),
    )  # fmt: skip
    tables["rep"] = tables["rep"].with_columns(resistance_kind=pl.lit(None, pl.String))
    people = tables["athlete"]["athlete_id"].to_list()
    blank = {
        "raw_slope_s_per_week_se": 0.001,
        "pooled_slope_s_per_week_se": 0.0008,
        "pooled_slope_low_s_per_week": -0.0041,
        "pooled_slope_high_s_per_week": -0.0009,
        "shrinkage_weight": 0.6,
    }
    tables["squad_trend"] = pl.DataFrame(
        [
            {"athlete_id": a, "metric": "t_10_s", **SERIES, **MEASURED, "days": 12, "raw_slope_s_per_week": -0.004,
             "pooled_slope_s_per_week": -0.0025, "squad_slope_s_per_week": -0.0004, "model_reason": None,
             "sentence": "Own line over 12 days: −4.0 ms a week; drawn towards the squad's −0.4 ms a week.", **blank}
            for a in people
        ]
    )  # fmt: skip
    tables["training_block"] = pl.DataFrame(
        [
            {"athlete_id": TEO, "kind": "sled", "start_on": WEEK - dt.timedelta(weeks=6),
             "end_on": WEEK - dt.timedelta(days=15), "is_running": False, "weeks": 4, "days": 8, "amount": 24,
             "typical_load_kg": 45.0,
             "sentence": "Sled runs on two days a week or more, 5 Oct to 1 Nov: 4 weeks, 8 days."}
        ]
    )  # fmt: skip
    tables["focus_followup"] = pl.DataFrame(
        [
            {"athlete_id": TEO, "week_of": WEEK - dt.timedelta(weeks=1), "call": "heavy sled twice",
             "done_sentence": "Done 2 of 2.", "change_sentence": "Contact 1 +0.011 s (± 0.006)."}
        ]
    )  # fmt: skip
    loads = {f"load_{p}_{end}": v for p, kg in ((10, 16.0), (25, 39.0), (50, 78.0)) for end, v in (
        ("kg", kg), ("low_kg", kg - 3), ("high_kg", kg + 3), ("share", kg / 75), ("is_beyond", p == 50))}  # fmt: skip
    tables["sled_profile"] = pl.DataFrame(
        [
            {"athlete_id": TEO, "surface": "track", "fitted_on": WEEK, "loads": 5, "tested_to_kg": 60.0, "v0_mps": 9.2,
             "slope_mps_per_kg": 0.059, "heaviest_slow_down_percent": 38.0, "heaviest_class": "very_heavy",
             "reason": "sled_beyond_tested", **loads}
        ]
    )  # fmt: skip
    race = {"raced_on": dt.date(2026, 6, 13), "round": "final", "time_s": 11.47, "wind_ms": 0.8, "points": 759}
    tables["race_mark"] = pl.DataFrame(
        [
            {"athlete_id": TEO, "event": "100", "timing_kind": "electronic", "corrected_s": 11.53, "reason": None,
             "points_reason": None, "note": None, **race},
            {"athlete_id": TEO, "event": "200", "timing_kind": "hand", "corrected_s": None,
             "reason": "correction_100m_only", "points_reason": None, "note": "mark_hand_timed", **race},
        ]
    )  # fmt: skip
    more = [
        ("mark_hand_timed", "Hand-timed: 0.24 s is added by convention."),
        ("no_body_mass", "No body mass within the 180 days before the run."),
        ("sled_beyond_tested", "The load asked for lies beyond the heaviest one tested."),
    ]
    tables["caveat"] = pl.concat([tables["caveat"], pl.DataFrame(more, schema=tables["caveat"].schema, orient="row")])
    return tables


@pytest.fixture(scope="module")
def starts_home(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("two-starts")
    write_board(folder, lab_tables())
    return folder


@pytest.fixture
def two_starts(open_as: Callable, starts_home: Path) -> Callable:
    return lambda viewer=HEAD, **query: open_as(viewer, "starts", at_home=starts_home, **query)


def test_the_page_opens_on_two_starts_and_says_what_differs(two_starts: Callable):
    at = two_starts(athlete=TEO)
    assert not at.exception
    said = html_of(at)
    assert "Two starts: Teo Brandmere" in said
    assert "beyond measuring error" in said or "Nothing differs" in said
    assert len(at.get("vega_lite_chart")) >= 10


def test_the_two_starts_stand_in_the_address(two_starts: Callable):
    at = two_starts(athlete=TEO, a=EARLIER, b=LAST)
    assert [box.value for box in at.selectbox if box.label in (words.A_LABEL, words.B_LABEL)] == [EARLIER, LAST]
    assert "9 Nov, run 2" in html_of(at)
    chosen = next(box for box in at.selectbox if box.label == words.B_LABEL)
    chosen.set_value(f"{WEEK.isoformat()}.1.2").run()
    assert at.query_params["b"] in (f"{WEEK.isoformat()}.1.2", [f"{WEEK.isoformat()}.1.2"])
    assert "16 Nov, run 2" in html_of(at)


def test_an_unknown_start_in_the_address_is_left_out(two_starts: Callable):
    at = two_starts(athlete=TEO, a="1999-01-01.1.1", b="'; drop", kind="x")
    assert not at.exception


def test_every_chart_has_words_for_those_who_do_not_see_it(two_starts: Callable):
    for drawn in two_starts(athlete=TEO).get("vega_lite_chart"):
        assert len(drawn.proto.alt or "") > 20


def test_no_force_line_where_trust_forbids_it_but_its_reason(two_starts: Callable):
    said = html_of(two_starts(athlete=TEO, a=EARLIER, b=f"{WEEK.isoformat()}.1.3"))
    assert "No force-velocity line for start B: No body mass within the 180 days before the run." in said
    assert "No answer for this start: No body mass" in said


def test_a_slider_gives_a_range_and_no_promise(two_starts: Callable):
    at = two_starts(athlete=TEO, a=EARLIER, b=LAST)
    assert words.MOVE_ONE in html_of(at)
    next(s for s in at.slider if s.label == words.CONTACT_SLIDER).set_value(10.0).run()
    said = html_of(at)
    assert not at.exception
    assert "At 10\u202fm the model gives" in said or "At 10 m the model gives" in said
    assert "A model, not a promise." in said
    assert "the same force in every contact" in said
    next(s for s in at.slider if s.label == words.MASS_SLIDER).set_value(-2.0).run()
    assert "By the curve:" in html_of(at)


def test_what_stands_beside_is_there_with_its_cautions(two_starts: Callable):
    said = html_of(two_starts(athlete=TEO))
    assert "Sled runs on two days a week or more" in said
    assert "does not show that one caused the other" in said
    assert "Done 2 of 2." in said
    assert words.BEYOND_TESTED in said
    assert "drawn towards the squad" in said
    assert "Hand-timed: 0.24 s is added by convention." in said
    assert "11.53" in said


@pytest.mark.parametrize(
    "opened", ["how_side", "how_speed", "how_lab_trend", "how_what_if", "how_followed", "how_races"]
)
def test_a_figure_opens_to_its_rows(two_starts: Callable, opened: str):
    at = two_starts(athlete=TEO, a=EARLIER, b=LAST)
    before = html_of(at)
    at.session_state[opened] = True
    at.run()
    assert not at.exception
    assert len(html_of(at)) > len(before)
    assert "Rows behind" in html_of(at)


@pytest.mark.parametrize("key", ["steps", "speed", "force", "what_if", "trend", "squad"])
def test_a_chart_has_its_numbers_behind_it(two_starts: Callable, key: str):
    at = two_starts(athlete=TEO, a=EARLIER, b=LAST)
    before = html_of(at).count("<table")
    at.session_state[f"numbers_{key}"] = True
    at.run()
    assert not at.exception
    assert html_of(at).count("<table") > before


def test_staff_choose_among_their_groups_only(two_starts: Callable):
    at = two_starts(STAFF)
    [box] = [b for b in at.selectbox if b.label != words.KIND_LABEL][:1]
    assert "Teo Brandmere" in box.options
    assert "Rune Halvard-Okoro" not in box.options
    said = html_of(two_starts(STAFF, athlete="rune-halvard-okoro"))
    assert "Rune" not in said
    assert "not among those you look after" in said


def test_staff_see_only_their_athletes_in_the_squad_view(two_starts: Callable):
    at = two_starts(STAFF, athlete=TEO)
    at.session_state["numbers_squad"] = True
    said = html_of(at.run())
    assert "Marit Oakhollow" in said
    assert "Rune Halvard-Okoro" not in said


def test_an_athlete_has_no_two_starts(two_starts: Callable):
    with pytest.raises(ValueError, match="page"):
        two_starts(ATHLETE)


def test_an_athlete_without_starts_and_an_empty_home_have_a_sentence(
    two_starts: Callable, open_as: Callable, empty_home: Path
):
    at = open_as(HEAD, "starts", at_home=empty_home)
    assert not at.exception
    assert "<h1>Two starts</h1>" in html_of(at)
    assert "Choose an athlete" in html_of(two_starts())
