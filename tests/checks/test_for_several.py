"""A row of a plan or a log may hold for a group: whom a word means is asked once, and each gets a row of that day."""

import datetime as dt

import polars as pl
import pytest

from pipelines.checks import Known
from pipelines.checks.names import Roster
from pipelines.checks.whose import members
from tests.intake import AS_OF, reasons, rows, take_in

PEOPLE = pl.DataFrame(
    {
        "athlete_id": ["ana-berg", "bea-lund", "cleo-dahl", "dora-ek"],
        "display_name": ["Ana Berg", "Bea Lund", "Cleo Dahl", "Dora Ek"],
        "event_group": ["short_sprints", "short_sprints", "hurdles", "long_sprints"],
        "squad": ["senior", "u18", "u18", "senior"],
        "sex": ["f", "f", "f", "m"],
        "joined_on": [None, dt.date(2026, 11, 11), None, None],
        "left_on": [None, None, None, dt.date(2026, 11, 12)],
    }
)  # fmt: skip
KNOWN = Known(PEOPLE, AS_OF)
PLAN = "Tag;Gruppe;Plan;Dauer;Anstrengung Ziel (0-10)\n"


def planned(checked):
    """Return who has which minutes planned, from which line."""
    if "plan" not in checked.accepted:
        return []
    return sorted(checked.accepted["plan"].select("athlete_id", "planned_min", "source_line").rows())


def test_a_column_of_groups_is_asked_about_once_with_the_word_that_nobody_knows():
    checked = take_in(f"{PLAN}10.11.2026;Sprint;Kraft;90;6\n14.11.2026;Gelb;Kraft;50;5\n", "Plan.csv", KNOWN)
    asked = {(one.ask, one.about): one for one in checked.questions}
    assert set(asked) == {("who", ""), ("groups", "Gelb")}
    assert asked["who", ""].answers[0][0] == "groups"
    assert asked["groups", "Gelb"].rows == 1
    assert planned(checked) == []


def test_a_row_for_a_group_is_a_row_for_each_who_is_in_it_from_the_one_line():
    text = f"{PLAN}13.11.2026;Sprint;Kraft;90 min;6\n13.11.2026;Hürden;Technik;60 min;5\n"
    checked = take_in(text, "Plan.csv", KNOWN, who="groups")
    assert planned(checked) == [("ana-berg", 90.0, 2), ("bea-lund", 90.0, 2), ("cleo-dahl", 60.0, 3)]
    assert (checked.rows_read, checked.set_aside.height) == (2, 0)


def test_a_row_holds_only_for_who_was_with_the_squad_on_that_day():
    text = f"{PLAN}10.11.2026;Sprint;Kraft;90;6\n13.11.2026;400;Tempo;60;5\n"
    checked = take_in(text, "Plan.csv", KNOWN, who="groups")
    assert planned(checked) == [("ana-berg", 90.0, 2)]  # Bea joined on the 11th
    assert "with the squad on that day" in reasons(checked, 3)  # Dora left on the 12th: told, and lost to nobody
    everybody = take_in("Tag;Plan;Dauer\n13.11.2026;Kraft;90\n", "Plan.csv", KNOWN, who="everybody")
    assert {who for who, *_ in planned(everybody)} == {"ana-berg", "bea-lund", "cleo-dahl"}


def test_several_groups_all_and_a_name_may_stand_in_one_column():
    text = (
        f"{PLAN}11.11.2026;Sprint + Hürden;Kraft;90;6\n12.11.2026;alle;Test;60;7\n"
        "13.11.2026;Cleo Dahl;Technik;45;4\n14.11.2026;U18;Kraft;30;3\n"
    )
    checked = take_in(text, "Plan.csv", KNOWN, who="groups")
    by_line: dict[int, list[str]] = {}
    for who, _, line in planned(checked):
        by_line.setdefault(line, []).append(who)
    assert by_line == {
        2: ["ana-berg", "bea-lund", "cleo-dahl"], 3: ["ana-berg", "bea-lund", "cleo-dahl", "dora-ek"],
        4: ["cleo-dahl"], 5: ["bea-lund", "cleo-dahl"],
    }  # fmt: skip


def test_the_answer_for_a_word_may_be_a_group_a_squad_names_or_nobody():
    text = f"{PLAN}11.11.2026;Gelb;Kraft;90;6\n"
    for answer, who in (
        ("long_sprints", ["dora-ek"]), ("squad: u18", ["bea-lund", "cleo-dahl"]), ("everybody", 4),
        ("long_sprints, Cleo Dahl", ["cleo-dahl", "dora-ek"]), ("women", 3), ("nobody", []),
    ):  # fmt: skip
        checked = take_in(text, "Plan.csv", KNOWN, who="groups", groups={"Gelb": answer})
        made = [one for one, *_ in planned(checked)]
        assert (len(made) if isinstance(who, int) else made) == who
        assert [one.ask for one in checked.questions] == []
        assert checked.set_aside.height == (not made)


