"""How fast a film was taken: told by the camera, confirmed, asked, or refused."""

import pytest

from pipelines.readers.film.speed import find_speed

FILM = {"container_rate_hz": 240.0, "odd_gaps": 0, "gaps": 1439, "told_rate_hz": None, "edit_rates": [1.0]}


@pytest.mark.parametrize(
    ("film", "state", "capture"),
    [
        ({}, "confirm", None),
        ({"container_rate_hz": 239.76}, "confirm", None),
        ({"container_rate_hz": 30.0}, "ask", None),
        ({"container_rate_hz": 60.0}, "ask", None),
        ({"container_rate_hz": 30.0, "told_rate_hz": 240}, "known", 240.0),
        ({"odd_gaps": 80}, "refused", None),
        ({"edit_rates": [1.0, 0.125]}, "refused", None),
        ({"odd_gaps": 5}, "confirm", None),  # frames the camera dropped
        ({"odd_gaps": 5, "gaps": 100}, "confirm", None),
        ({"told_rate_hz": 3, "container_rate_hz": 30.0}, "ask", None),  # no rate a camera has
    ],
)
def test_what_a_film_says_of_its_speed(film, state, capture):
    found = find_speed(FILM | film, None, None)
    assert (found.state, found.capture_hz) == (state, capture)


def test_an_answer_holds_and_gives_the_factor_of_every_time():
    slow = find_speed(FILM | {"container_rate_hz": 30.0}, 240.0, "asked")
    assert (slow.state, slow.factor) == ("known", 0.125)
    assert find_speed(FILM, 240.0, "confirmed").factor == 1.0
    assert find_speed(FILM, 1e6, "asked").state == "ask"  # no film is taken so fast
    assert find_speed(FILM | {"odd_gaps": 80}, 240.0, "asked").state == "refused"


def test_a_slow_film_is_offered_the_rates_it_may_have_been_taken_at():
    assert find_speed(FILM | {"container_rate_hz": 30.0}, None, None).offers == (30.0, 60.0, 120.0, 240.0)
    assert find_speed(FILM | {"container_rate_hz": 29.97}, None, None).offers == (29.97, 60.0, 120.0, 240.0)
