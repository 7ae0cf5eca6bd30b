"""A second block below the first, whose header nobody knows word for word: it is no row of the block above."""

from tests.intake import reasons, rows, take_in
from tests.layouts.test_british_club import KNOWN
from tests.layouts.test_found_by_strangers import book

GYM = [["Gym 11/11/2026"], ["Athlete", "Exercise", "Sets", "Reps", "Load (kg)"], ["Ana Berg", "Back squat", 2, 5, 80],
       ["Bea Lund", "Back squat", 1, 5, 140]]  # fmt: skip
SETS = ("athlete_id", "exercise", "set_no", "reps", "load_kg")
SQUATS = [("ana-berg", "back_squat", 1, 5, 80.0), ("ana-berg", "back_squat", 2, 5, 80.0),
          ("bea-lund", "back_squat", 1, 5, 140.0)]  # fmt: skip


def test_a_line_with_the_word_for_people_heads_another_block():
    jumps = [["Jumps, same day"], ["Athlete", "Thing", "1st go", "2nd go"], ["Ana Berg", "bound", 38.2, 39.0],
             ["Bea Lund", "bound", 48.2, 49.0]]  # fmt: skip
    checked = take_in(book(Gym=[*GYM, [], *jumps]), "gym.xlsx", KNOWN)
    assert sorted(rows(checked, "lift_set", *SETS)) == SQUATS
    assert not [one for one in checked.questions if one.about == "Athlete"]
    assert all("not said yet" in why for line in (8, 9) for why in [reasons(checked, line)])


def test_a_line_without_the_word_for_people_stays_a_row_of_the_block():
    checked = take_in(book(Gym=[*GYM, ["Cleo Dahl", "Bench", 1, 3, 55]]), "gym.xlsx", KNOWN)
    assert sorted(rows(checked, "lift_set", *SETS)) == [*SQUATS, ("cleo-dahl", "bench", 1, 3, 55.0)]


def test_a_line_that_reads_like_a_header_with_nothing_below_is_a_row():
    sheet = [["Athlete", "Date", "Note"], ["Ana Berg", "2026-11-11", "good"], ["Bea Lund", "Run 2", "10 m"]]
    checked = take_in(book(Log=sheet), "log.xlsx", KNOWN, columns={"Note": "session.note"})
    assert 3 in checked.set_aside["source_line"]


def test_a_row_of_numbers_below_a_row_of_numbers_is_no_header_of_the_rest():
    """Names that are taken for runs and numbers that rise: the rows above such a 'header' would be gone unsaid."""
    sheet = [["Athlete", "zork L", "zork R", "zork P", "zork Q"], ["Ana Berg", 256, 270, 240, 225],
             ["Bea Lund", 203, 207, 208, 220], ["Cleo Dahl", 195, 200, 184, 218]]  # fmt: skip
    checked = take_in(book(Test=sheet), "test.xlsx", KNOWN)
    assert not checked.accepted
    assert [one.about for one in checked.questions] == ["zork L", "zork R", "zork P", "zork Q"]
    assert checked.set_aside["source_line"].unique().sort().to_list() == [2, 3, 4]


def test_a_header_of_bare_gates_below_words_stays_one():
    sheet = [["Trial in the hall 2026-11-11"], ["Athlete", 10, 20, 30], ["Ana Berg", 1.9, 3.2, 4.3],
             ["Bea Lund", 2.0, 3.3, 4.5]]  # fmt: skip
    checked = take_in(book(Test=sheet), "test.xlsx", KNOWN)
    assert sorted(set(rows(checked, "split", "distance_m"))) == [(10.0,), (20.0,), (30.0,)]


def test_blocks_that_say_whose_they_are_in_pairs_of_cells_are_each_of_that_person():
    def block(name, *cells):
        return [["Name", name], ["Date", "2026-11-11"], ["Rep", 1], ["Step", 1, 2], ["Contact (ms)", *cells], []]

    sheet = [*block("Ana Berg", 182, 165), *block("Bea Lund", 190, 170)]
    checked = take_in(book(Steps=sheet), "steps.xlsx", KNOWN)
    assert sorted(rows(checked, "step", "athlete_id", "step_no", "contact_s")) == [
        ("ana-berg", 1, 0.182), ("ana-berg", 2, 0.165), ("bea-lund", 1, 0.19), ("bea-lund", 2, 0.17),
    ]  # fmt: skip
