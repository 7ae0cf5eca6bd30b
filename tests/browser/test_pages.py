"""Every page of every role, in a real browser, at laptop and phone width, light and dark, with a picture kept."""

from collections.abc import Callable, Collection

import pytest
from axe_playwright_python.base import AXE_SCRIPT
from playwright.sync_api import Page, expect

from tests.browser.conftest import Served, Visit

PAGES = {
    "head_coach": [
        "/",
        "/athlete?athlete=teo-brandmere",
        "/track",
        "/group",
        "/group?group=horizontal_jumps",
        "/plan",
        "/what-followed",
        "/drills",
        "/hindsight",
        "/two-starts?athlete=teo-brandmere",
        "/data",
        "/methods",
        "/people",
    ],
    "staff": ["/", "/track", "/athlete", "/group", "/plan", "/drills", "/data"],
    "athlete": ["/", "/check-in", "/after-training", "/my-start", "/my-work", "/consent", "/methods"],
    "guardian": ["/", "/my-start", "/my-work", "/consent", "/methods"],
}
CASES = [(role, path) for role, paths in PAGES.items() for path in paths]
# What the framework's own widgets bring and we cannot mend from outside.
FRAMEWORK_RULES = {
    "target-size",
    "presentation-role-conflict",
    "region",
    "aria-allowed-attr",
}


CONTRAST = "color-contrast"
COLOURS_ALONE: dict[str, object] = {"runOnly": {"type": "rule", "values": [CONTRAST]}}
# Of what passed, not every element is told; no rule asked for reads the style sheets, so they are not fetched again.
ONLY_FAULTS: dict[str, object] = {"resultTypes": ["violations"], "preload": False}


def name_of(path: str) -> str:
    return path.split("?", maxsplit=1)[0].strip("/").replace("-", "_") or "first"


DARK = [
    ("head_coach", "/"),
    ("head_coach", PAGES["head_coach"][1]),
    ("head_coach", "/people"),
    ("athlete", "/"),
    ("athlete", "/check-in"),
]


