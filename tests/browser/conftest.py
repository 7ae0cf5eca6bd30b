"""A real server and a real browser: the dashboard as people meet it, gate and all."""

import os
import shutil
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Error, Page, Request, StorageState, sync_playwright

from dashboard.access.cookies import SIGN_IN, cookie_name
from pipelines import flow
from pipelines.accounts.accounts import Accounts
from pipelines.demo import SignIn, add_sign_ins

CHROMIUM = next(
    (found for name in ("chromium", "chromium-browser", "google-chrome") if (found := shutil.which(name))), None
)
FLAGS = [
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync",
]  # fmt: skip
MINOR = "luca-pemberwick"
SIZES = {"laptop": (1366, 768), "phone": (390, 844)}
SHOTS = Path(__file__).parents[2] / ".artifacts" / "screens"
HEALTH = "/_stcore/health"
SETTLED = "[data-testid='stApp'][data-test-script-state='notRunning']"


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    for item in items:
        if "tests/browser" in str(item.path):
            item.add_marker(pytest.mark.browser)


@dataclass(frozen=True)
class Served:
    """A running dashboard and who may sign in to it."""

    address: str
    cookie: str  # the name of its sign-in cookie
    passphrases: dict[str, str]
    names: dict[str, str]


@pytest.fixture(scope="session")
def served_home(demo_home: flow.Home, tmp_path_factory: pytest.TempPathFactory) -> flow.Home:
    """The demo's home that the server of these tests writes to."""
    root = tmp_path_factory.mktemp("served") / "home"
    shutil.copytree(demo_home.root, root)
    return flow.find_home(root)


@pytest.fixture(scope="session")
def served(served_home: flow.Home) -> Iterator[Served]:
    """Start the dashboard the way a coach does, on a free port."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    command = [
        sys.executable,
        "-m",
        "pipelines.cli",
        "--home",
        str(served_home.root),
        "open",
        "--port",
        str(port),
        "--no-browser",
    ]
    child = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True)
    address = f"http://127.0.0.1:{port}"
    until = time.monotonic() + 90
    while True:
        try:
            urllib.request.urlopen(f"{address}{HEALTH}", timeout=2).close()
            break
        except OSError:
            if child.poll() is not None or time.monotonic() > until:
                child.kill()
                pytest.fail(f"the dashboard did not start:\n{child.communicate()[0]}")
            time.sleep(0.2)
    sign_ins = add_sign_ins(served_home, lambda _: None)
    parent = SignIn("parent", "beside-the-long-track", "guardian", "the page of one minor")
    Accounts(served_home.access).add(parent.name, "guardian", parent.passphrase, athlete_id=MINOR)
    yield Served(
        address,
        cookie_name(SIGN_IN, served_home.root),
        passphrases={one.role: one.passphrase for one in reversed((parent, *sign_ins))},  # the first of each role
        names={one.role: one.name for one in reversed((parent, *sign_ins))},
    )
    child.terminate()
    child.wait(20)


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """One headless Chromium for the run."""
    if CHROMIUM is None:
        pytest.skip("browser: no Chromium on this machine (on Debian: apt-get install chromium)")
    with sync_playwright() as play:
        opened = play.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        yield opened
        opened.close()


@dataclass
class Visit:
    """One person's browser window on the dashboard, with what went wrong in it."""

    page: Page
    address: str
    errors: list[str]
    asked: list[str]  # every address that the page asked for

    def go(self, path: str = "/") -> None:
        """Open a page and wait until it is drawn."""
        self.page.goto(self.address + path)
        self.settle_anew()

    def settle_anew(self) -> None:
        """Wait until a page that was just asked for is drawn: its heading is there, and then all of it."""
        self.page.wait_for_selector("h1", timeout=30_000)
        self.settle(looks=1)

    def settle(self, looks: int = 2) -> None:
        """Wait until the script has run, the fonts are there and nothing moves.

        Looked at twice: on a busy machine the run that a click asks for begins a moment later.
        """
        for _ in range(looks):
            self.page.wait_for_selector(SETTLED, timeout=30_000)
            self.page.wait_for_timeout(350)
        self.page.evaluate("document.fonts.ready.then(() => true)")

    def resize(self, size: str) -> None:
        """Make the window as large as asked, and wait until the page has followed."""
        width, height = SIZES[size]
        if self.page.viewport_size == {"width": width, "height": height}:
            return
        self.page.set_viewport_size({"width": width, "height": height})
        self.settle()

    def shoot(self, name: str) -> None:
        """Keep a picture of the whole page, where pictures are asked for (``THIRDSTEP_PICTURES=1``)."""
        if not os.environ.get("THIRDSTEP_PICTURES"):
            return
        SHOTS.mkdir(parents=True, exist_ok=True)
        size = self.page.viewport_size
        assert size is not None
        height = self.page.evaluate(
            "Math.max(...[...document.querySelectorAll('[data-testid=stMain], html')].map(e => e.scrollHeight))"
        )
        self.page.set_viewport_size({"width": size["width"], "height": max(size["height"], min(height + 20, 12_000))})
        self.page.wait_for_timeout(300)
        self.page.screenshot(path=SHOTS / f"{name}.png")
        self.page.set_viewport_size(size)

    def asked_elsewhere(self) -> list[str]:
        """Return what the page asked of another host."""
        own = (self.address, self.address.replace("http", "ws"), "data:", "blob:")
        return [url for url in self.asked if not url.startswith(own)]

    def darken(self) -> None:
        """Let the page be looked at in the dark, as if it were evening meanwhile."""
        self.page.emulate_media(color_scheme="dark", reduced_motion="reduce")
        self.settle()
        red, green, blue = self.page.evaluate(
            "getComputedStyle(document.querySelector('[data-testid=stApp]')).backgroundColor.match(/\\d+/g).map(Number)"
        )[:3]
        assert max(red, green, blue) < 80, "the page did not follow"

    def assert_sound(self) -> None:
        """No exception on the page, none in the console, nothing asked of another host, and no sideways scroll."""
        assert self.page.locator("[data-testid='stException']").count() == 0
        assert self.errors == []
        assert self.asked_elsewhere() == []
        wide, seen = self.page.evaluate(
            "[Math.max(...[...document.querySelectorAll('html, [data-testid=stMain]')].map(e => e.scrollWidth)),"
            " document.documentElement.clientWidth]"
        )
        assert wide <= seen + 1, f"the page scrolls sideways: {wide} px in a window of {seen} px"


