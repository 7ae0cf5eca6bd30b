"""The head coach's weekly review, from sign-in to the printed sheet, in a real browser."""

from collections.abc import Callable

from playwright.sync_api import expect

from tests.browser.conftest import Visit

ROWS = "table.sheet tbody tr"
WRITES_MS = 30_000  # a write may wait for another writer


def current(window: Visit) -> list[str]:
    return window.page.locator("nav.filters [aria-current=true]").all_inner_texts()


def take(window: Visit, address: str) -> bytes:
    """Fetch a file with the sign-in of this window."""
    answer = window.page.context.request.get(f"{window.address}/{address}", timeout=120_000)
    assert answer.status == 200, f"{address}: {answer.status}"
    return answer.body()


def test_the_weekly_review_from_sign_in_to_the_printed_sheet(visit: Callable[..., Visit]):
    window = visit("head_coach", alone=True)
    page = window.page
    everyone = page.locator(ROWS).count()
    first = page.locator(ROWS).first
    assert "talk first" in first.inner_text(), "the loudest stands first"

    # An athlete is opened from the sheet; Back leads to the same sheet and the same address.
    page.click("nav.filters a:has-text('Short sprints')")
    page.wait_for_url("**?group=short_sprints", timeout=WRITES_MS)
    window.settle()
    chosen = page.url
    assert page.locator(ROWS).count() < everyone
    page.locator("table.sheet td.who a").first.click()
    page.wait_for_url("**/athlete?athlete=*", timeout=WRITES_MS)
    window.settle()
    page.go_back()
    page.wait_for_url(chosen, timeout=WRITES_MS)
    window.settle()
    assert current(window)[0].startswith("Short sprints")
    page.click("nav.filters a:has-text('All')")
    expect(page.locator(ROWS)).to_have_count(everyone)
    window.settle()

    # Agree, undo, agree again; change another one and say why.
    decided, said = page.locator(".decided"), page.locator("p.said")
    page.locator(ROWS).nth(0).locator("button[data-act=agree]").click()
    expect(said).to_contain_text("Kept for", timeout=WRITES_MS)
    page.click("button[data-act=undo]")
    expect(decided).to_have_count(0, timeout=WRITES_MS)
    page.locator(ROWS).nth(0).locator("button[data-act=agree]").click()
    expect(decided).to_have_count(1, timeout=WRITES_MS)
    second = page.locator(ROWS).nth(1)
    second.locator("summary").click()
    second.locator("select[name=training]").select_option("adapt")
    second.locator("input[name=work]").fill("easy runs, look again on Tuesday")
    second.locator("input[name=note]").fill("slept badly")
    second.locator("form button:not([data-shut])").click()
    expect(decided).to_have_count(2, timeout=WRITES_MS)
    expect(second).to_contain_text("easy runs, look again on Tuesday")
    expect(page.locator(".side")).to_contain_text("Decided for 2 of")

    # Close the review: the sheet is kept, nothing can be decided on it, and it can be seen as the week stands now.
    page.click(".side .close summary")
    page.click(".side .close form button")
    kept = page.locator("p.stands")
    expect(kept).to_contain_text("kept as it was", timeout=WRITES_MS)
    expect(page.locator("button[data-act=agree]")).to_have_count(0)
    expect(decided).to_have_count(2)
    window.shoot("head_coach_review_closed_laptop")
    window.assert_sound()
    kept.locator("a").click()
    expect(kept).to_contain_text("This is how the week stands now")
    page.wait_for_url("**now=1*")
    kept.locator("a").click()
    expect(kept).to_contain_text("Closed")
    page.wait_for_url(lambda url: "now=1" not in url)

    # The printed sheet waits for the board that holds what was just decided.
    printed = page.locator("a:has-text('Print the sheet')").get_attribute("href")
    assert printed is not None
    assert take(window, printed).startswith(b"%PDF-")
    window.go("/")  # a new page: the closed review now comes from the board
    expect(kept).to_contain_text("kept as it was")
    expect(second).to_contain_text("easy runs, look again on Tuesday")

    # And it can be opened again.
    page.click("button[data-act=reopen]")
    expect(kept).to_have_count(0, timeout=WRITES_MS)
    expect(page.locator("button[data-act=agree]").first).to_be_visible()
    window.assert_sound()


def test_a_figure_is_taken_away_as_picture_and_rows(visit: Callable[..., Visit]):
    window = visit("head_coach", at="/athlete?athlete=teo-brandmere")
    folded = window.page.locator("[data-testid=stExpander] summary")
    for place in range(folded.count()):  # the first figure that has a picture
        folded.nth(place).click()
        window.settle()
        if window.page.locator(".take a:text-is('SVG')").count():
            break
    starts = {"SVG": b"<svg", "PNG": b"\x89PNG", "CSV": b"athlete_id,", "XLSX": b"PK"}
    for label, start in starts.items():
        address = window.page.locator(f".take a:text-is('{label}')").first.get_attribute("href")
        assert address is not None
        assert take(window, address).startswith(start)
    window.assert_sound()


def test_an_athlete_s_own_sheet_is_printed_and_no_one_else_s(visit: Callable[..., Visit]):
    window = visit("athlete")
    request = window.page.context.request
    assert request.get(f"{window.address}/sheet/week.pdf").status == 404
    assert request.get(f"{window.address}/sheet/marit-oakhollow.pdf").status == 404
    printed = window.page.locator("a:has-text('Print')").first.get_attribute("href")
    assert printed is not None
    assert take(window, printed).startswith(b"%PDF-")


def test_quiet_athletes_are_two_short_lines_on_a_phone(visit: Callable[..., Visit]):
    window = visit("head_coach", "phone")
    rows = window.page.evaluate(
        "[...document.querySelectorAll('table.sheet tr.calm')]"
        ".map(row => [row.getBoundingClientRect().height, row.innerText.includes('agree')])"
    )
    short = [height for height, has_work in rows if not has_work]
    assert short
    assert max(short) <= 80  # px: a name and a button, the call and the start below
    assert max(height for height, _ in rows) <= 110  # with the work that is agreed to, and its caution
    window.assert_sound()
