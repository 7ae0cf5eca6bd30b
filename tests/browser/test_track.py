"""The track page in a real browser at 390 px, without the dashboard around it: a stand-in for the server answers it."""

import json
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Page

from dashboard.screens.track import words
from dashboard.screens.track.desk import script, style

ADDRESS = "http://localhost/track-test/"
PEOPLE = [
    {"id": f"athlete-{n}", "name": f"Runner{n} Of{n}", "group": "hurdles", "group_name": "hurdles"} for n in range(7)
]
DATA: dict[str, Any] = {
    "who": "coach", "today": "2026-11-22", "people": PEOPLE, "words": words.PAGE, "choices": words.CHOICES,
    "on_record": {}, "receipt": None, "limits": words.LIMITS,
    "own_times": {"athlete-6": {"three_point first_gate 10": ["1.950", "2.010"]}},
}  # fmt: skip
FACTS = ("group hurdles", "kind acceleration", "timed yes", "start three_point", "clock first_gate",
         "timing electronic", "gates 10, 20", "resistance none", "surface track", "footwear spikes")  # fmt: skip
# What the server would do: keeps each id once, answers only while there is a line.
SERVER = """
<script type="module">
import draw from "./track.js";
const data = JSON.parse(document.getElementById("data").textContent), kept = new Map();
const box = document.getElementById("box");
window.line = true; window.loses = false; window.sendings = []; window.stored = kept;
const component = { parentElement: box, data, setTriggerValue: (name, parcel) => {
  if (!window.line) return;
  window.sendings.push(parcel);
  for (const one of parcel.entries) if (!kept.has(one.id)) kept.set(one.id, one);
  for (const id of parcel.taken_back) kept.delete(id);
  if (window.loses) return;
  const refused = parcel.entries.filter((one) => one.row["10 m"] === "9.99")
    .map((one) => ({ entry: one.id, why: "too slow.", is_there: true }));
  const away = new Set(refused.map((one) => one.entry));
  const ids = parcel.entries.map((one) => one.id).filter((id) => !away.has(id));
  const answer = { sheet: parcel.sheet, no: parcel.no, kept: ids, refused, taken_back: parcel.taken_back };
  setTimeout(() => draw({ ...component, data: { ...data, receipt: answer } }), 20);
} };
draw(component);
</script>
"""


# As after the time in which an answer would have come.
GIVE_UP_WAITING = (
    "for (const k of Object.keys(localStorage)) "
    'localStorage[k] = localStorage[k].replace(/"sending":\\d+/g, \'"sending":0\')'
)
TOO_SMALL = (
    "[...document.querySelectorAll('.track button')].filter((b) => b.offsetParent && !b.classList.contains('plain') "
    "&& Math.min(b.offsetHeight, b.offsetWidth) < 40).length"
)


def open_in(context: BrowserContext) -> Page:
    page = context.pages[0] if context.pages else context.new_page()
    page.goto(ADDRESS)
    page.wait_for_selector(".track > .body > *")
    return page


@pytest.fixture(scope="module")
def one_phone(browser: Browser) -> Iterator[BrowserContext]:
    html = (
        f"<!doctype html><html lang='en'><title>track</title>"
        f"<meta name='viewport' content='width=device-width'><style>{style()}</style><div id='box'></div>"
        f"<script type='application/json' id='data'>{json.dumps(DATA)}</script>{SERVER}"
    )
    context = browser.new_context(viewport={"width": 390, "height": 844}, has_touch=True, is_mobile=True)
    context.route(f"{ADDRESS}track.js", lambda route: route.fulfill(content_type="text/javascript", body=script()))
    context.route(ADDRESS, lambda route: route.fulfill(content_type="text/html", body=html))
    context.route(f"{ADDRESS}empty", lambda route: route.fulfill(content_type="text/html", body="<!doctype html>"))
    yield context
    context.close()


@pytest.fixture
def phone(one_phone: BrowserContext) -> BrowserContext:
    """The phone, with nothing of ours on it: the page before is left, and what it kept is gone."""
    page = one_phone.pages[0] if one_phone.pages else one_phone.new_page()
    page.goto(f"{ADDRESS}empty")
    page.evaluate("localStorage.clear(); sessionStorage.clear()")
    return one_phone


@pytest.fixture
def tap(phone: BrowserContext) -> Callable[[Page, str], None]:
    return lambda page, sel: page.locator(sel).first.tap()


