"""Who may write what, by every way in: a file, typed rows, a mended row, undo and redo, the inbox, the command line."""

import ast
import io
import zipfile
from pathlib import Path

import pytest
from click.testing import CliRunner

from pipelines import flow
from pipelines.cli.main import main
from pipelines.errors import ThirdstepError
from schemas import rights
from schemas.records import RECORDS
from tests.flow.squad import tables, write

pytestmark = pytest.mark.usefixtures("small_derived")

ROOT = Path(__file__).parents[2]
ROSTER = (
    "athlete_id,display_name,event_group,birth_date\n"
    "ada-reed,Ada Reed,hurdles,2009-04-02\nbo-lind,Bo Lind,short_sprints,2001-01-01\n"
)
COACH = flow.Writer("coach", "head_coach")
STAFF = flow.Writer("assistant", "staff", event_groups=("hurdles",))
PHYSIO = flow.Writer("physio", "staff", event_groups=("hurdles",), reads_injuries=True)
ADA = flow.Writer("ada", "athlete", athlete_id="ada-reed")
DECISION = "athlete_id,week_of,topic,call,decided_by\nada-reed,2025-11-03,training,full training,coach\n"
STEP = {"athlete_id": "ada-reed", "onset_on": "2025-10-01", "site": "hamstring", "side": "l", "rung_no": 3,
        "done_on": "2025-11-01", "symptoms": "stopped"}  # fmt: skip
CONSENT = "athlete_id,topic,given_on,given_by,withdrawn_on\nada-reed,health,2025-06-01,guardian,2025-11-01\n"
FORBIDDEN = {
    "a consent withdrawn": ("consent", CONSENT),
    "a birth date": ("athlete", "athlete_id,display_name,birth_date\nada-reed,Ada Reed,1999-04-02\n"),
    "a group": ("athlete", "athlete_id,display_name,event_group\nada-reed,Ada Reed,jumps\n"),
    "a second athlete of the name": ("athlete", "athlete_id,display_name,event_group\nada-r,Ada Reed,hurdles\n"),
    "a family for the squad": ("exercise", "exercise,family\nback_squat,hinge\n"),
    "a closed review": (
        "review_line",
        "athlete_id,week_of,day_on,training_call,hamstring_level,closed_by,closed_at\n"
        "ada-reed,2025-11-03,2025-11-09,adapt,one_family,coach,2025-11-09T18:00:00\n",
    ),
    "a decision in the coach's name": ("decision", DECISION),
    "a signature on the ladder": ("return_step", ",".join([*STEP, "signed_by"]) + "\n"
                                  + ",".join([*map(str, STEP.values()), "Dr Hale"]) + "\n"),
    "an injury without the grant": (
        "injury", "athlete_id,onset_on,site,side,kind\nada-reed,2025-10-01,hamstring,l,strain\n"
    ),
    "a note of a check-in without the grant": (
        "checkin", "athlete_id,checked_on,sleep_h,note\nada-reed,2025-11-03,7,told her mother\n"
    ),
}  # fmt: skip


def fill(home):
    flow.load(home, write(home.root.parent / "in", roster=ROSTER), by=COACH, derive_after=False)


@pytest.fixture
def squad(home, filled_once):
    return filled_once(home, fill)


def bring(home, text, by, name="mine.csv"):
    return flow.load_bytes(home, name, text.encode(), by, derive_after=False)


def rows_of(text):
    header, *lines = text.strip().split("\n")
    return [dict(zip(header.split(","), line.split(","), strict=True)) for line in lines]


def held(home, table):
    return without_origin(flow.table(home, table))


def without_origin(rows):
    return rows.drop("load_no", "source_sha256", "source_name", "entered_at").to_dicts()


def all_held(home):
    """What stands in the tables that staff may not write."""
    found = tables(home, {table for table, _ in FORBIDDEN.values()})
    return {name: without_origin(rows) for name, rows in found.items()}


def test_every_record_table_says_who_may_write_it():
    told = [rights.OF_HEAD_COACH, rights.WITH_GRANT, rights.OF_STAFF]
    assert sorted(table for some in told for table in some) == sorted(RECORDS)
    for table, column in rights.NAMES.items():
        assert column in RECORDS[table].to_schema().columns


