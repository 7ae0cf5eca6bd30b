"""The command line: answers, exit codes, JSON and CSV for programs."""

import csv
import datetime as dt
import gc
import io
import json
import os
import subprocess
import sys

import pytest
from click.testing import CliRunner

from pipelines.cli import __main__ as program
from pipelines.cli.main import main
from tests.flow.squad import ROSTER, SPLITS, write, write_squad


@pytest.fixture
def run(home):
    """Return a function that runs one command in the home of this test."""

    def command(*words, **more):
        return CliRunner().invoke(main, ["--home", str(home.root), *map(str, words)], catch_exceptions=False, **more)

    return command


def load_squad(home):
    done = CliRunner().invoke(main, ["--home", str(home.root), "load", str(write_squad(home.root.parent / "in"))])
    assert done.exit_code == 0


@pytest.fixture
def loaded(run, home, filled_once, small_derived):
    filled_once(home, load_squad)
    return run


def test_load_prints_the_counts_and_publishes(loaded):
    assert loaded("table", "load_day", "--count").output == "2\n"
    assert loaded("table", "split", "--count").output == "3\n"


def test_load_json_is_one_object_a_file(run, tmp_path, small_derived):
    folder = write_squad(tmp_path / "in")
    (folder / "splits.csv").write_text(SPLITS.replace("2.95", "2.9O"))
    done = run("load", "--json", folder)
    told = {one["file"]: one for one in map(json.loads, done.stdout.splitlines())}
    assert done.exit_code == 3
    assert set(told) == {"roster.csv", "sessions.csv", "splits.csv"}
    splits = told["splits.csv"]
    assert [splits[name] for name in ("rows_read", "stored", "unchanged", "replaced", "set_aside")] == [3, 2, 0, 0, 1]
    [reason] = splits["reasons"]
    assert (reason["line"], reason["value"]) == (3, "2.9O")
    assert set(reason) == {"sheet", "line", "column", "value", "reason"}
    assert "split" in splits["tables"]


def test_a_person_reads_counts_and_reasons(run, tmp_path, small_derived):
    done = run("load", *write(tmp_path / "in", roster=ROSTER, splits=SPLITS.replace("2.95", "2.9O")))
    assert "splits.csv line 3, elapsed_s: " in done.stdout
    assert "2.9O" in done.stdout
    waiting = run("rejected")
    assert "splits.csv line 3, elapsed_s: " in waiting.stdout
    assert "1 rows wait" in waiting.stdout


@pytest.mark.parametrize(
    ("words", "code"),
    [(["load"], 2), (["load", "/no/such/file"], 2), (["no-such-command"], 2), (["table", "no_such_table"], 1),
     (["undo", "7"], 1), (["table", "load_day"], 1), (["template", "no_such_table"], 1), (["rejected"], 0),
     (["loads"], 0), (["table", "split", "--count"], 0)],
)  # fmt: skip
def test_exit_codes_in_an_empty_home(run, words, code):
    done = run(*words)
    assert done.exit_code == code
    assert "Traceback" not in done.output


def test_a_folder_of_files_none_of_which_can_be_read_is_1_and_with_one_good_file_3(run, tmp_path, small_derived):
    folder = tmp_path / "in"
    folder.mkdir()
    (folder / "broken.xlsx").write_bytes(b"no workbook")
    assert run("load", folder).exit_code == 1
    write(folder, roster=ROSTER)
    assert run("load", folder).exit_code == 3


def test_check_only_stores_nothing(run, home, tmp_path):
    done = run("load", "--check-only", write_squad(tmp_path / "in"))
    assert done.exit_code == 0
    assert "nothing was stored" in done.stdout
    assert not home.root.exists()


def test_csv_is_rfc_4180(loaded, tmp_path):
    note = 'said "later", then ran\nno'
    written = '"said ""later"", then ran\nno"'  # the same by RFC 4180, section 2, rules 6 and 7 (from memory)
    write(tmp_path / "2", sessions=f"athlete_id,session_date,note\nada-reed,2025-11-05,{written}\n")
    loaded("load", tmp_path / "2")
    raw = loaded("table", "session", "--csv", "-").stdout_bytes
    assert raw.count(b"\r\n") == 1 + 3  # header and three rows; the line break inside the note is the note's own
    rows = list(csv.DictReader(io.StringIO(raw.decode("utf-8"), newline="")))
    assert [row["note"] for row in rows] == ["", note, ""]
    assert rows[0]["session_date"] == "2025-11-03"


def test_an_exported_table_loads_back_unchanged(loaded, tmp_path):
    target = tmp_path / "out" / "splits.csv"
    assert loaded("table", "split", "--csv", target).exit_code == 0
    done = loaded("load", "--json", target)
    told = json.loads(done.stdout)
    assert (told["rows_read"], told["unchanged"], told["set_aside"]) == (3, 3, 0)