def begin(page: Page, tap: Callable, *, without: str = "") -> None:
    """Say all that is asked before the first run, with the taps a thumb makes."""
    for fact in FACTS:
        if fact != without:
            tap(page, f'[data-at="{fact}"]')
    if not without:
        tap(page, ".send .main")


def begun(phone: BrowserContext) -> Page:
    """Open the page with all that said already, for tests of what comes after: a real tap waits for two pictures."""
    page = open_in(phone)
    for wanted in (*(f'[data-at="{fact}"]' for fact in FACTS), ".send .main"):
        page.evaluate("wanted => document.querySelector(wanted).click()", wanted)
    return page


def type_time(page: Page, tap: Callable, text: str) -> None:
    for sign in text:
        tap(page, '.digits [aria-label="point"]' if sign == "." else f'.digits [data-digit="{sign}"]')
    tap(page, ".pad .next")


def stored(page: Page) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = page.evaluate("[...window.stored.values()]")
    return found


def send_now(page: Page) -> None:
    page.evaluate("window.dispatchEvent(new Event('online'))")
    page.wait_for_timeout(150)


def test_nothing_begins_before_all_is_said(phone: BrowserContext, tap: Callable):
    page = open_in(phone)
    assert page.locator('.setup [aria-pressed="true"]').count() == 0  # nothing is chosen beforehand
    begin(page, tap, without="clock first_gate")
    assert page.locator(".send .main").is_disabled()
    assert "clock starts" in page.locator(".send .note").inner_text()
    tap(page, '[data-at="clock not_said"]')
    assert page.locator(".send .main").is_enabled()


def test_seven_runs_with_two_gates_are_typed_down_the_column_and_sent_once(phone: BrowserContext, tap: Callable):
    page = open_in(phone)
    begin(page, tap)
    tap(page, '[data-cell="run athlete-0 1"]')
    for n in range(7):
        type_time(page, tap, f"1.7{n}")
        type_time(page, tap, f"3.0{n}")
    tap(page, ".pad .done")
    send_now(page)
    send_now(page)
    runs = [one["row"] for one in stored(page) if one["table"] == "rep"]
    assert [(row["athlete_id"], row["rep_no"], row["10 m"], row["20 m"]) for row in runs] == [
        (f"athlete-{n}", "1", f"1.7{n}", f"3.0{n}") for n in range(7)
    ]
    assert all(row["start_kind"] == "three_point" and row["clock_start"] == "first_gate" for row in runs)
    assert len([one for one in stored(page) if one["table"] == "session"]) == 7  # ground and shoes, once for each
    assert len(page.evaluate("window.sendings")) == 1
    assert page.locator(".line").inner_text().startswith("All sent")


def test_minutes_and_effort_of_seven_take_eight_taps(phone: BrowserContext, tap: Callable):
    page = begun(phone)
    tap(page, '[data-cell="tab ends"]')
    tap(page, '[data-cell="all 90"]')
    for n in range(7):
        tap(page, f'[data-cell="effort {3 + n}"]')
    send_now(page)
    rows = [one["row"] for one in stored(page)]
    assert [(row["duration_min"], row["effort_0_10"]) for row in rows] == [("90", str(3 + n)) for n in range(7)]


def test_without_a_line_all_stays_on_the_phone_through_a_reload_and_is_sent_later(phone: BrowserContext, tap: Callable):
    page = open_in(phone)
    page.evaluate("window.line = false")
    begin(page, tap)
    tap(page, '[data-cell="run athlete-0 1"]')
    type_time(page, tap, "1.74")
    tap(page, ".pad .done")
    send_now(page)
    assert stored(page) == []
    page.close()
    again = open_in(phone)
    assert "1.74" in again.locator('[data-cell="run athlete-0 1"]').inner_text()
    assert "2 on this phone" in again.locator(".line").inner_text()  # the run, and what holds for the session
    again.evaluate(GIVE_UP_WAITING)
    again.evaluate("window.dispatchEvent(new Event('storage'))")
    send_now(again)
    assert len(stored(again)) == 2
    assert again.locator(".line").inner_text().startswith("All sent")


def test_a_lost_answer_leads_to_the_same_ids_again(phone: BrowserContext, tap: Callable):
    page = begun(phone)
    page.evaluate("window.loses = true")
    tap(page, '[data-cell="run athlete-0 1"]')
    type_time(page, tap, "1.74")
    tap(page, ".pad .done")
    send_now(page)
    page.evaluate("window.loses = false")
    page.evaluate(GIVE_UP_WAITING)
    page.evaluate("window.dispatchEvent(new Event('storage'))")
    send_now(page)
    first, second = page.evaluate("window.sendings.map((one) => one.entries.map((entry) => entry.id))")
    assert first == second
    assert len(stored(page)) == 2