@pytest.mark.parametrize("way", ["files", "typed", "inbox", "command"])
def test_staff_bring_none_of_this_by_any_way(squad, tmp_path, way: str):
    before = all_held(squad)
    files = {what.replace(" ", "_"): text for what, (_, text) in FORBIDDEN.items()}
    paths = write(tmp_path / "box", **files)
    if way == "files":
        done = flow.load(squad, paths, by=STAFF, derive_after=False)
        assert [one.set_aside for one in done] == [1] * len(FORBIDDEN), [one.file for one in done if not one.set_aside]
    elif way == "typed":
        for what, (table, text) in FORBIDDEN.items():
            assert flow.enter(squad, table, rows_of(text), STAFF, derive_after=False).set_aside == 1, what
    else:
        flow.accounts(squad).add("assistant", "staff", "four quiet lanes at dawn", groups=["hurdles"])
        told = ["inbox", str(tmp_path / "box"), "--once"] if way == "inbox" else ["load", str(tmp_path / "box")]
        done = CliRunner().invoke(main, ["--home", str(squad.root), "--as", "assistant", *told])
        assert done.exit_code == 3, done.output
    assert all_held(squad) == before
    waits = flow.rejected(squad)
    assert waits.height == len(FORBIDDEN)
    assert set(waits.select("row_json", "value").iter_rows()) == {("{}", None)}  # nothing of it is kept in the record
    if way == "files":  # the head coach may, by the same files
        assert [one.set_aside for one in flow.load(squad, paths, by=COACH, derive_after=False)] == [0] * len(paths)


def test_what_stands_there_already_may_come_again_in_a_file_of_staff(squad):
    bring(squad, "exercise,family\nback_squat,squat\n", COACH)
    same = "athlete_id,display_name,event_group,birth_date\nada-reed,Ada Reed,hurdles,2009-04-02\n"
    assert bring(squad, same, STAFF).set_aside == 0
    assert bring(squad, "exercise,family\nback_squat,squat\n", STAFF, "again.csv").set_aside == 0


def test_a_new_name_in_any_file_of_staff_makes_nobody(squad):
    text = "name,date,sleep hours\nDi Ray,2025-11-03,7\n"
    first = flow.preview(squad, "mine.csv", text.encode(), by=STAFF)
    answered = flow.LayoutOptions(athletes={"Di Ray": "new"})
    assert first.set_aside == 1
    done = flow.load_bytes(squad, "mine.csv", text.encode(), STAFF, answered, derive_after=False)
    assert (done.stored, done.set_aside) == (0, 1)
    assert flow.table(squad, "athlete").height == 2


def test_names_of_others_read_as_claimed_and_own_names_as_they_are(squad):
    bring(squad, DECISION.replace(",coach", ",Coach"), COACH)
    assert flow.table(squad, "decision")["decided_by"].to_list() == ["Coach"]
    bring(squad, DECISION.replace(",coach", ",old trainer"), COACH, "old.csv")
    assert flow.table(squad, "decision")["decided_by"].to_list() == ["old trainer (claimed, loaded by coach)"]
    flow.enter(squad, "return_step", [STEP | {"signed_by": "Dr Hale"}], COACH, derive_after=False)
    assert flow.table(squad, "return_step")["signed_by"].to_list() == ["Dr Hale (claimed, loaded by coach)"]
    flow.enter(squad, "return_step", [STEP | {"rung_no": 4, "signed_by": "physio"}], PHYSIO, derive_after=False)
    assert flow.table(squad, "return_step")["signed_by"].to_list()[1] == "physio"


def test_a_claim_is_not_said_twice_and_not_taken_over(squad):
    told = DECISION.replace(",coach", ',"old trainer (claimed, loaded by somebody)"')
    bring(squad, told, "robin")
    assert flow.table(squad, "decision")["decided_by"].to_list() == ["old trainer (claimed, loaded by robin)"]


def test_new_words_do_not_stand_under_an_old_name(squad):
    bring(squad, DECISION, COACH)
    bring(squad, "athlete_id,week_of,topic,call\nada-reed,2025-11-03,training,no sprinting\n", STAFF)
    [row] = flow.table(squad, "decision").to_dicts()
    assert (row["call"], row["decided_by"]) == ("no sprinting", "assistant")
    bring(squad, "athlete_id,week_of,topic,call\nada-reed,2025-11-03,training,rest\n", "robin", "third.csv")
    [row] = flow.table(squad, "decision").to_dicts()
    assert (row["call"], row["decided_by"]) == ("rest", "not said, loaded by robin (claimed, loaded by robin)")


