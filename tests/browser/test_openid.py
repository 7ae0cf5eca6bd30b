"""A club's own sign-in, end to end: a real OpenID Connect provider on loopback, the served dashboard, real Chromium.

The provider is oidc-provider-mock, a general test provider. What is expected of us is OpenID Connect Core 1.0 (sections
3.1.2.1 nonce, 5.1 email_verified as a JSON true), RFC 6749 section 10.12 (state), RFC 7636 (PKCE, S256) and OpenID
Connect RP-Initiated Logout 1.0; section numbers from memory.
"""

from collections.abc import Callable, Iterator
from urllib.parse import parse_qs, urlsplit

import oidc_provider_mock
import pytest
from playwright.sync_api import Request

from dashboard.access.cookies import OPENID, SIGN_IN
from dashboard.wording.signing_in import OPENID_FAILED, by_club
from pipelines import flow
from pipelines.accounts.openid import SECRET_FILE, SETTINGS_FILE
from tests.browser.conftest import Served, Visit

# The provider uses names that its own library calls old.
pytestmark = [pytest.mark.filterwarnings("ignore::DeprecationWarning"), pytest.mark.filterwarnings("ignore:authlib")]
CLUB = "the club"
SECRET = "a secret of this test alone"


def _person(sub: str, **claims: object) -> oidc_provider_mock.User:
    return oidc_provider_mock.User(sub=sub, claims={"name": sub, **claims})


PEOPLE = (
    _person("coach", email="Coach@Club.Example", email_verified=True),
    _person("unverified", email="coach@club.example", email_verified=False),
    _person("said-in-words", email="coach@club.example", email_verified="true"),
    _person("not-said", email="coach@club.example"),
    _person("stranger", email="stranger@elsewhere.example", email_verified=True),
    _person("no-address"),
)


@pytest.fixture(scope="module")
def provider(served: Served, served_home: flow.Home) -> Iterator[str]:
    """The provider, named in the served home for these tests alone."""
    with oidc_provider_mock.run_server_in_thread(user_claims=PEOPLE, require_nonce=True) as server:
        issuer = f"http://localhost:{server.server_port}"
        told = f'issuer = "{issuer}"\nclient_id = "thirdstep"\npublic_address = "{served.address}"\nlabel = "{CLUB}"\n'
        settings, secret = served_home.root / SETTINGS_FILE, served_home.root / SECRET_FILE
        settings.write_text(told)
        secret.touch(mode=0o600)
        secret.write_text(SECRET)
        flow.accounts(served_home).set_email(served.names["head_coach"], "coach@club.example")
        yield issuer
        settings.unlink()
        secret.unlink()
        flow.accounts(served_home).set_email(served.names["head_coach"], None)


def go_to_club(window: Visit) -> list[Request]:
    """Open the club's sign-in from ours; return what the browser asked for on the way."""
    asked: list[Request] = []

    def note(request: Request) -> None:
        asked.append(request)

    window.page.on("request", note)
    window.page.goto(window.address + "/login")
    window.page.get_by_role("link", name=by_club(CLUB)).click()
    window.page.get_by_role("button", name="Deny").wait_for()
    return asked


def come_back_as(window: Visit, sub: str) -> None:
    window.page.get_by_role("button", name=sub, exact=True).click()


def cookies(window: Visit) -> dict[str, dict]:
    """Our cookies by what they are; the home's mark in the middle is left out."""
    named = ((str(one["name"]).split("_", maxsplit=2), dict(one)) for one in window.page.context.cookies())
    return {name[2]: one for name, one in named if name[0] == "thirdstep"}


