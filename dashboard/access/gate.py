"""The gate in front of every page, websocket, download and upload: no sign-in, no entry.

The gate reads the sign-in cookie, looks the sign-in up, and hands the page a header that only this process can sign.
The page checks that signature and the sign-in again on every run (``viewer_from_header``), so a sign-out, a reset or a
change of role takes effect at the next click, and a header that a browser forges is worth nothing.
"""

import base64
import hashlib
import hmac
import re
import secrets
from pathlib import Path

import streamlit
from starlette.datastructures import Headers, MutableHeaders
from starlette.requests import cookie_parser
from starlette.responses import PlainTextResponse, RedirectResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from dashboard.access import on_phone, origin, sockets, uploads
from dashboard.access.cookies import SIGN_IN, cookie_name
from dashboard.access.lines import is_theirs
from dashboard.access.viewer import Viewer
from dashboard.home import home_folder
from pipelines.accounts.accounts import Account, Accounts, token_sha256

HEADER = "x-thirdstep-viewer"
OPEN_PATHS = (
    "/login", "/login/code", "/logout", "/join", "/openid/start", "/openid/back", "/_stcore/health",
    on_phone.CERTIFICATE, on_phone.MANIFEST,
)  # fmt: skip
OPEN_FILES = ("/app/static/sans.woff2", "/app/static/serif.woff2", *on_phone.ICONS.values())

SET_UP_PATH = "/account"  # all that is open to who owes a second factor

FORMER_PATHS = {"/start-lab": "/two-starts"}  # addresses of pages that got another name: links kept still lead there

# The framework's own download addresses serve whoever is signed in and has them; every file of ours goes through
# ``dashboard.downloads``, which asks who fetches it. So that none is ever offered there by mistake, the door is shut.
# So are those by which a program would drive pages, run them as a trial, or read how many are open and for how long.
SHUT = ("/media/", "/_stcore/agent", "/_stcore/script-health-check", "/_stcore/metrics")
LARGEST_FORM = 64 * 1024  # bytes that somebody who is not signed in may send

# One key a process: a header signed before a restart is refused after it.
_KEY = secrets.token_bytes(32)


def _framework_scripts() -> str:
    """Return the hashes of the scripts that stand in the framework's own page, so that no other inline script runs."""
    page = Path(streamlit.__file__).with_name("static") / "index.html"
    try:
        found = re.findall(r"<script>(.*?)</script>", page.read_text(encoding="utf-8"), flags=re.DOTALL)
    except OSError:
        return ""
    return " ".join(f"'sha256-{base64.b64encode(hashlib.sha256(one.encode()).digest()).decode()}'" for one in found)


SECURITY_HEADERS = {
    "content-security-policy": (
        f"default-src 'none'; script-src 'self' {_framework_scripts()} blob:; style-src 'self' 'unsafe-inline'; "
        "img-src 'self' data: blob:; font-src 'self' data:; connect-src 'self' {socket}; frame-ancestors 'none'; "
        "manifest-src 'self'; worker-src 'self' blob:; object-src 'none'; base-uri 'self'; form-action 'self'"
    ),
    "x-content-type-options": "nosniff",
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "camera=(), microphone=(), geolocation=()",
}
HTTPS_HEADERS = {"strict-transport-security": "max-age=31536000"}


# Sign-ins ended here that the file could not be told of: on a full disk people still sign out.
_ended: set[str] = set()


def end_here(token_hash: str) -> None:
    """End a sign-in for this process, whatever the file of accounts says of it."""
    _ended.add(token_hash)


def account_of(token_hash: str) -> Account | None:
    """Return whose sign-in this is; null where it has ended."""
    return None if token_hash in _ended else accounts_of_home().account_of(token_hash)


def accounts_of_home() -> Accounts:
    """Return the accounts of the home folder the dashboard was started for (``THIRDSTEP_HOME``)."""
    return Accounts(home_folder() / "access.sqlite")


def flow_key() -> str:
    """Return the key that signs what a browser keeps for us on its way to a club's sign-in: made anew at each start."""
    return hmac.new(_KEY, b"openid", hashlib.sha256).hexdigest()


def form_token(nonce: str, session: str) -> str:
    """Return what a form carries: made, by our key alone, of what its browser keeps and of whose sign-in it is."""
    return hmac.new(_KEY, f"form|{nonce}|{token_sha256(session)}".encode(), hashlib.sha256).hexdigest()


def signed_header(token_hash: str) -> str:
    """Return the header value that tells a page whose sign-in this is."""
    return f"{token_hash}|{_signature(token_hash)}"


def viewer_from_header(value: str | None, *, sets_up: bool = False) -> Viewer | None:
    """Return who looks, or None where the header is missing or forged, or the sign-in has ended.

    Who owes a second factor looks at nothing but the page that sets it up (``sets_up``).
    """
    token_hash, _, signature = (value or "").partition("|")
    if not hmac.compare_digest(signature.encode(), _signature(token_hash).encode()):
        return None
    account = account_of(token_hash)
    if account is None or (account.owes_second and not sets_up):
        return None
    return Viewer(
        name=account.name,
        role=account.role,
        athlete_id=account.athlete_id,
        event_groups=account.event_groups,
        may_read_injuries=account.reads_injuries,
        is_fresh=account.role == "head_coach" and accounts_of_home().is_fresh(token_hash),
    )


def _signature(token_hash: str) -> str:
    return hmac.new(_KEY, token_hash.encode(), hashlib.sha256).hexdigest()


