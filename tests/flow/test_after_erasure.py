"""What else goes with somebody who is erased, and what is said where the disk is full or may only be read."""

import datetime as dt
import os
import sqlite3
import tempfile
import textwrap
from contextlib import closing, contextmanager
from pathlib import Path

import duckdb
import pytest
from click.testing import CliRunner
from starlette.applications import Starlette
from starlette.middleware import Middleware
from starlette.testclient import TestClient

from dashboard import downloads
from dashboard.access import login, trail
from dashboard.access.gate import Gate
from dashboard.access.viewer import Viewer
from pipelines import flow
from pipelines.accounts.accounts import Accounts
from pipelines.accounts.file import CannotWrite
from pipelines.cli.main import main
from pipelines.errors import ThirdstepError
from pipelines.home.folder import Home
from pipelines.record import warehouse
from tests.access.test_gate import client_of, sign_in, sign_out
from tests.flow.squad import SPLITS, fill, load_roster, write

pytestmark = pytest.mark.usefixtures("small_derived")
PHRASE = "four quiet lanes at dawn"
ODD = "ada-reeed,2025-11-05,1,9,10,1.8O\nReed,2025-11-05,1,9,10,1.8\nBo Lind,2025-11-05,1,9,10,1.9O\n"


def live(home: Home) -> None:
    load_roster(home)
    flow.load(home, write(home.root.parent / "in2", splits=SPLITS + ODD), by="coach", derive_after=False)
    flow.accounts(home).add("coach", "head_coach", PHRASE)


@pytest.fixture
def squad(home, monkeypatch) -> Home:
    fill(home, live)
    monkeypatch.setenv("THIRDSTEP_HOME", str(home.root))
    return home


def test_what_waits_of_the_erased_goes_however_it_names_them(squad):
    before = flow.rejected(squad).height
    receipt = flow.erase_person(squad, "ada-reed", "coach")
    waits = flow.rejected(squad)
    assert waits["source_line"].unique().to_list() == [7]  # the other athlete's
    assert receipt.waiting == before - waits.height == 2
    left = b"".join(path.read_bytes() for path in squad.sources.rglob("*") if path.is_file()).lower()
    assert b"reed" not in left
    assert b"reeed" not in left


def test_the_dashboard_s_log_is_searched_too_and_the_receipt_says_so(squad):
    squad.dashboard_log.write_text("a fault over Ada Reed\nanother one\nREED, ADA again\n", encoding="utf-8")
    with squad.dashboard_log.open("a") as writing:  # the dashboard runs
        receipt = flow.erase_person(squad, "ada-reed", "coach")
        writing.write("and on\n")
    said = squad.dashboard_log.read_text(encoding="utf-8")
    assert "reed" not in said.lower()
    assert said.splitlines()[1] == "another one"
    assert said.endswith("and on\n")
    assert (receipt.log_lines, receipt.traces) == (2, ())


def test_the_receipt_counts_what_left_the_home_before(squad):
    kept = flow.accounts(squad)
    for what in ("file taken away: a.csv", "sheet printed: week", "table taken away: split", "signed in"):
        kept.note("coach", what)
    assert flow.erase_person(squad, "ada-reed", "coach").taken_away == 3


@pytest.fixture
def client(squad) -> TestClient:
    return client_of(Starlette(routes=[*login.ROUTES, *downloads.ROUTES], middleware=[Middleware(Gate)]))


def test_a_link_made_before_an_erasure_dies_with_it(squad, client):
    sign_in(client, "coach")
    viewer = Viewer("coach", "head_coach", may_read_injuries=True)
    link = "/" + downloads.offer(viewer, "all.csv", lambda: b"Ada Reed")
    assert client.get(link).content == b"Ada Reed"
    assert flow.accounts(squad).trail(1)[0][1:3] == ("coach", "file taken away: all.csv")
    flow.erase_person(squad, "ada-reed", "coach")
    assert client.get(link).status_code == 404
    later = "/" + downloads.offer(viewer, "all.csv", lambda: b"Bo Lind")
    assert client.get(later).content == b"Bo Lind"


def test_a_link_to_one_person_s_data_asks_for_the_pass_phrase_again_when_it_is_old(squad, client):
    sign_in(client, "coach")
    viewer = Viewer("coach", "head_coach", may_read_injuries=True, is_fresh=True)
    link = "/" + downloads.offer(viewer, "ada-reed.zip", lambda: b"PK", again=True)
    assert client.get(link).content == b"PK"
    with closing(sqlite3.connect(squad.access)) as db, db:
        db.execute("update sign_in set proved_at = '2020-01-01T00:00:00+00:00'")
    refused = client.get(link)
    assert (refused.status_code, "pass-phrase again" in refused.text) == (403, True)


def test_people_sign_out_and_read_on_where_the_disk_is_full(squad, client, monkeypatch):
    sign_in(client, "coach")
    copied = dict(client.cookies)

    def full(*_: object, **__: object) -> bool:
        raise CannotWrite("The disk is full.")

    monkeypatch.setattr(Accounts, "sign_out", full)
    assert sign_out(client).status_code == 303
    client.cookies.update(copied)
    assert client.get("/take/x/y.csv").status_code == 401
    monkeypatch.setattr(Accounts, "note", full)
    import polars as pl

    reader = Viewer("coach", "head_coach", may_read_injuries=True)
    for _ in range(2):
        trail.note_read(reader, "injury", pl.DataFrame({"athlete_id": ["ada-reed"]}))  # says it in the log alone
    monkeypatch.undo()
    monkeypatch.setenv("THIRDSTEP_HOME", str(squad.root))
    trail.note_read(reader, "injury", pl.DataFrame({"athlete_id": ["ada-reed"]}))
    assert flow.accounts(squad).trail(1)[0][2] == trail.READ  # noted once it could be


