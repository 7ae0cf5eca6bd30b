"""Trying to get round the roles, against the dashboard as it is served: real gate, real websocket, real Chromium.

What is tried: other people's keys in the address, forged and replayed cookies, a forged viewer header, forged websocket
messages, another one's session, sessions that outlive a change of role, hostile uploads, guessed file addresses.
"""

import asyncio
import http.client
import io
import zipfile
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor

import polars as pl
import pytest
import websockets
from streamlit.proto.BackMsg_pb2 import BackMsg
from streamlit.proto.ForwardMsg_pb2 import ForwardMsg

from dashboard import wording
from dashboard.access.gate import HEADER
from dashboard.screens.data.words import FILES_TITLE
from pipelines import flow
from pipelines.accounts.accounts import token_sha256
from tests.browser.conftest import Served, Visit
from tests.browser.tabs import pages_as, rerun

PHRASE = "a phrase of four words"
ATHLETE_PAGES = ("/", "/check-in", "/my-start", "/my-work", "/consent", "/methods")
COACH_PAGES = ("/group", "/plan", "/athlete", "/two-starts", "/data", "/hindsight", "/people")
STAFF_PAGES = ("/", "/group", "/plan", "/athlete", "/two-starts", "/data")
IN_WINDOWS = ("/", "/athlete")  # as people type it; what is sent for every page is asked for without the browser
LISTEN_S = 5.0  # s of silence after which a forged websocket is not listened to any longer,
SAID_S = 1.0  # s where the page it was asked for has been drawn to its end


@pytest.fixture(scope="module")
def people(served_home: flow.Home) -> pl.DataFrame:
    return flow.table(served_home, "athlete").select("athlete_id", "display_name", "event_group")


@pytest.fixture(scope="module")
def token(served_home: flow.Home, served: Served) -> Callable[..., str]:
    """Sign somebody in without a browser and return the cookie's value: once, a pass-phrase's hash is slow; or anew."""
    known: dict[str, str] = {}

    def of(role: str, *, anew: bool = False) -> str:
        if anew or role not in known:
            known[role] = flow.accounts(served_home).sign_in(served.names[role], served.passphrases[role])
        return known[role]

    return of


@pytest.fixture
def extra(served_home: flow.Home) -> Iterator[str]:
    """A staff account of hurdles alone, that tests change and close."""
    accounts = flow.accounts(served_home)
    if "changed" not in {one.name for one in accounts.list()}:
        accounts.add("changed", "staff", PHRASE, groups=["hurdles"])
    yield "changed"
    accounts.reset("changed", PHRASE)
    accounts.change("changed", groups=["hurdles"], reads_injuries=False)


def others(people: pl.DataFrame, own: str) -> list[str]:
    rest = people.filter(pl.col("athlete_id") != own)
    return [*rest["athlete_id"], *rest["display_name"]]


def outside(people: pl.DataFrame, groups: set[str]) -> list[str]:
    rest = people.filter(~pl.col("event_group").is_in(list(groups)))
    return [*rest["athlete_id"], *rest["display_name"]]


def found_in(text: str, names: list[str], asked: str = "") -> list[str]:
    """Return the names that a text holds; the one that was typed into the address does not count there."""
    return [name for name in names if name in text and name != asked]


async def _listen(
    served: Served, cookie: str, messages: list[BackMsg], *, session: str = "", origin: str | None = None
) -> tuple[bytes, str]:
    """Open the page's websocket with a cookie, send messages, and return all that came back, with the session's id."""
    protocols = ["streamlit", "forged", *([session] if session else [])]
    came, session_id, is_drawn = b"", "", False
    async with websockets.connect(
        served.address.replace("http", "ws") + "/_stcore/stream",
        additional_headers={"cookie": f"{served.cookie}={cookie}", HEADER: "coach|forged"},
        subprotocols=protocols,
        origin=origin or served.address,
        max_size=None,
        proxy=None,
    ) as socket:
        for message in messages:
            await socket.send(message.SerializeToString())
        try:
            while True:
                async with asyncio.timeout(SAID_S if is_drawn else LISTEN_S):
                    data = await socket.recv()
                came += data if isinstance(data, bytes) else data.encode()
                told = ForwardMsg()
                told.ParseFromString(data)
                session_id = told.new_session.initialize.session_id or session_id
                if (kind := told.WhichOneof("type")) in ("new_session", "script_finished"):
                    is_drawn = kind == "script_finished"
        except (TimeoutError, websockets.ConnectionClosed):
            pass
    return came, session_id


def listen(*told: object, **more: object) -> tuple[bytes, str]:
    """Do so in a thread of its own: the browser's loop has this one."""
    with ThreadPoolExecutor(1) as pool:
        return pool.submit(lambda: asyncio.run(_listen(*told, **more))).result()  # type: ignore[arg-type]


