"""A folder loaded again changes nothing, and the record is what its sources give, whichever files stand beside."""

import itertools
from contextlib import closing

import pytest
from hypothesis import HealthCheck, example, given
from hypothesis import strategies as st

from pipelines import flow
from pipelines.home.folder import Home, say_nothing
from pipelines.home.telling import tell_nothing
from pipelines.record import opening, replaying, warehouse
from tests.examples import examples
from tests.flow.squad import fill

pytestmark = pytest.mark.usefixtures("small_derived")  # what is held here is the record; the board is by the way
ROSTER = "name\nAda Reed\nBo Lind\n"
# Two blocks under the same headers: the title of one alone says how its runs start.
TWO_BLOCKS = (
    "Tue 3 Feb 2026,,\nName,10 m,30 m\nAda Reed,1.96,4.26\nBo Lind,1.83,3.95\n"
    ",,\nThu 12 Feb 2026 - block start,,\nName,10 m,30 m\nAda Reed,1.97,4.27\nBo Lind,1.84,3.96\n"
)
SHEET = (
    "Name,Date,10 m,30 m\nAda Reed,2026-02-03,1.96,4.26\nAda Reed,2026-02-03,1.94,4.20\nBo Lind,2026-02-03,1.83,3.95\n"
)
GROWN = SHEET + "Ada Reed,2026-02-03,1.93,4.18\n"
AGAIN = (
    "Name,Date,10 m,30 m\nAda Reed,2026-02-03,1.99,4.31\nBo Lind,2026-02-03,1.88,3.99\nBo Lind,2026-02-03,1.87,3.98\n"
)
FILM = (
    "Name,Date,Contact 1 (s),Flight 1 (s),Contact 2 (s)\n"
    "Ada Reed,2026-02-03,0.20,0.05,0.18\nBo Lind,2026-02-03,0.19,0.06,0.17\n"
)
WITH_CLOCK = "Name,Date,Clock,10 m,30 m\nAda Reed,2026-02-03,gun,1.98,4.28\nBo Lind,2026-02-12,gun,1.86,3.97\n"
NUMBERED = "Name,Date,Run,10 m,30 m\nAda Reed,2026-02-03,1,1.96,4.26\nAda Reed,2026-02-03,2,1.95,4.22\n"
FILES = {"two.csv": TWO_BLOCKS, "sheet.csv": SHEET, "again.csv": AGAIN, "film.csv": FILM,
         "clock.csv": WITH_CLOCK, "numbered.csv": NUMBERED}  # fmt: skip
fresh = itertools.count()


def with_roster(home):
    bring(home, {"roster.csv": ROSTER})


def squad(folder) -> Home:
    return fill(Home(folder / f"home{next(fresh)}"), with_roster)


def bring(home, files):
    return flow.load_files(home, [(name, text.encode()) for name, text in files.items()], "coach", derive_after=False)


def rows(home):
    """Return every row of the tables that the files fill, with where it came from."""
    with opening.record(home, say_nothing, to_look=True) as con:
        return {name: warehouse.table(con, name).rows() for name in ("athlete", "session", "rep", "split", "step")}


def waiting_cells(home):
    """Return every cell that waits: source, sheet, line, column, value, reason."""
    cell = ("source_name", "source_sheet", "source_line", "column", "value", "reason")
    return sorted(flow.rejected(home).select(cell).rows())


def other_than_its_sources(home) -> list[str]:
    """Return what differs when the log is carried out again on an empty record."""
    with opening.record(home, say_nothing) as con, closing(warehouse.in_memory()) as again:
        return [*replaying.replay(again, home, tell_nothing), *replaying.differing_tables(con, again)]


def runs_of(home, who="ada-reed"):
    rep = flow.table(home, "rep").sort("session_date", "rep_no")
    return [row for row in rep.select("athlete_id", "rep_no", "source_name").iter_rows() if row[0] == who]


def test_what_the_title_of_one_block_says_is_there_when_the_record_is_made_again(tmp_path):
    home = squad(tmp_path)
    bring(home, {"two.csv": TWO_BLOCKS})
    said = flow.table(home, "rep").select("session_date", "start_kind").unique().sort("session_date")
    assert [row[1] for row in said.rows()] == [None, "blocks"]
    assert other_than_its_sources(home) == []
    assert flow.rebuild(home) == []
    assert flow.table(home, "rep").select("session_date", "start_kind").unique().sort("session_date").equals(said)