def test_who_the_club_vouches_for_is_signed_in_and_out_again(
    provider: str, visit: Callable[..., Visit], served: Served, served_home: flow.Home
):
    window = visit(None)
    asked = go_to_club(window)
    [away] = [one.url for one in asked if "/oauth2/authorize" in one.url]
    told = parse_qs(urlsplit(away).query)
    assert (told["response_type"], told["scope"], told["code_challenge_method"]) == (
        ["code"],
        ["openid email"],
        ["S256"],
    )
    assert len(told["state"][0]) >= 20
    assert len(told["nonce"][0]) >= 20
    assert len(told["code_challenge"][0]) == 43  # SHA-256, base64url without padding: ceil(32 x 4 / 3)
    assert told["redirect_uri"] == [served.address + "/openid/back"]
    assert SECRET not in away
    flow_cookie = cookies(window)[OPENID]
    assert (flow_cookie["httpOnly"], flow_cookie["path"], flow_cookie["sameSite"]) == (True, "/openid", "Lax")

    come_back_as(window, "coach")
    window.settle()
    assert window.page.url == served.address + "/"
    mine = cookies(window)
    assert mine[SIGN_IN]["httpOnly"]
    assert OPENID not in mine  # state, nonce and verifier are used up
    window.go("/people")  # the head coach's page: the account's own role
    assert window.page.locator("[data-testid=stMain]").get_by_text(served.names["head_coach"]).count()
    assert flow.accounts(served_home).trail(1)[0][1:3] == (served.names["head_coach"], "signed in through the club")

    window.page.goto(served.address + "/logout")  # ours first, then the club's own
    window.page.click("button >> nth=0")
    window.page.wait_for_url(provider + "/**")
    assert window.page.url.startswith(provider + "/oauth2/end_session")
    back = parse_qs(urlsplit(window.page.url).query)["post_logout_redirect_uri"]
    assert back == [served.address + "/login"]
    old = {"cookie": f"{served.cookie}={mine[SIGN_IN]['value']}"}
    assert visit(None).page.request.get(served.address + "/people", headers=old).status == 401


REFUSED = {
    "unverified": ("does not say that coach@club.example is verified", "address not verified"),
    "said-in-words": ("does not say that coach@club.example is verified", "address not verified"),
    "not-said": ("does not say that coach@club.example is verified", "address not verified"),
    "stranger": ("No account here has the address stranger@elsewhere.example", "unknown address"),
    "no-address": ("told no e-mail address", "no address"),
}


def test_an_address_that_is_unverified_or_unknown_is_refused_in_words(
    provider: str, visit: Callable[..., Visit], served: Served, served_home: flow.Home
):
    window = visit(None)
    for sub, (says, trail) in REFUSED.items():
        go_to_club(window)
        come_back_as(window, sub)
        alert = window.page.get_by_role("alert")
        alert.wait_for()
        assert says in alert.inner_text(), sub
        assert SIGN_IN not in cookies(window), sub
        _, who, what, _ = flow.accounts(served_home).trail(1)[0]
        assert what == f"sign-in refused: {trail}", sub
        assert "elsewhere.example" not in who  # a stranger's address is not kept
        window.page.goto(served.address + "/people")
        assert window.page.url == served.address + "/login", sub


def test_who_says_no_at_the_club_is_told_so(provider: str, visit: Callable[..., Visit]):
    window = visit(None)
    go_to_club(window)
    window.page.get_by_role("button", name="Deny").click()
    assert window.page.get_by_role("alert").inner_text() == OPENID_FAILED
    assert SIGN_IN not in cookies(window)


def test_an_answer_that_was_begun_in_another_browser_is_refused(provider: str, visit: Callable[..., Visit]):
    # a link with somebody else's code would sign this browser in as them: the state is not this browser's
    thief, victim = visit(None), visit(None)
    go_to_club(thief)
    answer = thief.page.request.post(thief.page.url, form={"sub": "coach"}, max_redirects=0)
    link = answer.headers["location"]  # not followed: the code in it is still good
    assert link.startswith(thief.address + "/openid/back?code=")
    go_to_club(victim)  # it has a flow of its own under way
    victim.page.goto(link)
    assert victim.page.get_by_role("alert").inner_text() == OPENID_FAILED
    assert SIGN_IN not in cookies(victim)


def test_a_code_works_once(provider: str, visit: Callable[..., Visit]):
    window = visit(None)
    asked = go_to_club(window)
    come_back_as(window, "coach")
    window.settle()
    [back] = [one.url for one in asked if "/openid/back?" in one.url]
    window.page.context.clear_cookies()
    window.page.goto(back)
    assert window.page.get_by_role("alert").inner_text() == OPENID_FAILED
    assert SIGN_IN not in cookies(window)


def test_a_changed_address_ends_what_the_old_one_opened(
    provider: str, visit: Callable[..., Visit], served: Served, served_home: flow.Home
):
    window = visit(None)
    go_to_club(window)
    come_back_as(window, "coach")
    window.settle()
    accounts = flow.accounts(served_home)
    accounts.set_email(served.names["head_coach"], "new@club.example")
    try:
        assert window.page.request.get(served.address + "/people", max_redirects=0).status == 401
    finally:
        accounts.set_email(served.names["head_coach"], "coach@club.example")
