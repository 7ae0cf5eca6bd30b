"""Results and tests as clubs write them where French and German meet. Trade words: common practice, no source."""

import pytest

from tests.intake import lines_set_aside, rows, take_in

RACES = """Championnats d'hiver - chronométrage électrique;;;;;;
Date;Lieu;Épreuve;Athlète;Tour;Temps;Rang
24.01.2026;Ormeaux;60 m;Ana Berg;série;7,81;2
;;60 m;Béa Lünd;série;{ended};
;;60 m haies;Cleo Dahl-Frost;série;9,12;3
31.01.2026;Ormeaux;200 m;Ana Berg;finale;25,93;1
"""


@pytest.mark.parametrize(("ended", "outcome"), [("abandon", "not_finished"), ("forfait", "not_started")])
def test_a_row_that_says_how_a_race_ended_is_a_row_though_its_words_read_like_headings(ended, outcome):
    told = take_in(RACES.replace("{ended}", ended), "resultats.csv")
    assert rows(told, "race_result", "athlete_id", "event", "time_s", "race_outcome", "timing_kind") == [
        ("ana-berg", "60", 7.81, None, "electronic"), ("bea-lund", "60", None, outcome, "electronic"),
        ("cleo-dahl-frost", "60h", 9.12, None, "electronic"), ("ana-berg", "200", 25.93, None, "electronic"),
    ]  # fmt: skip
    assert "split" not in told.accepted
    assert lines_set_aside(told) == []


def test_gates_below_a_table_of_results_still_head_a_table_of_their_own():
    text = (
        "Date,Event,Athlete,Time\n2026-01-24,60,Ana Berg,7.81\n2026-01-24,60,Béa Lünd,7.99\n\n"
        "Name,Date,10 m,20 m,30 m\nAna Berg,2026-01-26,1.92,3.20,4.35\n"
    )
    told = take_in(text, "january.csv")
    assert len(rows(told, "race_result", "time_s")) == 2
    assert rows(told, "split", "distance_m", "elapsed_s") == [(10.0, 1.92), (20.0, 3.20), (30.0, 4.35)]
