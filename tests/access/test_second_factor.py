"""A second factor, one's own devices, idle sign-out, and what is asked again."""

import base64
import datetime as dt
import hashlib
import hmac
import struct
import unicodedata

import pytest
from starlette.applications import Starlette
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import JSONResponse
from starlette.routing import Route
from starlette.testclient import TestClient

from dashboard.access import own
from dashboard.access.cookies import SIGN_IN, cookie_name
from dashboard.access.gate import HEADER, Gate, signed_header, viewer_from_header
from dashboard.access.login import ROUTES
from pipelines.accounts import devices, phrases, second
from pipelines.accounts.accounts import Accounts, token_sha256
from pipelines.accounts.invitations import SignInNow
from pipelines.errors import ThirdstepError
from tests.access.test_gate import PHRASE, client_of, open_invitation, sign_in

PHONE = "Mozilla/5.0 (iPhone; CPU iPhone OS 18_0 like Mac OS X) AppleWebKit/605.1 Version/18.0 Mobile Safari/604.1"
LAPTOP = "Mozilla/5.0 (X11; Linux x86_64; rv:140.0) Gecko/20100101 Firefox/140.0"


def code_at(secret: str, at: dt.datetime) -> str:
    """TOTP written out from RFC 6238 and RFC 4226, without the library that is tested."""
    key = base64.b32decode(secret)
    told = hmac.new(key, struct.pack(">Q", int(at.timestamp()) // 30), hashlib.sha1).digest()
    place = told[-1] & 0x0F
    return f"{(struct.unpack('>I', told[place : place + 4])[0] & 0x7FFFFFFF) % 1_000_000:06d}"


def test_the_codes_are_those_of_the_standard(monkeypatch: pytest.MonkeyPatch):
    """RFC 6238, appendix B, SHA-1, the last six of its eight digits (from memory)."""
    secret = base64.b32encode(b"12345678901234567890").decode()
    for seconds, code in ((59, "287082"), (1111111109, "081804"), (1234567890, "005924"), (20000000000, "353130")):
        at = dt.datetime.fromtimestamp(seconds, dt.UTC)
        assert code_at(secret, at) == code
        monkeypatch.setattr(second, "now", lambda at=at: at)
        assert second._step_of(secret, code, 0) == seconds // 30


@pytest.fixture
def client(accounts: Accounts) -> TestClient:
    async def page(request: Request) -> JSONResponse:
        viewer = viewer_from_header(request.headers.get(HEADER))
        return JSONResponse({"viewer": viewer.name if viewer else None})

    routes = [*ROUTES, *own.ROUTES, Route("/{path:path}", page)]
    return client_of(Starlette(routes=routes, middleware=[Middleware(Gate)]))


@pytest.fixture
def turned_on(accounts: Accounts, clock: list[dt.datetime]) -> tuple[str, list[str]]:
    secret, _ = accounts.begin_second("coach")
    codes = accounts.confirm_second("coach", code_at(secret, clock[0]))
    clock[0] += dt.timedelta(minutes=1)
    return secret, codes


def field(text: str, name: str) -> str:
    return text.split(f'name="{name}" value="')[1].split('"', maxsplit=1)[0]


def give(client: TestClient, page: str, code: str):
    return client.post("/login/code", data={"form": field(page, "form"), "due": field(page, "due"), "code": code})


def test_a_pass_phrase_alone_signs_nobody_in(client, turned_on, clock):
    asked = sign_in(client, "coach")
    assert (asked.status_code, cookie_name(SIGN_IN) in client.cookies) == (200, False)
    assert client.get("/").status_code == 401
    done = give(client, asked.text, code_at(turned_on[0], clock[0]))
    assert (done.status_code, client.get("/").json()["viewer"]) == (303, "coach")


def test_a_code_works_once_and_only_around_its_time(client, accounts, turned_on, clock):
    code = code_at(turned_on[0], clock[0])
    give(client, sign_in(client, "coach").text, code)
    page = sign_in(client, "coach").text
    assert give(client, page, code).status_code == 401  # seen over a shoulder
    for off in (-90, 90, 3600):
        late = code_at(turned_on[0], clock[0] + dt.timedelta(seconds=off))
        assert give(client, sign_in(client, "coach").text, late).status_code == 401
    early = code_at(turned_on[0], clock[0] + dt.timedelta(seconds=30))  # a phone's clock may be off
    assert give(client, sign_in(client, "coach").text, early).status_code == 303


def test_codes_are_counted_before_they_are_looked_at_and_the_phrase_is_asked_again(accounts, turned_on, clock):
    due = accounts.look_at_try(accounts.count_try("coach"), PHRASE).due
    for _ in range(second.MOST_WRONG):
        with pytest.raises(ThirdstepError, match="not right"):
            accounts.finish_second(due, "000000")
    with pytest.raises(ThirdstepError, match="again"):
        accounts.finish_second(due, code_at(turned_on[0], clock[0]))


def test_a_code_that_comes_late_asks_for_the_phrase_again(accounts, turned_on, clock):
    due = accounts.look_at_try(accounts.count_try("coach"), PHRASE).due
    clock[0] += dt.timedelta(minutes=second.DUE_MIN, seconds=1)
    with pytest.raises(ThirdstepError, match="too long"):
        accounts.finish_second(due, code_at(turned_on[0], clock[0]))


def test_a_recovery_code_signs_in_once_and_only_its_hash_is_kept(accounts, turned_on):
    content = accounts.path.read_bytes()
    assert len(set(turned_on[1])) == second.RECOVERY_CODES
    assert not any(code.encode() in content or code.replace("-", "").encode() in content for code in turned_on[1])
    for number, fits in ((0, True), (0, False), (1, True)):
        due = accounts.look_at_try(accounts.count_try("coach"), PHRASE).due
        typed = turned_on[1][number].upper().replace("-", " ")
        if fits:
            assert accounts.finish_second(due, typed).token
        else:
            with pytest.raises(ThirdstepError, match="not right"):
                accounts.finish_second(due, typed)
    assert "recovery code used, 8 left" in [what for _, _, what, _ in accounts.trail()]


def test_an_invitation_does_not_go_round_the_second_factor(client, accounts, turned_on):
    token = accounts.invite("coach")
    page = open_invitation(client, token).text
    data = {"form": field(page, "form"), "token": token, "passphrase": "another phrase of my own"}
    assert "code of your phone" in client.post("/join", data=data).text
    assert client.get("/").status_code == 401
    token = accounts.invite("coach")
    with pytest.raises(SignInNow):
        accounts.join(token, "a third phrase of my own")
    assert accounts.look_at_try(accounts.count_try("coach"), "a third phrase of my own").due


def test_the_page_turns_it_on_with_a_square_and_shows_the_codes_once(client, accounts):
    sign_in(client, "coach")

    def act(**told: str):
        return client.post("/account", data={"form": field(client.get("/account").text, "form"), **told})

    assert "not your pass-phrase" in act(do="begin", passphrase="a wrong phrase of four").text
    assert accounts.second_begun("coach") == ""
    page = act(do="begin", passphrase=PHRASE).text
    secret = accounts.second_begun("coach")
    assert secret in page
    assert "<svg" in page
    assert act(do="confirm", code="000000").status_code == 400
    assert not accounts.has_second("coach")
    page = act(do="confirm", code=code_at(secret, dt.datetime.now(dt.UTC))).text
    assert page.count("<li><code>") == second.RECOVERY_CODES
    assert "<li><code>" not in client.get("/account").text
    assert act(do="off", passphrase="a wrong phrase of four").status_code == 400
    assert accounts.has_second("coach")
    act(do="off", passphrase=PHRASE)
    assert not accounts.has_second("coach")


def test_a_form_of_one_s_own_page_is_of_one_sign_in(client, accounts):
    sign_in(client, "coach")
    assert client.post("/account", data={"form": "guessed", "do": "begin", "passphrase": PHRASE}).status_code == 400
    assert accounts.second_begun("coach") == ""


def test_each_device_is_listed_and_can_be_signed_out_alone(client, accounts):
    sign_in(client, "marit")
    first = dict(client.cookies)
    client.cookies.clear()
    client.headers["user-agent"] = PHONE
    sign_in(client, "marit")
    client.headers["user-agent"] = LAPTOP
    other = client_of(client.app)
    other.headers["user-agent"] = LAPTOP
    sign_in(other, "marit")
    sign_in(client_of(client.app), "coach")
    page = other.get("/account").text
    assert [page.count(name) for name in ("Safari on iPhone", "Firefox on Linux")] == [1, 1]
    assert page.count("Sign out</button>") == 2  # not on this one, and nobody else's
    [phone] = [one.short for one in accounts.devices_of("marit") if "iPhone" in one.device]
    other.post("/account", data={"form": field(page, "form"), "do": "end", "which": phone})
    assert client.get("/").status_code == 401
    assert other.get("/").json()["viewer"] == "marit"
    client.cookies.update(first)
    assert not accounts.end_one("coach", accounts.devices_of("marit")[0].short)  # one's own alone


@pytest.mark.parametrize(("name", "minutes"), [("coach", 60), ("marit", 12 * 60 - 1)])
def test_a_sign_in_that_is_left_idle_ends(accounts, clock, name, minutes):
    token = token_sha256(accounts.sign_in(name, PHRASE))
    step = min(devices.IDLE_MIN[accounts.account_of(token).role], minutes)
    for _ in range(2 if name == "coach" else 1):  # a click now and then keeps it
        clock[0] += dt.timedelta(minutes=step - 1)
        assert accounts.account_of(token) is not None
    clock[0] += dt.timedelta(minutes=step + 1)
    assert accounts.account_of(token) is None
    assert accounts.devices_of(name) == []


def test_what_cannot_be_undone_asks_for_the_pass_phrase_again(accounts, clock):
    token = token_sha256(accounts.sign_in("coach", PHRASE))
    header = signed_header(token)
    assert viewer_from_header(header).is_fresh
    clock[0] += dt.timedelta(minutes=devices.FRESH_MIN, seconds=1)
    assert not viewer_from_header(header).is_fresh
    with pytest.raises(ThirdstepError, match="not your pass-phrase"):
        accounts.prove_again(token, "a wrong phrase of four")
    accounts.prove_again(token, PHRASE)
    assert viewer_from_header(header).is_fresh


def test_an_open_laptop_does_not_guess_the_pass_phrase_and_strangers_do_not_stop_its_owner(accounts, clock):
    token = token_sha256(accounts.sign_in("coach", PHRASE))
    for number in range(60):
        try:
            accounts.count_try("coach", f"203.0.113.{number}")
        except ThirdstepError:
            break
    accounts.prove_again(token, PHRASE)
    for _ in range(5):
        with pytest.raises(ThirdstepError, match="not your"):
            accounts.prove_again(token, "a wrong phrase of four")
    with pytest.raises(ThirdstepError, match="Too many"):
        accounts.prove_again(token, PHRASE)


def test_who_came_through_the_club_proves_it_by_coming_again(accounts, clock):
    accounts.set_email("coach", "coach@club.example")
    token = token_sha256(accounts.sign_in_by_email("coach@club.example", True))
    assert accounts.is_fresh(token)
    clock[0] += dt.timedelta(minutes=11)
    with pytest.raises(ThirdstepError, match="through your club"):
        accounts.prove_again(token, PHRASE)


@pytest.mark.parametrize(
    ("phrase", "says"),
    [
        ("short one", "at least 12 characters; this one has 9"),
        ("x" * 300, "at most 256 characters; this one has 300"),
        ("passwordpassword", "lists that are tried first"),
        ("qwertyuiop123", "lists that are tried first"),
        ("iloveyouiloveyou", "lists that are tried first"),
        ("123456789012", "lists that are tried first"),
        ("coach-coach-coach", "lists that are tried first"),
    ],
)
def test_a_phrase_is_refused_with_its_length_or_as_one_that_is_guessed(phrase, says):
    with pytest.raises(ThirdstepError, match=says):
        phrases.hashed("coach", phrase)


def test_two_spellings_of_one_text_are_one_phrase(accounts):
    composed = "fünf stille Bahnen"
    decomposed = unicodedata.normalize("NFD", composed)
    assert composed != decomposed
    accounts.add("other", "head_coach", composed)
    assert accounts.sign_in("other", decomposed)
    # a hash from before phrases were folded still opens, as it was typed
    assert phrases.matches(phrases._hasher.hash(decomposed), decomposed)


def test_joining_with_an_invitation_ends_who_was_signed_in_before(client, accounts):
    sign_in(client, "coach")
    before = token_sha256(client.cookies[cookie_name(SIGN_IN)])
    accounts.add("teo", "athlete", None, athlete_id="teo-brandmere")
    token = accounts.invite("teo")
    page = open_invitation(client, token).text
    client.post("/join", data={"form": field(page, "form"), "token": token, "passphrase": "a phrase of my own"})
    assert client.get("/").json()["viewer"] == "teo"
    assert accounts.account_of(before) is None
