"""What a form says in full, in its own words, is not asked: both ends of a scale, hours with a half."""

import pytest

from tests.intake import reasons, rows, take_in

FORM = 'Data,Atleta,"{}"\n2026-03-02,Ana Berg,2\n2026-03-03,Ana Berg,0\n2026-03-04,Béa Lünd,7\n'


@pytest.mark.parametrize(
    "header",
    [
        "Femorale SX: quanto tira? (0 = per niente, 10 = tantissimo)",
        "Femorale sinistro: quanto ti tira oggi? (0 = niente, 10 = moltissimo)",
        "How much does the left hamstring pull? (0 = not at all, 10 = extremely)",
        "Oberschenkelrückseite links: wie stark zieht es? (0 = gar nicht, 10 = extrem)",
        "Ischio gauche: combien ça tire? (0 = pas du tout, 10 = énormément)",
        "Isquio izquierdo: ¿cuánto te tira? (0 = nada, 10 = muchísimo)",
    ],
)
def test_how_much_a_hamstring_pulls_is_read_with_its_ends(header):
    checked = take_in(FORM.format(header), "form.csv")
    assert not checked.questions
    assert rows(checked, "checkin", "hamstring_tightness_l") == [(2.0,), (0.0,), (7.0,)]


@pytest.mark.parametrize("least", ["6 e mezza", "sechs einhalb", "sechseinhalb", "6½", "6 1/2", "seis y media",
                                   "6 ore e mezza", "six heures et demie", "6 and a half", "zes en een half",
                                   "sex och en halv"])  # fmt: skip
def test_hours_with_a_half_are_read(least):
    checked = take_in(f"Data,Atleta,Ore di sonno\n2026-03-02,Ana Berg,{least}\n2026-03-03,Ana Berg,8\n", "form.csv")
    assert rows(checked, "checkin", "sleep_h") == [(6.5,), (8.0,)]


@pytest.mark.parametrize("said", ["halb sieben", "half past six", "-6½", "6.1.2", "6 o 7 e mezza", "mezza"])
def test_what_is_no_length_of_a_night_is_set_aside(said):
    checked = take_in(f"Data,Atleta,Ore di sonno\n2026-03-02,Ana Berg,{said}\n2026-03-03,Ana Berg,8\n", "form.csv")
    assert (6.5,) not in rows(checked, "checkin", "sleep_h")
    assert said in reasons(checked)


def test_minutes_with_a_half_are_hours_only_where_they_say_so():
    text = "date,athlete,minutes\n2026-03-02,Ana Berg,1½ h\n2026-03-03,Ana Berg,1½\n2026-03-04,Ana Berg,60\n"
    checked = take_in(text, "log.csv")
    assert rows(checked, "session", "duration_min") == [(90.0,), (60.0,)]