def test_an_empty_group_is_never_everybody():
    checked = take_in(f"{PLAN}11.11.2026;Sprint;Kraft;90;6\n12.11.2026;;Kraft;40;5\n", "Plan.csv", KNOWN, who="groups")
    assert {line for *_, line in planned(checked)} == {2}
    assert "nobody knows for whom" in reasons(checked, 3)


def test_a_bad_cell_of_a_row_for_several_is_told_once():
    checked = take_in(
        f"{PLAN}12.11.2026;Sprint;Kraft;neunzig;6\n13.11.2026;Sprint;Kraft;90;6\n14.11.2026;Sprint;Kraft;60;6\n",
        "Plan.csv",
        KNOWN,
        who="groups",
    )
    assert len([cell for cell in checked.set_aside.iter_rows() if "neunzig" in str(cell)]) == 1
    assert checked.accepted["plan"]["planned_effort_0_10"].to_list() == [6.0] * 6  # the rest of the row is stored


def test_a_column_of_athletes_may_name_a_group_beside_athletes():
    text = (
        "Datum;Name;Einheit;Dauer;RPE (0-10)\n12.11.2026;Ana Berg;Kraft;70;5\n"
        "12.11.2026;Hürden;Technik;50;4\n13.11.2026;alle;Tempo;40;6\n"
    )
    checked = take_in(text, "log.csv", KNOWN)
    told = checked.accepted["session"].select("athlete_id", "duration_min").sort("athlete_id", "duration_min").rows()
    assert told == [
        ("ana-berg", 40.0),
        ("ana-berg", 70.0),
        ("bea-lund", 40.0),
        ("cleo-dahl", 40.0),
        ("cleo-dahl", 50.0),
    ]


def test_one_person_may_be_the_answer_for_a_sheet_without_athletes():
    checked = take_in("Tag;Plan;Dauer\n13.11.2026;Kraft;90\n", "Plan.csv", KNOWN, who="Bea Lund")
    assert planned(checked) == [("bea-lund", 90.0, 2)]


# Words of nine languages, written here a second time on purpose: a word that falls out of a list is asked about.
EVERYBODY = (
    "everybody", "Everyone", "all", "all of them", "whole squad", "whole group", "full squad", "team", "squad", "alle",
    "ganze Gruppe", "gesamte Gruppe", "tous", "toutes", "tout le monde", "todos", "todas", "tutti", "tutte", "alla",
    "alle sammen", "allesammen", "iedereen",
)  # fmt: skip
WOMEN = (
    "women", "girls", "Ladies", "Frauen", "Damen", "Mädchen", "femmes", "filles", "mujeres", "chicas", "donne", "damer",
    "kvinnor", "kvinner", "kvinder",
)  # fmt: skip
MEN = (
    "men", "boys", "Herren", "Männer", "Jungs", "Jungen", "hommes", "garçons", "hombres", "chicos", "uomini", "herrar",
    "herrer", "menn", "mænd",
)  # fmt: skip
ABSENT = (
    "absent", "absents", "missing", "away", "not there", "fehlt", "fehlend", "abwesend", "ausente", "ausentes",
    "assenti", "frånvarande", "out",
)  # fmt: skip


@pytest.mark.parametrize(
    ("word", "who"),
    [
        *((word, ["ana-berg", "bea-lund", "cleo-dahl", "dora-ek"]) for word in EVERYBODY),
        *((word, ["ana-berg", "bea-lund", "cleo-dahl"]) for word in WOMEN),
        *((word, ["dora-ek"]) for word in MEN),
        ("women and men", ["ana-berg", "bea-lund", "cleo-dahl", "dora-ek"]),
        ("women and Gelb", []),
        ("Gelb", []),
    ],
)
def test_words_for_everybody_and_for_women_and_men_are_understood_in_the_languages_of_a_squad(word, who):
    assert members(word, Roster(PEOPLE)) == who


@pytest.mark.parametrize("header", ABSENT)
def test_who_a_column_names_as_absent_has_no_row_of_that_day(header):
    text = f"{PLAN.strip()};{header}\n13.11.2026;Sprint;Kraft;90;6;Bea\n"
    checked = take_in(text, "Plan.csv", KNOWN, who="groups")
    assert planned(checked) == [("ana-berg", 90.0, 2)]
    assert "Bea Lund is named as absent, so the row does not hold for Bea Lund. Nothing to do." in reasons(checked, 2)