def test_what_somebody_signed_is_changed_by_nobody_else_of_the_staff(squad):
    flow.enter(squad, "return_step", [STEP | {"signed_by": "Dr Hale"}], COACH, derive_after=False)
    done = flow.enter(squad, "return_step", [STEP | {"symptoms": "none"}], PHYSIO, derive_after=False)
    assert done.set_aside == 1
    assert flow.table(squad, "return_step")["symptoms"].to_list() == ["stopped"]


@pytest.mark.parametrize("who", ["other athlete", "by file", "guardian"])
def test_an_athlete_types_the_own_check_in_and_nothing_else(squad, who: str):
    row = {"athlete_id": "ada-reed", "checked_on": "2025-11-03", "sleep_h": 7}
    assert flow.enter(squad, "checkin", [row], ADA, derive_after=False).stored == 1
    if who == "other athlete":
        done = flow.enter(squad, "checkin", [row | {"athlete_id": "bo-lind"}], ADA, derive_after=False)
    elif who == "by file":
        done = bring(squad, "athlete_id,checked_on,sleep_h\nada-reed,2025-11-04,7\n", ADA)
    else:
        parent = flow.Writer("parent", "guardian", athlete_id="ada-reed")
        done = flow.enter(squad, "checkin", [row | {"sleep_h": 9}], parent, derive_after=False)
    assert (done.stored, done.replaced, done.set_aside) == (0, 0, 1)


BORN = "athlete_id,display_name,event_group,birth_date\n{},2008-06-01\n"  # of age from 1 June 2026


@pytest.fixture
def ada_is_seventeen(squad):
    name = (
        flow.table(squad, "athlete").filter(athlete_id="ada-reed").select("athlete_id", "display_name", "event_group")
    )
    bring(squad, BORN.format(",".join(name.row(0))), COACH, "born.csv")


@pytest.mark.usefixtures("ada_is_seventeen")
@pytest.mark.parametrize(
    ("who", "row", "is_kept"),
    [
        ("guardian", {}, True),
        ("guardian", {"withdrawn_on": "2026-05-31"}, True),
        ("guardian", {"withdrawn_on": "2026-06-01"}, False),  # of age that day
        ("guardian", {"athlete_id": "bo-lind"}, False),
        ("athlete", {}, False),  # a minor's own word is not enough
        ("athlete", {"withdrawn_on": "2026-06-01"}, True),  # of age: withdraws what a guardian gave
    ],
)
def test_a_minor_s_guardian_gives_and_withdraws_consent_and_who_is_of_age_alone(squad, who, row, is_kept):
    parent = flow.Writer("parent", "guardian", athlete_id="ada-reed")
    given = {"athlete_id": "ada-reed", "topic": "health", "given_on": "2025-10-01", "is_guardian": "yes"}
    done = flow.enter(squad, "consent", [given | row], parent if who == "guardian" else ADA, derive_after=False)
    assert (done.stored, done.set_aside) == ((1, 0) if is_kept else (0, 1))
    if is_kept and who == "guardian":
        with pytest.raises(ThirdstepError, match="not yours"):
            flow.undo(squad, done.load_no, ADA, derive_after=False)
        flow.undo(squad, done.load_no, parent, derive_after=False)
        assert flow.table(squad, "consent").is_empty()


def test_a_guardian_s_copy_of_everything_holds_no_free_text(squad):
    note = {"athlete_id": "ada-reed", "checked_on": "2025-11-03", "sleep_h": 7, "note": "between us two"}
    flow.enter(squad, "checkin", [note], ADA, derive_after=False)
    whole, without = (flow.export_person(squad, "ada-reed", "parent", notes=notes) for notes in (True, False))
    assert b"between us two" in everything_in(whole)
    assert b"between us two" not in everything_in(without)
    assert b"2025-11-03" in everything_in(without)


def everything_in(content: bytes) -> bytes:
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        return b"".join(archive.read(name) for name in archive.namelist())


