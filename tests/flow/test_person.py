"""One person's data: handed over whole, erased without a trace, and the rest left as it was."""

import io
import json
import shutil
import zipfile
from pathlib import Path

import polars as pl
import pytest
from click.testing import CliRunner

from pipelines import flow
from pipelines.cli.main import main
from pipelines.person import erasure as erasing
from pipelines.person.traces import find_traces
from pipelines.record import replacement as swapping
from pipelines.record.sources import journal
from tests.flow.squad import load_squad

WHO = "asa-lindenmoor"
SCHEMA_TYPES = {"string", "integer", "number", "boolean", "date", "datetime", "array", "any"}


def others_of(home: flow.Home) -> dict[str, pl.DataFrame]:
    """The record of everybody else, without where a row came from."""
    frames = {}
    for name in ("athlete", "checkin", "split", "lift_set", "injury", "session", "exercise", "decision", "race_result"):
        frame = flow.table(home, name).drop("load_no", "source_sha256", "source_name", "source_line", "entered_at")
        frames[name] = frame.filter(pl.col("athlete_id") != WHO) if "athlete_id" in frame.columns else frame
    return frames


@pytest.fixture(scope="module", params=["few_home", pytest.param("demo_home", marks=pytest.mark.long)])
def erased(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> tuple:
    """A squad with entries by and about one person and a set-aside row of theirs; that person erased."""
    root = tmp_path_factory.mktemp("erase") / "home"
    shutil.copytree(request.getfixturevalue(request.param).root, root)
    home = flow.find_home(root)
    day = flow.settings(home).as_of
    flow.enter(home, "checkin", [{"athlete_id": WHO, "checked_on": day, "mood": 2}], WHO, derive_after=False)
    flow.enter(
        home, "session",
        [{"athlete_id": "noemi-starling-pace", "session_date": day, "session_no": 3, "note": "ran with Åsa Lindenmoor"},
         {"athlete_id": WHO, "session_date": day, "session_no": 3, "note": "alone"}],
        "coach", derive_after=False,
    )  # fmt: skip
    misspelled = (
        b"athlete,date,mood\nAsa Lindenmor,2026-11-20,4\nNoemi Starling-Pace,2026-11-19,5\nOdo Farsight,2026-11-19,5\n"
    )
    flow.load_bytes(home, "late answers of Asa Lindenmoor.csv", misspelled, "coach", derive_after=False)
    shutil.copy(home.record, home.backups / "record-20261122-120000.duckdb")  # as a rebuild leaves the one before
    flow.accounts(home).note("coach", "injury detail read", WHO)
    who = erasing.who_is(home, WHO)
    before, waiting = others_of(home), flow.rejected(home)
    receipt = flow.erase_person(home, WHO, "coach")
    return home, who, before, waiting, receipt


def test_nothing_of_the_person_is_found_in_any_file(erased: tuple):
    home, who, _, _, receipt = erased
    assert list(find_traces(home, who)) == []
    assert receipt.traces == ()
    assert receipt.rows > 100
    assert WHO not in flow.table(home, "athlete")["athlete_id"]
    assert list(home.backups.iterdir()) == []
    assert WHO not in {account.name for account in flow.accounts(home).list()}


def test_everybody_else_is_as_before(erased: tuple):
    home, who, before, _, _ = erased
    after = others_of(home)
    for name, frame in before.items():
        words = pl.selectors.string().map_elements(who.redacted, return_dtype=pl.String)
        assert after[name].equals(frame.with_columns(words), null_equal=True), name
    notes = after["session"].filter(pl.col("note").str.contains("ran with").fill_null(value=False))
    assert notes["note"].to_list() == ["ran with [erased]"]


def test_a_misspelled_row_that_waited_is_gone_and_the_others_still_wait(erased: tuple):
    home, _, _, waiting, _ = erased
    kept = flow.rejected(home)
    assert "Lindenmor" in str(waiting["row_json"].to_list())
    assert "Lindenmor" not in str(kept.to_dicts())
    assert "Odo Farsight" in str(kept["row_json"].to_list())
    # by hand: of the rows that waited, only the misspelled one was theirs
    assert kept.height == waiting.filter(~pl.col("row_json").str.contains("Lindenmor")).height


def test_what_stays_is_a_receipt_that_names_nobody(erased: tuple):
    home, who, _, _, receipt = erased
    last = list(journal.read_events(home.sources))[-1]
    assert (last.what, last.by, last.options["rows"]) == ("erase", "coach", receipt.rows)
    told = [row[1:] for row in flow.accounts(home).trail()]
    assert ("coach", "person erased", "an erased person") in told
    assert not any(who.is_in(row) for row in told)


def test_the_next_load_goes_on_and_verify_and_rebuild_find_the_record_whole_without_them(erased: tuple):
    home = erased[0]
    outcome = flow.load_bytes(
        home, "more.csv", b"athlete,date,mood (1-5; 5 = good)\nPer Ashdown,2026-11-18,3\n", "coach"
    )
    assert (outcome.stored, outcome.problem) == (1, "")
    assert [said for said in flow.verify(home) if said[1]] == []
    assert flow.rebuild(home) == []


@pytest.mark.parametrize("step", ["before it is decided", "after sources", "after record"])
def test_an_erasure_that_is_stopped_happens_whole_or_not_at_all(home: flow.Home, small_derived: None, step: str):
    load_squad(home)
    who = erasing.who_is(home, "ada-reed")

    stopping = pytest.MonkeyPatch()  # the small derived tables stay

    class Stopped(BaseException):
        pass

    def stop(*_: object) -> None:
        raise Stopped

    if step == "before it is decided":
        stopping.setattr(swapping, "decide", stop)
    elif step == "after sources":
        real = Path.replace
        stopping.setattr(Path, "replace", lambda p, to: stop() if p.name == "record.duckdb" else real(p, to))
    else:
        stopping.setattr(swapping, "_take_boards_away", stop)
    with pytest.raises(Stopped):
        erasing.erase(home, "ada-reed", "coach")
    stopping.undo()
    people = flow.table(home, "athlete")["athlete_id"].to_list()  # the next opening repairs what is left
    if step == "before it is decided":
        assert "ada-reed" in people
    else:
        assert "ada-reed" not in people
        assert not (home.root / swapping.MARK).exists()
        assert list(find_traces(home, who)) == []
    flow.derive_board(home)
    assert [said for said in flow.verify(home) if said[1]] == []


def test_nobody_is_erased_by_a_wrong_name(own_few_home: flow.Home):
    run = CliRunner().invoke(main, ["--home", str(own_few_home.root), "person", "erase", WHO, "--yes", "asa"])
    assert (run.exit_code, "Nothing was erased" in run.output) == (1, True)
    run = CliRunner().invoke(main, ["--home", str(own_few_home.root), "person", "erase", "nobody", "--yes", "nobody"])
    assert (run.exit_code, "There is no athlete 'nobody'" in run.output) == (1, True)
    assert WHO in flow.table(own_few_home, "athlete")["athlete_id"]


def test_an_export_holds_every_row_of_the_person_and_of_nobody_else(own_few_home: flow.Home, tmp_path: Path):
    target = tmp_path / "all.zip"
    command = ["--home", str(own_few_home.root), "person", "export", WHO, "--out", str(target), "--by", "coach"]
    run = CliRunner().invoke(main, command)
    assert run.exit_code == 0, run.output
    with zipfile.ZipFile(target) as archive:
        package = json.loads(archive.read("datapackage.json"))
        tables = {one["name"]: json.loads(archive.read(one["path"])) for one in package["resources"]}
        page = archive.read("read_me_first.html").decode()
        csv = pl.read_csv(io.BytesIO(archive.read("csv/checkin.csv")))
    for name in ("athlete", "checkin", "split", "lift_set", "force_test"):
        mine = flow.table(own_few_home, name).filter(pl.col("athlete_id") == WHO)
        assert len(tables[name]) == mine.height > 0, name
    assert csv.height == len(tables["checkin"])
    assert "readiness_day" in tables
    assert "history_of_checkin" in tables
    whose = {row["athlete_id"] for rows in tables.values() for row in rows if "athlete_id" in row}
    assert whose == {WHO}
    assert "Starling-Pace" not in page
    # Table Schema, open standard v1: from memory
    for one in package["resources"]:
        assert {field["type"] for field in one["schema"]["fields"]} <= SCHEMA_TYPES
        assert {f["name"] for f in one["schema"]["fields"]} <= set(tables[one["name"]][0]) | {"athlete_id"}
    assert ("coach", "person exported", WHO) in [row[1:] for row in flow.accounts(own_few_home).trail()]


def test_what_is_past_its_keeping_is_listed_by_the_squad_s_own_days():
    import datetime as dt

    from pipelines.person.retention import HEALTH, LAST_SEEN, past_keeping
    from schemas.records import RECORDS
    from schemas.settings import SquadSettings

    names = {*HEALTH, *LAST_SEEN, "athlete"}
    frames = {
        n: pl.DataFrame(schema={c: k.dtype.type for c, k in RECORDS[n].to_schema().columns.items()}) for n in names
    }

    def put(name: str, *rows: dict[str, object]) -> None:
        frames[name] = pl.DataFrame([*rows], schema=frames[name].schema)

    as_of = dt.date(2026, 11, 22)
    put("athlete", {"athlete_id": "ann", "display_name": "Ann"}, {"athlete_id": "bo", "display_name": "Bo"})
    put(
        "checkin",
        {"athlete_id": "ann", "checked_on": dt.date(2026, 11, 1)},
        {"athlete_id": "ann", "checked_on": dt.date(2026, 8, 1)},
        {"athlete_id": "bo", "checked_on": dt.date(2026, 8, 14)},  # 100 days before the day looked from
    )
    put("injury", {"athlete_id": "ann", "onset_on": dt.date(2025, 1, 1), "site": "calf", "side": "l"})
    found = past_keeping(frames, SquadSettings(keep_health_days=100, keep_left_days=60), as_of).to_dicts()
    # by hand: Ann's answer of 1 Aug is 113 days old; Bo's of 14 Aug is 100, not over; Ann's injury is open; Bo was last
    # heard of 100 days ago, more than 60
    assert [(r["athlete_id"], r["what"], r["rows"]) for r in found] == [("ann", "checkin", 1), ("bo", "athlete", 1)]
    assert past_keeping(frames, SquadSettings(keep_health_days=0, keep_left_days=0), as_of).is_empty()
