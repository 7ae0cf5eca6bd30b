"""The log and the trail as chains: what does not follow is named, a kept head is found again, and erasing works."""

import json
import re
import sqlite3
from contextlib import closing

import pytest
from click.testing import CliRunner

from pipelines import flow
from pipelines.accounts import file as account_file
from pipelines.cli.main import main
from pipelines.home.folder import Home
from pipelines.record.sources import journal
from tests.flow.squad import SPLITS, fill, load_roster, write

pytestmark = pytest.mark.usefixtures("small_derived")


def live(home: Home) -> None:
    load_roster(home)
    flow.load(home, write(home.root.parent / "in2", splits=SPLITS), by="coach", derive_after=False)
    flow.undo(home, 2, by="coach", derive_after=False)
    flow.redo(home, 2, by="coach", derive_after=False)
    accounts = flow.accounts(home)
    accounts.add("coach", "head_coach", "three-steps-first")
    accounts.note("coach", "sheet printed: week", "")
    accounts.note("coach", "injury detail read", "ada-reed")
    flow.derive_board(home)


@pytest.fixture
def squad(home: Home) -> Home:
    return fill(home, live)


def wrong(home, **more) -> dict[str, str]:
    return {what: said for what, said in flow.verify(home, **more) if said}


def change(path, **values):
    path.write_text(json.dumps(json.loads(path.read_text(encoding="utf-8")) | values), encoding="utf-8")


def test_each_event_holds_the_hash_of_the_file_before_it(squad):
    told = [json.loads(journal.event_path(squad.sources, n).read_text(encoding="utf-8")) for n in (1, 2, 3, 4)]
    assert [one["before"] for one in told] == ["", *(journal.head(squad.sources, n) for n in (1, 2, 3))]
    assert journal.head(squad.sources) == journal.head(squad.sources, 4)
    assert wrong(squad) == {}


@pytest.mark.parametrize("event_no", [1, 2, 3])
def test_verify_names_the_first_event_that_does_not_follow(squad, event_no):
    change(journal.event_path(squad.sources, event_no), at="2025-01-01T00:00:00")
    said = wrong(squad)["every event of the log follows the one before it"]
    assert said.startswith(f"event {event_no + 1} (")
    assert f"does not follow event {event_no}" in said


def test_a_chain_taken_off_by_hand_is_not_made_again(squad):
    for event_no in (2, 3, 4):
        path = journal.event_path(squad.sources, event_no)
        told = json.loads(path.read_text(encoding="utf-8"))
        del told["before"]
        path.write_text(json.dumps(told), encoding="utf-8")
    assert "event 2 (" in wrong(squad)["every event of the log follows the one before it"]


TAMPERED = {
    "changed": "update trail set who = 'somebody' where rowid = 2",
    "taken out": "delete from trail where rowid = 2",
    "turned round": "update trail set what = (select what from trail where rowid = 3) where rowid = 2",
}


@pytest.mark.parametrize("how", TAMPERED)
def test_verify_names_the_first_line_of_the_trail_that_does_not_follow(squad, how):
    with closing(sqlite3.connect(squad.access)) as db, db:
        db.execute(TAMPERED[how])
    assert wrong(squad)["every line of the trail follows the one before it"].startswith("line 2 (")


def test_a_head_kept_elsewhere_shows_what_the_chain_alone_cannot(squad):
    log, trail = flow.heads_of(squad)
    flow.accounts(squad).note("coach", "signed in", "")
    assert wrong(squad, heads=[log, trail]) == {}
    with closing(sqlite3.connect(squad.access)) as db, db:  # the whole trail made again, by somebody who can count
        db.execute("delete from trail where what like 'injury%'")
        db.create_function("link_of", 5, account_file.chain.link_of)
        account_file.chain.relink(db)
    assert wrong(squad) == {}
    assert f"{trail[:12]}… stands in neither" in wrong(squad, heads=[log, trail])[
        "a head kept elsewhere stands in the log or the trail"
    ]  # fmt: skip


def test_heads_are_printed_and_held_against_from_the_command_line(squad):
    asked = ["--home", str(squad.root)]
    printed = CliRunner().invoke(main, [*asked, "heads"]).output
    log, trail = re.findall(r"^(?:log|trail)\s+([0-9a-f]{64})$", printed, flags=re.MULTILINE)
    assert (log, trail) == flow.heads_of(squad)
    good = CliRunner().invoke(main, [*asked, "verify", "--head", log.upper(), "--head", trail])
    assert (good.exit_code, "event 4 of 4" in good.output) == (0, True)
    bad = CliRunner().invoke(main, [*asked, "verify", "--head", "0" * 64])
    assert (bad.exit_code, "stands in neither" in bad.output) == (1, True)


def test_an_erasure_starts_both_chains_anew_and_says_so(squad):
    log, trail = flow.heads_of(squad)
    flow.erase_person(squad, "ada-reed", "coach")
    assert wrong(squad, heads=[log, trail]) == {}
    last = list(journal.read_events(squad.sources))[-1]
    assert (last.what, last.options["head_before"]) == ("erase", log)
    assert any(what.endswith(trail) for _, _, what, _ in flow.accounts(squad).trail())
    flow.erase_person(squad, "bo-lind", "coach")
    assert wrong(squad, heads=[log, trail]) == {}
    assert {"log up to there was written anew", "trail was written anew"} <= {
        part for what, _ in flow.verify(squad, heads=[log, trail]) for part in
        ("log up to there was written anew", "trail was written anew") if part in what
    }  # fmt: skip


def test_a_home_of_before_is_chained_when_it_is_opened(squad):
    for event_no in (1, 2, 3, 4):
        path = journal.event_path(squad.sources, event_no)
        told = json.loads(path.read_text(encoding="utf-8"))
        del told["before"]
        path.write_text(json.dumps(told), encoding="utf-8")
    import duckdb

    with duckdb.connect(str(squad.record)) as con:
        con.execute("delete from info where name = 'log_chained'")
    with closing(sqlite3.connect(squad.access)) as db, db:
        db.execute("alter table trail drop column link")
        db.execute("pragma user_version = 4")
    before = flow.accounts(squad).trail()[1:]
    assert wrong(squad) == {}
    assert [one[2] for one in before][::-1][0] == "account added: head_coach"
    assert "chained from here on" in flow.accounts(squad).trail(1)[0][2]
    assert flow.table(squad, "split").height == 3


def test_two_who_write_the_trail_at_once_leave_one_chain(squad):
    from concurrent.futures import ThreadPoolExecutor

    with ThreadPoolExecutor(8) as pool:
        list(pool.map(lambda n: flow.accounts(squad).note(f"writer {n}", "signed in"), range(40)))
    assert flow.accounts(squad).first_that_does_not_follow() == ""
    assert sum(who.startswith("writer ") for _, who, _, _ in flow.accounts(squad).trail()) == 40


def test_tables_and_consents_taken_and_loaded_as_files_stand_in_the_trail(squad, tmp_path):
    asked = ["--home", str(squad.root)]
    assert CliRunner().invoke(main, [*asked, "table", "athlete", "--csv", str(tmp_path / "a.csv")]).exit_code == 0
    consent = "athlete_id,topic,given_on,given_by,is_guardian\nada-reed,health,2025-01-02,Ada Reed,false\n"
    flow.load_bytes(squad, "consent.csv", consent.encode(), "coach", derive_after=False)
    what = [(what, about) for _, _, what, about in flow.accounts(squad).trail(2)]
    assert ("table taken away: athlete", "") in what
    assert ("consent kept (load 3)", "ada-reed") in what
