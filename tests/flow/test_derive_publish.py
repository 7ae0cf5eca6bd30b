"""Derived tables come in the order their parameters ask for; boards are swapped whole."""

import datetime as dt
import threading

import duckdb
import polars as pl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipelines import flow
from pipelines.board import building, publish
from pipelines.board.among import put_among
from pipelines.board.computing import DerivationFailed
from pipelines.board.derivation import Earlier, derive_all, order_of
from pipelines.board.file import READ_ONLY
from pipelines.board.fingerprints import of_athletes, of_table
from pipelines.errors import ThirdstepError
from schemas.settings import SETTINGS, SquadSettings, capital
from tests.flow.conftest import LoadDay, LoadWeek, load_day, load_week
from tests.flow.squad import SESSIONS, load_roster, load_squad, write

FUNCTIONS = {"load_week": load_week, "load_day": load_day}
MODELS = {"load_week": LoadWeek, "load_day": LoadDay}
SESSION = pl.DataFrame(
    {"athlete_id": ["ada-reed"] * 2, "session_date": [dt.date(2025, 11, 3)] * 2, "duration_min": [80.0, 20.0]}
)


def derived(session=SESSION, functions=FUNCTIONS, **more):
    return derive_all(
        {"session": session}, SquadSettings(), dt.date(2025, 11, 9), functions=functions, models=MODELS, **more
    )


def test_a_table_comes_after_those_its_parameters_name():
    assert order_of(FUNCTIONS, {"session": None}) == ["load_day", "load_week"]
    # by hand: 80 + 20 = 100 minutes on the day, and in all
    assert derived().frames["load_week"].rows() == [("ada-reed", 100.0)]


def test_a_parameter_that_names_no_table_is_an_error():
    with pytest.raises(DerivationFailed, match="'load_day' reads 'session'"):
        order_of(FUNCTIONS, {})


def test_a_circle_is_an_error():
    def load_day(load_week):
        return load_week

    with pytest.raises(DerivationFailed, match="circle"):
        order_of({"load_day": load_day, "load_week": load_week}, {})


def test_a_table_that_does_not_fit_its_model_is_an_error():
    def load_day(session):
        return session.select("athlete_id", day_on="session_date", minutes=pl.lit("many"))

    with pytest.raises(DerivationFailed, match="'load_day' does not fit its model"):
        derived(functions={"load_day": load_day})


@pytest.mark.parametrize("fault", [ZeroDivisionError, pl.exceptions.PanicException])
def test_a_table_that_cannot_be_computed_is_named_whatever_the_fault(fault):
    def load_day(session):
        raise fault("a wrong index")

    with pytest.raises(DerivationFailed, match=r"'load_day' could not be computed: .*a wrong index"):
        derived(functions={"load_day": load_day})


def test_a_key_that_stands_twice_is_an_error():
    def load_day(session):
        return session.select("athlete_id", day_on="session_date", minutes="duration_min")

    with pytest.raises(DerivationFailed, match="two rows of one key"):
        derived(functions={"load_day": load_day})


@given(
    st.dictionaries(st.sampled_from("aäbcdeœzŁ"), st.integers(1, 3)),
    st.dictionaries(st.sampled_from("aäbcdeœzŁ"), st.integers(1, 3)),
    st.sets(st.sampled_from("aäbcdeœzŁ")),
)
def test_fresh_rows_stand_among_the_kept_ones_as_if_all_had_been_sorted(before, fresh, keep):
    def table(rows, value):
        pairs = [(who, n, value) for who, count in rows.items() for n in range(count)]
        schema = {"athlete_id": pl.String, "n": pl.Int64, "value": pl.String}
        return pl.DataFrame(pairs, schema=schema, orient="row").sort("athlete_id", "n")

    keep &= set(before)
    old, new = table(before, "kept"), table({who: n for who, n in fresh.items() if who not in keep}, "fresh")
    wanted = pl.concat([old.filter(pl.col("athlete_id").is_in(list(keep))), new]).sort("athlete_id", "n")
    assert put_among(old, new, keep=pl.Series(list(keep), dtype=pl.String)).equals(wanted)


