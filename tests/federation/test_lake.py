"""The lake: one pointer for all tables, exchanged whole; what is replaced is gone."""

import json
from pathlib import Path

import polars as pl
import pytest

pytest.importorskip("deltalake", reason="needs the extra: uv run --extra federation pytest")

from pipelines.errors import ThirdstepError
from pipelines.federation import lake as lakes
from pipelines.federation.lake import Lake
from schemas.shared import SHARED


def rows(squad: str, *people: str) -> dict[str, pl.DataFrame]:
    """Return both tables of a squad, a row each person; pseudonyms are lengthened to their digits."""
    names = [one.ljust(24, "0") for one in people]
    run = {
        "squad": squad, "person": names, "week_no": 1350, "day_no": 1, "run_no": 1, "sex": "f", "age_from": 18,
        "event_group": "hurdles", "start_kind": "blocks", "clock_start": "gun", "timing_kind": "electronic",
        "t_10_s": 2.0,
    }  # fmt: skip
    week = {"squad": squad, "person": names, "week_no": 1350, "flagged": None, "history_flagged": False,
            "outcome": "quiet"}  # fmt: skip
    return {
        name: pl.DataFrame(told, schema=SHARED[name].to_schema().types)
        for name, told in (("shared_run", run), ("shared_flag_week", week))
    }


def put(lake: Lake, **squads: tuple[str, ...]) -> None:
    known = lake.current().squads
    lake.publish(
        iter([(key, rows(key, *people)) for key, people in squads.items()]), {**known, **{key: {} for key in squads}}
    )


@pytest.fixture
def lake(tmp_path: Path) -> Lake:
    made = Lake(tmp_path / "lake")
    put(made, coldmere=("aa", "ab"), elmstrand=("ba",))
    return made


def test_an_empty_lake_holds_nothing(tmp_path: Path):
    assert Lake(tmp_path / "none").current().squads == {}


def test_a_squads_rows_are_replaced_and_the_others_stay(lake: Lake):
    put(lake, coldmere=("ac",))
    for name in SHARED:
        assert [one[:2] for one in lake.read(name)["person"]] == ["ac", "ba"]
    assert lake.current().number == 2


def test_what_was_replaced_stands_in_no_file_and_in_no_line_of_the_log(lake: Lake):
    put(lake, coldmere=("ac",))
    for path in lake.root.rglob("*"):
        if path.is_file():
            assert "ab".ljust(24, "0").encode() not in path.read_bytes(), path
    names = set(lake.root.rglob("*.parquet"))
    assert names == {Path(one) for name in SHARED for one in lake.files(name)}  # only what is in force


def test_a_run_killed_between_two_tables_leaves_the_tables_of_before_in_force(lake: Lake, monkeypatch):
    before = {name: lake.read(name) for name in SHARED}
    written = lakes.write_deltalake

    def killed_at_the_second(path, *args, **kwargs):
        if path.endswith("shared_flag_week"):
            raise KeyboardInterrupt
        written(path, *args, **kwargs)

    monkeypatch.setattr(lakes, "write_deltalake", killed_at_the_second)
    with pytest.raises(KeyboardInterrupt):
        put(lake, coldmere=("ac",))
    assert all(lake.read(name).equals(before[name]) for name in SHARED)
    monkeypatch.undo()
    put(lake, coldmere=("ac",))  # begun again
    assert [one[:2] for one in lake.read("shared_run")["person"]] == ["ac", "ba"]


def test_a_squad_of_whom_nobody_shares_is_there_with_no_rows(lake: Lake):
    put(lake, gorsebank=())
    assert "gorsebank" in lake.current().squads
    assert lake.read("shared_run").filter(squad="gorsebank").is_empty()


def test_a_damaged_pointer_says_what_to_do(lake: Lake):
    (lake.root / lakes.POINTER).write_text('{"number": 2')
    with pytest.raises(ThirdstepError, match=r"is damaged.*Take the folder .* away and run it again"):
        lake.current()


def test_the_pointer_names_a_version_of_every_table(lake: Lake):
    told = json.loads((lake.root / lakes.POINTER).read_bytes())
    assert set(told["versions"]) == set(SHARED)