def ask(served: Served, path: str, cookie: str) -> tuple[int, bytes]:
    """Ask for an address with a cookie as a plain client does, which tidies no dots away and follows nothing."""
    host = served.address.removeprefix("http://")
    connection = http.client.HTTPConnection(host, timeout=10)
    connection.request("GET", path, headers={"cookie": f"{served.cookie}={cookie}", "host": host})
    answer = connection.getresponse()
    return answer.status, answer.read()


def names_in(came: bytes, names: list[str]) -> list[str]:
    return [name for name in names if name.encode() in came]


# --- as an athlete ---------------------------------------------------------------------------------------------------


def test_an_athlete_finds_nobody_else_behind_any_address(
    visit: Callable[..., Visit], served: Served, people: pl.DataFrame
):
    own = served.names["athlete"]
    other = next(who for who in people["athlete_id"] if who != own)
    for path in IN_WINDOWS:
        window = visit("athlete", "phone", at=f"{path}?athlete={other}&group=hurdles&week=2026-11-16&reps={other}")
        assert found_in(window.page.content(), others(people, own), asked=other) == [], path


def test_an_athlete_s_forged_websocket_messages_show_nobody_else(
    served: Served, people: pl.DataFrame, token: Callable[..., str]
):
    own = served.names["athlete"]
    other = next(who for who in people["athlete_id"] if who != own)
    query = f"athlete={other}&group=hurdles&week=2026-11-16&reps={other}"
    came = pages_as(served, token("athlete"), ATHLETE_PAGES + COACH_PAGES, query)
    assert people.filter(athlete_id=own)["display_name"][0].encode() in came["/"]  # it did answer
    rest = [one for one in others(people, own) if one != other]  # the address goes round as it was asked for
    assert {path: found for path, told in came.items() if (found := names_in(told, rest))} == {}


def test_another_one_s_session_is_not_resumed(served: Served, people: pl.DataFrame, token: Callable[..., str]):
    own = served.names["athlete"]
    theirs, session = listen(served, token("head_coach"), [rerun()])
    assert session
    assert len(names_in(theirs, others(people, own))) > 10
    came, mine = listen(served, token("athlete"), [rerun()], session=session)
    assert mine != session
    assert names_in(came, others(people, own)) == []


def test_a_forged_viewer_header_changes_nothing(
    visit: Callable[..., Visit], served: Served, people: pl.DataFrame, token: Callable[..., str]
):
    window = visit("athlete", anew=True)  # what it sends besides is no other window's
    window.page.context.set_extra_http_headers({HEADER: f"{token('head_coach')}|{'0' * 64}"})
    window.go("/")
    assert found_in(window.page.content(), others(people, served.names["athlete"])) == []


# --- cookies and sessions --------------------------------------------------------------------------------------------


@pytest.mark.parametrize("cookie", ["", "guessed", "' or 1=1 --", "x" * 5000, "../access.sqlite", "null"])
@pytest.mark.parametrize("path", ["/", "/people", "/_stcore/stream", "/media/a.zip", "/_stcore/upload_file/a/b"])
def test_a_forged_cookie_opens_nothing(served: Served, cookie: str, path: str):
    assert ask(served, path, cookie)[0] in (401, 303)
    with pytest.raises(websockets.InvalidStatus):
        listen(served, cookie.replace("\n", ""), [])


def test_what_is_kept_of_a_sign_in_does_not_sign_in(served: Served, token: Callable[..., str]):
    stolen = token_sha256(token("head_coach"))  # what somebody who read the file of accounts would have
    assert ask(served, "/data", token("head_coach"))[0] == 200
    assert ask(served, "/data", stolen)[0] in (401, 303)


def test_a_replayed_cookie_is_worth_nothing_after_sign_out(
    served: Served, served_home: flow.Home, token: Callable[..., str]
):
    told = token("athlete", anew=True)
    assert ask(served, "/my-start", told)[0] == 200
    ask(served, "/logout", told)  # asks first
    assert ask(served, "/my-start", told)[0] == 200
    flow.accounts(served_home).sign_out(token_sha256(told))
    assert ask(served, "/my-start", told)[0] in (401, 303)
    token("athlete", anew=True)


def test_a_page_of_another_site_opens_no_websocket(served: Served, token: Callable[..., str]):
    with pytest.raises(websockets.InvalidStatus):
        listen(served, token("athlete"), [rerun()], origin="http://elsewhere.example")
    with pytest.raises(websockets.InvalidStatus):  # another port of this machine
        listen(served, token("athlete"), [rerun()], origin="http://127.0.0.1:9")


