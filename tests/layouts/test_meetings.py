"""Lists of races in which the meeting has a column beside the event, with the marks people write beside a time."""

import pytest

from tests.intake import reasons, rows, take_in

HEADED = [
    "data;gara;atleta;disciplina;tempo", "date;event;athlete;discipline;time", "date;compétition;athlète;épreuve;temps",
    "Datum;Wettkampf;Name;Disziplin;Zeit", "datum;wedstrijd;naam;onderdeel;tijd", "Date;Race;Athlete;Event;Time",
]  # fmt: skip


@pytest.mark.parametrize("header", HEADED)
def test_the_event_is_the_column_whose_cells_are_events(header):
    checked = take_in(
        f"{header}\n2026-01-24;Lake Indoor;Ana Berg;60 m;8,12\n2026-01-24;Lake Indoor;Bea Lund;60 m;8,02\n"
        "2026-06-20;Mill Cup;Bea Lund;200 m;26,02\n", "races.csv",
    )  # fmt: skip
    assert sorted(rows(checked, "race_result", "athlete_id", "event", "time_s")) == [
        ("ana-berg", "60", 8.12), ("bea-lund", "200", 26.02), ("bea-lund", "60", 8.02),
    ]  # fmt: skip


def test_a_single_column_of_events_stays_the_event_though_it_is_called_gara():
    checked = take_in("data;gara;atleta;tempo\n2026-01-24;60 m;Ana Berg;8,12\n", "x.csv")
    assert rows(checked, "race_result", "event", "time_s") == [("60", 8.12)]


LIST = "data;gara;atleta;disciplina;turno;tempo;vento;rango\n"


def test_marks_in_italian_results():
    checked = take_in(
        LIST + "2026-09-05;Lake Cup;Ana Berg;100 m;serie;12.6 m.;+1.1;7\n2026-09-05;Lake Cup;Bea Lund;100 m;batt.;"
        "12,8 man.;-0.8;6\n2026-09-06;Lake Cup;Ana Berg;100 m;serie;12.62;0.3;2\n2026-09-06;Lake Cup;Bea Lund;100 m;"
        "serie;sq.;0.3;\n2026-09-07;Lake Cup;Ana Berg;100 m;serie;rit.;0.3;\n2026-09-07;Lake Cup;Bea Lund;100 m;serie;"
        "DNS;;\n", "x.csv",
    )  # fmt: skip
    columns = ("athlete_id", "time_s", "timing_kind", "place", "race_outcome", "round")
    assert rows(checked, "race_result", *columns) == [
        ("ana-berg", 12.6, "hand", 7, None, "serie"), ("bea-lund", 12.8, "hand", 6, None, "batt"),
        ("ana-berg", 12.62, None, 2, None, "serie"), ("bea-lund", None, None, None, "disqualified", "serie"),
        ("ana-berg", None, None, None, "not_finished", "serie"), ("bea-lund", None, None, None, "not_started", "serie"),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("header", "cell"), [("date;athlete;event;time", "12.6 m."), ("data;atleta;disciplina;tempo", "12.62 m.")]
)
def test_an_m_that_is_not_surely_manuale_is_set_aside(header, cell):
    """In English it is no word for by hand; times by hand are to a tenth (common practice, no source)."""
    checked = take_in(f"{header}\n2026-09-05;Ana Berg;100 m;{cell}\n2026-09-05;Bea Lund;100 m;12.70\n", "x.csv")
    times = dict(rows(checked, "race_result", "athlete_id", "time_s"))
    assert times["bea-lund"] == 12.7
    assert times.get("ana-berg") is None
    assert cell in reasons(checked)


@pytest.mark.parametrize(
    "header",
    ["Fecha;Atleta;Prueba;Marca;Viento", "Date;Athl\u00e8te;\u00c9preuve;Temps;Vent", "Data;Atleta;Prova;Tempo;Vento"],
)
def test_an_m_behind_a_tenth_is_by_hand_in_the_languages_whose_word_begins_so(header):
    """Manual, manuel, manuale: common practice, from memory."""
    checked = take_in(f"{header}\n17/3/2026;Ana Berg;100 m;11,8 m.;+1,1\n17/3/2026;Bea Lund;100 m;12,31;0,2\n", "x.csv")
    times = {row[0]: row[1:] for row in rows(checked, "race_result", "athlete_id", "time_s", "timing_kind")}
    assert times == {"ana-berg": (11.8, "hand"), "bea-lund": (12.31, None)}


def test_a_sheet_of_runs_all_marked_so_was_timed_by_hand():
    checked = take_in(
        "Data;Atleta;30 m;60 m\n17.3.2026;Ana Berg;4,2 m.;7,8 m.\n17.3.2026;Bea Lund;4,3 m;7,9 m.\n", "x.csv"
    )
    assert sorted(rows(checked, "split", "elapsed_s")) == [(4.2,), (4.3,), (7.8,), (7.9,)]
    assert rows(checked, "rep", "timing_kind") == [("hand",), ("hand",)]


def test_one_time_marked_so_among_others_is_told_and_takes_no_comma_from_them():
    checked = take_in("Data;Atleta;30 m;60 m\n17.3.2026;Ana Berg;4,2 m.;7,81\n17.3.2026;Bea Lund;4,31;7,92\n", "x.csv")
    assert sorted(rows(checked, "split", "elapsed_s")) == [(4.31,), (7.81,), (7.92,)]
    assert "'4,2 m.' may be marked as timed by hand" in reasons(checked)


ROUNDS = "Lake Indoor FAT 2026-01-24\nName,Event,{}\nAna Berg,60 m,{}\nBea Lund,60 m,{}\n"


@pytest.mark.parametrize(
    ("heads", "ana", "bea"),
    [("Prelim,Wind,Final,Wind,Pl", "8.12,0.4,8.09,-0.3,2", "8.02,0.1,DNF,,"),
     ("Heats,Final,Place,Wind", "8.12,8.09,2,-0.3", "8.02,DNF,,")],
)  # fmt: skip
def test_each_round_of_a_row_is_a_race_with_its_own_wind_and_place(heads, ana, bea):
    checked = take_in(ROUNDS.format(heads, ana, bea), "races.csv")
    made = rows(checked, "race_result", "athlete_id", "round", "time_s", "wind_ms", "place", "race_outcome")
    first, own = heads.split(",")[0].lower(), {"Prelim": (0.4, 0.1)}.get(heads.split(",")[0], (None, None))
    assert sorted(made, key=lambda one: (one[0], one[1] == "final")) == [
        ("ana-berg", first, 8.12, own[0], None, None), ("ana-berg", "final", 8.09, -0.3, 2, None),
        ("bea-lund", first, 8.02, own[1], None, None), ("bea-lund", "final", None, None, None, "not_finished"),
    ]  # fmt: skip


def test_a_place_beside_no_time_of_its_round_leaves_the_rounds_to_be_asked():
    checked = take_in(ROUNDS.format("Prelim,Final,Pl", "8.12,8.09,2", "8.02,,11"), "races.csv")
    assert "race_result" not in checked.accepted
    assert "Final" in [one.about for one in checked.questions]
