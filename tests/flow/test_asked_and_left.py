"""Families and the line behind the gate are asked once; a corrected file says what it leaves; order is nothing."""

import itertools

import pytest

from pipelines import flow
from schemas.intake import SQUAD
from tests.flow.squad import tables
from tests.strangers.folders import KEY, ODD, answers_of

ANA = flow.LayoutOptions(layouts={SQUAD: {"athletes": {"Ana Berg": "new"}}})
GYM = b"""Date,Athlete,Exercise,Sets,Reps,kg
2026-11-03,Ana Berg,Zercher carry,3,5,60
2026-11-03,Ana Berg,Back squat,3,5,90
"""
RUNS = b"Date,Name,10 m,20 m\n2026-11-03,Ana Berg,1.85,3.05\n"
ANSWERS = {"families": "squat", "gate_offset": "0,3 m", "clock_start": "first_gate", "start_kind": "blocks",
           "timing_kind": "electronic"}  # fmt: skip


def bring(home, files, options=None):
    return flow.load_files(home, files, "coach", options, derive_after=False)


def asked(outcomes):
    return {question.ask: question for question in flow.gathered(q for one in outcomes for q in one.questions)}


def test_what_is_asked_of_a_folder_is_answered_once_and_next_week_asks_nothing(home):
    files = [("gym.csv", GYM), ("runs.csv", RUNS)]
    questions = asked(bring(home, files, ANA))
    assert set(questions) == set(ANSWERS)
    assert questions["families"].about == "zercher_carry"  # the back squat is on the starter list
    told = flow.of_questions([(questions[ask], answer) for ask, answer in ANSWERS.items()])
    bring(home, files, flow.LayoutOptions(layouts=told))
    assert flow.table(home, "exercise").select("exercise", "family").rows() == [("zercher_carry", "squat")]
    assert flow.table(home, "rep").select("clock_start", "gate_offset_m").rows() == [("first_gate", 0.3)]
    later = bring(home, [(name, text.replace(b"-03", b"-10")) for name, text in files])
    assert asked(later) == {}
    assert flow.table(home, "rep")["gate_offset_m"].to_list() == [0.3, 0.3]


def test_a_corrected_file_says_which_rows_it_leaves_and_undoing_the_first_takes_out_those_alone(home):
    head, one, two, three = b"Date,Name,Minutes,RPE (0-10)\n", *(
        f"2026-11-0{day},Ana Berg,{40 + day},5\n".encode() for day in (3, 4, 5)
    )  # fmt: skip
    bring(home, [("squad.csv", b"Name,Sex\nAna Berg,F\n")])
    [first] = bring(home, [("log.csv", head + one + two + three)])
    [second] = bring(home, [("log corrected.csv", head + one + three)])
    [said] = [note for note in second.notes if "any more" in note]
    assert "1 row of log.csv" in said
    assert "line 3" in said
    flow.undo(home, first.load_no, by="coach")
    assert flow.table(home, "session")["duration_min"].to_list() == [43.0, 45.0]


def test_a_file_of_another_week_under_the_same_name_leaves_nothing(home):
    text = b"Date,Name,Minutes,RPE (0-10)\n2026-11-03,Ana Berg,40,5\n2026-11-04,Ana Berg,45,5\n"
    bring(home, [("log.csv", text)], ANA)
    [second] = bring(home, [("log.csv", text.replace(b"-11-0", b"-11-1"))])
    assert not any("any more" in note for note in second.notes)


def held(home):
    """Return every row of the record without where it came from."""
    left_out = {"load_no", "source_sha256", "source_name", "source_sheet", "source_line", "entered_at"}
    names = ("athlete", "session", "rep", "split", "checkin", "lift_set", "jump_test", "body_measure")
    return {
        name: sorted(map(repr, rows.select([c for c in rows.columns if c not in left_out]).rows()))
        for name, rows in tables(home, names).items()
    }


@pytest.mark.parametrize("case", ["two_files_disagree", "corrected_file", "nicknames_with_roster"])
def test_the_order_of_files_never_matters(case, tmp_path):
    key = KEY[case]
    files = [(path.name, path.read_bytes()) for path in sorted((ODD / key["folder"]).iterdir())]
    made = []
    for number, some in enumerate(itertools.islice(itertools.permutations(files), 4)):
        home = flow.find_home(tmp_path / str(number))
        bring(home, list(some), answers_of(key))
        made.append(held(home))
    assert any(made[0].values())
    assert all(one == made[0] for one in made)


@pytest.mark.parametrize("case", ["day_in_titles_blocks_beside"])
def test_the_order_of_sheets_never_matters(case, tmp_path):
    import io

    import openpyxl

    key = KEY[case]
    made = []
    for turned in (False, True):
        files = []
        for path in sorted((ODD / key["folder"]).iterdir()):
            book = openpyxl.load_workbook(path)
            book._sheets = book._sheets[::-1] if turned else book._sheets
            content = io.BytesIO()
            book.save(content)
            files.append((path.name, content.getvalue()))
        home = flow.find_home(tmp_path / str(turned))
        bring(home, files, answers_of(key))
        made.append(held(home))
    assert any(made[0].values())
    assert made[0] == made[1]
