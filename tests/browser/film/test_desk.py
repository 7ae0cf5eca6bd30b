"""The Film page in a real browser behind the real gate: marked, kept, opened again, on a phone, without a line."""

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from pipelines import flow
from seed_data.film import FILM
from tests.browser.conftest import Served, Visit
from tests.browser.film.conftest import CLIPS
from tests.browser.test_pages import faults_of_build

PAGE = "/film?athlete=teo-brandmere&day=2026-11-21&session=1&run=2"
MARKS = ((20, "m"), (60, "p"), (75, "d"), (120, "o"), (130, "d"), (170, "o"), (182, "d"), (215, "o"))


def open_film(window: Visit, name: str = "long_group_240.mp4") -> None:
    window.page.set_input_files(".film .pick input >> nth=0", str(CLIPS / name))
    window.page.wait_for_selector(".film .left:not([hidden])", timeout=30_000)
    window.settle()


def go(window: Visit, frame: int) -> None:
    window.page.evaluate(
        """n => {
            const slide = document.querySelector('.film input[type=range]');
            slide.value = n;
            slide.dispatchEvent(new Event('input'));
        }""",
        frame,
    )
    window.page.wait_for_function("n => document.querySelector('.film').dataset.n == n", arg=str(frame), timeout=20_000)


def mark(window: Visit) -> None:
    window.page.click(".film .ask button >> nth=0")
    window.settle()
    for frame, key in MARKS:
        go(window, frame)
        window.page.keyboard.press(key)
    window.settle()


def test_a_film_is_marked_kept_and_opened_again_and_nothing_but_marks_is_sent(
    visit: Callable[..., Visit], served: Served, served_home: flow.Home
):
    window = visit("head_coach", alone=True)
    sent: list[int] = []
    window.page.on("websocket", lambda socket: socket.on("framesent", lambda data: sent.append(len(data))))
    window.page.on("request", lambda request: sent.append(len(request.post_data_buffer or b"")))
    window.go(PAGE)
    before = sum(sent)
    open_film(window)
    assert int(window.page.get_attribute(".film", "data-first-ms") or 9_999) < 1_000
    mark(window)
    assert sum(sent) - before < 20_000  # of a film of 15 kB here, of any film there: frames, times, names
    shown = window.page.inner_text(".film .results")
    assert "188" in shown  # ms; (120 - 75) / 240 s = 187.5 ms by hand
    window.page.keyboard.press("u")
    window.settle()
    assert window.page.locator(".film .list li").count() == len(MARKS) - 1
    window.page.keyboard.press("r")
    window.settle()
    window.page.keyboard.press("Enter")
    said = window.page.wait_for_selector(".st-key-film_said_box [role=status]", timeout=60_000)
    assert said is not None
    assert said.inner_text().startswith("Kept: Teo Brandmere")
    window.settle()
    window.page.wait_for_function(
        "!document.querySelector('.film .waits').innerText.includes('Keeping')", timeout=20_000
    )
    window.shoot("film_laptop")
    window.assert_sound()
    steps = flow.table(served_home, "step").filter(athlete_id="teo-brandmere", rep_no=2).sort("session_date", "step_no")
    last = steps.filter(session_date=steps["session_date"].max())
    assert last["contact_s"].to_list()[:3] == pytest.approx([45 / 240, 40 / 240, 33 / 240], abs=1e-6)
    again = visit("head_coach", alone=True, at=PAGE)
    for _ in range(20):  # until what was kept is published
        if again.page.locator(".film .results table").count():
            break
        again.go(PAGE)
    assert again.page.locator(".film .results table").count() >= 1
    open_film(again)
    assert again.page.locator(".film .list li").count() == len(MARKS)


def test_keys_of_the_desk_run_nothing_else(visit: Callable[..., Visit]):
    # R was also the framework's key for running the page anew; beside it the film was closed now and then
    window = visit("head_coach", alone=True, at="/film?athlete=teo-brandmere&day=2026-11-20&session=1&run=8")
    open_film(window)
    mark(window)
    window.page.evaluate("window.others = 0; document.addEventListener('keydown', () => { window.others += 1; }, true)")
    window.page.evaluate("document.querySelector('.film').isSame = true")
    for key in "urur":
        window.page.keyboard.press(key)
        window.settle()
    assert window.page.evaluate("[window.others, document.querySelector('.film').isSame]") == [0, True]
    assert window.page.locator(".film .left").is_visible()
    assert window.page.locator(".film .list li").count() == len(MARKS)


