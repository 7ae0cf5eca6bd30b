"""A unit that only the title, the tab or the file's name says; cells that name one beside cells that name none."""

import pytest

from pipelines.layouts.words.told_units import said_units
from tests.intake import rows, take_in

# Values of the international pound (0.45359237 kg, exact, 1959) and standard gravity (9.80665 m/s2, 1901).
POUND_KG, POUND_FORCE_N = 0.45359237, 4.4482216152605
BODY = "Date,Athlete,Weight\n2026-11-03,Ana Berg,131\n2026-11-10,Ana Berg,132\n"
LIFTS = "Date,Athlete,Exercise,Sets\n2026-11-03,Ana Berg,squat,3x5 @ 180\n2026-11-03,Bea Lund,squat,3x5 @ {}\n"


def masses(checked):
    return [value for (value,) in rows(checked, "body_measure", "body_mass_kg")]


@pytest.mark.parametrize(
    "title",
    ["Monday weigh in, lbs", "Monday weigh in (lbs)", "Weigh in - lbs", "Peso in libbre", "Poids en livres",
     "Weight in pounds", "Peso en libras"],
)  # fmt: skip
def test_a_unit_in_the_title_is_that_of_a_column_whose_header_gives_none(title):
    checked = take_in(f"{title},,\n\n{BODY}", "x.csv")
    assert masses(checked) == pytest.approx([131 * POUND_KG, 132 * POUND_KG])
    assert any("read as pound: the title or name says" in note for note in checked.notes)


def test_a_unit_in_the_name_of_the_file_is_that_of_a_column_whose_header_gives_none():
    assert masses(take_in(BODY, "weigh in lbs.csv")) == pytest.approx([131 * POUND_KG, 132 * POUND_KG])


@pytest.mark.parametrize(
    "title", ["Gewicht in kg", "Weigh in, with a 20 lbs vest", "Weigh in at the Pound", "Per kg, N/kg"]
)
def test_a_title_in_the_records_unit_and_a_number_with_a_unit_change_nothing(title):
    checked = take_in(f"{title},,\n\n{BODY.replace('131', '61').replace('132', '62')}", "x.csv")
    assert (masses(checked), checked.questions) == ([61.0, 62.0], [])


def test_the_headers_unit_wins_over_the_titles():
    checked = take_in(f"Weigh in kg,,\n\n{BODY.replace('Weight', 'Weight (lbs)')}", "x.csv")
    assert masses(checked) == pytest.approx([131 * POUND_KG, 132 * POUND_KG])
    checked = take_in(f"Weigh in lbs,,\n\n{BODY.replace('Weight', 'Weight kg')}", "x.csv")
    assert masses(checked) == [131.0, 132.0]


def test_a_cells_own_unit_wins_over_the_titles():
    checked = take_in(f"Weigh in lbs,,\n\n{BODY.replace('132', '60 kg')}", "x.csv")
    assert masses(checked) == pytest.approx([131 * POUND_KG, 60.0])


def test_two_units_in_the_title_that_both_fit_are_asked_and_the_answer_is_obeyed():
    text = f"Weigh in (lbs / kg),,\n\n{BODY}"
    checked = take_in(text, "x.csv")
    [asked] = [one for one in checked.questions if one.ask == "units"]
    assert ([answer for answer, _ in asked.answers], asked.rows, masses_or_none(checked)) == (["lb", "kg"], 2, [])
    assert masses(take_in(text, "x.csv", units={"Weight": "lb"})) == pytest.approx([131 * POUND_KG, 132 * POUND_KG])


def masses_or_none(checked):
    return masses(checked) if "body_measure" in checked.accepted else []


def test_where_some_cells_name_a_unit_the_bare_ones_wait_and_are_asked_once():
    text = BODY.replace("132", "132 lbs") + "2026-11-17,Ana Berg,133\n"
    checked = take_in(text, "x.csv")
    [asked] = [one for one in checked.questions if one.ask == "units"]
    assert (asked.about, asked.rows) == ("Weight", 2)
    assert masses(checked) == pytest.approx([132 * POUND_KG])
    assert masses(take_in(text, "x.csv", units={"Weight": "lb"})) == pytest.approx(
        [131 * POUND_KG, 132 * POUND_KG, 133 * POUND_KG]
    )


