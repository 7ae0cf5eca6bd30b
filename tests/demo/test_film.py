"""The demo's films: what the marks say is what the start was simulated from, and the film at hand is the marked one."""

import hashlib
import json

import numpy as np
import pytest

from pipelines import flow
from pipelines.readers.film.marks import marks_of
from pipelines.readers.film.measures import measure_film
from seed_data import FILES
from seed_data.film import FILM, FILM_PRINT_FILE
from seed_data.film.marks import at_hand, filmed_runs, name_of
from seed_data.film.runner import FOOT_AHEAD_M, TRUNK_DEG
from seed_data.runs import timed_runs
from seed_data.starts import set_position, steps_of
from seed_data.weeks import sessions


@pytest.fixture(scope="module")
def filmed():
    runs = filmed_runs(timed_runs(sessions()))
    return [(run, json.loads((FILES / name_of(run)).read_text(encoding="utf-8"))) for run in runs]


def test_the_marks_say_what_the_starts_were_simulated_from_within_the_stated_error(filmed):
    off = []  # errors in standard errors
    for run, told in filmed:
        film = measure_film(marks_of(told))
        assert (film.faults, film.lengths_reason, film.angles_reason) == ([], None, None)
        for k, step in enumerate(steps_of(run)[:4]):
            true = {"contact_s": step.true_contact_s, "step_length_m": step.step_length_m,
                    "shin_touchdown_deg": step.shin_touchdown_deg, "shin_toeoff_deg": step.shin_toeoff_deg,
                    "trunk_touchdown_deg": TRUNK_DEG[k], "touchdown_distance_m": FOOT_AHEAD_M[k]}  # fmt: skip
            found = film.steps[k + 1]
            off += [(found[name].value - at) / found[name].error for name, at in true.items()]
        front = set_position(run)
        off += [(film.front[name].value - front[name]) / film.front[name].error for name in film.front]
    assert len(off) == 9 * (4 * 6 + 2)
    assert np.mean(np.abs(off) <= 1.96) >= 0.90
    assert np.max(np.abs(off)) < 4.5


def test_the_film_at_hand_is_the_one_whose_marks_are_kept(filmed):
    name, content = flow.sample("film")
    run = at_hand([one for one, _ in filmed])
    (told,) = [told["film"] for one, told in filmed if one is run]
    assert told["name"] == name == FILM.name
    print_of = hashlib.sha256(hashlib.sha256(content).digest()).hexdigest()  # one piece of under 8 MiB
    assert {"bytes": len(content), "print": print_of} == json.loads(FILM_PRINT_FILE.read_text(encoding="utf-8"))
    assert (told["bytes"], told["print"]) == (len(content), print_of)