def test_the_desk_shuts_nobody_out_and_fits_a_phone(visit: Callable[..., Visit]):
    window = visit("head_coach", "phone", alone=True, at="/film?athlete=teo-brandmere&day=2026-11-21&session=1&run=1")
    open_film(window, "rotated_240.mp4")
    for size in ("phone", "laptop"):
        window.resize(size)
        window.shoot(f"film_desk_{size}")
        window.assert_sound()
        small = window.page.evaluate(
            """[...document.querySelectorAll('.film .desk button:not(.plain)')]
                .filter((one) => one.offsetHeight && one.offsetHeight < 44).length"""
        )
        assert small == 0, size
        assert faults_of_build(window.page) == [], size


NO_FILM = {
    "sound_only.mp4": "no picture",
    "nothing.mp4": "0 bytes",
    "screenshot.png": "a picture, not a film",
    "half_a_film.mp4": "Half a film",
    "other_box.webm": "no MP4 or MOV",
}


def test_what_is_no_film_is_refused_in_a_sentence(visit: Callable[..., Visit]):
    window = visit("head_coach", alone=True, at=PAGE)
    for name, said in NO_FILM.items():
        window.page.set_input_files(".film .pick input >> nth=0", str(CLIPS / name))
        window.page.wait_for_selector(f".film .told:has-text('{said}')", timeout=20_000)
        assert window.page.locator(".film .left").is_hidden(), name


def test_two_speeds_are_refused_and_a_slow_film_is_asked_about(visit: Callable[..., Visit]):
    window = visit("head_coach", alone=True, at="/film?athlete=teo-brandmere&day=2026-11-21&session=1&run=1")
    open_film(window, "two_speeds.mp4")
    window.page.wait_for_selector(".film .ask:has-text('Two speeds in one film')", timeout=20_000)
    open_film(window, "slow_as_30.mp4")
    window.page.wait_for_selector(".film .ask:has-text('at how many was it taken')", timeout=20_000)
    open_film(window, "slow_says_240.mp4")
    window.page.wait_for_selector(".film .ask:has-text('as the camera wrote')", timeout=20_000)


def test_a_film_already_open_is_marked_on_without_a_line(visit: Callable[..., Visit], served_home: flow.Home):
    window = visit("head_coach", alone=True, at="/film?athlete=teo-brandmere&day=2026-11-20&session=1&run=7")
    open_film(window)
    window.page.context.set_offline(True)
    for frame, key in MARKS[2:4]:
        go(window, frame)
        window.page.keyboard.press(key)
    assert window.page.locator(".film .list li").count() == 2
    window.page.context.set_offline(False)
    go(window, 130)
    window.page.keyboard.press("d")
    window.settle()
    hands = [json.loads(p.read_text(encoding="utf-8")) for p in Path(served_home.root, "in_hand").glob("film-*.json")]
    assert any(len(one["marks"]["marks"]) == 3 for one in hands)


def test_marks_that_never_arrived_are_offered_again_by_the_browser_they_were_made_in(visit: Callable[..., Visit]):
    where = "/film?athlete=teo-brandmere&day=2026-11-20&session=1&run=6"
    window = visit("head_coach", alone=True, at=where)
    open_film(window)
    window.page.context.set_offline(True)
    for frame, key in MARKS[2:4]:
        go(window, frame)
        window.page.keyboard.press(key)
    window.page.wait_for_selector(".film .waits:has-text('have not arrived yet')", timeout=20_000)
    window.page.goto("about:blank")  # the page is left before the line is back
    window.page.context.set_offline(False)
    window.go(where)
    window.page.wait_for_selector(".film .waits:has-text('2 events')", timeout=20_000)
    window.shoot("film_waits")
    window.page.click(".film .waits button >> nth=0")
    open_film(window)
    assert window.page.locator(".film .list li").count() == 2
    window.go(where)  # they have arrived now: nothing is offered a second time
    open_film(window)
    assert window.page.locator(".film .list li").count() == 2
    assert window.page.locator(".film .waits p").count() == 0


def test_the_drawn_start_of_the_demo_opens_under_its_kept_marks(visit: Callable[..., Visit]):
    window = visit("head_coach", alone=True, at="/film?athlete=teo-brandmere&day=2026-11-16&session=1&run=3")
    window.page.set_input_files(".film .pick input >> nth=0", str(FILM))
    window.page.wait_for_selector(".film .left:not([hidden])", timeout=30_000)
    window.settle()
    assert window.page.locator(".film .list li").count() == 11  # set, first movement, push, four contacts
    assert "another film" not in window.page.inner_text(".film .told >> nth=0")
    go(window, int(0.5 * 240))
    window.shoot("film_drawn")
    window.assert_sound()
