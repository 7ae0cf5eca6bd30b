"""A home whose loads were read by an earlier version: verify says that the checks are newer, and what damage is."""

import dataclasses

import pytest
from click.testing import CliRunner

from pipelines import flow
from pipelines.cli.main import main
from pipelines.intake import passage
from pipelines.record import loading, warehouse
from tests.flow.test_loaded_again import bring, squad

pytestmark = pytest.mark.usefixtures("small_derived")
RUNS = "Name,Date,10 m,20 m\nAda Reed,2025-11-06,1.81,2.96\nBo Lind,2025-11-06,1.9O,3.05\n"
RECORD = "the record is what its sources give when loaded again"


@pytest.fixture
def old(tmp_path, monkeypatch):
    """Return a home with a load of a version that said of no cell that it waits."""
    home = squad(tmp_path)
    check = passage.check
    with monkeypatch.context() as then:
        then.setattr(loading, "reading_code", lambda: "an earlier version")
        then.setattr(passage, "check", lambda *all_: without_rejects(check(*all_)))
        bring(home, {"runs.csv": RUNS})
    bring(home, {"more.csv": RUNS.replace("11-06", "11-08").replace("1.9O", "1.95")})
    flow.derive_board(home)
    return home


def without_rejects(checked):
    return dataclasses.replace(checked, set_aside=checked.set_aside.clear())


def said_of_record(home):
    return next(wrong for what, wrong in flow.verify(home) if what == RECORD)


def test_newer_checks_are_named_with_the_load_and_what_to_do_and_are_no_damage(old):
    said = said_of_record(old)
    assert "the checks are newer than load" in said
    assert "(runs.csv)" in said
    assert "1 other or further rows in 'rejected'" in said
    assert "'thirdstep rebuild'" in said
    told = CliRunner().invoke(main, ["--home", str(old.root), "verify"])
    assert f"old  {RECORD}" in told.output
    assert "NO " not in told.output
    assert told.exit_code == 3  # something waits for you


def test_a_rebuild_reads_them_by_the_checks_of_today_and_verify_says_yes(old):
    assert flow.rebuild(old) == []
    assert said_of_record(old) == ""
    assert flow.rejected(old)["value"].to_list() == ["1.9O"]


def test_a_changed_row_of_a_load_of_today_is_damage_and_after_a_rebuild_so_is_one_of_before(old):
    flow.rebuild(old)
    with warehouse.connect(old.record) as con:
        con.execute("update split set elapsed_s = 1.79 where distance_m = 10 and source_name = 'runs.csv'")
    assert said_of_record(old) == "table 'split' differs"
    told = CliRunner().invoke(main, ["--home", str(old.root), "verify"])
    assert f"NO   {RECORD}" in told.output
    assert told.exit_code == 1
