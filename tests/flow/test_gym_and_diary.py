"""A gym log and a diary of one day: two sessions, each with its own effort, whichever comes first."""

import datetime as dt

import pytest

from pipelines import flow
from schemas.intake import SQUAD, LayoutOptions
from tests.flow.test_loaded_again import other_than_its_sources

DIARY = (
    "Date,Name,Session,Mins,RPE (0-10)\n13/11/2026,Ana Berg,Accel,75,6\n13/11/2026,Bea Lund,Tempo,60,4\n"
    "16/11/2026,Ana Berg,Gym,55,7\n"
)
GYM = (
    "Date,Name,Exercise,Sets,Reps,Kg,Felt (0-10)\n13/11/2026,Ana Berg,Back squat,3,5,80,8\n"
    "13/11/2026,Bea Lund,Back squat,3,5,70,7\n16/11/2026,Ana Berg,Back squat,3,5,82,7\n"
)
ANSWERS = LayoutOptions(
    columns={"Felt (0-10)": "session.effort_0_10"},
    layouts={SQUAD: {"athletes": {"Ana Berg": "new", "Bea Lund": "new"}}},
)
SESSIONS = [
    ("ana-berg", dt.date(2026, 11, 13), 1, "acceleration", 75.0, 6.0),
    ("ana-berg", dt.date(2026, 11, 13), 2, None, None, 8.0),
    ("ana-berg", dt.date(2026, 11, 16), 1, "strength", 55.0, 7.0),
    ("bea-lund", dt.date(2026, 11, 13), 1, "tempo", 60.0, 4.0),
    ("bea-lund", dt.date(2026, 11, 13), 2, None, None, 7.0),
]


def loaded(home, folder, *batches):
    for number, files in enumerate(batches):
        here = folder / str(number)
        here.mkdir(parents=True)
        for name, text in files.items():
            (here / name).write_text(text, encoding="utf-8")
        flow.load(home, [here], by="coach", options=ANSWERS, derive_after=False)
    rows = flow.table(home, "session").select(
        "athlete_id", "session_date", "session_no", "kind", "duration_min", "effort_0_10"
    )
    return sorted(rows.rows(), key=str)


@pytest.mark.parametrize(
    "batches",
    [
        [{"diary.csv": DIARY, "gym.csv": GYM}],
        [{"a gym.csv": GYM, "b diary.csv": DIARY}],
        [{"diary.csv": DIARY}, {"gym.csv": GYM}],
        [{"diary.csv": DIARY}, {"gym.csv": GYM}, {"gym.csv": GYM.replace("\n", "\r\n")}],  # said again: nothing new
    ],
)
def test_the_effort_of_the_gym_and_that_of_the_diary_are_of_two_sessions(batches, tmp_path):
    home = flow.find_home(tmp_path / "home")
    assert loaded(home, tmp_path, *batches) == SESSIONS
    sets = flow.table(home, "lift_set")
    assert sets.select("athlete_id", "session_date", "session_no").unique().height == 3
    assert set(sets.filter(sets["session_date"] == dt.date(2026, 11, 13))["session_no"]) == {2}


def test_a_diary_after_the_gym_log_is_counted_around_it(tmp_path):
    home = flow.find_home(tmp_path / "home")
    made = loaded(home, tmp_path, {"gym.csv": GYM}, {"diary.csv": DIARY})
    by_day = [[row[3:] for row in made if row[:2] == key] for key in (("ana-berg", dt.date(2026, 11, 13)),)]
    assert by_day == [[(None, None, 8.0), ("acceleration", 75.0, 6.0)]]
    assert ("ana-berg", dt.date(2026, 11, 16), 1, "strength", 55.0, 7.0) in made  # the gym's own, in both files
    assert len(made) == 5


def test_a_gym_log_that_says_no_load_of_its_own_stands_with_the_diary_as_before(tmp_path):
    home = flow.find_home(tmp_path / "home")
    plain = "\n".join(line.rpartition(",")[0] for line in GYM.splitlines()) + "\n"
    made = loaded(home, tmp_path, {"diary.csv": DIARY, "gym.csv": plain})
    assert [row[2] for row in made] == [1, 1, 1]


def test_numbers_that_a_file_gives_are_never_changed(tmp_path):
    home = flow.find_home(tmp_path / "home")
    numbered = GYM.replace("Date,Name", "Date,Name,Session no").replace("Berg,", "Berg,1,").replace("Lund,", "Lund,1,")
    made = loaded(home, tmp_path, {"diary.csv": DIARY}, {"gym.csv": numbered})
    assert {row[2] for row in made} == {1}


SECOND = DIARY.replace("Tempo,60,4", "Speed,50,5").replace("75,6", "40,3")


@pytest.mark.parametrize(
    "batches",
    [
        [["gym.csv"], ["diary.csv"]],
        pytest.param([["diary.csv"], ["gym.csv"]], marks=pytest.mark.long),
        pytest.param([["gym.csv"], ["diary.csv"], ["second.csv"]], marks=pytest.mark.long),
        [["second.csv", "gym.csv"], ["diary.csv"]],
    ],
)
def test_loaded_again_in_any_order_neither_adds_a_session(batches, tmp_path):
    texts = {"diary.csv": DIARY, "gym.csv": GYM, "second.csv": SECOND}
    home = flow.find_home(tmp_path / "home")

    def bring(names):
        files = [(name, texts[name].encode()) for name in names]
        return sum(one.kept for one in flow.load_files(home, files, "coach", ANSWERS, derive_after=False))

    for names in batches:
        bring(names)
    every = [name for names in batches for name in names]
    assert [bring(names) for names in (every, every[::-1], *([name] for name in every))] == [0] * (2 + len(every))
    assert other_than_its_sources(home) == []
