"""Staff see nothing past their groups: a name planted in one group is in no byte that one of another group gets."""

import pytest

from dashboard.access.rules import NotForThisViewer
from dashboard.access.viewer import Viewer
from dashboard.board import Board
from dashboard.screens.data import writes as data_writes
from dashboard.writes import NotKept
from pipelines import flow
from pipelines.record.sources import source_path
from tests.flow.squad import write

pytestmark = pytest.mark.usefixtures("small_derived")

PLANTED = ("Zephyrine Quillfeather", "zephyrine-quillfeather", "Quillfeather", "zq")
ROSTER = (
    "athlete_id,display_name,event_group\nada-reed,Ada Reed,hurdles\n"
    "zephyrine-quillfeather,Zephyrine Quillfeather,short_sprints\n"
)
CHECKINS = (
    "athlete_id,checked_on,sleep_h,note\nzephyrine-quillfeather,2025-11-03,6,zq felt it\nada-reed,2025-11-03,7,\n"
)
COACH = flow.Writer("coach", "head_coach")
ASSISTANT = Viewer("assistant", "staff", event_groups=("hurdles",))
TRIED = {  # files that ask for a name without saying it
    "near.csv": "name,date,sleep hours\nZephyrina Quilfether,2025-11-03,7\n",
    "short.csv": "name,date,sleep hours\nZ. Quil,2025-11-03,7\n",
    "roster.csv": "athlete_id,display_name,event_group\n,Zephyrin Quilfeather,hurdles\n",
    "initials.csv": "name,date,sleep hours\nZQ,2025-11-03,7\n",
}


def with_checkins(home):
    folder = home.root.parent / "in"
    flow.load(home, write(folder, roster=ROSTER), by=COACH, derive_after=False)
    flow.load(home, write(folder, quillfeather_checkins=CHECKINS), by=COACH, derive_after=False)
    first = flow.preview(home, "initials.csv", TRIED["initials.csv"].encode(), by=COACH)
    [asked] = [one for one in first.questions if one.ask == "athletes"]
    answers = flow.LayoutOptions(layouts=flow.of_questions([(asked, "zephyrine-quillfeather")]))
    flow.load_bytes(home, "initials.csv", TRIED["initials.csv"].encode(), COACH, answers, derive_after=False)


@pytest.fixture
def squad(home, filled_once, monkeypatch):
    filled_once(home, with_checkins)
    monkeypatch.setenv("THIRDSTEP_HOME", str(home.root))
    return home


def names_in(told: object, *but: str) -> list[str]:
    return [name for name in PLANTED if name not in but and name in str(told)]


def test_no_file_that_is_tried_tells_a_name_of_another_group(squad):
    for name, text in TRIED.items():
        for outcome in (
            flow.preview(squad, name, text.encode(), by=ASSISTANT.writer),
            flow.load_bytes(squad, f"of_{name}", text.encode(), ASSISTANT.writer, derive_after=False),
        ):
            told = (outcome.reasons, outcome.notes, outcome.questions, outcome.problem, outcome.accepted)
            assert names_in(told) == [], name


def test_the_head_coach_is_told_all_the_same(squad):
    outcome = flow.preview(squad, "near.csv", TRIED["near.csv"].encode(), by=COACH)
    assert "Zephyrine Quillfeather" in str(outcome.reasons)


def test_no_table_of_the_board_holds_the_name_for_a_member_of_another_group(squad):
    for name, text in TRIED.items():
        flow.load_bytes(squad, f"of_{name}", text.encode(), ASSISTANT.writer, derive_after=False)
    flow.derive_board(squad)
    board = Board(squad.root)
    read = 0
    for table in board.tables:
        try:
            rows = board.read(ASSISTANT, table)
        except NotForThisViewer:
            continue
        read += 1
        assert names_in(rows.to_dicts()) == [], table
        assert "quillfeather" not in str(rows.to_dicts()).lower(), table
    assert read > 10
    assert board.read(Viewer("coach", "head_coach"), "load").height > board.read(ASSISTANT, "load").height


def test_answers_of_others_are_neither_listed_for_staff_nor_theirs_to_forget(squad):
    assert data_writes.answers_kept(ASSISTANT) == []
    [kept] = data_writes.answers_kept(Viewer("coach", "head_coach"))
    with pytest.raises(NotKept):
        data_writes.forget_answer(ASSISTANT, kept["layout"], kept["ask"], kept["about"])


def test_a_damaged_source_is_right_again_once_the_right_file_is_loaded(squad, tmp_path):
    [sha] = flow.loads(squad).filter(source_name="roster.csv")["source_sha256"].unique().to_list()
    source_path(squad.sources, sha).write_bytes(b"damaged")
    assert any(wrong for _, wrong in flow.verify(squad))
    flow.load(squad, write(tmp_path / "in", roster=ROSTER), by=COACH, derive_after=False)
    assert source_path(squad.sources, sha).read_bytes() == ROSTER.encode()


def test_a_rebuild_drops_no_rows_unless_it_is_told_to(squad):
    [sha] = flow.loads(squad).filter(source_name="quillfeather_checkins.csv")["source_sha256"].to_list()
    source_path(squad.sources, sha).write_bytes(b"damaged")
    before = flow.table(squad, "checkin")
    assert flow.rebuild(squad) != []
    assert flow.table(squad, "checkin").equals(before)
    assert flow.rebuild(squad, dropping=True) != []
    assert flow.table(squad, "checkin").height < before.height
