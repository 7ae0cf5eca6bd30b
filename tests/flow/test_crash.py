"""Killed at any moment, and two at once: what was acknowledged is there, nothing half there, nobody blocks for ever."""

import errno
import os
import signal
import textwrap

import duckdb
import filelock
import pytest

from pipelines import flow
from pipelines.errors import ThirdstepError
from pipelines.home import folder as home_room
from pipelines.home.folder import only_writer
from pipelines.record import loading
from pipelines.record.sources import journal
from tests.flow.forked import COMMAND
from tests.flow.squad import ROSTER, SPLITS, load_roster, write

# Loads a file and kills itself just before the named step of storing it.
DIES = textwrap.dedent(
    """
    import os, signal, sys
    from pathlib import Path
    from pipelines import flow
    from pipelines.home.folder import Home
    from pipelines.record import history, loading, warehouse

    def die(*_, **__):
        os.kill(os.getpid(), signal.SIGKILL)

    room, step = {"keep": (loading, "keep"), "store": (warehouse, "store"), "merge": (history, "merge_new"),
                  "log": (loading.journal, "write_event"), "commit": (warehouse, "note_event")}[sys.argv[3]]
    setattr(room, step, die)
    flow.load(Home(Path(sys.argv[1])), [Path(sys.argv[2])], by="coach", derive_after=False)
    """
)


@pytest.mark.parametrize("step", ["keep", "store", "merge", "log", "commit"])
def test_a_load_killed_in_the_middle_is_whole_or_not_there_and_the_next_start_repairs_itself(
    home, forked, tmp_path, step
):
    roster, splits = write(tmp_path / "in", roster=ROSTER, splits=SPLITS)
    flow.load(home, [roster], by="coach", derive_after=False)
    killed = forked.run(DIES, home.root, splits, step)
    assert killed.returncode == -signal.SIGKILL
    was_logged = step == "commit"  # from then on the next one who opens the record does what the log says
    assert flow.table(home, "split").height == (3 if was_logged else 0)
    assert flow.table(home, "session").height == (1 if was_logged else 0)
    assert flow.loads(home).height == journal.last_event_no(home.sources) == (2 if was_logged else 1)
    [again] = flow.load(home, [splits], by="coach", derive_after=False)
    assert (again.stored, again.unchanged, again.load_no) == ((0, 3, None) if was_logged else (3, 0, 2))


def test_a_kill_between_two_files_keeps_the_first_and_nothing_of_the_second(home, forked, tmp_path):
    write(tmp_path / "in", roster=ROSTER, splits=SPLITS)
    script = DIES.replace("setattr(room, step, die)", _only_of_the_second())
    killed = forked.run(script, home.root, tmp_path / "in", "merge")
    assert killed.returncode == -signal.SIGKILL
    assert flow.table(home, "athlete").height == 2
    assert flow.table(home, "split").is_empty()


def _only_of_the_second() -> str:
    return textwrap.dedent(
        """
        whole, splits = getattr(room, step), []
        def of_the_second(con, shape, *args, **more):  # tried once against the other file, then stored
            splits.extend([shape.name] * (shape.name == "split"))
            return die() if len(splits) == 2 else whole(con, shape, *args, **more)
        setattr(room, step, of_the_second)
        """
    )


def test_two_writers_at_once_both_store_everything(home, forked, tmp_path):
    load_roster(home)
    writers = []
    for number in range(2):
        for rep in range(4):
            text = SPLITS.replace(",1,1,", f",{number + 1},{rep + 1},")
            write(tmp_path / f"w{number}", **{f"splits-{rep}": text})
        told = ["--home", home.root, "--quiet", "load", "--no-derive", tmp_path / f"w{number}"]
        writers.append(forked.begin(COMMAND, *told))
    assert [writer.wait() for writer in writers] == [0, 0]
    assert flow.table(home, "split").height == 2 * 4 * 3
    assert flow.loads(home)["load_no"].to_list() == list(range(1, 10))


def test_a_writer_waits_says_so_and_gives_up_with_a_sentence(home, monkeypatch):
    home.prepare()
    monkeypatch.setattr(home_room, "LOCK_SAY_S", 0.05)
    said = []
    with (
        filelock.FileLock(home.root / "record.lock"),
        pytest.raises(ThirdstepError, match="had not finished after 0 s"),
        only_writer(home, said.append, wait_s=0.2),
    ):
        said.append("never here")
    assert said == ["The record is being written by another thirdstep; waiting up to 0 s for it to finish."]


def test_a_damaged_record_is_one_sentence_with_a_way_out_that_works(home, tmp_path):
    flow.load(home, write(tmp_path / "in", roster=ROSTER, splits=SPLITS), by="coach", derive_after=False)
    before = flow.table(home, "split")
    home.record.write_bytes(b"not a database" * 1000)
    with pytest.raises(ThirdstepError, match=r"damaged.*thirdstep rebuild"):
        flow.load(home, write(tmp_path / "2", splits=SPLITS.replace("1.80", "1.81")), by="coach")
    rebuilt = loading_only_rebuild(home)
    assert rebuilt == []
    assert flow.table(home, "split").equals(before)


def loading_only_rebuild(home):
    from pipelines.board.verification import rebuild_record
    from pipelines.home.folder import say_nothing

    return rebuild_record(home, say_nothing, lambda *_: None)


def test_a_record_with_fewer_columns_gets_the_new_ones(home, tmp_path):
    load_roster(home)
    with duckdb.connect(str(home.record)) as con:
        for table in ("athlete", "version_athlete"):
            con.execute(f"alter table {table} drop column squad")
        con.execute("update info set value = 'older' where name = 'shapes'")
    assert "squad" in flow.table(home, "athlete").columns
    assert flow.table(home, "athlete").height == 2


@pytest.mark.parametrize(
    ("number", "sentence"),
    [(errno.ENOSPC, "disk is full"), (errno.EACCES, "may not be read or written"), (errno.EROFS, "--home")],
)
def test_a_full_disk_or_a_read_only_folder_is_one_sentence_and_stores_nothing(
    home, tmp_path, monkeypatch, number, sentence
):
    load_roster(home)

    def refuse(*_args, **_more):
        raise OSError(number, os.strerror(number), str(home.sources))

    monkeypatch.setattr(loading, "keep", refuse)
    with pytest.raises(ThirdstepError, match=sentence):
        flow.load(home, write(tmp_path / "2", splits=SPLITS), by="coach", derive_after=False)
    monkeypatch.undo()
    assert flow.table(home, "split").is_empty()
    monkeypatch.setattr(journal, "write_event", refuse)  # in the middle of the transaction
    with pytest.raises(ThirdstepError, match=sentence):
        flow.load(home, write(tmp_path / "2", splits=SPLITS), by="coach", derive_after=False)
    monkeypatch.undo()
    assert flow.table(home, "split").is_empty()


def test_a_file_where_the_home_should_be_is_one_sentence(home, tmp_path):
    home.root.write_text("in the way")
    with pytest.raises(ThirdstepError, match="is a file where a folder should be"):
        flow.load(home, write(tmp_path / "in", roster=ROSTER), by="coach")