def test_a_csv_disarms_formulas_unless_it_is_asked_for_as_written(loaded, tmp_path):
    write(tmp_path / "2", sessions="athlete_id,session_date,note\nada-reed,2025-11-05,=1+1\n")
    loaded("load", tmp_path / "2")
    assert ",'=1+1," in loaded("table", "session", "--csv", "-").stdout
    assert ",=1+1," in loaded("table", "session", "--csv", "-", "--as-written").stdout


def test_undo_redo_and_loads(loaded):
    assert loaded("undo", 3).exit_code == 0
    assert loaded("table", "split", "--count").output == "0\n"
    assert loaded("redo", 3).exit_code == 0
    assert loaded("table", "split", "--count").output == "3\n"
    told = [json.loads(line) for line in loaded("loads", "--json").stdout.splitlines()]
    assert [one["source_name"] for one in told] == ["roster.csv", "sessions.csv", "splits.csv"]


def test_verify_rebuild_backup_and_restore(loaded, tmp_path):
    assert loaded("verify").exit_code == 0
    assert loaded("rebuild").exit_code == 0
    assert loaded("backup", tmp_path / "b.zip").exit_code == 0
    fresh = ["--home", str(tmp_path / "fresh")]
    assert CliRunner().invoke(main, [*fresh, "restore", str(tmp_path / "b.zip"), "--yes"]).exit_code == 0
    assert CliRunner().invoke(main, [*fresh, "table", "split", "--count"]).output == "3\n"


def test_a_template_has_the_tables_headers_and_is_never_written_over(run, tmp_path):
    assert run("template", "split", "--out", tmp_path).exit_code == 0
    text = (tmp_path / "split.csv").read_text()
    assert text.startswith("athlete_id,session_date,session_no,rep_no,distance_m,elapsed_s")
    assert run("template", "split", "--out", tmp_path).exit_code == 1
    assert run("template", "split", "--out", tmp_path, "--format", "xlsx").exit_code == 0
    assert (tmp_path / "split.xlsx").exists()


def test_accounts_are_made_and_listed_without_their_secrets(run):
    made = run("account", "add", "kim", "--role", "head_coach", "--passphrase-stdin", input="three-steps-first\n")
    assert made.exit_code == 0
    listed = run("account", "list").stdout
    assert "kim" in listed
    assert "argon2" not in listed
    # somebody has to be able to let the others in
    assert run("account", "close", "kim").exit_code == 1
    run("account", "add", "jo", "--role", "head_coach", "--passphrase-stdin", input="another-three-words\n")
    assert run("account", "close", "kim").exit_code == 0


def test_a_real_process_loads_and_answers(home, tmp_path):
    command = [sys.executable, "-m", "pipelines.cli", "--home", str(home.root)]
    loading = subprocess.run(
        [*command, "load", "--json", "--no-derive", str(write_squad(tmp_path / "in"))],
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert (loading.returncode, loading.stderr) == (0, "")
    assert len(loading.stdout.splitlines()) == 3
    counted = subprocess.run([*command, "table", "split", "--count"], capture_output=True, text=True, check=False)
    assert counted.stdout == "3\n"


def test_due_names_who_has_not_answered_and_is_empty_where_everybody_has(loaded, tmp_path):
    today = dt.datetime.now().date()
    names = [
        row["display_name"] for row in csv.DictReader(io.StringIO(loaded("table", "athlete", "--csv", "-").stdout))
    ]
    assert loaded("due").stdout.splitlines() == [f"{name}: check-in of {today}" for name in sorted(names)]
    told = [json.loads(line) for line in loaded("due", "--json").stdout.splitlines()]
    assert {one["kind"] for one in told} == {"checkin"}
    rows = "".join(f"{name},{today},7\n" for name in names)
    assert loaded("load", *write(tmp_path / "more", checkins="name,checked_on,sleep_h\n" + rows)).exit_code == 0
    assert loaded("due").stdout == ""


def test_a_command_reckons_products_in_one_thread_unless_somebody_set_another_number(monkeypatch):
    for name in ("main", "stand_back"):
        monkeypatch.setattr(program, name, lambda: None)
    monkeypatch.delenv("OPENBLAS_NUM_THREADS", raising=False)
    program.run()
    assert os.environ["OPENBLAS_NUM_THREADS"] == "1"
    monkeypatch.setenv("OPENBLAS_NUM_THREADS", "3")
    before = gc.get_threshold()
    gc.set_threshold(700)
    program.run()
    assert os.environ["OPENBLAS_NUM_THREADS"] == "3"
    assert gc.get_threshold()[0] == program.BETWEEN_LOOKS  # nor looks for garbage among what it has just imported
    gc.set_threshold(*before)
