"""Three tasks with real taps in Chromium on the demo: a group at the track, an athlete's day, the weekly review.

``python -m pytest tests/bench/bench_taps.py -s``. A tap here takes no time, so each task is told by its taps, by what
the machine took, and by both together at a person's pace: seconds a tap, and seconds for each line that is read.
"""

import time
from collections.abc import Callable
from dataclasses import dataclass, field

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.conftest import Served, browser, served, served_home  # noqa: F401 - fixtures

pytestmark = pytest.mark.bench

PACE_S = 0.7  # s a tap, one thumb on large keys; own choice
READ_S = 8.0  # s a line of the review that asks for a look is read; own choice
WAIT_MS = 60_000
PHONE = {"width": 390, "height": 844}
# What the design asks of each; that of the track is own choice.
ALLOWED_S = {"track": 240.0, "athlete": 30.0, "review": 600.0}
SET_UP = ("group short_sprints", "kind acceleration", "timed yes", "start blocks", "clock gun", "timing electronic",
          "gates 10, 20", "resistance none", "surface track", "footwear spikes")  # fmt: skip


# Questions answered by keys that have no answer yet; where it hurts and whether one is ill are left out.
ASKED = """[...new Set([...document.querySelectorAll('form.checkin input[type=radio]')].map((one) => one.name))]
.filter((name) => !document.querySelector(`form.checkin input[name=${name}]:checked`)
 && !['pain_site', 'place', 'side', 'ill'].includes(name))"""


FORGET = "document.querySelectorAll('form.checkin input[type=radio]').forEach((one) => { one.checked = false; })"


@dataclass
class Taps:
    """One task: the page, its taps so far and when it began."""

    page: Page
    taps: int = 0
    lines: int = 0
    began: float = field(default_factory=time.monotonic)

    def tap(self, selector: str, nth: int = 0) -> None:
        """Tap where something stands, once it is there."""
        place = self.page.locator(selector).nth(nth)
        place.wait_for(timeout=WAIT_MS)
        place.tap() if self.page.evaluate("'ontouchstart' in window") else place.click()
        self.taps += 1

    def told(self, task: str) -> dict[str, float]:
        """Print and return what the task took."""
        machine = time.monotonic() - self.began
        person = machine + PACE_S * self.taps + READ_S * self.lines
        print(f"{task}: {self.taps} taps, machine {machine:.1f} s, at a person's pace {person:.0f} s")
        return {"taps": self.taps, "machine_s": machine, "person_s": person}


def sign_in(page: Page, address: str, name: str, passphrase: str) -> None:
    """Sign in; it is no part of a task, as a browser stays signed in."""
    page.goto(f"{address}/login")
    page.fill("#name", name)
    page.fill("#passphrase", passphrase)
    page.click("button")
    page.wait_for_selector("h1", timeout=WAIT_MS)


def at_the_track(page: Page, address: str) -> dict[str, float]:
    """Type a run with two gates for each of the short sprints, minutes and effort for all, and send it."""
    page.goto(f"{address}/track")
    page.wait_for_selector(".track > .body > *", timeout=WAIT_MS)
    task = Taps(page)
    for fact in SET_UP:
        task.tap(f'.track [data-at="{fact}"]')
    again = page.locator('.track [data-at^="session "]')
    if again.count():  # a session of that day is on record: this is another one
        task.tap('.track [data-at^="session "]', again.count() - 1)
    task.tap(".track .send .main")
    page.wait_for_selector("[data-cell^='run ']", timeout=WAIT_MS)
    runners = page.locator("[data-cell^='run '][data-cell$=' 1']").count()
    task.tap("[data-cell^='run '][data-cell$=' 1']")
    for n in range(runners):
        for text in (f"1.9{n % 10}", f"3.0{n % 10}"):
            for sign in text:
                task.tap('.digits [aria-label="point"]' if sign == "." else f'.digits [data-digit="{sign}"]')
            task.tap(".pad .next")
    task.tap(".pad .done")
    found = task.told(f"track, {runners} athletes, two gates each")
    return found | {"runners": float(runners)}


def day_of_an_athlete(page: Page, address: str) -> dict[str, float]:
    """Say that all is well in the morning; after training minutes and effort."""
    page.goto(f"{address}/check-in")
    page.wait_for_selector("form.checkin", timeout=WAIT_MS)
    page.evaluate(FORGET)  # the demo's athlete has answered that morning
    task = Taps(page)
    task.tap("form.checkin [data-well]")
    for name in page.evaluate(ASKED):  # a key of each question that is not answered yet
        task.tap(f"form.checkin label:has(input[name={name}])", 3)
    task.tap("form.checkin button[type=submit]")
    expect(page.locator("p.said.kept").first).to_be_visible(timeout=WAIT_MS)
    task.told("athlete, check-in alone")
    page.goto(f"{address}/after-training")
    page.wait_for_selector("form.checkin", timeout=WAIT_MS)
    for name, nth in (("which", 0), ("minutes", 4), ("effort", 6)):
        task.tap(f"form.checkin label:has(input[name={name}])", nth)
    task.tap("form.checkin button[type=submit]")
    expect(page.locator("p.said.kept").first).to_be_visible(timeout=WAIT_MS)
    return task.told("athlete, check-in and after training")


def review(page: Page, address: str) -> dict[str, float]:
    """Agree with the rest, look at each of the others and agree, and close the review."""
    page.goto(address)
    page.wait_for_selector("table.sheet tbody tr", timeout=WAIT_MS)
    athletes = page.locator("table.sheet tbody tr").count()
    task = Taps(page)
    task.tap("button[data-act=rest]")
    expect(page.locator(".decided").first).to_be_visible(timeout=WAIT_MS)
    while (left := page.locator("button[data-act=agree]").count()) > 0:
        task.tap("button[data-act=agree]")
        task.lines += 1
        expect(page.locator("button[data-act=agree]")).to_have_count(left - 1, timeout=WAIT_MS)
    task.tap(".side .close summary")
    task.tap(".side .close form button")
    expect(page.locator("p.stands")).to_be_visible(timeout=WAIT_MS)
    return task.told(f"review, {athletes} athletes, {task.lines} looked at one by one") | {"athletes": float(athletes)}


TASKS: dict[str, tuple[str, bool, Callable[[Page, str], dict[str, float]]]] = {
    "track": ("head_coach", True, at_the_track),
    "athlete": ("athlete", True, day_of_an_athlete),
    "review": ("head_coach", False, review),
}


@pytest.mark.parametrize("task", TASKS)
def test_a_task_takes_no_longer_than_the_design_asks(browser: Browser, served: Served, task: str):  # noqa: F811
    role, is_phone, do = TASKS[task]
    context = browser.new_context(
        viewport=PHONE if is_phone else {"width": 1366, "height": 768}, has_touch=is_phone, is_mobile=is_phone
    )
    page = context.new_page()
    sign_in(page, served.address, served.names[role], served.passphrases[role])
    assert do(page, served.address)["person_s"] <= ALLOWED_S[task]
    context.close()
