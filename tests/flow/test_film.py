"""Marks of a film are a source like any other: kept, read into rows, undone, replaced, rebuilt, taken away, erased."""

import dataclasses
import json

import numpy as np
import pytest

from pipelines import flow
from pipelines.errors import ThirdstepError
from pipelines.readers import read_tables
from pipelines.readers.film import places
from schemas.rights import Writer
from tests.flow.squad import ROSTER, write
from tests.readers.film.drawn_runner import TOE, TOEOFF, TOUCHDOWN, Hand, mark_film, set_up

pytestmark = pytest.mark.usefixtures("small_derived")
RUN = {"athlete_id": "ada-reed", "session_date": "2026-11-20", "session_no": 1, "rep_no": 2}
GROUPS = "athlete_id,display_name,event_group\nada-reed,Ada Reed,short_sprints\nbo-lind,Bo Lind,hurdles\n"


def drawn(**changes):
    return mark_film(set_up(), np.random.default_rng(4), Hand(1e-9, 1e-9, 1e-12, 1e-12)) | changes


def fill(home):
    flow.load(home, write(home.root.parent / "in", roster=GROUPS), by="coach", derive_after=False)


@pytest.fixture
def squad(home, filled_once):
    return filled_once(home, fill)


def steps_of(home):
    return flow.table(home, "step").sort("step_no")


def test_kept_marks_become_the_film_its_steps_and_its_set_position(squad):
    outcome = flow.film.keep(squad, drawn(), "coach")
    assert (outcome.rows_read, outcome.set_aside, outcome.tables) == (
        6, 0, ["session", "rep", "step", "set_position", "film"],
    )  # fmt: skip
    steps = steps_of(squad)
    assert np.abs(steps["contact_s"].to_numpy() - (TOEOFF - TOUCHDOWN)).max() < 1 / 240
    assert steps["step_length_m"].to_list() == pytest.approx(np.diff(TOE, prepend=0.0), abs=1e-4)
    assert steps["frame_rate_hz"].to_list() == [240.0] * 4
    assert steps["step_length_m_se"].is_between(0.005, 0.03).all()
    assert steps["side"].to_list() == ["l", "r", "l", "r"]
    [film] = flow.table(squad, "film").to_dicts()
    assert (film["capture_rate_hz"], film["rate_known_by"], film["marked_by"]) == (240.0, "confirmed", "coach")
    assert abs(film["phone_height_m"] - 1.1) < 0.1
    assert flow.table(squad, "set_position")["front_shin_set_deg"].to_list() == [44.0]


def test_marks_kept_again_take_the_place_of_the_earlier_ones_whole(squad):
    flow.film.keep(squad, drawn(), "coach")
    told = drawn()
    fewer = [one for one in told["marks"] if one["step"] != 4]
    flow.film.keep(squad, told | {"marks": fewer}, "coach")
    assert steps_of(squad)["step_no"].to_list() == [1, 2, 3]  # what was taken out is gone, not left from before
    log = flow.loads(squad).filter(kind="file").sort("load_no")
    assert [at is None for at in log["undone_at"].to_list()] == [True, False, True]
    flow.undo(squad, int(log["load_no"][2]), "coach", derive_after=False)
    assert steps_of(squad).is_empty()
    flow.redo(squad, int(log["load_no"][1]), "coach", derive_after=False)
    assert steps_of(squad).height == 4


def test_a_better_formula_mends_old_films_on_rebuild_and_without_one_it_is_equal(squad, monkeypatch):
    flow.film.keep(squad, drawn(), "coach")
    before = steps_of(squad)
    assert flow.rebuild(squad) == []
    assert steps_of(squad).equals(before, null_equal=True)
    assert not [said for said in flow.verify(squad) if said[1]]
    monkeypatch.setattr(places, "SHOE_TIP_M", 0.05)
    assert flow.rebuild(squad) == []
    after = steps_of(squad)
    assert after["contact_s"].to_list() == before["contact_s"].to_list()
    assert after["step_length_m"].to_list() != before["step_length_m"].to_list()