def test_a_fingerprint_is_of_what_a_table_says_not_of_how_it_lies_in_memory():
    names = [f"an athlete with a name too long to lie in place {n % 7}" for n in range(50)]
    whole = pl.DataFrame({"athlete_id": names, "n": range(50), "x": [None, 0.5] * 25})
    pieces = pl.concat([whole[:20], whole[20:21], whole[21:]], rechunk=False)
    gathered = whole.sort("n", descending=True).sort("n")
    assert of_table(pieces) == of_table(gathered) == of_table(whole.rechunk()) == of_table(whole)
    assert of_table(whole.reverse()) != of_table(whole)
    assert of_table(whole.rename({"x": "y"})) != of_table(whole)
    assert of_table(whole.with_columns(pl.col("n").cast(pl.Int32))) != of_table(whole)
    assert of_table(whole.with_columns(pl.col("x").fill_null(0.0))) != of_table(whole)


@given(st.lists(st.tuples(st.sampled_from(["ann", "bo", None]), st.integers(0, 3)), max_size=12), st.randoms())
def test_an_athletes_fingerprint_is_of_that_athletes_rows_in_any_order(rows, random):
    def prints(some):
        frame = pl.DataFrame(some, schema={"athlete_id": pl.String, "n": pl.Int64}, orient="row")
        return dict(of_athletes(frame).iter_rows())

    mixed = random.sample(rows, len(rows))
    assert prints(mixed) == prints(rows)
    for who in {who for who, _ in rows}:  # the same alone as among others, and another with a row more
        own = [row for row in rows if row[0] == who]
        assert prints(own) == {who: prints(rows)[who]}
        assert prints([*own, (who, 4)])[who] != prints(rows)[who]
    assert set(prints(rows)) == {who for who, _ in rows}


def test_a_function_that_fails_is_named():
    def load_day(session):
        raise ZeroDivisionError("by nothing")

    with pytest.raises(DerivationFailed, match="'load_day' could not be computed: ZeroDivisionError: by nothing"):
        derived(functions={"load_day": load_day})


def test_only_what_changed_is_computed_again_and_the_answer_is_the_same():
    first = derived()

    earlier = Earlier.of(first)
    assert derived(earlier=earlier).reused == ["load_day", "load_week"]
    changed = SESSION.with_columns(duration_min=pl.Series([80.0, 30.0]))
    assert derived(changed, earlier=earlier).reused == []
    assert derived(changed, earlier=earlier).frames["load_week"].rows() == [("ada-reed", 110.0)]
    # other sessions with the same minutes: the day is computed again, the week is not
    moved = SESSION.with_columns(duration_min=pl.Series([30.0, 70.0]))
    assert derived(moved, earlier=earlier).reused == ["load_week"]