def test_loads_of_sets_in_words_follow_the_title_and_their_own_unit_wins():
    checked = take_in("Monday lift (lbs),,,\n\n" + LIFTS.format("100 kg"), "x.csv")
    loads = [load for (load,) in rows(checked, "lift_set", "load_kg")]
    assert loads == pytest.approx([180 * POUND_KG] * 3 + [100.0] * 3)
    checked = take_in("Monday lift (lbs),,,\n\n" + LIFTS.format("BW+25"), "x.csv")
    loads = [load for (load,) in rows(checked, "lift_set", "load_kg")]
    assert loads == pytest.approx([180 * POUND_KG] * 3 + [25 * POUND_KG] * 3)


def test_a_bare_load_of_a_set_beside_loads_in_pounds_waits():
    checked = take_in(LIFTS.format("210 lbs"), "x.csv")
    assert [one.ask for one in checked.questions if one.ask == "units"] == ["units"]
    loads = [load for (load,) in rows(checked, "lift_set", "load_kg") if load is not None]
    assert loads == pytest.approx([210 * POUND_KG] * 3)


@pytest.mark.parametrize(
    ("title", "heads"),
    [("Nordic hamstring - peak force, lbs each leg", "L,R"), ("Nordic hamstring", "Left (lb),Right (lb)"),
     ("Testing", "Nordic L (lbs),Nordic R (lbs)")],
)  # fmt: skip
def test_pounds_over_a_test_of_force_are_pounds_of_force(title, heads):
    text = f'"{title}",,,\n\nDate,Athlete,{heads}\n2026-11-03,Ana Berg,75,69\n'
    checked = take_in(text, "x.csv")
    forces = [force for (force,) in rows(checked, "force_test", "peak_force_n")]
    assert forces == pytest.approx([75 * POUND_FORCE_N, 69 * POUND_FORCE_N])


@pytest.mark.parametrize(
    ("title", "units"),
    [("30m FLY (30m run in)", set()), ("Men (M), in season", set()), ("h = hand, front foot", set()),
     ("CMJ - height in inches", {"inch"}), ("Sprung in cm", {"centimeter"}), ("Nordics (N)", {"newton"}),
     ("Gym lbs/kg", {"pound", "kilogram"}), ("40 cm box, 20 kg vest", set()), ("Force per kg, N/kg", set())],
)  # fmt: skip
def test_only_words_that_stand_for_a_unit_are_one(title, units):
    assert set(said_units([title])) == units


def test_where_nothing_names_a_unit_the_records_is_kept():
    checked = take_in(BODY.replace("131", "61").replace("132", "62"), "x.csv")
    assert (masses(checked), checked.questions) == ([61.0, 62.0], [])


@pytest.mark.parametrize(
    ("title", "contact"),
    [("Contact and flight, ms (240 frames/s)", 0.183), ("Markkontakt och flygfas, ms (240 bilder/s)", 0.183),
     ("Contact and flight (240 frames/s), frames", None)],
)  # fmt: skip
def test_the_rate_of_a_film_is_no_unit_of_what_was_seen_on_it(title, contact):
    text = f"{title}\nname,date,contact 1,flight 1\nAna Berg,2026-02-17,183,62\nBea Lund,2026-02-17,166,51\n"
    checked = take_in(text, "film.csv")
    found = checked.accepted["step"]["contact_s"].to_list() if "step" in checked.accepted else [None]
    assert found[0] == (pytest.approx(contact) if contact else None)


@pytest.mark.parametrize("trial", ["{} V{}", "{} trial {}", "{} Versuch {}", "{} T{}"])
def test_trials_of_a_side_below_a_title_that_names_the_test(trial):
    heads = ";".join(trial.format(side, number) for side in ("left", "right") for number in (1, 2))
    text = f"Nordic hamstring test\nDate;Athlete;{heads}\n;;[N];[N];[N];[N]\n2026-01-12;Ana Berg;295;268;298;267\n"
    found = rows(take_in(text, "w.csv"), "force_test", "test", "side", "trial_no", "peak_force_n")
    assert sorted(found) == [
        ("eccentric_hamstring", "l", 1, 295.0), ("eccentric_hamstring", "l", 2, 268.0),
        ("eccentric_hamstring", "r", 1, 298.0), ("eccentric_hamstring", "r", 2, 267.0),
    ]  # fmt: skip
