"""A derivation that several processes share gives what one gives, and says the same of what it was made from."""

import datetime as dt
import io
import os
from pathlib import Path

import polars as pl
import pytest

from pipelines import flow
from pipelines.board import building, share, sharing
from pipelines.board.blocks import Blocks
from pipelines.board.computing import DerivationFailed
from pipelines.board.derivation import NOTHING_EARLIER, Derived, Earlier, derive_all, order_of
from pipelines.board.entry_days import entry_days
from pipelines.board.reading import base_of, current_board, earlier
from pipelines.board.spool import Spool
from pipelines.derived.registry import BY_ATHLETE, OF_THE_SQUAD, derivations
from pipelines.home.settings import read_settings
from pipelines.record import opening, warehouse
from schemas.derived.registry import derived_models
from schemas.settings import SquadSettings
from schemas.tolerance import are_alike

Frames = dict[str, pl.DataFrame]


@pytest.fixture(scope="module")
def settings(few_home: flow.Home) -> SquadSettings:
    return read_settings(few_home.settings)


@pytest.fixture(scope="module")
def as_of(settings: SquadSettings) -> dt.date:
    return opening.looking_from(settings)


@pytest.fixture(scope="module")
def records(few_home: flow.Home) -> Frames:
    with opening.record(few_home) as con:
        return {**warehouse.record_frames(con), "entry_day": entry_days(con)}


@pytest.fixture(scope="module")
def by_one(records: Frames, settings: SquadSettings, as_of: dt.date) -> Derived:
    return derive_all(records, settings, as_of, functions=derivations(), models=derived_models(), by_athlete=BY_ATHLETE)


def shared(
    records: Frames, settings: SquadSettings, as_of: dt.date, folder: Path, before: Earlier = NOTHING_EARLIER,
    board: Path | None = None,
) -> tuple[Derived, Frames]:  # fmt: skip
    made: Frames = {}
    done = sharing.derive_shared(
        records, shares_of(records), settings, as_of, functions=derivations(), models=derived_models(),
        of_the_squad=OF_THE_SQUAD, folder=folder, put=lambda name, rows: made.update({name: rows.clone()}),
        earlier=before, board=board, count=2,
    )  # fmt: skip
    return done, made


def shares_of(records: Frames) -> list[list[str]]:
    return sharing.shares_of(records["athlete"]["athlete_id"].to_list(), 1, 2)


@pytest.fixture(scope="module")
def by_two(records, settings, as_of, tmp_path_factory) -> tuple[Derived, Frames]:
    return shared(records, settings, as_of, tmp_path_factory.mktemp("spool"))


def test_two_processes_give_what_one_gives(by_one: Derived, by_two: tuple[Derived, Frames]):
    _, made = by_two
    assert made.keys() == by_one.frames.keys()
    assert [name for name, rows in by_one.frames.items() if not are_alike(rows, made[name])] == []


def test_what_two_made_is_taken_over_by_one_where_nothing_is_new(by_two, records, settings, as_of):
    done, made = by_two
    again = derive_all(
        records, settings, as_of, functions=derivations(), models=derived_models(), by_athlete=BY_ATHLETE,
        earlier=Earlier(done.fingerprints, done.athlete_fingerprints, done.athlete_contents, made.__getitem__),
    )  # fmt: skip
    assert set(again.reused) == set(derivations())


def test_two_processes_take_over_what_hangs_on_nothing_that_changed(few_home, records, settings, as_of, tmp_path):
    board = current_board(few_home)
    assert board is not None
    with earlier(base_of(board)) as before:
        assert before.fingerprints
        done, made = shared(records, settings, as_of + dt.timedelta(days=1), tmp_path, before, base_of(board))
        starts = before.read("start_phase")
    assert "start_phase" in done.reused
    assert made["start_phase"].equals(starts)
    assert "readiness_day" not in done.reused


def test_a_table_that_fails_in_one_process_fails_in_words(records, settings, as_of, tmp_path):
    torn = {**records, "rep": records["rep"].drop("timing_kind")}
    with pytest.raises(DerivationFailed, match="could not be computed"):
        shared(torn, settings, as_of, tmp_path)


def test_a_process_that_ends_by_itself_is_said(records, settings, as_of, tmp_path, monkeypatch):
    monkeypatch.setattr(share, "_START", "import sys; sys.stdin.readline()")
    with pytest.raises(DerivationFailed, match="ended by itself"):
        shared(records, settings, as_of, tmp_path)