def test_marks_taken_away_as_a_file_load_like_any_other(squad, tmp_path):
    flow.film.keep(squad, drawn(), "coach")
    before = steps_of(squad)
    [film] = flow.table(squad, "film").to_dicts()
    path = tmp_path / "taken.marks"
    path.write_bytes(flow.film.kept_bytes(squad, film["source_sha256"]))
    assert flow.film.kept_marks(squad, film["source_sha256"])["run"] == RUN
    other = flow.find_home(tmp_path / "other")
    flow.load(other, write(tmp_path / "in2", roster=ROSTER), by="coach", derive_after=False)
    [outcome] = flow.load(other, [path], by="coach", derive_after=False)
    assert (outcome.set_aside, outcome.problem, outcome.questions) == (0, "", [])
    assert steps_of(other)["step_length_m"].to_list() == before["step_length_m"].to_list()


def test_a_film_of_an_athlete_of_other_groups_is_refused_and_nothing_is_kept(squad):
    with pytest.raises(ThirdstepError, match="none of your event groups"):
        flow.film.keep(squad, drawn(), Writer("staff", "staff", event_groups=("hurdles",)))
    with pytest.raises(ThirdstepError, match=r"roster|athlete"):
        flow.film.keep(squad, drawn(run=RUN | {"athlete_id": "nobody-here"}), "coach")
    with pytest.raises(ThirdstepError, match="may not write"):
        flow.film.keep(squad, drawn(), Writer("ada", "athlete", athlete_id="ada-reed"))
    assert flow.loads(squad).height == 1
    flow.film.keep(squad, drawn(), Writer("staff", "staff", event_groups=("short_sprints",)))
    assert flow.table(squad, "film")["marked_by"].to_list() == ["staff"]


def test_a_row_that_cannot_be_is_refused_with_its_reason_and_nothing_is_kept(squad):
    told = drawn()
    late = [
        one | {"t": one["t"] + 0.5} if (one["event"], one["step"]) == ("toeoff", 4) else one for one in told["marks"]
    ]
    with pytest.raises(ThirdstepError, match="outside"):
        flow.film.keep(squad, told | {"marks": late}, "coach")
    assert flow.loads(squad).height == 1


def test_marks_in_hand_are_there_again_and_go_when_kept_or_when_the_person_is_erased(squad):
    told = drawn()
    flow.film.put_by(squad, told, "coach")
    assert flow.film.in_hand(squad, "coach", RUN)["marks"] == told["marks"]
    assert flow.film.in_hand(squad, "staff", RUN) is None
    assert flow.film.in_hand(squad, "coach", RUN | {"rep_no": 3}) is None
    flow.film.keep(squad, told, "coach")
    assert flow.film.in_hand(squad, "coach", RUN) is None
    flow.film.put_by(squad, told, "coach")
    receipt = flow.erase_person(squad, "ada-reed", by="coach")
    assert receipt.traces == ()
    assert flow.film.in_hand(squad, "coach", RUN) is None
    assert steps_of(squad).is_empty()


@pytest.mark.parametrize(
    ("spoil", "sentence"),
    [
        (lambda text: text[: len(text) // 2], "break off in the middle"),
        (lambda text: text.replace("thirdstep-film-1", "thirdstep-film-9"), "format that is not read here"),
        (lambda text: text.replace('"touchdown"', '"landing"'), "not whole"),
        (lambda text: text.replace('"frame"', '"picture"'), "not whole"),
        (lambda text: text.replace('"near"', '"left"'), "not whole"),
    ],
)
def test_marks_that_are_damaged_say_so(spoil, sentence):
    from pipelines.readers.film.marks import write_marks

    text = write_marks(drawn(), "coach", "2026-11-20T10:00:00").decode()
    assert read_tables("a.marks", text.encode())[0].sheet == "film"
    with pytest.raises(ThirdstepError, match=sentence):
        read_tables("a.marks", spoil(text).encode())


def test_what_is_kept_is_marks_and_small(squad):
    told = drawn()
    outcome = flow.film.keep(squad, told, "coach")
    sha = flow.loads(squad).filter(load_no=outcome.load_no)["source_sha256"].item()
    content = flow.film.kept_bytes(squad, sha)
    assert len(content) < 8_000
    assert set(json.loads(content)) == {
        "format", "by", "at", "run", "film", "capture", "marks", "points", "lane", "shifts",
    }  # fmt: skip
    assert dataclasses.is_dataclass(outcome)
