"""Names alike but for accents, or in short, are one question; 'all of them are new' never lists who may be another."""

import pytest

from pipelines import flow
from pipelines.home.folder import Home
from pipelines.intake.answers import as_toml, gathered, read_answers


def load(home, names, told=None, name="gym.csv"):
    rows = "".join(f"{who},2026-02-0{day},60,5\n" for day, who in enumerate(names, 1))
    options = told or flow.LayoutOptions()
    text = f"Name,Date,Minutes,RPE (0-10)\n{rows}"
    [outcome] = flow.load_files(home, [(name, text.encode())], "coach", options, derive_after=False)
    return gathered(outcome.questions)


def people(home):
    return sorted(flow.table(home, "athlete")["display_name"])


def about_names(questions):
    return {one.about: one for one in questions if one.ask == "athletes"}


@pytest.fixture
def home(tmp_path):
    return Home(tmp_path / "home")


SPELLED = ["Emre Cakir", "Emre Çakır", "Jo de Haan", "Jo de Haan-Postma", "Ada Reed", "Bo Lind"]


def test_spellings_of_one_name_are_one_question_and_the_rest_one_for_all(home):
    questions = load(home, SPELLED)
    asked = about_names(questions)
    assert {name: one.cells for name, one in asked.items()} == {
        "Emre Çakır": ("Emre Cakir",), "Jo de Haan-Postma": ("Jo de Haan",)
    }  # fmt: skip
    assert "also written 'Emre Cakir'" in asked["Emre Çakır"].sentence
    assert [one.cells for one in questions if one.ask == "people"] == [("Ada Reed", "Bo Lind")]


def test_one_answer_makes_one_person_of_all_spellings_in_the_browser_and_by_a_file(tmp_path):
    every = ["Ada Reed", "Bo Lind", "Emre Çakır", "Jo de Haan-Postma"]
    by_hand = Home(tmp_path / "by_hand")
    questions = load(by_hand, SPELLED)
    load(by_hand, SPELLED, flow.LayoutOptions(layouts=flow.of_questions([(one, "new") for one in questions])))
    assert people(by_hand) == every
    by_file = Home(tmp_path / "by_file")
    written = as_toml(load(by_file, SPELLED)).replace('people = ""', 'people = "new"')
    for name in ("Emre Çakır", "Jo de Haan-Postma"):
        written = written.replace(f'athletes."{name}" = ""', f'athletes."{name}" = "new"')
    (tmp_path / "told.toml").write_text(written, encoding="utf-8")
    load(by_file, SPELLED, read_answers(tmp_path / "told.toml"))
    assert people(by_file) == every


def test_who_may_be_another_new_person_is_asked_alone_with_that_one_in_front(home):
    names = ["Sanne de Wit-Berg", "Sanne B", "Mia Strand", "Noor Vos", "Noor Voss"]
    questions = load(home, names)
    asked = about_names(questions)
    assert [one.cells for one in questions if one.ask == "people"] == [("Sanne de Wit-Berg", "Mia Strand")]
    assert asked["Sanne B"].answers[0][0] == "sanne-de-wit-berg"
    assert set(asked) == {"Sanne B", "Noor Vos", "Noor Voss"}


def test_two_short_names_of_different_people_are_not_made_one(home):
    questions = load(home, ["Jan de Boer", "Jan de Boer-Smit", "Jan de Boer-Vos"])
    [asked] = about_names(questions).values()
    assert (asked.about, asked.cells) == ("Jan de Boer", ())
    assert [answer for answer, _ in asked.answers][:2] == ["jan-de-boer-smit", "jan-de-boer-vos"]
    assert [one.cells for one in questions if one.ask == "people"] == [("Jan de Boer-Smit", "Jan de Boer-Vos")]


def test_names_are_asked_before_anything_else(home):
    text = "Name,Date,Minutes,Rating\nAda Reed,2026-02-01,60,5\nBo Lind,2026-02-01,60,5\nAda Reed,2026-02-02,60,4\n"
    [outcome] = flow.load_files(home, [("log.csv", text.encode())], "coach", derive_after=False)
    asks = [one.ask for one in gathered(outcome.questions)]
    assert asks[0] == "people"
    assert "columns" in asks


def test_a_name_in_another_order_or_without_capitals_stands_in_the_list_once(home):
    questions = load(home, ["Ada Reed", "Reed Ada", "ada reed", "Bo Lind"])
    assert [(one.ask, one.cells) for one in questions] == [("people", ("Ada Reed", "Bo Lind"))]
    load(home, ["Ada Reed", "Reed Ada", "ada reed", "Bo Lind"],
         flow.LayoutOptions(layouts=flow.of_questions([(questions[0], "new")])))  # fmt: skip
    assert people(home) == ["Ada Reed", "Bo Lind"]
    assert flow.table(home, "session").height == 4
