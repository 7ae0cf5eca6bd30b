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


def test_a_person_in_the_corner_of_each_block_and_pictures_counted_by_its_title():
    title = "Block starts 11 February 2026, filmed at 200 frames/s; contact and flight in frames, length in cm"
    heads = ["step 1", "step 2"]
    checked = take_in(
        workbook(
            [title], [], ["Ana Berg", *heads], ["contact", 40, 36], ["flight", 10, 14], ["length", 98, 130],
            [], ["Béa Lünd", *heads], ["contact", 42, 38], ["flight", 12, 16], ["length", 101, 133],
        ), "video.xlsx",
    )  # fmt: skip
    assert steps(checked) == [
        ("ana-berg", 11, 1, 0.2, 0.05, 0.98), ("ana-berg", 11, 2, 0.18, 0.07, 1.3),
        ("bea-lund", 11, 1, 0.21, 0.06, 1.01), ("bea-lund", 11, 2, 0.19, 0.08, 1.33),
    ]  # fmt: skip
    assert not checked.questions


def test_where_only_one_of_the_times_is_in_frames_the_unit_of_both_is_asked():
    text = "Block starts 11.2.2026 (200 images/s): contact in ms and flight in frames\nAna Berg;step 1;step 2\n"
    checked = take_in(f"{text}contact;152;139\nflight;13;19\n", "video.csv")
    assert "contact_s" not in checked.accepted.get("step", checked.set_aside).columns
    asked = {one.about: dict(one.answers) for one in checked.questions if one.ask == "units"}
    assert {"contact, step 1", "flight, step 1"} <= set(asked)
    assert all({"frames", "ms"} <= set(answers) for answers in asked.values())
