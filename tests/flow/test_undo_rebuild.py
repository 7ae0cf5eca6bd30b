"""Undo, redo, rebuild, verify, backup and restore: the record is a replay of its sources."""

import shutil
import zipfile
from pathlib import Path

import pytest

from pipelines import flow
from pipelines.errors import ThirdstepError
from pipelines.home.folder import Home
from pipelines.record import warehouse
from pipelines.record.sources import journal
from tests.flow.squad import ROSTER, SPLITS, load_roster, load_squad, tables, write, write_squad

pytestmark = pytest.mark.usefixtures("small_derived")
# Layouts whose reading settles something of its own: two header rows, runs side by side, sets and outcomes in words.
ODD_FILES = {
    "two_headers.csv": "Name,Date,Sprint,,\n,,10 m,20 m,30 m\n"
    "Ada Reed,2025-11-06,1.81,2.96,4.02\nBo Lind,2025-11-06,1.9O,3.05,4.1\n",
    "side_by_side.csv": "Name,Date,Run 1 10 m,Run 1 20 m,Run 2 10 m,Run 2 20 m\n"
    "Ada Reed,2025-11-07,1.82,2.97,1.80,2.95\n",
    "gym.csv": "Name,Date,Exercise,Sets\nAda Reed,2025-11-07,squat,3x5 @ 100 kg\nBo Lind,2025-11-07,pull-up,2x8 @ bw\n",
    "races.csv": "Athlete,Date,Event,Round,Time,Wind\n"
    "Ada Reed,2025-07-07,100,final,11.80,0.3\nBo Lind,2025-07-07,100,final,DNF,0.3\n",
}
NAMES = [*warehouse.SHAPES, "load", "rejected"]


def everything(home):
    return tables(home, NAMES)


def assert_alike(one, other):
    assert all(frame.equals(other[name], null_equal=True) for name, frame in one.items())


