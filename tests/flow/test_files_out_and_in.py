"""Tables as files and back: an exported table loads back unchanged; a folder that is watched."""

import datetime as dt
import io
import itertools
import json
import zipfile
from types import SimpleNamespace

import polars as pl
import pytest
from click.testing import CliRunner

from pipelines import flow
from pipelines.cli.main import main
from pipelines.entry import batch
from pipelines.entry.inbox import receipt_of
from pipelines.intake.passage import Given
from pipelines.outputs.tables import csv_bytes, narrowed
from tests.flow.squad import ROSTER, SPLITS, write, write_squad

pytestmark = pytest.mark.usefixtures("small_derived")

CHECKINS = (
    "athlete_id,checked_on,sleep_h,mood,ill,note\n"
    'ada-reed,2025-11-03,7.25,4,no,"=1+1, ""quoted"""\n'
    "ada-reed,2025-11-04,,,yes,'as typed\n"
    'bo-lind,2025-11-04,8.1,5,,"two\nlines"\n'
)


@pytest.fixture
def run(home):
    def command(*words):
        return CliRunner().invoke(main, ["--home", str(home.root), *map(str, words)], catch_exceptions=False)

    return command


def fill(home):
    folder = write_squad(home.root.parent / "in")
    (folder / "checkin.csv").write_text(CHECKINS, encoding="utf-8", newline="")
    flow.load(home, [folder], by="coach", derive_after=False)


@pytest.fixture
def filled(home, filled_once):
    return filled_once(home, fill)


@pytest.mark.parametrize("ending", ["csv", "xlsx", "parquet"])
@pytest.mark.parametrize("table", ["athlete", "session", "split", "checkin"])
def test_an_exported_table_loads_back_unchanged(filled, run, tmp_path, table, ending):
    target = tmp_path / f"{table}.{ending}"
    assert run("table", table, f"--{ending}", target).exit_code == 0
    before = flow.table(filled, table)
    again = run("load", "--json", "--no-derive", target)
    told = json.loads(again.stdout)
    assert (told["rows_read"], told["unchanged"], told["problem"]) == (before.height, before.height, None)
    assert flow.table(filled, table).equals(before)


def test_a_table_is_narrowed_by_athlete_and_by_day(filled, run):
    assert run("table", "checkin", "--athlete", "ada-reed", "--count").output == "2\n"
    assert run("table", "checkin", "--from", "2025-11-04", "--to", "2025-11-04", "--count").output == "2\n"


def test_a_table_without_athletes_or_days_says_so():
    with pytest.raises(flow.ThirdstepError, match="--athlete"):
        narrowed(pl.DataFrame({"exercise": ["squat"]}), ("ada-reed",))
    with pytest.raises(flow.ThirdstepError, match="--from"):
        narrowed(pl.DataFrame({"exercise": ["squat"]}), (), dt.date(2025, 1, 1))


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@x", "'quoted"])
def test_a_text_that_begins_like_a_formula_is_guarded_unless_it_is_asked_for_as_written(text):
    # The signs are those of OWASP's page on CSV injection (from memory), and our own guard.
    frame = pl.DataFrame({"note": [text, "plain"]})
    assert csv_bytes(frame).decode().splitlines()[1] == f"'{text}"
    assert csv_bytes(frame, safe=False).decode().splitlines()[1] == text


def test_an_inbox_loads_what_is_there_and_leaves_a_receipt_for_each_file(home, run, tmp_path):
    folder = tmp_path / "inbox"
    write(folder, roster=ROSTER, splits=SPLITS.replace("2.95", "2.9O"))
    (folder / "broken.xlsx").write_bytes(b"no workbook")
    done = run("inbox", folder, "--once")
    assert done.exit_code == 3  # done, and something was left out
    said = receipt_of(folder / "splits.csv").read_text(encoding="utf-8")
    assert "3 rows read, 2 stored" in said
    assert "splits.csv line 3, elapsed_s" in said
    assert "not loaded" in receipt_of(folder / "broken.xlsx").read_text(encoding="utf-8")
    assert flow.table(home, "split").height == 2


def test_an_inbox_loads_a_file_once_and_a_changed_one_again(home, run, tmp_path):
    folder = tmp_path / "inbox"
    write(folder, roster=ROSTER, splits=SPLITS)
    run("inbox", folder, "--once")
    assert run("inbox", folder, "--once").output == ""
    write(folder, splits=SPLITS.replace("1.80", "1.81"))
    assert "1 replaced" in run("inbox", folder, "--once").output
    assert flow.loads(home).height == 3


@pytest.mark.parametrize("kind", ["a file", "a folder"])
def test_a_link_that_leads_out_of_a_folder_is_not_read_for_whoever_put_it_there(home, run, tmp_path, kind):
    kept, inbox = tmp_path / "kept", tmp_path / "inbox"
    for folder in (kept, inbox):
        folder.mkdir()
    secret = kept / "roster.csv"
    secret.write_text("athlete_id,display_name\nzed-secret,Zed Secret\n", encoding="utf-8")
    secret.chmod(0o600)
    (inbox / "roster.csv").write_text(ROSTER, encoding="utf-8")
    (inbox / "again.csv").symlink_to(inbox / "roster.csv")  # a link within the folder is that file
    if kind == "a file":
        (inbox / "taken.csv").symlink_to(secret)
    else:
        (inbox / "taken").symlink_to(kept, target_is_directory=True)
    done = run("--quiet", "inbox", inbox, "--once")
    assert flow.loads(home).height == 1
    assert "zed-secret" not in flow.table(home, "athlete")["athlete_id"].to_list()
    told = done.output + "".join(path.read_text(encoding="utf-8") for path in inbox.glob("*.receipt.txt"))
    assert "Secret" not in told
    if kind == "a file":
        assert "taken.csv is a link that leads out of its folder" in told
        assert receipt_of(inbox / "taken.csv").stat().st_mode & 0o077 == 0


def zipped(parts):
    told = io.BytesIO()
    with zipfile.ZipFile(told, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in parts.items():
            archive.writestr(name, content)
    return told.getvalue()


def test_an_archive_that_is_sent_is_not_unpacked_to_a_flood(home):
    flood = zipped({f"{number}.csv": b"\n" * 40_000_000 for number in range(3)})
    with pytest.raises(flow.ThirdstepError, match=r"flood\.zip unpacks to more"):
        flow.load_files(home, [("flood.zip", flood)], "coach", check_only=True)


def test_files_that_are_sent_together_take_no_more_time_than_others_can_wait(home, monkeypatch):
    asked = []

    def read_slowly(name, content, *_):
        asked.append(name)
        return Given(name, content, problem=f"{name}: too slow")

    clock = itertools.count(0, 50)  # s; each look at it finds fifty gone
    monkeypatch.setattr(batch, "read_apart", read_slowly)
    monkeypatch.setattr(batch, "time", SimpleNamespace(monotonic=lambda: next(clock)))
    many = zipped({f"{number}.csv": f"a,b\n{number},2\n" for number in range(9)})
    told = flow.load_files(home, [("many.zip", many)], "coach", check_only=True)
    assert asked == ["0.csv", "1.csv", "2.csv"]  # 150 s are more than 120
    assert [one.problem for one in told[3:]] == [
        f"{number}.csv was not read: the files before it took 120 s. Send it by itself." for number in range(3, 9)
    ]