@pytest.fixture(scope="session")
def contexts(browser: Browser) -> Iterator[dict[str, BrowserContext]]:
    """The browser's contexts, one for each role, signed in: what a page is made of is fetched once for all."""
    opened: dict[str, BrowserContext] = {}
    yield opened
    for context in opened.values():
        context.close()


@pytest.fixture(scope="session")
def signed_in() -> dict[str, StorageState]:
    """The cookies of each role's sign-in: signing in takes a pass-phrase's slow hash and a page more."""
    return {}


MOST_IDLE = 2  # windows nobody looks at; each holds memory


@pytest.fixture(scope="session")
def idle() -> dict[str, Page]:
    """Windows, by role, that the tests before have done with, the longest idle first: to make one costs as a page."""
    return {}


@pytest.fixture(scope="session")
def blank() -> list[BrowserContext]:
    """Contexts that have forgotten who used them, for those who share nothing: what pages are made of is fetched."""
    return []


def forget(context: BrowserContext, address: str) -> None:
    """Leave a context as a new one is, but for the files it has fetched and compiled."""
    context.set_offline(False)
    context.set_extra_http_headers({})
    context.clear_permissions()
    context.clear_cookies()
    page = context.new_page()
    kinds = "local_storage,indexeddb,cache_storage,service_workers"
    context.new_cdp_session(page).send("Storage.clearDataForOrigin", {"origin": address, "storageTypes": kinds})
    for one in context.pages:
        one.close()


@pytest.fixture
def visit(
    browser: Browser, served: Served, signed_in: dict[str, StorageState], contexts: dict[str, BrowserContext],
    idle: dict[str, Page], blank: list[BrowserContext],
) -> Iterator[Callable[..., Visit]]:  # fmt: skip
    """Return a function that opens a page as somebody in a window of its own: visit(role, size, dark=False, at="/").

    A role signs in once and its cookies serve the next window, for as long as the gate takes them; with ``anew`` it
    signs in whatever is kept, and nothing of it is. Windows of one role share what they have fetched and what pages
    keep in the browser, and a later test opens its page in the window of an earlier one, made as large and as dark as
    it asks; nobody's, those signed in anew and those opened ``alone`` share nothing but fetched files.
    """
    own: list[BrowserContext] = []
    shared: list[tuple[str, Page, Callable[[Error], None], Callable[[Request], None]]] = []

    def context_of(role: str | None, *, shares: bool, anew: bool) -> BrowserContext:
        if shares and role in contexts:
            return contexts[role]
        context = blank.pop() if blank and not shares else browser.new_context(
            locale="en-GB", timezone_id="Europe/London", reduced_motion="reduce"
        )  # fmt: skip
        if role in signed_in and not anew:
            context.add_cookies(signed_in[role]["cookies"])  # type: ignore[index,arg-type]
        if shares and role is not None:
            contexts[role] = context
        else:
            own.append(context)
        return context

    def open_as(
        role: str | None, size: str = "laptop", *, dark: bool = False, at: str = "/", anew: bool = False,
        alone: bool = False,
    ) -> Visit:  # fmt: skip
        shares = role is not None and not anew and not alone
        context = context_of(role, shares=shares, anew=anew)
        errors: list[str] = []
        asked: list[str] = []

        def note(error: Error) -> None:
            errors.append(str(error))

        def hear(request: Request) -> None:
            asked.append(request.url)

        page = (idle.pop(role, None) if shares and role is not None else None) or context.new_page()
        if shares and role is not None:
            shared.append((role, page, note, hear))
        width, height = SIZES[size]
        page.set_viewport_size({"width": width, "height": height})
        page.emulate_media(color_scheme="dark" if dark else "light", reduced_motion="reduce")
        page.on("pageerror", note)
        page.on("request", hear)
        window = Visit(page, served.address, errors, asked)
        if role is None:
            return window
        page.goto(served.address + at)
        if page.url.split("?")[0].endswith("/login"):
            page.fill("#name", served.names[role])
            page.fill("#passphrase", served.passphrases[role])
            page.click("button")
            page.wait_for_url(lambda url: not url.split("?")[0].endswith("/login"))
            if at != "/":
                page.goto(served.address + at)
            if not anew:
                signed_in[role] = context.storage_state()
        window.settle_anew()
        return window

    yield open_as
    for role, page, note, hear in shared:
        if role in idle or page.is_closed():
            page.close()
            continue
        page.remove_listener("pageerror", note)
        page.remove_listener("request", hear)
        try:
            page.goto(f"{served.address}{HEALTH}")  # no page of ours goes on in it
        except Error:
            page.close()
        else:
            idle[role] = page
    while len(idle) > MOST_IDLE:
        idle.pop(next(iter(idle))).close()
    for context in own:
        forget(context, served.address)
        blank.append(context)
