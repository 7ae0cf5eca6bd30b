"""Homes that an earlier version logged: their loads come out as they were made, or verify names those that may not."""

import dataclasses

import pytest

from pipelines import flow
from pipelines.intake import one_a_header
from pipelines.record import loading
from schemas.intake import LayoutOptions
from schemas.reading import block_logged
from tests.flow.test_loaded_again import SHEET, TWO_BLOCKS, bring, other_than_its_sources, rows, squad

pytestmark = pytest.mark.usefixtures("small_derived")  # what is held here is the record; the board is by the way
ROUND = (  # three blocks: the first and the last read alike
    TWO_BLOCKS + ",,\nThu 19 Feb 2026,,\nName,10 m,30 m\nAda Reed,1.98,4.29\nBo Lind,1.85,3.97\n"
)


def one_reading_a_header(given, options):
    """Log as versions until 30 November 2026 did: of blocks under one header the reading of the last."""
    if given.kind != "file":
        return options
    kept = {one.layout: block_logged(one.block) for one in given.laid if one.block is not None}
    return dataclasses.replace(options, readings=kept)


@pytest.fixture
def old(tmp_path, monkeypatch):
    home = squad(tmp_path)
    with monkeypatch.context() as then:
        then.setattr(loading, "_with_readings", one_reading_a_header)
        bring(home, {"two.csv": TWO_BLOCKS, "sheet.csv": SHEET})
        bring(home, {"round.csv": ROUND})
    return home


def test_blocks_logged_with_the_reading_of_the_last_are_loaded_again_each_by_its_own(old):
    before = rows(old)
    starts = flow.table(old, "rep")["start_kind"].to_list()
    assert None in starts
    assert "blocks" in starts
    assert other_than_its_sources(old) == []
    assert flow.rebuild(old) == []
    assert rows(old) == before


def test_a_load_that_may_not_come_out_as_it_was_made_is_named_with_what_to_do(old, monkeypatch):
    before = rows(old)
    # a later version that reads the last block otherwise than it was logged
    monkeypatch.setattr(one_a_header, "is_one_reading", lambda blocks: False)
    flow.derive_board(old)
    [wrong] = [wrong for what, wrong in flow.verify(old) if wrong and what.startswith("the record is")]
    assert "(two.csv): several blocks under one header" in wrong
    assert "Undo the load and load the file again" in wrong
    assert flow.rebuild(old)
    assert rows(old) == before  # the old record stays
    monkeypatch.undo()
    doubted = [row["load_no"] for row in flow.loads(old).to_dicts() if row["source_name"] in ("two.csv", "round.csv")]
    for load_no in sorted(doubted, reverse=True):
        flow.undo(old, load_no, by="coach", derive_after=False)
    bring(old, {"two.csv": TWO_BLOCKS})
    bring(old, {"round.csv": ROUND})
    monkeypatch.setattr(one_a_header, "is_one_reading", lambda blocks: False)
    assert other_than_its_sources(old) == []


def test_a_reading_that_a_coach_gave_holds_for_every_block_when_the_record_is_made_again(tmp_path):
    home = squad(tmp_path)
    tried = flow.load_files(home, [("round.csv", ROUND.encode())], "coach", check_only=True)
    folder = tmp_path / "readings"
    flow.write_readings(folder, tried[0].readings)
    options = LayoutOptions(readings=flow.read_readings(folder))
    flow.load_files(home, [("round.csv", ROUND.encode())], "coach", options=options, derive_after=False)
    assert flow.table(home, "rep")["start_kind"].to_list() == [None] * 6
    assert other_than_its_sources(home) == []
