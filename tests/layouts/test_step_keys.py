"""Steps counted in pictures, under letters that the title explains."""

import pytest

from pipelines.layouts.words.said import said_by
from tests.intake import rows, take_in

STEPS = """{}
data;atleta;{}
2026-02-10;Ana Berg;45;16;42
2026-02-10;Ana Berg;44;14;40
2026-02-10;Béa Lünd;47;11;
"""


@pytest.mark.parametrize(
    ("title", "header"),
    [
        ("Fotogrammi contati a 240 al secondo – C = contatto, V = volo – partenza dai blocchi", "C1;V1;C2"),
        ("Frames counted at 240 fps, C = contact, F = flight, from blocks", "C1;F1;C2"),
        ("Gezählte Bilder, 240 pro Sekunde (K = Kontakt, F = Flug), aus dem Block", "K 1;F 1;K 2"),
        ("Images comptées à 240 images par seconde. C: contact, V: vol. Départ blocks", "c1;v1;c2"),
        ("Frames counted at 240 per second - C = contact V = flight - blocks", "C1;V1;C2"),
    ],
)
def test_letters_that_a_title_explains_are_steps_in_pictures(title, header):
    checked = take_in(STEPS.format(title, header), "passi.csv")
    assert sorted(rows(checked, "step", "athlete_id", "rep_no", "step_no", "contact_s", "flight_s")) == [
        ("ana-berg", 1, 1, pytest.approx(45 / 240), pytest.approx(16 / 240)),
        ("ana-berg", 1, 2, pytest.approx(42 / 240), None),
        ("ana-berg", 2, 1, pytest.approx(44 / 240), pytest.approx(14 / 240)),
        ("ana-berg", 2, 2, pytest.approx(40 / 240), None),
        ("bea-lund", 1, 1, pytest.approx(47 / 240), pytest.approx(11 / 240)),
    ]
    assert set(rows(checked, "rep", "start_kind")) == {("blocks",)}


@pytest.mark.parametrize("title", ["Fotogrammi contati a 240 al secondo", "C = corsa, V = vento, 240 fps",
                                   "C = contact, C = flight, V = flight, 240 fps"])  # fmt: skip
def test_letters_that_nothing_explains_are_asked(title):
    checked = take_in(STEPS.format(title, "C1;V1;C2"), "passi.csv")
    assert "step" not in checked.accepted
    assert {one.about for one in checked.questions} >= {"C1"}


SIDE_BY_SIDE = """Athlete,Date,Run,Fps,{}
Ana Berg,2026-02-10,1,240,{}
Béa Lünd,2026-02-10,1,240,{}
"""


@pytest.mark.parametrize(
    ("header", "first", "second"),
    [
        ("C1 (ms),F1 (ms),C2 (ms),F2 (ms),L1 (cm),L2 (cm)", "196,54,171,63,98,112", "183,50,162,,108,121"),
        ("GCT1,FT1,GCT2,FT2,L1 (cm),L2 (cm)", "0.196,0.054,0.171,0.063,98,112", "0.183,0.050,0.162,,108,121"),
        ("K1 ms,K2 ms,F1 ms,F2 ms,L1 (cm),L2 (cm)", "196,171,54,63,98,112", "183,162,50,,108,121"),
    ],
)
def test_letters_of_ground_and_air_beside_each_other_need_no_key(header, first, second):
    """Contacts and flights of first steps lie within what Nagahara et al. (2014) report, from memory."""
    checked = take_in(SIDE_BY_SIDE.format(header, first, second), "first steps.csv")
    assert sorted(rows(checked, "step", "athlete_id", "step_no", "contact_s", "flight_s", "step_length_m")) == [
        ("ana-berg", 1, 0.196, 0.054, 0.98), ("ana-berg", 2, 0.171, 0.063, 1.12),
        ("bea-lund", 1, 0.183, 0.050, 1.08), ("bea-lund", 2, 0.162, None, 1.21),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("header", "first", "second"),
    [
        ("C1 (ms),C2 (ms)", "196,171", "183,162"),  # of the ground alone
        ("C1,F1,C2,F2", "4.12,0.15,4.09,0.14", "4.40,0.16,4.38,0.15"),  # runs and reactions, by their cells
        ("C1,F1,C2,F2", "54,196,63,171", "50,183,58,162"),  # the longer ones are no flights
        ("C1,F1,V1,C2,F2,V2", "196,54,60,171,63,61", "183,50,55,162,58,57"),  # two that may be the air
    ],
)
def test_letters_that_their_cells_do_not_bear_out_are_asked(header, first, second):
    checked = take_in(SIDE_BY_SIDE.format(header, first, second), "first steps.csv")
    assert "step" not in checked.accepted
    assert {"C1 (ms)" if "(ms)" in header else "C1"} <= {one.about for one in checked.questions}


def test_pictures_without_a_word_of_counting_are_asked_and_never_taken_for_milliseconds():
    checked = take_in(STEPS.format("Video frames, 240 fps", "contact 1;flight 1;contact 2"), "passi.csv")
    assert "step" not in checked.accepted
    assert {one.ask for one in checked.questions} == {"units"}


def test_the_rate_of_a_film_alone_counts_no_pictures():
    text = STEPS.format("Filmed at 240 frames per second", "contact 1;flight 1;contact 2")
    checked = take_in(text.replace("45;16;42", "187;66;175").replace("44;14;40", "183;58;166").replace(
        "47;11;", "195;45;"), "passi.csv")  # fmt: skip
    assert (0.187, 0.066) in rows(checked, "step", "contact_s", "flight_s")


def test_the_key_of_a_mark_is_still_no_word_on_all_rows():
    assert "timing_kind" not in said_by("C = contact, V = flight. h = hand timed – stopwatch", "title")


OVER_EACH_OTHER = """Atleta;Data;{}
;;{}
Ana Berg;10/02/2026;190;50;168;67
Ana Berg;10/02/2026;182;46;176;58
"""


@pytest.mark.parametrize(
    ("upper", "lower"),
    [("Passo 1;;Passo 2;", "contato;voo;contato;voo"), ("Paso 1;;Paso 2;", "contacto;vuelo;contacto;vuelo")],
)
def test_a_number_of_a_step_over_what_is_measured_holds_for_both_below_it(upper, lower):
    checked = take_in(OVER_EACH_OTHER.format(upper, lower), "vídeo.csv")
    assert sorted(rows(checked, "step", "rep_no", "step_no", "contact_s", "flight_s")) == [
        (1, 1, 0.19, 0.05), (1, 2, 0.168, 0.067), (2, 1, 0.182, 0.046), (2, 2, 0.176, 0.058),
    ]  # fmt: skip


@pytest.mark.parametrize(
    "text",
    [
        "Athlete;Date;Step 1;Flight;Step 2;Flight\nAna Berg;2026-02-10;190;50;168;67\nAna Berg;2026-02-10;182;46;1;58",
        "Athlete;Date;Flight;Flight\nAna Berg;2026-02-10;50;67\nAna Berg;2026-02-10;46;58\n",
    ],
)
def test_rows_count_no_steps_where_columns_are_of_several(text):
    assert "step" not in take_in(text, "video.csv").accepted


def test_rows_count_the_steps_where_each_is_a_row():
    text = "Athlete;Date;Contact (s);Flight (s)\nAna Berg;2026-02-10;0.190;0.050\nAna Berg;2026-02-10;0.168;0.067\n"
    assert rows(take_in(text, "video.csv"), "step", "step_no", "flight_s") == [(1, 0.05), (2, 0.067)]
