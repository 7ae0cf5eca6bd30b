"""Steps below people who stand over several columns, two films on one sheet."""

from tests.intake import rows, take_in, workbook

FILM = "Block start film {}, 240 fps: ground contact and air in ms, length in cm, first rep"
HEADS = ["", "contact", "air", "length", "contact", "air", "length"]


def film(day, first, *, people=("Step", "Ana Berg", "", "", "Béa Lünd", "", "")):
    return [
        [FILM.format(day)],
        list(people),
        HEADS,
        [1, first, 55, 101, 178, 52, 98],
        [2, first - 20, 70, 115, 160, 69, 111],
    ]


def steps(checked):
    columns = ("athlete_id", "session_date", "step_no", "contact_s", "flight_s", "step_length_m")
    return sorted((who, day.day, *rest) for who, day, *rest in rows(checked, "step", *columns))


def test_a_second_film_below_the_first_is_a_block_of_its_own_and_steps_have_their_number():
    checked = take_in(workbook(*film("2026-11-03", 190), [], *film("2026-11-10", 186)), "films.xlsx")
    assert steps(checked) == [
        ("ana-berg", 3, 1, 0.190, 0.055, 1.01), ("ana-berg", 3, 2, 0.170, 0.070, 1.15),
        ("ana-berg", 10, 1, 0.186, 0.055, 1.01), ("ana-berg", 10, 2, 0.166, 0.070, 1.15),
        ("bea-lund", 3, 1, 0.178, 0.052, 0.98), ("bea-lund", 3, 2, 0.160, 0.069, 1.11),
        ("bea-lund", 10, 1, 0.178, 0.052, 0.98), ("bea-lund", 10, 2, 0.160, 0.069, 1.11),
    ]  # fmt: skip
    assert checked.set_aside.is_empty()


def test_the_number_of_a_step_is_what_stands_there_and_no_count_of_rows():
    lines = film("2026-11-03", 190)
    checked = take_in(workbook(*lines[:3], lines[4]), "films.xlsx")
    assert {row[2] for row in steps(checked)} == {2}


def test_people_and_header_once_more_without_a_title_are_no_rows():
    first = film("2026-11-03", 190)
    checked = take_in(workbook(*first, *first[1:3], [3, 150, 80, 125, 145, 78, 120]), "films.xlsx")
    assert {row[2] for row in steps(checked)} == {1, 2, 3}
    assert checked.set_aside.is_empty()