@pytest.mark.usefixtures("small_derived")
class TestBoard:
    """The published file."""

    def test_it_holds_record_and_derived_tables_and_the_words_that_explain_them(self, home, tmp_path):
        load_squad(home)
        board = publish.current_board(home)
        assert publish.read_board(board, "split").columns[-6:] == [
            "load_no", "source_sha256", "source_name", "source_sheet", "source_line", "entered_at",
        ]  # fmt: skip
        method = publish.read_board(board, "method").filter(table_name="load_day").row(0, named=True)
        assert "minutes trained" in method["docstring"]
        assert "Add up the minutes of a day." in method["docstring"]
        columns = publish.read_board(board, "column_doc").filter(table_name="split", column_name="elapsed_s")
        assert columns["unit"].item() == "s"
        settings = publish.read_board(board, "setting").filter(name="checkin_stale_days").row(0)
        assert settings[:4] == ("checkin_stale_days", "Days a check-in stays good for", "2 days", "0 to 7 days")
        assert publish.board_info(board)["data_to"] == "2025-11-03"
        for name in ("knowledge", "caveat", "load", "rejected"):
            publish.read_board(board, name)

    def test_an_empty_home_has_a_board_too(self, home):
        flow.derive_board(home)
        assert flow.table(home, "load_day").is_empty()

    def test_the_last_three_builds_are_kept(self, home):
        for _ in range(5):
            flow.derive_board(home)
        assert sorted(path.name for path in home.board.glob("*.duckdb")) == [
            f"board-{number:06d}.duckdb" for number in (3, 4, 5)
        ]

    def test_a_build_that_fails_leaves_the_old_board_in_force(self, home, tmp_path, monkeypatch):
        load_squad(home)
        before = publish.current_board(home)

        def load_day(session):
            raise ZeroDivisionError

        monkeypatch.setattr(building, "derivations", lambda: {"load_week": load_week, "load_day": load_day})
        with pytest.raises(ThirdstepError, match="load_day"):
            flow.load(home, write(tmp_path / "2", sessions=SESSIONS.replace("80", "85")), by="coach")
        assert publish.current_board(home) == before
        assert not list(home.board.glob("*.part*"))
        assert flow.table(home, "session")["duration_min"].max() == 85.0  # the record has it
        assert flow.is_stale(home)
        assert "load_day" in flow.bring_up_to_date(home)

    def test_it_is_stale_after_a_load_a_setting_or_a_day(self, home, tmp_path):
        load_squad(home)
        assert not flow.is_stale(home)
        flow.load(home, write(tmp_path / "2", sessions=SESSIONS.replace("80", "85")), by="c", derive_after=False)
        assert flow.is_stale(home)
        flow.derive_board(home)
        flow.write_settings(home.settings, flow.settings(home).changed({"as_of": dt.date(2025, 11, 9)}))
        assert flow.is_stale(home)

    def test_readers_see_whole_builds_only_while_boards_are_swapped(self, home, tmp_path):
        load_roster(home)
        flow.enter(home, "session", [session(minutes=1)], by="c")
        seen, wrong, stop = [], [], threading.Event()

        def read():
            while not stop.is_set():
                board = publish.current_board(home)
                try:
                    with duckdb.connect(str(board), read_only=True, config=dict(READ_ONLY)) as con:
                        day = con.execute("select minutes from load_day").fetchall()
                        week = con.execute("select minutes from load_week").fetchall()
                        raw = con.execute("select duration_min from session").fetchall()
                    if not day == week == raw:
                        wrong.append((day, week, raw))
                    seen.append(day[0][0])
                except duckdb.Error as trouble:
                    # three builds later the file is gone: only a reader that slept so long may miss it
                    if board.exists():
                        wrong.append(str(trouble))
                stop.wait(0.05)  # a reader looks again and again, but leaves the writer a core

        readers = [threading.Thread(target=read) for _ in range(2)]
        for reader in readers:
            reader.start()
        for minutes in range(2, 7):
            flow.enter(home, "session", [session(minutes=minutes)], by="c")
        stop.set()
        for reader in readers:
            reader.join()
        assert wrong == []
        assert len(set(seen)) >= 2


def session(*, minutes):
    return {"athlete_id": "ada-reed", "session_date": "2025-11-03", "session_no": 1, "duration_min": minutes}


class TestSettings:
    """settings.toml."""

    def test_settings_read_back_as_they_were_written_each_with_its_comment(self, home):
        chosen = SquadSettings().changed({"squad_name": 'Ayr "A"', "as_of": dt.date(2025, 11, 9), "unusual_z": 2.5})
        flow.write_settings(home.settings, chosen)
        assert flow.settings(home) == chosen
        text = home.settings.read_text(encoding="utf-8")
        bears_on = "Bears on the readiness call and the hamstring flag."
        assert f"# Days a check-in stays good for (0 to 7 days). {bears_on}\ncheckin_stale_days = 2" in text
        assert all(text.count(f"{capital(one.words)}") == 1 for one in SETTINGS.values())

    @pytest.mark.parametrize(
        ("text", "sentence"),
        [
            ("unusual_zz = 2.0", "no setting 'unusual_zz'. Did you mean 'unusual_z'?"),
            ("baseline_days = 'many'", "'baseline_days' should be a whole number, not 'many'"),
            ("baseline_days = true", "'baseline_days' should be a whole number"),
            ("unusual_z = ", "cannot be read"),
            ("unusual_z = 40", "'unusual_z' may be 1 to 4, not 40 (robust z from which an answer is unusual"),
            ("as_of = 'today'", "'as_of' should be a date (2026-11-17), not 'today'"),
            (
                "baseline_days = 14\nbaseline_least_days = 20",
                "(20) may not lie above days that make an athlete's own usual",
            ),
        ],
    )
    def test_a_wrong_setting_is_named(self, home, text, sentence):
        home.root.mkdir()
        home.settings.write_text(text, encoding="utf-8")
        with pytest.raises(ThirdstepError) as trouble:
            flow.settings(home)
        assert sentence in trouble.value.message

    def test_a_whole_number_will_do_for_a_number(self, home):
        home.root.mkdir()
        home.settings.write_text("unusual_z = 3", encoding="utf-8")
        assert flow.settings(home).unusual_z == 3.0