def test_a_sheet_and_a_film_of_one_day_loaded_again_and_again_change_nothing(tmp_path):
    home = squad(tmp_path)
    bring(home, {"sheet.csv": SHEET, "film.csv": FILM})
    before = rows(home)
    for _ in range(2):
        assert [one.kept for one in bring(home, {"sheet.csv": SHEET, "film.csv": FILM})] == [0, 0]
        assert rows(home) == before


def test_a_run_more_in_a_grown_sheet_takes_the_next_number_that_no_other_file_has(tmp_path):
    home = squad(tmp_path)
    bring(home, {"sheet.csv": SHEET})
    bring(home, {"film.csv": FILM})
    bring(home, {"sheet.csv": GROWN})
    assert runs_of(home) == [("ada-reed", 1, "sheet.csv"), ("ada-reed", 2, "sheet.csv"), ("ada-reed", 3, "film.csv"),
                             ("ada-reed", 4, "sheet.csv")]  # fmt: skip
    before = rows(home)
    bring(home, {"film.csv": FILM, "sheet.csv": GROWN})
    assert rows(home) == before
    assert other_than_its_sources(home) == []


@examples(20, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(st.lists(st.sampled_from(sorted(FILES)), min_size=1, max_size=3, unique=True), min_size=1, max_size=3))
@example([["numbered.csv", "sheet.csv", "clock.csv"]])  # three at odds: what waits of one, and of the other got numbers
def test_files_in_any_order_and_company_loaded_twice_and_thrice_change_nothing_more(tmp_path, folders):
    home = squad(tmp_path)
    for names in folders:
        bring(home, {name: FILES[name] for name in names})
    every = {name: FILES[name] for names in folders for name in names}
    before = rows(home)
    listed = []
    for _ in range(2):
        bring(home, every)
        assert rows(home) == before
        listed.append(waiting_cells(home))
    for name in reversed(every):
        bring(home, {name: every[name]})
    assert rows(home) == before
    assert listed == [waiting_cells(home)] * 2
    assert len(listed[0]) == len({cell[:-1] for cell in listed[0]})
    assert other_than_its_sources(home) == []


def test_a_conflict_between_files_is_kept_the_same_when_the_record_is_made_again(tmp_path):
    home = squad(tmp_path)
    bring(home, {"film.csv": FILM})
    bring(home, {"numbered.csv": NUMBERED, "again.csv": AGAIN})
    assert flow.rejected(home).height
    assert other_than_its_sources(home) == []


def test_an_open_conflict_is_listed_once_however_often_its_files_are_loaded(tmp_path):
    home = squad(tmp_path)
    three = {name: FILES[name] for name in ("numbered.csv", "sheet.csv", "clock.csv")}
    bring(home, three)
    first = waiting_cells(home)
    assert len(first) == 6
    for _ in range(2):
        assert [one.load_no for one in bring(home, three)] == [None, None, None]
        assert waiting_cells(home) == first


def test_a_conflict_with_one_more_side_stands_in_the_place_of_what_was_listed_and_comes_back_with_an_undo(tmp_path):
    home = squad(tmp_path)
    bring(home, {"numbered.csv": NUMBERED, "again.csv": AGAIN})
    two_sided = waiting_cells(home)
    third = NUMBERED.replace("1.96", "1.93").replace("1.95", "1.92")
    loads = [one.load_no for one in bring(home, {"numbered.csv": NUMBERED, "again.csv": AGAIN, "third.csv": third})]
    now = waiting_cells(home)
    assert len(now) == len({cell[:-1] for cell in now})
    assert any("third.csv" in cell[-1] for cell in now if cell[0] == "numbered.csv")
    assert other_than_its_sources(home) == []
    for load_no in sorted((one for one in loads if one), reverse=True):
        flow.undo(home, load_no, by="coach", derive_after=False)
    assert waiting_cells(home) == two_sided
    assert other_than_its_sources(home) == []