def files_of(folder: Path) -> dict[Path, bytes]:
    return {path.relative_to(folder): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def live(home: Home) -> None:
    """Load files, correct them, undo, redo, type, and have rows set aside and mended."""
    tmp_path = home.root.parent
    flow.load(home, [write_squad(tmp_path / "in")], by="coach", derive_after=False)
    flow.load(home, write(tmp_path / "2", splits=SPLITS.replace("2.95", "2.9O")), by="staff", derive_after=False)
    flow.load(home, write(tmp_path / "3", splits=SPLITS.replace("2.95", "2.97")), by="staff", derive_after=False)
    flow.undo(home, 5, by="coach", derive_after=False)
    row = {"athlete_id": "bo-lind", "measured_on": "2025-11-03", "body_mass_kg": 74.2}
    flow.enter(home, "body_measure", [row], by="coach", derive_after=False)
    flow.redo(home, 5, by="coach", derive_after=False)
    flow.undo(home, 6, by="coach", derive_after=False)
    for name, text in ODD_FILES.items():
        flow.load_bytes(home, name, text.encode(), "staff", derive_after=False)
    flow.derive_board(home)


@pytest.fixture
def lived_in(home: Home, filled_once) -> Home:
    """Return a home that was lived in."""
    return filled_once(home, live)


def test_undo_takes_a_load_out_of_force_and_redo_puts_it_back(home, tmp_path):
    load_squad(home)
    flow.load(home, write(tmp_path / "2", splits=SPLITS.replace("1.80", "1.84")), by="coach")
    flow.undo(home, 4, by="coach")
    assert flow.table(home, "split")["elapsed_s"].to_list() == [1.80, 2.95, 4.00]
    assert flow.loads(home)["undone_by"].to_list() == [None, None, None, "coach"]
    flow.redo(home, 4, by="coach")
    assert flow.table(home, "split")["elapsed_s"].to_list() == [1.84, 2.95, 4.00]


def test_undo_is_seen_on_the_board(home, tmp_path):
    load_squad(home)
    assert flow.table(home, "load_day")["minutes"].to_list() == [80.0, 60.0]
    flow.undo(home, 2, by="coach")  # the sessions; Ada's day is still there, implied by her splits
    assert flow.table(home, "load_day").rows()[0][0] == "ada-reed"
    assert flow.table(home, "load_day").height == 1


def test_a_rebuild_from_the_sources_alone_gives_an_equal_record(lived_in):
    before = everything(lived_in)
    lived_in.record.unlink()
    with pytest.raises(ThirdstepError, match="thirdstep rebuild"):
        flow.table(lived_in, "split")
    assert flow.rebuild(lived_in) == []
    assert_alike(before, everything(lived_in))


def test_a_rebuild_keeps_the_old_record_among_the_backups(lived_in):
    flow.rebuild(lived_in)
    assert len(list(lived_in.backups.glob("record-*.duckdb"))) == 1


def test_the_odd_files_of_this_room_are_stored(lived_in):
    names = set(flow.loads(lived_in)["source_name"].to_list())
    assert set(ODD_FILES) <= names
    assert flow.table(lived_in, "lift_set").height == 5
    assert flow.table(lived_in, "race_result")["race_outcome"].to_list() == [None, "not_finished"]
    assert flow.table(lived_in, "split").filter(source_name="side_by_side.csv").height == 4
    assert flow.table(lived_in, "split").filter(source_name="two_headers.csv").height == 5  # one cell alone waits
    assert flow.rejected(lived_in).filter(source_name="two_headers.csv")["value"].to_list() == ["1.9O"]


def test_verify_finds_nothing_in_a_sound_home(lived_in):
    assert not [said for said in flow.verify(lived_in) if said[1]]


def test_verify_finds_a_changed_source_a_changed_record_and_an_old_board(lived_in):
    with warehouse.connect(lived_in.record) as con:
        con.execute("update split set elapsed_s = 1.79 where distance_m = 10")
    sources, record, board, *_ = (wrong for _, wrong in flow.verify(lived_in))
    assert (sources, record) == ("", "table 'split' differs")
    assert "split" in board
    sha256 = flow.loads(lived_in)["source_sha256"][0]
    next(lived_in.sources.rglob(sha256)).write_bytes(b"changed")
    sources, record, *_ = (wrong for _, wrong in flow.verify(lived_in))
    assert "roster.csv" in sources
    assert "damaged" in record


def test_a_backup_brings_everything_back_on_an_empty_machine(lived_in, tmp_path):
    flow.accounts(lived_in).add("coach", "head_coach", "three-steps-first")
    flow.write_settings(lived_in.settings, flow.settings(lived_in))
    before, kept = everything(lived_in), files_of(lived_in.sources)
    flow.backup(lived_in, tmp_path / "away" / "squad.zip")
    settings = flow.settings(lived_in)
    shutil.rmtree(lived_in.root)
    fresh = Home(tmp_path / "elsewhere")
    flow.restore(fresh, tmp_path / "away" / "squad.zip")
    assert_alike(before, everything(fresh))
    assert not [said for said in flow.verify(fresh) if said[1]]
    assert [one.name for one in flow.accounts(fresh).list()] == ["coach"]
    assert flow.settings(fresh) == settings
    assert files_of(fresh.sources) == kept


def test_a_backup_holds_how_the_club_signs_in_and_never_the_secret(lived_in, tmp_path):
    (lived_in.root / "openid.toml").write_text('issuer = "https://login.club.example"\n', encoding="utf-8")
    (lived_in.root / "openid-secret.txt").write_text("s3cret", encoding="utf-8")
    flow.backup(lived_in, tmp_path / "kept.zip")
    with zipfile.ZipFile(tmp_path / "kept.zip") as archive:
        assert "openid.toml" in archive.namelist()
        assert not any(b"s3cret" in archive.read(name) for name in archive.namelist())
    other = Home(tmp_path / "other")
    flow.restore(other, tmp_path / "kept.zip")
    assert (other.root / "openid.toml").read_text(encoding="utf-8") == 'issuer = "https://login.club.example"\n'


def test_a_restore_never_overwrites_a_record(lived_in, tmp_path):
    flow.backup(lived_in, tmp_path / "squad.zip")
    with pytest.raises(ThirdstepError, match="never overwrites"):
        flow.restore(lived_in, tmp_path / "squad.zip")


def test_a_damaged_backup_restores_nothing(lived_in, tmp_path):
    whole = tmp_path / "squad.zip"
    flow.backup(lived_in, whole)
    content = whole.read_bytes()
    whole.write_bytes(content[: len(content) // 2])
    fresh = Home(tmp_path / "elsewhere")
    with pytest.raises(ThirdstepError, match="no whole backup"):
        flow.restore(fresh, whole)
    assert not fresh.record.exists()
    assert journal.last_event_no(fresh.sources) == 0


def test_a_record_file_older_than_its_sources_catches_up_by_itself(home, tmp_path):
    load_roster(home)
    old = home.record.read_bytes()
    for seconds in ("1.80", "1.81"):
        flow.load(home, write(tmp_path / seconds, splits=SPLITS.replace("1.80", seconds)), by="c", derive_after=False)
    home.record.write_bytes(old)
    assert flow.loads(home).height == 3
    assert flow.table(home, "split")["elapsed_s"].to_list() == [1.81, 2.95, 4.00]
    assert flow.rebuild(home) == []


def test_sources_older_than_the_record_are_named_and_nothing_is_changed(home, tmp_path):
    flow.load(home, write(tmp_path / "in", roster=ROSTER, splits=SPLITS), by="coach", derive_after=False)
    before = home.record.read_bytes()
    journal.take_away(home.sources, 2)
    with pytest.raises(ThirdstepError, match=r"knows 2 loads and undos, its sources only 1.*from a backup"):
        flow.loads(home)
    assert home.record.read_bytes() == before


def test_a_home_without_a_record_has_nothing_to_back_up(home, tmp_path):
    home.prepare()
    with pytest.raises(ThirdstepError, match="nothing to back up"):
        flow.backup(home, tmp_path / "squad.zip")
