"""A source read anew under another answer: what only its earlier reading made goes, told, and comes back by undo."""

import pytest

from pipelines import flow
from schemas.intake import SQUAD, fingerprint
from tests.readers.test_workbook import book

pytestmark = pytest.mark.usefixtures("small_derived")  # what is held here is the record; the board is by the way
PEOPLE = flow.LayoutOptions(layouts={SQUAD: {"athletes": {"Ana Berg": "new"}}})
LOG = b"Date,Name,Minutes,Rating\n2026-11-03,Ana Berg,40,5\n2026-11-04,Ana Berg,45,6\n"
PROVENANCE = {"load_no", "source_sha256", "source_name", "source_sheet", "source_line", "entered_at"}


def bring(home, told=None, name="log.csv", text=LOG):
    options = PEOPLE if told is None else flow.LayoutOptions(layouts={**PEOPLE.layouts, **told})
    [outcome] = flow.load_files(home, [(name, text)], "coach", options, derive_after=False)
    return outcome


def as_column(column):
    """Return the answer that says what the column 'Rating' of the log is."""
    scale = {"scales": {"Rating": "0 to 10, 10 is good"}}
    return {fingerprint(["Date", "Name", "Minutes", "Rating"]): {"columns": {"Rating": column}, **scale}}


def held(home, table, *columns):
    return sorted(flow.table(home, table).select(columns).rows())


@pytest.fixture
def read_twice(home):
    """Ratings taken for one thing first, and for another then."""
    first = bring(home, as_column("session.effort_0_10"))
    second = bring(home, as_column("other_measure"))
    return home, first, second


def test_values_that_only_the_earlier_reading_made_are_gone_and_it_is_told(read_twice):
    home, first, second = read_twice
    assert held(home, "session", "duration_min", "effort_0_10") == [(40.0, None), (45.0, None)]
    assert held(home, "other_measure", "value") == [(5.0,), (6.0,)]
    [said] = [note for note in second.notes if "read otherwise" in note]
    assert f"load {first.load_no} undone" in said


def test_to_go_back_the_new_reading_is_undone_and_the_earlier_one_redone(read_twice):
    home, first, second = read_twice
    flow.undo(home, second.load_no, by="coach", derive_after=False)
    flow.redo(home, first.load_no, by="coach", derive_after=False)
    assert held(home, "session", "duration_min", "effort_0_10") == [(40.0, 5.0), (45.0, 6.0)]
    assert held(home, "other_measure", "value") == []


def test_the_record_made_again_from_its_sources_is_the_same(read_twice):
    home, *_ = read_twice
    before = {
        name: held(home, name, *sorted(set(flow.table(home, name).columns) - PROVENANCE))
        for name in ("session", "other_measure")
    }
    assert flow.rebuild(home) == []
    assert before == {
        name: held(home, name, *sorted(set(flow.table(home, name).columns) - PROVENANCE)) for name in before
    }


def test_what_another_source_corrected_since_stays_corrected(home):
    bring(home, as_column("session.effort_0_10"))
    bring(home, name="right.csv", text=b"Date,Name,Minutes\n2026-11-03,Ana Berg,50\n")
    bring(home, as_column("other_measure"))
    assert held(home, "session", "duration_min", "effort_0_10") == [(45.0, None), (50.0, None)]


def test_nothing_goes_where_the_new_reading_only_sets_the_line_aside(home):
    import polars as pl

    from pipelines.record import opening
    from pipelines.record.rereading import left_behind
    from pipelines.record.sources import checksum

    bring(home, as_column("session.effort_0_10"))
    with opening.record(home) as con:
        aside = pl.DataFrame({"source_line": [2, 3]})
        left = left_behind(con, checksum(LOG), {}, aside)
    assert (bool(left), left.is_waiting, left.lines) == (False, True, (2, 3))


def test_the_same_reading_again_changes_nothing(home):
    first = bring(home, as_column("session.effort_0_10"))
    again = bring(home, as_column("session.effort_0_10"))
    assert (first.stored, again.load_no) == (2, None)


def test_what_a_title_names_and_what_was_not_read_is_the_same_when_made_again(home):
    jumps = b"Drop jump 29/01/2026,,\nAthlete,contact (ms),flight (ms)\nAna Berg,175,556\n"
    days = ["Name", "Tue 13/10/2026", "Wed 14/10/2026", "Thu 15/10/2026", "Fri 16/10/2026"]
    sheets = {
        "was there": [days, ["Ana Berg", "present", "absent", "present", "present"]],
        "was done": [days, ["Ana Berg", "gym", "tempo", "gym", "hills"]],
    }
    people = flow.LayoutOptions(layouts={SQUAD: {"athletes": {"Ana Berg": "new"}}})
    flow.load_files(home, [("jumps.csv", jumps), ("who.xlsx", book(**sheets))], "coach", people, derive_after=False)
    assert held(home, "jump_test", "test", "contact_s") == [("drop", 0.175)]
    assert flow.table(home, "session").height == 4  # the other sheet says who was there
    assert not [wrong for what, wrong in flow.verify(home) if wrong and "record" in what and "board" not in what]