class Gate:
    """ASGI middleware, first in the stack."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a signed-in request through with the viewer's header, turn any other away."""
        if scope["type"] not in ("http", "websocket"):
            await self.app(scope, receive, send)
            return
        path = scope["path"]
        host = origin.host_of(scope)
        if not host or not origin.is_own_page(scope):
            await _refuse(scope, receive, send)
            return
        # A browser's own copy of the header is taken off before anything else happens.
        kept = [(name, value) for name, value in scope["headers"] if name.decode("latin-1").lower() != HEADER]
        scope = {**scope, "headers": kept}
        send = _with_security_headers(send, host, is_https=scope["scheme"] in ("https", "wss"))
        if path in OPEN_PATHS or path in OPEN_FILES:
            is_too_large = scope["type"] == "http" and _is_too_large(scope)
            await (_say_no(413, "Too much was sent.") if is_too_large else self.app)(scope, receive, send)
            return

        token = _token_of(scope)
        token_hash = token_sha256(token)
        account = account_of(token_hash) if token else None
        if account is None or (account.owes_second and path != SET_UP_PATH):
            await (_turn_away if account is None else _lead_to_set_up)(scope, receive, send)
            return
        is_theirs(scope)
        scope["headers"] = [*kept, (HEADER.encode(), signed_header(token_hash).encode())]
        await self._let_in(scope, receive, send, account, token_hash)

    async def _let_in(self, scope: Scope, receive: Receive, send: Send, account: Account, token_hash: str) -> None:
        """Answer somebody who is signed in, in one of their places."""
        if (refusal := _refusal(scope, account)) is not None:
            await PlainTextResponse(refusal[1], status_code=refusal[0])(scope, receive, send)
            return
        if scope["type"] == "http" and scope["path"] in FORMER_PATHS:
            await _lead_on(scope, receive, send)
            return
        with sockets.place_of(account.name, scope["type"]) as is_free:
            is_socket = scope["type"] == "websocket"
            if not is_free:
                await (_close_socket if is_socket else _say_no(429, sockets.TOO_MANY))(scope, receive, send)
                return
            if is_socket:
                receive, send = sockets.watched(scope, receive, send, lambda: account_of(token_hash) is not None)
            try:
                await self.app(scope, receive, send)
            except sockets.TooManyFiles:
                await PlainTextResponse(sockets.TOO_MANY_FILES, status_code=429)(scope, receive, send)


def sign_in_cookie(scope: Scope) -> str:
    """Return the name of the cookie that a request is signed in by."""
    return cookie_name(SIGN_IN, is_https=scope["scheme"] in ("https", "wss"))


def _token_of(scope: Scope) -> str:
    return cookie_parser(Headers(scope=scope).get("cookie", "")).get(sign_in_cookie(scope), "")


def _refusal(scope: Scope, account: Account) -> tuple[int, str] | None:
    """Return why somebody who is signed in gets no answer from this address, with the status; null where they do."""
    if scope["path"].startswith(SHUT):
        return 404, "There is no such file."
    if scope["path"].startswith(uploads.PATH) and scope["type"] == "http":
        return uploads.refusal(account, scope["method"], Headers(scope=scope).get("content-length", ""), scope["path"])
    return None


def _say_no(status: int, why: str) -> PlainTextResponse:
    """Return the answer of a request that is looked at no further; its line is closed: no body is waited for."""
    return PlainTextResponse(why, status_code=status, headers={"connection": "close"})


async def _close_socket(_scope: Scope, _receive: Receive, send: Send) -> None:
    await send({"type": "websocket.close", "code": 1008})


async def _lead_on(scope: Scope, receive: Receive, send: Send) -> None:
    query = scope["query_string"].decode("latin-1")
    now = FORMER_PATHS[scope["path"]] + (f"?{query}" if query else "")
    await RedirectResponse(now, status_code=308)(scope, receive, send)


async def _refuse(scope: Scope, receive: Receive, send: Send) -> None:
    if scope["type"] == "websocket":
        await send({"type": "websocket.close", "code": 1008})
    else:
        # closed, so that nothing which was sent behind it is taken for a request of its own
        said = PlainTextResponse(
            "This is not for a page of another address.", status_code=403, headers={"connection": "close"}
        )
        await said(scope, receive, send)


async def _turn_away(scope: Scope, receive: Receive, send: Send) -> None:
    if scope["type"] == "websocket":
        await send({"type": "websocket.close", "code": 1008})
    elif scope["method"] == "GET" and "text/html" in Headers(scope=scope).get("accept", ""):
        await RedirectResponse("/login", status_code=303)(scope, receive, send)
    else:
        await PlainTextResponse("Sign in first.", status_code=401)(scope, receive, send)


async def _lead_to_set_up(scope: Scope, receive: Receive, send: Send) -> None:
    """Lead who owes a second factor to where it is set up; nothing else is answered."""
    if scope["type"] == "websocket":
        await send({"type": "websocket.close", "code": 1008})
    elif scope["method"] == "GET" and "text/html" in Headers(scope=scope).get("accept", ""):
        await RedirectResponse(SET_UP_PATH, status_code=303)(scope, receive, send)
    else:
        await PlainTextResponse("Set up your second factor first.", status_code=403)(scope, receive, send)


def _is_too_large(scope: Scope) -> bool:
    """Return whether a form of a stranger is larger than ours are, or does not say how large it is."""
    if scope["method"] in ("GET", "HEAD"):
        return False
    told = Headers(scope=scope).get("content-length", "")
    return not told.isdigit() or int(told) > LARGEST_FORM


def _with_security_headers(send: Send, host: str, *, is_https: bool) -> Send:
    told = SECURITY_HEADERS | (HTTPS_HEADERS if is_https else {})
    socket = f"{'wss' if is_https else 'ws'}://{host}"  # some browsers do not count websockets as 'self'
    told = {name: value.replace("{socket}", socket) for name, value in told.items()}

    async def send_with(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in told.items():
                headers.setdefault(name, value)
        await send(message)

    return send_with
