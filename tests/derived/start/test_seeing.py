"""A sample of what progress sees on squads that no model of ours made; the whole table is a bench."""

import numpy as np
import polars as pl
import pytest

from pipelines.board.seen_table import seen_rows, seen_table
from pipelines.derived.common.window_contrast import BEFORE_WEEKS, SURE, SURE_SELDOM, sure_from
from pipelines.derived.start.progress_words import add_sentence
from tests.bench.bench_seeing import COLUMNS, COVER_ROOM, ROWS, SEED, check, run

SAMPLE = 160  # athletes; a share of 0.9 of 80 has a Monte Carlo error of 3.4 %, and of 40 one of 4.7 %
BY_NAME = {row.name: row for row in ROWS}


@pytest.mark.parametrize("sample", [SAMPLE // 2, pytest.param(SAMPLE, marks=pytest.mark.long)])
@pytest.mark.parametrize(
    "name",
    [
        "20 ms faster in six weeks, half of 16, day SD 7.7 ms",
        "flat, gate moved: everybody 30 ms faster",
    ],
)
def test_a_sample_sees_what_the_table_says_and_imagines_no_more(name: str, sample: int):
    # Room of three binomial errors, 3 sqrt(p (1 - p) / n), in ``check``; the seed is not that of the table.
    check(BY_NAME[name], run(BY_NAME[name], sample, seed=SEED + 7))


def test_the_table_on_methods_is_of_the_rows_of_the_bench():
    table = seen_table()
    assert table["row"].to_list() == [row.name for row in ROWS]
    assert table.columns == COLUMNS
    shown = seen_rows()
    assert shown["delay_weeks"].str.contains("over half never").sum() == table["delay_weeks"].is_infinite().sum()
    assert table["seed"].unique().to_list() == [float(SEED)]
    assert (table["athletes"] >= 300).all()
    assert table["made_on"].str.to_date().is_not_null().all()


def test_the_table_holds_what_was_promised():
    table = seen_table()
    # nobody of these changes for good, whether form stands still or comes and goes within a month
    still = table.filter(pl.col("row").str.contains("^flat|^waves"))
    assert still.height == 15
    assert (still["any_flat"] <= 10.0).all()
    # weekly, three runs, day SD 7.7 ms: the plain contrast's 84 and 99 %; day SD 15 ms: 26, 58 and 83 %
    power = dict(table.select("row", "power").iter_rows())
    for size, sd, least in ((20, "7.7", 84), (30, "7.7", 99), (20, "15", 26), (30, "15", 58), (40, "15", 83)):
        assert power[f"{size} ms faster in six weeks, half of 16, day SD {sd} ms"] >= least
    assert (table["holding"].drop_nulls() <= 5.0).all()
    calm = table.filter(~pl.col("row").str.contains("waves"))
    assert calm["cover"].is_between(93.0 - COVER_ROOM, 97.0 + COVER_ROOM).all()
    assert (SURE, SURE_SELDOM, BEFORE_WEEKS) == (2.95, 2.5, 22)  # what the table was made with


def test_at_our_rate_of_false_words_the_plain_contrast_sees_no_more_in_any_row():
    # Room of three binomial errors of the two shares, over the changed half of the athletes.
    table = seen_table().drop_nulls(["power", "anchor_equal"]).filter(~pl.col("row").str.contains("youth"))
    share, changed = (
        pl.col("anchor_equal") / 100,
        pl.col("athletes") / pl.when(pl.col("row").str.contains("one of")).then(16.0).otherwise(2.0),
    )
    room = 300 * (2 * share * (1 - share) / changed).sqrt()
    assert table.filter(pl.col("power") < pl.col("anchor_equal") - room)["row"].to_list() == []
    assert table.height >= 18


def test_who_runs_seldom_gives_chance_fewer_tries_and_needs_fewer_errors():
    assert sure_from(np.array([2.0, 1.0, 0.85, 0.725, 0.6, 0.2])) == pytest.approx([2.95, 2.95, 2.95, 2.725, 2.5, 2.5])


def test_beside_a_word_stands_that_a_wave_is_not_ruled_out_where_the_squads_waves_are_large():
    row = {
        "metric": "t_10_s", "change": -0.020, "change_se": 0.005, "detectable": 0.018, "real_from": 0.014,
        "typical_error": 0.012, "swc": 0.012, "p_better": 0.9,
        "p_worse": 0.01, "is_worthwhile": True, "word": "improving", "reason": None, "better_is": "lower",
        "sessions": 20, "_shift_says": None, "day_form_sd": 0.005, "own_share": 1.0, "runs_a_day": 3.0,
        "days_to_see": 1.0,
    }  # fmt: skip
    kinds = {"wave_sd": pl.Float64, "reason": pl.String, "_shift_says": pl.String}
    rows = pl.DataFrame([{**row, "wave_sd": wave} for wave in (0.008, 0.002, None)], schema_overrides=kinds)
    waving, calm, unknown = add_sentence(rows, see_s=0.020)["sentence"]
    plain = "20 ms faster at 10 m than before, ± 10: a real change; worthwhile (over 12 ms), 90 % sure"
    assert calm == unknown == plain
    assert waving == (
        f"{plain}; form of this squad comes and goes by 8 ms within a month, so a wave is not ruled out: look again in "
        "two weeks"
    )