def test_a_mended_row_is_asked_like_any_other(squad):
    bring(squad, "athlete_id,week_of,topic,call,decided_by\nada-reed,2025-13-03,training,rest,assistant\n", STAFF)
    [cell] = flow.rejected(squad)["reject_no"].to_list()
    with pytest.raises(ThirdstepError, match="names somebody else than assistant"):
        flow.mend(squad, cell, {"week_of": "2025-11-03", "decided_by": "coach"}, STAFF)
    assert flow.mend(squad, cell, {"week_of": "2025-11-03"}, STAFF).stored == 1


def test_undo_and_redo_are_asked_of_who_and_of_what(squad):
    theirs = bring(squad, CONSENT, COACH).load_no
    own = bring(squad, "athlete_id,checked_on,sleep_h\nada-reed,2025-11-03,7\n", STAFF, "own.csv").load_no
    for by, load_no in ((STAFF, theirs), (PHYSIO, own), (ADA, own)):
        with pytest.raises(ThirdstepError, match="not yours"):
            flow.undo(squad, load_no, by, derive_after=False)
    moved = flow.Writer("assistant", "staff", event_groups=("jumps",))  # looks after others by now
    with pytest.raises(ThirdstepError, match="not yours"):
        flow.undo(squad, own, moved, derive_after=False)
    flow.undo(squad, own, STAFF, derive_after=False)
    flow.redo(squad, own, STAFF, derive_after=False)
    flow.undo(squad, own, COACH, derive_after=False)
    with pytest.raises(ThirdstepError, match="not yours"):
        flow.redo(squad, own, STAFF, derive_after=False)


def test_who_was_a_head_coach_once_does_not_undo_consent_as_staff(squad):
    load_no = bring(squad, CONSENT, flow.Writer("assistant", "head_coach")).load_no
    with pytest.raises(ThirdstepError, match="not yours"):
        flow.undo(squad, load_no, STAFF, derive_after=False)


def test_a_rebuild_asks_again_with_who_it_was(squad):
    bring(squad, DECISION + "bo-lind,2025-11-03,training,rest,assistant\n", STAFF)
    bring(squad, DECISION.replace(",coach", ",old trainer"), COACH, "old.csv")
    before = [flow.table(squad, name) for name in ("decision", "rejected", "load")]
    assert flow.rebuild(squad) == []
    for name, was in zip(("decision", "rejected", "load"), before, strict=True):
        assert flow.table(squad, name).equals(was), name


def test_changes_of_consent_roles_and_rules_stand_in_the_trail_with_who(squad):
    load_no = bring(squad, CONSENT, COACH).load_no
    flow.undo(squad, load_no, "robin", derive_after=False)
    flow.accounts(squad).add("staff", "staff", "four quiet lanes at dawn", groups=["hurdles"], by="coach")
    flow.accounts(squad).change("staff", groups=["jumps"], reads_injuries=True, by="coach")
    flow.change_rule(squad, "return_marked_weeks", 7, "coach", "longer eye on it", derive_after=False)
    told = [(who, what, about) for _, who, what, about in reversed(flow.accounts(squad).trail())]
    assert told == [
        ("coach", f"consent withdrawn (load {load_no})", "ada-reed"),
        ("robin", f"consent: undo of load {load_no}", "ada-reed"),
        ("coach", "account added: staff", "staff"),
        ("coach", "account changed: reads jumps and injury detail", "staff"),
        ("coach", "rule changed: return_marked_weeks to 7", ""),
    ]


def test_acting_as_an_account_goes_with_what_asks_for_rights_alone(squad):
    done = CliRunner().invoke(main, ["--home", str(squad.root), "--as", "assistant", "person", "erase", "ada-reed"])
    assert done.exit_code == 1
    assert "--as goes with" in done.output


def test_the_dashboard_hands_over_the_whole_person_never_the_bare_name():
    """A bare name is that of who holds the files of this machine, and may write all."""
    writing = {"load_bytes", "load", "enter", "mend", "undo", "redo", "check_entry", "preview"}
    found = set()
    for path in (ROOT / "dashboard").rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if (
                not isinstance(node, ast.Call)
                or not isinstance(node.func, ast.Attribute)
                or node.func.attr not in writing
            ):
                continue
            if ast.unparse(node.func.value) == "flow":
                found.add(path.name)
                assert "viewer.writer" in ast.unparse(node), f"{path}: {ast.unparse(node)}"
    assert found


