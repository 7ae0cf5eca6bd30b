"""The gate in front of every page, websocket, download and upload: no sign-in, no entry.

The gate reads the sign-in cookie, looks the sign-in up, and hands the page a header that only this process can sign.
The page checks that signature and the sign-in again on every run (``viewer_from_header``), so a sign-out, a reset or a
change of role takes effect at the next click, and a header that a browser forges is worth nothing.
"""

import hashlib
import hmac
import secrets

from starlette.datastructures import Headers, MutableHeaders
from starlette.requests import cookie_parser
from starlette.responses import PlainTextResponse, RedirectResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from dashboard.access import on_phone
from dashboard.access.viewer import Viewer
from dashboard.home import home_folder
from pipelines.accounts.accounts import Accounts, token_sha256

COOKIE = "thirdstep_sign_in"
HEADER = "x-thirdstep-viewer"
OPEN_PATHS = (
    "/login", "/logout", "/join", "/openid/start", "/openid/back", "/_stcore/health", on_phone.CERTIFICATE,
    on_phone.MANIFEST,
)  # fmt: skip
OPEN_FILES = ("/app/static/sans.woff2", "/app/static/serif.woff2", *on_phone.ICONS.values())

FORMER_PATHS = {"/start-lab": "/two-starts"}  # addresses of pages that got another name: links kept still lead there

# The framework's own download addresses serve whoever is signed in and has them; every file of ours goes through
# ``dashboard.downloads``, which asks who fetches it. So that none is ever offered there by mistake, the door is shut.
SHUT = ("/media/",)
LARGEST_FORM = 64 * 1024  # bytes that somebody who is not signed in may send

# One key a process: a header signed before a restart is refused after it.
_KEY = secrets.token_bytes(32)

SECURITY_HEADERS = {
    "content-security-policy": (
        "default-src 'self'; script-src 'self' 'unsafe-inline' blob:; style-src 'self' 'unsafe-inline'; "
        "img-src 'self' data: blob:; font-src 'self' data:; connect-src 'self' ws: wss:; frame-ancestors 'none'; "
        "object-src 'none'; base-uri 'self'"
    ),
    "x-content-type-options": "nosniff",
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "permissions-policy": "camera=(), microphone=(), geolocation=()",
}
HTTPS_HEADERS = {"strict-transport-security": "max-age=31536000"}


def accounts_of_home() -> Accounts:
    """Return the accounts of the home folder the dashboard was started for (``THIRDSTEP_HOME``)."""
    return Accounts(home_folder() / "access.sqlite")


def flow_key() -> str:
    """Return the key that signs what a browser keeps for us on its way to a club's sign-in: made anew at each start."""
    return hmac.new(_KEY, b"openid", hashlib.sha256).hexdigest()


def signed_header(token_hash: str) -> str:
    """Return the header value that tells a page whose sign-in this is."""
    return f"{token_hash}|{_signature(token_hash)}"


def viewer_from_header(value: str | None) -> Viewer | None:
    """Return who looks, or None where the header is missing or forged, or the sign-in has ended."""
    token_hash, _, signature = (value or "").partition("|")
    if not hmac.compare_digest(signature.encode(), _signature(token_hash).encode()):
        return None
    account = accounts_of_home().account_of(token_hash)
    if account is None:
        return None
    return Viewer(
        name=account.name,
        role=account.role,
        athlete_id=account.athlete_id,
        event_groups=account.event_groups,
        may_read_injuries=account.reads_injuries,
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
        # A browser's own copy of the header is taken off before anything else happens.
        kept = [(name, value) for name, value in scope["headers"] if name.decode("latin-1").lower() != HEADER]
        scope = {**scope, "headers": kept}
        send = _with_security_headers(send, is_https=scope["scheme"] in ("https", "wss"))
        if path in OPEN_PATHS or path in OPEN_FILES:
            if scope["type"] == "http" and _is_too_large(scope):
                await PlainTextResponse("Too much was sent.", status_code=413)(scope, receive, send)
                return
            await self.app(scope, receive, send)
            return

        token = cookie_parser(Headers(scope=scope).get("cookie", "")).get(COOKIE, "")
        token_hash = token_sha256(token)
        if not token or accounts_of_home().account_of(token_hash) is None:
            await _turn_away(scope, receive, send)
            return
        if path.startswith(SHUT):
            await PlainTextResponse("There is no such file.", status_code=404)(scope, receive, send)
            return
        if scope["type"] == "http" and path in FORMER_PATHS:
            query = scope["query_string"].decode("latin-1")
            now = FORMER_PATHS[path] + (f"?{query}" if query else "")
            await RedirectResponse(now, status_code=308)(scope, receive, send)
            return
        scope["headers"] = [*kept, (HEADER.encode(), signed_header(token_hash).encode())]
        await self.app(scope, receive, send)


async def _turn_away(scope: Scope, receive: Receive, send: Send) -> None:
    if scope["type"] == "websocket":
        await send({"type": "websocket.close", "code": 1008})
    elif scope["method"] == "GET" and "text/html" in Headers(scope=scope).get("accept", ""):
        await RedirectResponse("/login", status_code=303)(scope, receive, send)
    else:
        await PlainTextResponse("Sign in first.", status_code=401)(scope, receive, send)


def _is_too_large(scope: Scope) -> bool:
    """Return whether a form of a stranger is larger than ours are, or does not say how large it is."""
    if scope["method"] in ("GET", "HEAD"):
        return False
    told = Headers(scope=scope).get("content-length", "")
    return not told.isdigit() or int(told) > LARGEST_FORM


def _with_security_headers(send: Send, *, is_https: bool) -> Send:
    told = SECURITY_HEADERS | (HTTPS_HEADERS if is_https else {})

    async def send_with(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in told.items():
                headers.setdefault(name, value)
        await send(message)

    return send_with
