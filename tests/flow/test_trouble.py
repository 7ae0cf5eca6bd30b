"""A full disk, a folder that may not be written, a damaged file, another writer: one sentence with the way out."""

import os
import tempfile
import textwrap
import time
from collections.abc import Callable
from pathlib import Path

import duckdb
import filelock
import polars as pl
import pytest

from dashboard.access.viewer import Viewer
from dashboard.board import Board
from pipelines import flow
from pipelines.board import publish
from pipelines.errors import ThirdstepError
from pipelines.home.durable import flush_folder, make_folder
from pipelines.home.folder import Home
from pipelines.record import backup_index
from tests.flow.forked import COMMAND, Mother
from tests.flow.squad import SPLITS, load_roster, load_squad, write, write_squad

pytestmark = pytest.mark.usefixtures("small_derived")

# Loads a file in a child that may write no file longer than so many bytes: what a full disk does, with another number.
SHORT_OF_ROOM = textwrap.dedent(
    """
    import resource, sys
    from pathlib import Path
    from pipelines import flow
    from pipelines.errors import ThirdstepError
    home, file, room = flow.Home(Path(sys.argv[1])), Path(sys.argv[2]), int(sys.argv[3])
    flow.table(home, "athlete")
    resource.setrlimit(resource.RLIMIT_FSIZE, (room, room))
    try:
        [outcome] = flow.load(home, [file], by="coach", derive_after=False)
        print("stored", outcome.stored)
    except ThirdstepError as trouble:
        print(trouble.message)
    """
)
# Does so as somebody who may not write the home.
NOT_ALLOWED = textwrap.dedent(
    """
    import os, sys
    from pathlib import Path
    from pipelines import flow
    from pipelines.errors import ThirdstepError
    home, file = flow.Home(Path(sys.argv[1])), Path(sys.argv[2])
    content = file.read_bytes()
    flow.preview(home, file.name, content)  # all that is imported on the way is there
    if os.getuid() == 0:
        os.setuid(65534)
    try:
        flow.load_bytes(home, file.name, content, by="coach", derive_after=False)
        print("stored")
    except ThirdstepError as trouble:
        print(trouble.message)
    """
)


@pytest.fixture
def run(forked: Mother) -> Callable[..., str]:
    def in_a_child(code: str, *told: object) -> str:
        done = forked.run(code, *told)
        assert done.returncode == 0, done.stderr
        return done.stdout.strip()

    return in_a_child


@pytest.mark.parametrize("room", [200, 100_000])
def test_no_room_on_the_disk_is_one_sentence_and_the_load_goes_in_once_there_is(home, run, tmp_path, room):
    load_roster(home)
    lines = "".join(f"ada-reed,2025-11-{day:02d},1,{rep},10,1.8{rep}\n" for day in range(1, 9) for rep in range(1, 101))
    [file] = write(tmp_path / "2", splits=SPLITS.splitlines(keepends=True)[0] + lines)
    said = run(SHORT_OF_ROOM, home.root, file, room)
    assert len(said.splitlines()) == 1
    height = flow.table(home, "split").height  # which opens the record, and so does what was logged
    assert ("it will be stored at the next start" if height else "Make room and run it again.") in said
    assert height in (0, 800)  # all or nothing
    [again] = flow.load(home, [file], by="coach", derive_after=False)
    assert again.stored + again.unchanged == 800
    flow.derive_board(home)
    assert not [said for said in flow.verify(home) if said[1]]


@pytest.mark.parametrize("mode", [0o000, 0o555], ids=["not to be looked into", "read-only"])
def test_a_folder_that_may_not_be_written_is_one_sentence_and_stores_nothing(run, tmp_path, mode):
    with tempfile.TemporaryDirectory() as place:  # that of the tests may be its owner's alone
        Path(place).chmod(0o755)
        home = Home(Path(place) / "home")
        _try_without_permission(run, home, tmp_path, mode)