def test_a_large_squad_is_shared_and_nothing_of_it_is_left_beside_the_board(own_few_home: flow.Home, monkeypatch):
    monkeypatch.setattr(sharing, "is_worth_sharing", lambda athletes: True)
    monkeypatch.setattr(building.fingerprints, "of_code", lambda: "another")
    before = flow.table(own_few_home, "week_sheet")
    (own_few_home.board / "board-000099.part-tables" / "rep").mkdir(parents=True)  # of a build that was stopped
    flow.derive_board(own_few_home)
    assert are_alike(flow.table(own_few_home, "week_sheet"), before)
    assert list(own_few_home.board.glob("*.part*")) == []


@pytest.mark.parametrize("somebody", ["", ",dirty_decay_ms:0"])
def test_a_process_takes_one_thread_and_keeps_its_memory_but_for_what_somebody_set(monkeypatch, somebody):
    assert os.environ[share.MEMORY].startswith(share.OF_POLARS)  # as this version of Polars writes it
    told: dict[str, str] = {}

    class Started:
        stdin, stdout = io.StringIO(), io.StringIO()

        def __init__(self, command: list[str], *, env: dict[str, str], **_: object) -> None:
            told.update(env)

    monkeypatch.setattr(share.subprocess, "Popen", Started)
    monkeypatch.setenv(share.MEMORY, f"{share.OF_POLARS},{share.OF_POLARS}{somebody}")
    monkeypatch.setenv("POLARS_MAX_THREADS", "8")
    share.Child({})
    assert told["POLARS_MAX_THREADS"] == told["OPENBLAS_NUM_THREADS"] == "1"
    assert told[share.MEMORY] == "dirty_decay_ms:10000,muzzy_decay_ms:0,oversize_threshold:0,narenas:1" + somebody


def blocks_of_all(shares: int) -> tuple[Blocks, dict[str, list[str]]]:
    functions = derivations()
    order = order_of(functions, {**warehouse.SHAPES, "entry_day": None})
    reads = sharing.with_parts(order, functions)
    return Blocks.of([*reads], reads, OF_THE_SQUAD, shares), reads


def test_every_table_is_in_one_unit_and_none_is_begun_before_what_it_reads_is_there():
    blocks, reads = blocks_of_all(2)
    assert sorted(name for unit in (*blocks.block, *blocks.squad) for name in unit.names) == sorted(reads)
    blocks.note(blocks.records)
    there: set[tuple[str, int]] = {(name, share) for name in blocks.records for share in range(2)}
    made: list[str] = []
    while len(made) < len(reads):
        squads, found = blocks.next_of_the_squad(), blocks.next_block()
        assert squads or found, "something must be there to do"
        if squads:
            assert all((read, share) in there for read in reads[squads] for share in range(2))
            blocks.note([squads])
            there |= {(squads, share) for share in range(2)}
            made.append(squads)
        if found:
            unit, share = found
            for name in unit.names:
                assert all((read, share) in there for read in reads[name])
                there.add((name, share))
            blocks.note(unit.names, share)
            made += unit.names if share == 1 else ()
    assert blocks.are_begun()
    assert all(blocks.is_read_no_more(name) for name in blocks.records)


def test_what_most_tables_of_the_squad_hang_on_one_after_the_other_comes_first():
    blocks, _ = blocks_of_all(1)
    assert {unit.names for unit in blocks.block[:2]} == {
        ("start_steps", "start_phase"), ("sprint_profile", "start_noise_runs")
    }  # fmt: skip
    assert blocks.records[0] in {"athlete", "rep"}


def test_every_athlete_is_in_one_share_and_a_share_holds_not_too_many_rows():
    shares = sharing.shares_of(["b", "a", "d", "c", "e"], 3 * sharing.MOST_ROWS, 2)
    assert [one for some in shares for one in some] == ["a", "b", "c", "d", "e"]
    assert len(shares) == 3
    assert sharing.shares_of(["a"], 3 * sharing.MOST_ROWS, 2) == [["a"]]


def test_a_table_comes_out_of_the_spool_as_it_went_in(tmp_path: Path):
    spool = Spool(tmp_path, [["a", "b"], ["c"]])
    rows = pl.DataFrame({"athlete_id": ["a", "b", "c"], "x": [1.0, None, 2.0]})
    spool.put("runs", rows)
    spool.put("words", pl.DataFrame({"word": ["one"]}))
    assert spool.get("runs").equals(rows)
    assert spool.get("runs", 1)["athlete_id"].to_list() == ["c"]
    assert spool.get("words", 1).height == 1
    assert not spool.holds("other")
    spool.drop("runs")
    assert not spool.holds("runs")