def test_a_word_that_nobody_knows_is_asked_with_every_group_and_squad_and_how_many_are_in_it():
    checked = take_in(f"{PLAN}10.11.2026;Gelb;Kraft;90;6\n14.11.2026;;Kraft;50;5\n", "Plan.csv", KNOWN, who="groups")
    [question] = checked.questions
    assert question.sentence == "Who is meant by 'Gelb'? It stands for a group, and the roster names none so."
    assert question.answers == (
        ("hurdles", "hurdles: 1 person of the roster"), ("long_sprints", "long sprints: 1 person of the roster"),
        ("short_sprints", "short sprints: 2 people of the roster"), ("squad: senior", "2 people"),
        ("squad: u18", "2 people"), ("everybody", "everybody of the squad"),
        ("nobody", "nobody of the squad: these rows stay out"),
    )  # fmt: skip
    assert reasons(checked, 2) == "whom 'Gelb' means is not known yet. Row set aside. Say which group it is."
    assert reasons(checked, 3) == (
        "no group stands here, so nobody knows for whom the row is. Row set aside. Write the group, or everybody."
    )
    gone = take_in(f"{PLAN}10.11.2026;Gelb;Kraft;90;6\n", "P.csv", KNOWN, who="groups", groups={"Gelb": "nobody"})
    assert reasons(gone, 2) == "'Gelb' was said to be nobody of the squad. Row set aside. Nothing to do."


def test_a_group_that_the_file_s_name_says_is_asked_and_then_holds_for_every_row():
    text = "Tag;Plan;Dauer\n13.11.2026;Kraft;90\n14.11.2026;Kraft;60\n"
    [question] = take_in(text, "Sprint.csv", KNOWN).questions
    assert [answer for answer, _ in question.answers] == ["everybody", "name", "groups"]
    told = take_in(text, "Sprint.csv", KNOWN, who="groups")
    assert rows(told, "session", "athlete_id", "duration_min") == [
        ("ana-berg", 90.0), ("bea-lund", 90.0), ("ana-berg", 60.0), ("bea-lund", 60.0),
    ]  # fmt: skip
    [other] = take_in(text, "x.csv", KNOWN).questions
    assert [answer for answer, _ in other.answers] == ["everybody", "name"]


def test_a_table_of_results_is_never_for_several():
    checked = take_in("Gruppe;Tag;10m\nSprint;13.11.2026;1,80\n", "x.csv", KNOWN, who="groups")
    assert "split" not in checked.accepted


def test_a_word_for_all_in_a_sheet_of_runs_is_nobody_s_name():
    for told in ("Name;Datum;10m\nalle;{};1,80\nAna Berg;{};1,90\n", "Name;Datum;Run;Distance (m);Time (s)\n"
                 "alle;{};1;10;1,80\nAna Berg;{};1;10;1,90\n"):  # fmt: skip
        checked = take_in(told.replace("{}", "13.11.2026"), "x.csv", KNOWN)
        assert rows(checked, "split", "athlete_id", "elapsed_s") == [("ana-berg", 1.9)]
        assert "'alle' is not on the roster." in reasons(checked, 2)


def test_a_mean_below_the_rows_of_groups_is_told_once_with_its_cell_and_is_nobody_s_row():
    text = f"{PLAN}13.11.2026;Sprint;Kraft;90;6\nMean;;;90;6\n"
    checked = take_in(text, "Plan.csv", KNOWN, who="groups")
    assert planned(checked) == [("ana-berg", 90.0, 2), ("bea-lund", 90.0, 2)]
    assert checked.set_aside.select("source_line", "column", "value").rows() == [(3, "Tag", "Mean")]
    assert reasons(checked, 3).startswith("this line is a mean or total of other lines, not a measurement.")


@pytest.mark.parametrize("dash", ["-", "n/a", " "])
def test_a_dash_for_a_group_is_no_word_to_be_asked_about(dash):
    text = f"{PLAN}11.11.2026;Sprint;Kraft;90;6\n12.11.2026;{dash};Kraft;40;5\n"
    checked = take_in(text, "Plan.csv", KNOWN, who="groups")
    assert {line for *_, line in planned(checked)} == {2}
    assert checked.questions == []
    assert reasons(checked, 3).startswith("no group stands here, so nobody knows for whom the row is.")


def test_a_phase_for_everybody_is_a_phase_of_each_who_is_there_on_a_day_of_it():
    text = (
        "athlete_id,from_on,until_on,phase\neverybody,2026-10-05,2026-11-10,general preparation\n"
        "all,2026-11-13,,competition\nHurdles,2026-12-01,,competition\n"
    )
    checked = take_in(text, "season_phases.csv", KNOWN)
    by_day: dict[str, list[str]] = {}
    for who, on in checked.accepted["season_phase"].select("athlete_id", "from_on").sort("athlete_id").iter_rows():
        by_day.setdefault(str(on), []).append(who)
    assert by_day == {
        "2026-10-05": ["ana-berg", "cleo-dahl", "dora-ek"],  # Bea joined the day after it ended
        "2026-11-13": ["ana-berg", "bea-lund", "cleo-dahl"],  # Dora left the day before
        "2026-12-01": ["cleo-dahl"],
    }
    assert (checked.rows_read, checked.set_aside.height, checked.questions) == (3, 0, [])


def test_days_off_for_a_group_hold_for_who_joins_later():
    checked = take_in("athlete,weekday,off from,off until\nSprint,7,2026-09-01,\n", "days_off.csv", KNOWN)
    assert sorted(checked.accepted["rest_day"]["athlete_id"]) == ["ana-berg", "bea-lund"]