def _try_without_permission(run, home, tmp_path, mode):
    load_roster(home)
    [file] = write(tmp_path / "2", splits=SPLITS)
    flow.accounts(home)
    code = NOT_ALLOWED.replace("if os.getuid() == 0:", f"home.root.chmod({mode})\nif os.getuid() == 0:")
    try:
        said = run(code, home.root, file)
    finally:
        home.root.chmod(0o700)
    assert "may not be" in said
    assert "--home DIR" in said
    assert len(said.splitlines()) == 1
    assert flow.table(home, "split").is_empty()


@pytest.mark.parametrize(
    "place", ["first page", "cut short", *(pytest.param(one, marks=pytest.mark.long) for one in ("middle", "empty"))]
)
def test_a_damaged_record_is_one_sentence_and_rebuild_brings_all_of_it_back(home, tmp_path, place):
    flow.load(home, [write_squad(tmp_path / "in")], by="coach", derive_after=False)
    before = flow.table(home, "split")
    content = bytearray(home.record.read_bytes())
    if place == "first page":
        content[0:4096] = os.urandom(4096)
    elif place == "middle":
        content[4096:] = os.urandom(len(content) - 4096)
    elif place == "cut short":
        del content[len(content) // 2 :]
    else:
        content.clear()
    home.record.write_bytes(content)
    with pytest.raises(ThirdstepError, match="thirdstep rebuild"):
        flow.table(home, "split")
    assert flow.rebuild(home) == []
    assert flow.table(home, "split").equals(before)
    flow.derive_board(home)
    assert not [said for said in flow.verify(home) if said[1]]


def test_a_torn_tail_of_changes_not_yet_written_into_the_record_never_loses_what_was_acknowledged(
    home, forked, tmp_path
):
    """Power lost while the database's own log is written: it may end anywhere."""
    load_roster(home)
    wal = home.record.with_name(home.record.name + ".wal")
    code = textwrap.dedent(
        """
        import os, sys
        from pathlib import Path
        from pipelines import flow
        from pipelines.record import warehouse
        note = warehouse.transaction
        from contextlib import contextmanager
        @contextmanager
        def then_die(con):
            with note(con):
                yield
            os._exit(9)
        warehouse.transaction = then_die
        flow.load(flow.Home(Path(sys.argv[1])), [Path(sys.argv[2])], by="coach", derive_after=False)
        """
    )
    [file] = write(tmp_path / "2", splits=SPLITS)
    assert forked.run(code, home.root, file).returncode == 9
    record, tail = home.record.read_bytes(), wal.read_bytes()
    assert tail
    for cut in sorted({0, 7, len(tail) // 3, len(tail) // 2, len(tail) - 1, len(tail)}):
        home.record.write_bytes(record)
        wal.write_bytes(tail[:cut])
        assert flow.table(home, "split").height == 3, cut
        assert flow.loads(home).height == 2
    flow.derive_board(home)
    assert not [said for said in flow.verify(home) if said[1]]


def test_a_reader_of_the_board_never_waits_for_a_writer_or_a_publisher(home, tmp_path):
    load_squad(home)
    board = publish.current_board(home)
    assert board
    with (
        filelock.FileLock(home.root / "record.lock"),
        filelock.FileLock(home.root / "publish.lock"),
        duckdb.connect(str(home.record)) as con,
    ):
        con.execute("begin")
        con.execute("delete from split")
        start = time.monotonic()
        seen = Board(home.root).read(Viewer("coach", "head_coach"), "load_day")
        assert publish.read_board(board, "split").height == 3
        assert time.monotonic() - start < 5.0  # s; a wait for a lock would be 60
        con.execute("rollback")
    assert seen["minutes"].to_list() == [80.0, 60.0]


def test_a_new_folder_s_name_is_flushed_before_anything_is_put_into_it(tmp_path, monkeypatch):
    flushed = []
    monkeypatch.setattr(
        "pipelines.home.durable.flush_folder", lambda folder: (flushed.append(folder), flush_folder(folder))
    )
    make_folder(tmp_path / "a" / "b")
    assert flushed == [tmp_path, tmp_path / "a"]


# --- backups ---------------------------------------------------------------------------------------------------------


def test_a_backup_made_while_others_write_is_one_moment_and_restores_whole(home, forked, tmp_path):
    load_squad(home)
    for rep in range(4):
        write(tmp_path / "more", **{f"s{rep}": SPLITS.replace(",1,1,", f",2,{rep + 1},")})
    writer = forked.begin(COMMAND, "--home", home.root, "--quiet", "load", "--no-derive", tmp_path / "more")
    made = 0
    while writer.returncode is None or not made:
        made += 1
        flow.backup(home, tmp_path / f"{made}.zip")
        time.sleep(0.1)  # a backup waits for the writer and the writer for it: one after the other, not one alone
    assert writer.returncode == 0
    fresh = Home(tmp_path / "fresh")
    flow.restore(fresh, tmp_path / f"{(made + 1) // 2}.zip")
    assert not [said for said in flow.verify(fresh) if said[1]]
    assert flow.loads(fresh).height in range(3, 8)


def test_backups_made_are_listed_and_those_that_hold_somebody_erased_are_named_until_they_are_gone(home, tmp_path):
    load_squad(home)
    flow.backup(home, tmp_path / "away" / "one.zip")
    flow.backup(home, home.backups / "two.zip")
    assert [one.holds_erased for one in backup_index.made(home)] == [False, False]
    receipt = flow.erase_person(home, "ada-reed", "coach")
    held = [str(tmp_path / "away" / "one.zip"), str(home.backups / "two.zip")]
    assert sorted(receipt.outside) == sorted(held)
    assert all(path in flow.verify(home)[3][1] for path in held)
    flow.backup(home, home.backups / "two.zip")  # made again, without them
    (tmp_path / "away" / "one.zip").unlink()
    assert not [said for said in flow.verify(home) if said[1]]
    fresh = Home(tmp_path / "fresh")
    flow.restore(fresh, home.backups / "two.zip")
    assert flow.table(fresh, "athlete")["athlete_id"].to_list() == ["bo-lind"]


def test_an_erasure_waits_for_a_board_in_the_making_so_that_none_with_the_person_comes_out_after_it(
    home, forked, tmp_path
):
    load_squad(home)
    code = (
        "import sys; from pathlib import Path; from pipelines.person import erasure;"
        "from pipelines.home.folder import Home;"
        "erasure.erase(Home(Path(sys.argv[1])), 'ada-reed', 'coach')"
    )
    with filelock.FileLock(home.root / "publish.lock"):
        child = forked.begin(code, home.root)
        time.sleep(1.5)
        assert child.returncode is None
        assert "ada-reed" in flow.table(home, "athlete")["athlete_id"]
    assert child.wait() == 0
    assert "ada-reed" not in flow.table(home, "athlete")["athlete_id"]


@pytest.mark.long  # every day a small home makes the way: test_undo_rebuild.py
def test_the_demo_goes_to_another_machine_and_back_unchanged(own_demo_home, tmp_path, monkeypatch):
    """Backup, restore to an empty machine, rebuild: the same rows each time, and the sources byte for byte."""
    monkeypatch.undo()  # the real derived tables
    own = own_demo_home
    flow.backup(own, tmp_path / "all.zip")
    fresh = Home(tmp_path / "machine")
    flow.restore(fresh, tmp_path / "all.zip")
    names = [name for name in flow.table_names() if name not in ("readiness_reason",)]
    before = {name: flow.table(own, name) for name in names}
    assert sum(frame.height for frame in before.values()) > 10_000
    changed = [name for name in names if not _alike(before[name], flow.table(fresh, name))]
    assert changed == []
    assert flow.rebuild(fresh) == []
    assert [name for name in names if not _alike(before[name], flow.table(fresh, name))] == []
    assert not [said for said in flow.verify(fresh) if said[1]]
    assert _files(own.sources) == _files(fresh.sources)


def _files(folder: Path) -> dict[Path, bytes]:
    return {path.relative_to(folder): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def _alike(one: pl.DataFrame, other: pl.DataFrame) -> bool:
    return one.equals(other, null_equal=True)