def test_undo_brings_back_what_stood_there_and_takes_the_rest_back(phone: BrowserContext, tap: Callable):
    page = begun(phone)
    cell = '[data-cell="run athlete-0 1"]'
    for time in ("1.74", "1.79"):
        tap(page, cell)
        tap(page, '[data-part="10"]')
        type_time(page, tap, time)
        tap(page, ".pad .done")
        send_now(page)
    tap(page, ".undo")
    assert "1.74" in page.locator(cell).inner_text()
    send_now(page)
    assert [one["row"]["10 m"] for one in stored(page) if one["table"] == "rep"] == ["1.74"]
    tap(page, ".undo")
    send_now(page)
    assert [one for one in stored(page) if one["table"] == "rep"] == []


@pytest.mark.parametrize("typed", ["174", "17"])
def test_a_time_without_its_point_is_asked_about_and_not_kept(phone: BrowserContext, tap: Callable, typed: str):
    page = begun(phone)
    tap(page, '[data-cell="run athlete-0 1"]')
    type_time(page, tap, typed)
    assert "with the point" in page.locator(".pad .note").inner_text()
    assert page.locator(".pad [data-offer]").all_inner_texts() == (["It is 1.74"] if typed == "174" else [])
    tap(page, ".pad .done")
    assert page.locator(".pad").is_hidden()
    assert f"{typed} (10 m) was left out" in page.locator(".line").inner_text()
    send_now(page)
    assert stored(page) == []


def at_first_cell(phone: BrowserContext, tap: Callable, cell: str = "run athlete-0 1") -> Page:
    page = begun(phone)
    tap(page, f'[data-cell="{cell}"]')
    return page


def times_stored(page: Page) -> list[tuple[str | None, str | None]]:
    send_now(page)
    return [(one["row"].get("10 m"), one["row"].get("20 m")) for one in stored(page) if one["table"] == "rep"]


def test_a_refused_time_is_written_over_by_the_next_digit(phone: BrowserContext, tap: Callable):
    page = at_first_cell(phone, tap)
    type_time(page, tap, "195")
    type_time(page, tap, "1.95")
    type_time(page, tap, "3.02")
    tap(page, ".pad .done")
    assert times_stored(page) == [("1.95", "3.02")]


def test_an_offered_time_is_taken_with_one_tap(phone: BrowserContext, tap: Callable):
    page = at_first_cell(phone, tap)
    type_time(page, tap, "195")
    tap(page, '.pad [data-offer="1.95"]')
    assert page.locator('.pad [data-part="20"]').get_attribute("aria-pressed") == "true"
    tap(page, ".pad .done")
    assert times_stored(page) == [("1.95", None)]


@pytest.mark.parametrize(
    ("typed", "said"), [("1953.02", "slower than anybody runs"), ("0.70", "faster than anybody runs")]
)
def test_a_time_that_no_check_of_the_record_would_take_is_refused_at_its_own_gate(
    phone: BrowserContext, tap: Callable, typed: str, said: str
):
    page = at_first_cell(phone, tap)
    type_time(page, tap, typed)
    assert f"{typed} s at 10 m" in page.locator(".pad .note").inner_text()
    assert said in page.locator(".pad .note").inner_text()
    assert page.locator('.pad [data-part="10"]').get_attribute("aria-pressed") == "true"
    tap(page, ".pad .done")
    assert page.locator(".pad").is_hidden()
    assert times_stored(page) == []


def test_of_two_gates_that_do_not_go_together_both_are_named_and_either_is_typed_again(
    phone: BrowserContext, tap: Callable
):
    page = at_first_cell(phone, tap)
    type_time(page, tap, "3.95")
    type_time(page, tap, "3.02")
    assert page.locator(".pad .note").inner_text().startswith("20 m, 3.02, is not later than 10 m, 3.95")
    tap(page, '.pad [data-other="10"]')
    type_time(page, tap, "1.95")
    tap(page, ".pad .next")
    tap(page, ".pad .done")
    assert times_stored(page) == [("1.95", "3.02")]