def sign_in(window: Visit, served: Served, name: str) -> None:
    window.page.goto(served.address + "/login")
    window.page.fill("#name", name)
    window.page.fill("#passphrase", PHRASE)
    window.page.click("button")
    window.settle()


def test_an_open_page_follows_a_change_of_groups_at_its_next_step(
    visit: Callable[..., Visit], served: Served, served_home: flow.Home, people: pl.DataFrame, extra: str
):
    window = visit(None)
    sign_in(window, served, extra)
    hurdler = people.filter(event_group="hurdles")["display_name"][0]
    assert hurdler in window.page.content()
    flow.accounts(served_home).change(extra, groups=["long_sprints"], reads_injuries=False)
    window.page.locator("[data-testid=stPageLink-NavLink]").nth(0).click()
    window.page.get_by_text("Groups", exact=True).first.click()
    window.settle()
    assert found_in(window.page.content(), outside(people, {"long_sprints"})) == []


def test_an_open_page_is_nobody_s_after_its_account_is_closed(
    visit: Callable[..., Visit], served: Served, served_home: flow.Home, people: pl.DataFrame, extra: str
):
    window = visit(None)
    sign_in(window, served, extra)
    flow.accounts(served_home).close(extra)
    window.page.get_by_text("Groups", exact=True).first.click()
    window.settle()
    assert wording.NO_ACCESS in window.page.inner_text("[data-testid=stMain]")
    assert found_in(window.page.content(), others(people, "")) == []


# --- as staff --------------------------------------------------------------------------------------------------------


def test_staff_find_nobody_of_another_group(
    visit: Callable[..., Visit], served: Served, served_home: flow.Home, people: pl.DataFrame,
    token: Callable[..., str],
):  # fmt: skip
    [account] = [one for one in flow.accounts(served_home).list() if one.name == served.names["staff"]]
    foreign = people.filter(~pl.col("event_group").is_in(list(account.event_groups))).row(0, named=True)
    query = f"athlete={foreign['athlete_id']}&group={foreign['event_group']}"
    names = [one for one in outside(people, set(account.event_groups)) if one != foreign["athlete_id"]]
    came = pages_as(served, token("staff"), STAFF_PAGES, query)
    inside = people.filter(pl.col("event_group").is_in(list(account.event_groups)))["display_name"]
    assert any(one.encode() in came["/"] for one in inside)  # it did answer
    assert {path: found for path, told in came.items() if (found := names_in(told, names))} == {}
    for path in IN_WINDOWS:
        window = visit("staff", at=f"{path}?{query}")
        assert found_in(window.page.content(), names) == [], path


def test_staff_without_the_grant_read_no_injury_in_words(visit: Callable[..., Visit], served_home: flow.Home):
    board_words = flow.table(served_home, "readiness_reason").filter("reads_injury")["sentence"].to_list()
    board_words += flow.table(served_home, "hamstring_flag").filter("reads_injury")["sentence"].to_list()
    telling = {said for said in board_words if not said.startswith(("no hamstring injury on", "no injury of any"))}
    assert telling
    window = visit("staff")
    for path in ("/", "/group"):
        window.go(path)
        text = window.page.inner_text("[data-testid=stMain]")
        assert [said for said in telling if said in text] == []


# --- files -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "path",
    [
        "/media/" + "0" * 56 + ".zip", "/media/../access.sqlite", "/media/%2e%2e/%2e%2e/access.sqlite",
        "/app/static/../board.py", "/app/static/%2e%2e/%2e%2e/access.sqlite", "/app/static/..%5c..%5crecord.duckdb",
        "/record.duckdb", "/access.sqlite", "/settings.toml", "/board/current", "/.streamlit/config.toml",
        "/component/../../record.duckdb", "/_stcore/bidi-components/../../../access.sqlite",
    ],
)  # fmt: skip
def test_a_guessed_file_address_gives_no_file_of_the_home(served: Served, token: Callable[..., str], path: str):
    status, body = ask(served, path, token("athlete"))
    assert not body.startswith((b"SQLite format 3", b"PK"))
    assert b"DUCK" not in body[:64]
    for secret in (b"board-0", b"[server]", b"squad_name", b"import duckdb"):
        assert secret not in body
    if status == 200:  # the empty shell of the page, which holds nothing
        assert b"<title>Streamlit</title>" in body


def test_one_person_s_data_are_handed_to_the_one_who_asked_and_nobody_else(
    visit: Callable[..., Visit], served: Served, token: Callable[..., str]
):
    window = visit("head_coach", at="/people", anew=True)  # exports ask for a pass-phrase given just now
    box = window.page.locator(".st-key-one_person input")
    box.click()
    box.fill("Noemi")
    window.page.wait_for_timeout(500)
    window.page.keyboard.press("Enter")
    link = window.page.locator("a[href*='.zip']")
    link.wait_for()
    address = served.address + str(link.get_attribute("href"))
    for role in ("athlete", "staff"):
        status, body = ask(served, address.removeprefix(served.address), token(role))
        assert (status, body[:2] == b"PK") == (404, False)
    answer = window.page.request.get(address, timeout=120_000)  # ms; it is made when it is fetched
    assert (answer.status, answer.body()[:2], answer.headers["cache-control"]) == (200, b"PK", "no-store")