def faults_of_build(page: Page) -> list[str]:
    """Return what of a page's build shuts somebody out: serious or worse, and of our own making.

    axe-core's rules for WCAG 2.0 to 2.2, A and AA, and named table headers.
    """
    added = {name: {"enabled": True} for name in ("empty-table-header",)}
    rules = added | {name: {"enabled": False} for name in FRAMEWORK_RULES}
    return told_by_axe(
        page, {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"], "rules": rules}, added
    )


def told_by_axe(page: Page, options: dict[str, object], minor_too: Collection[str] = ()) -> list[str]:
    """Return the places that axe-core finds fault with: rule and element."""
    if page.evaluate("typeof axe") == "undefined":
        page.evaluate(AXE_SCRIPT)
    found = page.evaluate("options => axe.run(options)", {**options, **ONLY_FAULTS})
    return [
        f"{rule['id']}: {node['html'][:160]}"
        for rule in found["violations"]
        if rule["impact"] in ("serious", "critical") or rule["id"] in minor_too
        for node in rule["nodes"][:3]
    ]


@pytest.mark.parametrize(("role", "path"), CASES)
def test_a_page_opens_without_a_fault_fits_its_window_and_shuts_nobody_out(
    visit: Callable[..., Visit], role: str, path: str
):
    window = visit(role, "phone", at=path)
    for size in ("phone", "laptop"):  # opened once, and widened: to open a page costs twice as much as to look at it
        window.resize(size)
        window.shoot(f"{role}_{name_of(path)}_{size}")
        window.assert_sound()
        assert window.page.locator("h1").count() == 1
        if size == "phone":  # in a wide window: below
            assert faults_of_build(window.page) == []
    if (role, path) in DARK:  # the same page with other colours
        window.darken()
        for size in ("laptop", "phone"):
            window.resize(size)
            window.shoot(f"{role}_{name_of(path)}_{size}_dark")
            assert told_by_axe(window.page, COLOURS_ALONE) == [], size
    if path == "/":  # whatever the bar offers is looked at: staff's pages are the head coach's, with fewer rows
        offered = window.page.locator("[data-testid=stPageLink-NavLink]").evaluate_all(
            "links => links.map(one => new URL(one.href).pathname)"
        )
        looked_at = PAGES[role] + (PAGES["head_coach"] if role == "staff" else [])
        assert offered
        assert set(offered) - {"/film"} <= {one.split("?")[0] for one in looked_at}  # Film: film/test_desk.py


@pytest.mark.long
@pytest.mark.parametrize(
    ("role", "path", "dark"), [(*case, False) for case in CASES] + [(*case, True) for case in DARK]
)
def test_a_wide_window_shuts_nobody_out_either(visit: Callable[..., Visit], role: str, path: str, dark: bool):
    window = visit(role, "laptop", dark=dark, at=path)
    assert (told_by_axe(window.page, COLOURS_ALONE) if dark else faults_of_build(window.page)) == []


def test_a_stranger_meets_the_sign_in_page(visit: Callable[..., Visit], served: Served):
    window = visit(None, "phone")
    window.page.goto(served.address + "/athlete?athlete=teo-brandmere")
    assert window.page.url.endswith("/login")
    window.shoot("sign_in_phone")


def test_the_sign_in_page_says_what_is_wrong(visit: Callable[..., Visit], served: Served):
    window = visit(None)
    window.page.goto(served.address + "/login")
    window.page.fill("#name", "coach")
    window.page.fill("#passphrase", "not the right one")
    window.page.click("button")
    assert "do not go together" in window.page.locator("[role=alert]").inner_text()


def test_signing_out_ends_it(visit: Callable[..., Visit], served: Served):
    window = visit("head_coach", anew=True)
    window.page.goto(served.address + "/logout")
    window.page.click("button >> nth=0")
    window.page.wait_for_url("**/login")
    window.page.goto(served.address + "/")
    assert window.page.url.endswith("/login")


def test_letters_beyond_western_europe_come_in_the_house_type(visit: Callable[..., Visit]):
    window = visit("head_coach")
    for family in ("House Sans Ext", "House Serif Ext"):
        for weight in (400, 600):
            # load() fetches the faces that hold the letters; none would mean that another type stands in for them.
            found = window.page.evaluate(
                "async ([w, f]) => (await document.fonts.load(`${w} 16px '${f}'`, 'Łşő')).map(face => face.status)",
                [weight, family],
            )
            assert found == ["loaded"], (family, weight)
    heading = window.page.evaluate("getComputedStyle(document.querySelector('h1')).fontFamily")
    assert "House Serif Ext" in heading


def test_times_pasted_from_a_spreadsheet_are_read_as_runs(visit: Callable[..., Visit], served: Served):
    window = visit("head_coach", at="/data")
    page = window.page
    page.context.grant_permissions(["clipboard-read", "clipboard-write"], origin=served.address)
    page.get_by_text("Type in", exact=True).click()
    window.settle()
    for key, typed in (("type_who", "Teo"), ("type_table", "runs")):
        page.click(f".st-key-{key} input")
        page.keyboard.type(typed)
        page.keyboard.press("Enter")
        window.settle()
    grid = page.locator("[data-testid='stDataFrame'] canvas").first.bounding_box()
    assert grid is not None
    page.evaluate("navigator.clipboard.writeText('1.80\\t2.95\\t4.02\\n1.82\\t2.97\\t4.05')")
    page.mouse.click(grid["x"] + 430, grid["y"] + 55)  # the first time, beside the run
    page.keyboard.press("Control+V")
    expect(page.get_by_role("button", name="Store 2 rows")).to_be_visible(timeout=30_000)
    window.shoot("head_coach_data_pasted_laptop")
    window.assert_sound()
