"""Signing in with a club's own account: OpenID Connect, code flow with state, nonce and PKCE, through Authlib.

It stands in our gate and ends in a sign-in of ours like any other, so that roles, sign-out and the trail stay one. Only
an address that the club's provider says is verified opens an account, and only one that the head coach tied it to.
"""

import logging
from functools import partial
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.middleware import Middleware
from starlette.middleware.sessions import SessionMiddleware
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route
from starlette.types import ASGIApp, Receive, Scope, Send

from dashboard.access.cookies import OPENID, cookie_name
from dashboard.access.forms import device_of, signed_in
from dashboard.access.gate import accounts_of_home, flow_key
from dashboard.access.sign_in import START, club_of_home, sign_in_page
from dashboard.wording import signing_in as words
from pipelines.accounts.emails import SOMEBODY
from pipelines.accounts.openid import BACK, ClubSignIn
from pipelines.errors import ThirdstepError

FLOW_S = 600  # s between leaving for the club's sign-in and coming back
WAIT_S = 10.0  # s, how long the club's provider may take to answer us
CLAIMS_ASKED = "openid email"
_clients: dict[ClubSignIn, Any] = {}
_log = logging.getLogger(__name__)


def _client(club: ClubSignIn) -> Any:
    """Return the client of a provider. It keeps what the provider says of itself; other settings make another one."""
    if club not in _clients:
        _clients.clear()
        from authlib.integrations.starlette_client import OAuth  # takes its time: only where a club has a sign-in

        _clients[club] = OAuth().register(
            name="club", client_id=club.client_id, client_secret=club.client_secret, overwrite=True,
            server_metadata_url=club.issuer.rstrip("/") + "/.well-known/openid-configuration",
            client_kwargs={"scope": CLAIMS_ASKED, "code_challenge_method": "S256", "timeout": WAIT_S},
        )  # fmt: skip
    return _clients[club]


def _failures() -> tuple[type[Exception], ...]:
    """Return what the library raises where a provider does not answer, or not as it must."""
    from authlib.common.errors import AuthlibBaseError
    from httpx2 import HTTPError
    from joserfc.errors import JoseError

    return ThirdstepError, AuthlibBaseError, JoseError, HTTPError, RuntimeError, ValueError, KeyError


async def _checked_client(club: ClubSignIn) -> Any:
    """Return the client once the provider calls itself what we call it (OpenID Connect Discovery 1.0, section 4.3)."""
    client = _client(club)
    told = await client.load_server_metadata()
    if told.get("issuer") != club.issuer:
        _clients.clear()
        raise ThirdstepError(words.OPENID_NOT_READY)
    return client


def _refused(request: Request, sentence: str, status: int = 401) -> Response:
    return sign_in_page(request, status, sentence)


async def start(request: Request) -> Response:
    """Send somebody to their club's sign-in."""
    club = club_of_home()
    if club is None:
        return _refused(request, words.OPENID_NONE, 404)
    try:
        client = await _checked_client(club)
        answer: Response = await client.authorize_redirect(request, club.back)
    except _failures() as wrong:
        _log.warning("the club's sign-in did not answer: %s", type(wrong).__name__)
        return _refused(request, words.OPENID_NOT_READY, 502)
    return answer


async def come_back(request: Request) -> Response:
    """Take somebody in who comes back from their club's sign-in, or say why not."""
    club = club_of_home()
    if club is None:
        return _refused(request, words.OPENID_NONE, 404)
    try:
        client = await _checked_client(club)
        expected = {"iss": {"essential": True, "values": [club.issuer]}, "aud": {"essential": True},
                    "sub": {"essential": True}}  # fmt: skip
        # checks state, PKCE, the signature, issuer, audience, nonce and hours of the answer
        told = await client.authorize_access_token(request, claims_options=expected)
        claims = told.get("userinfo")
        if claims is not None and "email" not in claims:  # some tell it only when asked for
            more = await client.userinfo(token=told)
            claims = {**claims, **more} if more.get("sub") == claims["sub"] else None
    except _failures() as wrong:
        _log.warning("a club sign-in was not taken: %s", type(wrong).__name__)  # the words may hold what was sent
        await run_in_threadpool(accounts_of_home().note, SOMEBODY, "sign-in refused: not finished")
        return _refused(request, words.OPENID_FAILED)
    finally:
        request.session.clear()
    if not claims:
        return _refused(request, words.OPENID_FAILED)
    # The standard's own yes is the JSON value true; a text "true" or nothing at all is no yes.
    verified = claims.get("email_verified") is True
    take = partial(accounts_of_home().sign_in_by_email, str(claims.get("email") or ""))
    try:
        token = await run_in_threadpool(take, verified, device_of(request))
    except ThirdstepError as wrong:
        return _refused(request, str(wrong), 403)
    return signed_in(request, token, "/login")


async def leave(club: ClubSignIn) -> str | None:
    """Return where to sign out at the club as well (OpenID Connect RP-Initiated Logout 1.0); null where it has none."""
    try:
        client = await _checked_client(club)
        told = await client.create_logout_url(
            post_logout_redirect_uri=club.public_address + "/login", client_id=club.client_id
        )
    except _failures():
        return None
    return str(told["url"])


class Flow:
    """ASGI middleware that keeps state, nonce and PKCE's verifier in a signed cookie from leaving to coming back."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Keep the cookie to this home, and to HTTPS where the browser speaks it."""
        kept = SessionMiddleware(
            self.app, secret_key=flow_key(), session_cookie=cookie_name(OPENID), max_age=FLOW_S, path="/openid",
            same_site="lax", https_only=scope.get("scheme") == "https",
        )  # fmt: skip
        await kept(scope, receive, send)


ROUTES = [
    Route(START, start, methods=["GET"], middleware=[Middleware(Flow)]),
    Route(BACK, come_back, methods=["GET"], middleware=[Middleware(Flow)]),
]