def test_an_upload_without_the_page_s_own_token_is_refused(
    visit: Callable[..., Visit], served: Served, token: Callable[..., str]
):
    answer = visit(None).page.request.fetch(
        served.address + "/_stcore/upload_file/guessed/guessed", method="PUT",
        headers={"cookie": f"{served.cookie}={token('athlete')}"},
        multipart={"file": {"name": "a.csv", "mimeType": "text/csv", "buffer": b"a,b\n1,2\n"}},
    )  # fmt: skip
    assert answer.status in (400, 403)


def _bomb() -> bytes:
    told = io.BytesIO()
    with zipfile.ZipFile(told, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("xl/workbook.xml", b"<workbook/>")
        archive.writestr("xl/worksheets/sheet1.xml", b"0" * 60_000_000)
    return told.getvalue()


HOSTILE = {
    "page.csv": b"<html><script>document.title='taken'</script></html>",
    "picture.csv": b"\x89PNG\r\n\x1a\n" + bytes(range(256)) * 20,
    "sheet.xlsx": b"no workbook at all",
    "..%2f..%2faccess.csv": b"athlete_id,display_name\n<script>document.title='taken'</script>,=cmd|' /C calc'!A0\n",
    "formula.csv": b'athlete_id,display_name\nzed-zero,"=HYPERLINK(""http://elsewhere.example"",""x"")"\n',
}


def test_a_hostile_file_runs_nothing_and_stores_nothing_by_itself(visit: Callable[..., Visit], served_home: flow.Home):
    hostile = HOSTILE | {"bomb.xlsx": _bomb()}
    before = flow.loads(served_home).height
    window = visit("head_coach", at="/data")
    page = window.page
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.locator("input[type=file]").first.set_input_files(
        [{"name": name, "mimeType": "text/csv", "buffer": content} for name, content in hostile.items()]
    )
    page.locator("h3", has_text=FILES_TITLE).wait_for(timeout=60_000)
    window.settle()
    looked_into = page.inner_text("[data-testid=stMain]")
    assert [name for name in hostile if name not in looked_into] == []  # each was read, none hides behind another
    assert page.title() != "taken"
    assert page.locator("[data-testid=stException]").count() == 0
    assert [url for url in asked if "elsewhere.example" in url] == []
    assert flow.loads(served_home).height == before
    kept = [path.name for path in served_home.root.rglob("*") if path.is_file()]
    assert [name for name in hostile if name in kept] == []


# --- the phone -------------------------------------------------------------------------------------------------------

TAP_S = 1.5  # s a tap, with the eyes moving on; own choice, no source. 30 s / 1.5 s = 20 taps at most
LEAST_KEY_PX = 24  # WCAG 2.2, success criterion 2.5.8 (AA), from memory; ours are to be about twice as high


def test_a_check_in_takes_one_thumb_and_less_than_half_a_minute(visit: Callable[..., Visit], served: Served):
    window = visit("athlete", "phone", at="/check-in", alone=True)
    page = window.page
    # the demo's own answers of the day came with a file: out of the way, as on a morning (that nothing is chosen
    # beforehand then is held in tests/dashboard/test_check_in.py)
    page.evaluate("document.querySelectorAll('.checkin input:checked').forEach(one => { one.checked = false })")
    taps = [f"input[name={name}][value='{value}']" for name, value in (
        ("sleep_h", "8"), ("sleep_quality", "4"), ("fatigue", "4"), ("soreness", "3"), ("stress", "4"), ("mood", "4"),
    )] + ["[data-well]", "input[name=ill][value=no]", ".save"]  # fmt: skip
    assert len(taps) * TAP_S < 30  # 9 taps x 1.5 s = 13.5 s, all ten items answered
    for target in taps:
        key = page.locator(f".checkin {target}")
        box = key.bounding_box()
        assert box is not None
        assert min(box["width"], box["height"]) >= LEAST_KEY_PX, target
        key.click()
    page.get_by_text("You can change it until midnight").wait_for()  # said as soon as it is kept
    window.go("/check-in")
    assert page.locator(".checkin input:checked").count() == 10  # nine taps; "nothing tight, nothing hurts" set three
    page.locator(".checkin [data-back]").click()
    page.get_by_text(wording.CHECKIN_TAKEN_BACK).wait_for()