def test_where_only_the_commit_fails_it_is_said_to_be_stored_at_the_next_start(squad, tmp_path, monkeypatch):
    @contextmanager
    def full(con):
        con.execute("begin")
        yield
        con.execute("rollback")
        raise duckdb.IOException("Could not write file: No space left on device")

    [file] = write(tmp_path / "3", splits=SPLITS.replace("1.80", "1.86"))
    with monkeypatch.context() as patched:
        patched.setattr(warehouse, "transaction", full)
        with pytest.raises(ThirdstepError, match=r"will be stored at the next start.*Do not load it again"):
            flow.load(squad, [file], by="coach", derive_after=False)
    assert 1.86 in flow.table(squad, "split")["elapsed_s"].to_list()


CHECKINS = (
    "athlete_id,checked_on,mood,sleep_h\nada-reed,2019-11-03,4,7.5\nada-reed,{today},4,7.5\n"
    "bo-lind,2019-11-04,3,8\nbo-lind,2019-11-05,3,8x\n"
)


def test_what_is_past_its_keeping_is_erased_after_it_was_listed_and_nothing_else(squad):
    today = dt.date.today().isoformat()
    flow.load_bytes(squad, "c.csv", CHECKINS.format(today=today).encode(), "coach", derive_after=False)
    typed = [{"athlete_id": "bo-lind", "checked_on": day, "mood": 2} for day in ("2019-12-01", today)]
    flow.enter(squad, "checkin", typed, "coach", derive_after=False)
    mended = next(no for no, value in flow.rejected(squad).select("reject_no", "value").iter_rows() if value == "8x")
    flow.mend(squad, mended, {"sleep_h": "8"}, "coach")
    injuries = [("2019-01-05", "2019-02-05"), ("2019-03-05", None)]
    rows = [{"athlete_id": "ada-reed", "onset_on": on, "site": "hamstring", "side": "left", "returned_on": to}
            for on, to in injuries]  # fmt: skip
    for row in rows:
        flow.enter(squad, "injury", [{k: v for k, v in row.items() if v}], "coach", derive_after=False)
    log, _ = flow.heads_of(squad)
    splits = flow.table(squad, "split")
    asked = ["--home", str(squad.root), "--quiet", "person", "past-keeping"]
    listed = CliRunner().invoke(main, asked).output
    assert "bo-lind: 3 rows of checkin, the oldest of 2019-11-04" in listed
    assert CliRunner().invoke(main, [*asked, "--erase"], input="no\n").exit_code == 1
    assert flow.table(squad, "checkin").height == 6
    done = CliRunner().invoke(main, [*asked, "--erase"], input="ERASE\n")
    assert done.exit_code == 0, done.output
    assert set(flow.table(squad, "checkin")["checked_on"].dt.year()) == {dt.date.today().year}
    assert flow.table(squad, "injury")["onset_on"].to_list() == [dt.date(2019, 3, 5)]  # open, so it is kept
    assert flow.table(squad, "split").equals(splits)
    assert flow.past_keeping(squad).is_empty()
    left = b"".join(path.read_bytes() for path in squad.sources.rglob("*") if path.is_file())
    assert not any(day in left for day in (b"2019-11", b"2019-12", b"2019-01-05"))
    assert "rows past their keeping erased" in [what for _, _, what, _ in flow.accounts(squad).trail()]
    assert not [said for said in flow.verify(squad, heads=[log]) if said[1]]


# Runs commands as a child that may write no file longer than so many bytes, or as somebody who may not write the home.
COMMANDS = textwrap.dedent(
    """
    import os, resource, sys
    from click.testing import CliRunner
    from pipelines import flow
    from pipelines.cli.main import main
    how, home = sys.argv[1], sys.argv[2]
    flow.accounts(flow.Home(__import__("pathlib").Path(home))).list()
    main.commands["verify"], main.commands["derive"]
    import pipelines.board.building, pipelines.board.verification, pipelines.derived.registry
    pipelines.board.building.functions_and_models()
    if how == "full":
        resource.setrlimit(resource.RLIMIT_FSIZE, (100, 100))
    else:
        for folder, _, files in os.walk(home):
            for name in files:
                os.chmod(os.path.join(folder, name), 0o444)
            os.chmod(folder, 0o555)
        if os.getuid() == 0:
            os.setuid(65534)
    for command in (["derive"], ["verify"], ["account", "list"], ["account", "trail"], ["heads"],
                    ["account", "close", "coach"]):
        done = CliRunner().invoke(main, ["--home", home, "--quiet", *command])
        trace = "" if done.exception is None or isinstance(done.exception, SystemExit) else repr(done.exception)
        said = [line for line in done.output.splitlines() if line.strip()]
        print(command, done.exit_code, len(said), trace, said[-1:] , sep="|")
    """
)


@pytest.mark.skipif(os.name != "posix", reason="limits and permissions are those of POSIX")
@pytest.mark.parametrize("how", ["full", "read-only"])
def test_commands_speak_in_sentences_on_a_full_or_read_only_home(tmp_path, how, forked):
    with tempfile.TemporaryDirectory() as place:
        Path(place).chmod(0o755)
        home = Home(Path(place) / "home")
        load_roster(home)
        flow.accounts(home).add("coach", "head_coach", PHRASE)
        done = forked.run(COMMANDS, how, home.root)
        for folder, _, _ in os.walk(home.root):
            Path(folder).chmod(0o700)
    assert done.returncode == 0, done.stderr
    for line in done.stdout.splitlines():
        _, code, said, trace, last = line.split("|")
        assert trace == "", line
        assert int(said) >= 1 or code == "0", line
        if code == "1":
            assert last.rstrip("']\"").endswith("."), line