OWN_SESSION = {"athlete_id": "ada-reed", "session_date": "2025-11-03", "session_no": 1}


def test_an_athlete_says_minutes_and_effort_of_an_own_session(squad):
    row = {**OWN_SESSION, "duration_min": 90, "effort_0_10": 7}
    assert flow.enter(squad, "session", [row], ADA, derive_after=False).stored == 1
    assert flow.table(squad, "session").select("duration_min", "effort_0_10").rows() == [(90.0, 7.0)]


@pytest.mark.parametrize(
    "row",
    [
        {**OWN_SESSION, "kind": "race", "effort_0_10": 7},
        {**OWN_SESSION, "planned_min": 30},
        {**OWN_SESSION, "note": "x"},
        {**OWN_SESSION, "athlete_id": "bo-lind", "effort_0_10": 7},
    ],
)
def test_an_athlete_says_nothing_else_of_a_session_and_nothing_of_others(squad, row):
    assert flow.enter(squad, "session", [row], ADA, derive_after=False).stored == 0
    assert flow.table(squad, "session").is_empty()


def test_an_athlete_brings_no_file_of_sessions(squad):
    bring(squad, "athlete_id,session_date,session_no,effort_0_10\nada-reed,2025-11-03,1,7\n", ADA)
    assert flow.table(squad, "session").is_empty()


def test_staff_propose_drills_and_change_only_their_own(squad):
    mine = {"drill": "hill_start", "limit": "any", "cue": "chest to the hill"}
    assert flow.enter(squad, "drill", [mine], STAFF, derive_after=False).set_aside == 0
    assert flow.enter(squad, "drill", [mine | {"cue": "push"}], STAFF, derive_after=False).set_aside == 0
    # whether it is used is the head coach's to say, and then it is the head coach's drill
    done = flow.enter(squad, "drill", [mine | {"is_used": True}], STAFF, derive_after=False)
    assert done.set_aside == 1
    used = {"drill": "hill_start", "limit": "any", "is_used": True}
    assert flow.enter(squad, "drill", [used], COACH, derive_after=False).set_aside == 0
    assert flow.enter(squad, "drill", [mine | {"cue": "hurry"}], STAFF, derive_after=False).set_aside == 1
    [row] = flow.table(squad, "drill").to_dicts()
    assert (row["cue"], row["is_used"], row["proposed_by"]) == ("push", True, "coach")
    assert flow.enter(squad, "drill", [mine], ADA, derive_after=False).set_aside == 1


def test_staff_save_weeks_of_their_own_and_leave_those_of_others(squad):
    week = {"template": "speed_week", "weekday": 1, "plan_no": 1, "kind": "top_speed", "planned_min": 80}
    assert flow.enter(squad, "week_template", [week], COACH, derive_after=False).set_aside == 0
    assert flow.enter(squad, "week_template", [week | {"planned_min": 20}], STAFF, derive_after=False).set_aside == 1
    own = week | {"template": "hurdles_week"}
    assert flow.enter(squad, "week_template", [own], STAFF, derive_after=False).set_aside == 0
    names = dict(flow.table(squad, "week_template").select("template", "saved_by").iter_rows())
    assert names == {"speed_week": "coach", "hurdles_week": "assistant"}


def test_staff_say_days_off_of_their_own_groups_alone(squad):
    off = {"athlete_id": "ada-reed", "weekday": 7, "from_on": "2025-11-03"}
    done = flow.enter(squad, "rest_day", [off, off | {"athlete_id": "bo-lind"}], STAFF, derive_after=False)
    assert (done.stored, done.set_aside) == (1, 1)


def test_a_day_off_may_begin_in_a_week_to_come_and_a_drill_s_address_stays_as_it_is(squad):
    off = {"athlete_id": "ada-reed", "weekday": 7, "from_on": "2035-01-01", "until_on": "2036-12-31"}
    assert flow.enter(squad, "rest_day", [off], STAFF, derive_after=False).set_aside == 0
    link = "https://club.example/falling-start?x=1"
    drill = {"drill": "falling_start", "limit": "any", "link": link}
    assert flow.enter(squad, "drill", [drill], COACH, derive_after=False).set_aside == 0
    assert flow.table(squad, "drill")["link"].to_list() == [link]