def test_closing_keeps_the_good_gate_and_what_stood_there_before(phone: BrowserContext, tap: Callable):
    page = at_first_cell(phone, tap)
    type_time(page, tap, "1.95")
    type_time(page, tap, "302")
    tap(page, ".pad .done")
    assert "302 (20 m) was left out" in page.locator(".line").inner_text()
    assert times_stored(page) == [("1.95", None)]
    tap(page, '[data-cell="run athlete-0 1"]')
    tap(page, '[data-part="10"]')
    type_time(page, tap, "199")
    tap(page, '[data-cell="run athlete-1 1"]')  # another cell: the same
    assert "199 (10 m) was left out" in page.locator(".pad .note").inner_text()
    tap(page, ".pad .done")
    assert times_stored(page) == [("1.95", None)]


def test_a_missed_digit_is_asked_about_once_and_kept_if_said_so(phone: BrowserContext, tap: Callable):
    page = at_first_cell(phone, tap)
    type_time(page, tap, "2.1")
    assert "fewer digits" in page.locator(".pad .note").inner_text()
    assert page.locator(".pad [data-offer]").all_inner_texts() == ["It is 2.10"]
    assert page.locator(".pad .next").inner_text() == "Keep it"
    tap(page, ".pad .next")
    assert page.locator('.pad [data-part="20"]').get_attribute("aria-pressed") == "true"
    tap(page, ".pad .done")
    assert page.locator(".line").inner_text().startswith("2 on this phone")  # asked once, not told again
    assert times_stored(page) == [("2.1", None)]


def test_a_time_far_from_the_athletes_own_is_asked_about_once(phone: BrowserContext, tap: Callable):
    page = at_first_cell(phone, tap, "run athlete-6 1")
    type_time(page, tap, "2.95")
    assert "far from this athlete’s 1.95 to 2.01" in page.locator(".pad .note").inner_text()
    type_time(page, tap, "1.98")
    assert page.locator(".pad .note").inner_text() == ""
    type_time(page, tap, "2.10")  # 10 m in 0.12 s
    assert "faster than anybody runs" in page.locator(".pad .note").inner_text()


def test_a_time_far_from_the_others_of_the_sheet_is_asked_about_and_kept_when_the_pad_is_closed(
    phone: BrowserContext, tap: Callable
):
    page = at_first_cell(phone, tap)
    for n in range(3):
        type_time(page, tap, f"1.9{n}")
        type_time(page, tap, f"3.0{n}")
    for sign in ("1", ".", "2", "9"):
        tap(page, '.digits [aria-label="point"]' if sign == "." else f'.digits [data-digit="{sign}"]')
    tap(page, ".pad .done")
    assert "far from the others’ 1.90 to 1.92" in page.locator(".line").inner_text()
    assert times_stored(page)[-1] == ("1.29", None)


def test_the_back_key_held_down_empties_the_value(phone: BrowserContext, tap: Callable):
    page = at_first_cell(phone, tap)
    page.keyboard.type("12345")
    box = page.locator('.digits [aria-label^="take"]').bounding_box()
    assert box is not None
    page.mouse.move(box["x"] + 9, box["y"] + 9)
    page.mouse.down()
    page.wait_for_timeout(700)
    page.mouse.up()
    assert page.locator('.pad [data-part="10"] b').inner_text() == "·"


def test_a_comma_on_a_keyboard_is_a_point(phone: BrowserContext, tap: Callable):
    page = begun(phone)
    tap(page, '[data-cell="run athlete-0 1"]')
    page.keyboard.type("1,74")
    tap(page, ".pad .done")
    send_now(page)
    assert [one["row"]["10 m"] for one in stored(page) if one["table"] == "rep"] == ["1.74"]


def test_what_the_server_refuses_stays_on_the_phone_with_its_reason(phone: BrowserContext, tap: Callable):
    page = begun(phone)
    tap(page, '[data-cell="run athlete-0 1"]')
    type_time(page, tap, "9.99")
    tap(page, ".pad .done")
    send_now(page)
    assert "1 not kept" in page.locator(".line").inner_text()
    tap(page, '[data-cell="run athlete-0 1"]')
    assert "too slow" in page.locator(".pad .refusal").inner_text()


def test_every_key_is_large_enough_for_a_thumb_and_nothing_scrolls_sideways(phone: BrowserContext, tap: Callable):
    # 44 px: common practice for touch, from memory of published interface guidance
    page = open_in(phone)
    assert page.evaluate(TOO_SMALL) == 0
    begin(page, tap)
    tap(page, '[data-cell="run athlete-0 1"]')
    assert page.evaluate(TOO_SMALL) == 0
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
