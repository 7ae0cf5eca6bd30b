"""The sign-in page: a plain form of our own, served before any page of the dashboard."""

import hmac
import secrets
from html import escape

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response
from starlette.routing import Route

from dashboard.access.gate import COOKIE, accounts_of_home
from dashboard.wording import CAUTION_SHORT
from pipelines.accounts import SIGN_IN_HOURS, token_sha256
from pipelines.errors import ThirdstepError

FORM_COOKIE = "thirdstep_form"

_PAGE = """<!doctype html><html lang="en"><meta charset="utf-8"><meta name="viewport" content="width=device-width">
<title>Sign in</title><style>
@font-face{{font-family:HouseSerif;src:url(/app/static/serif.woff2);font-weight:200 900}}
@font-face{{font-family:HouseSans;src:url(/app/static/sans.woff2);font-weight:200 800}}
:root{{--paper:#FBFAF6;--ink:#14181D;--soft:#545B63;--rule:#8A867C;--blue:#005A8C;--verm:#B34700;
 color-scheme:light dark}}
@media(prefers-color-scheme:dark){{
 :root{{--paper:#14171A;--ink:#ECE8DF;--soft:#A9AEB3;--rule:#767C82;--blue:#7CC0EA;--verm:#FF9A62}}}}
body{{margin:0;background:var(--paper);color:var(--ink);font:16px/1.45 HouseSans,system-ui,sans-serif}}
main{{max-width:25rem;margin:12vh auto 0;padding:0 1.25rem}}
h1{{font:600 1.7rem/1.2 HouseSerif,Georgia,serif;margin:0 0 .35rem}}
p{{margin:.4rem 0;color:var(--soft)}} label{{display:block;margin:1rem 0 .25rem}}
input{{width:100%;box-sizing:border-box;font:inherit;padding:.55rem .6rem;border:1px solid var(--rule);
 border-radius:3px;background:transparent;color:inherit}}
input:focus,button:focus{{outline:2px solid var(--blue);outline-offset:2px}}
button{{margin-top:1.3rem;font:inherit;font-weight:600;padding:.55rem 1.2rem;border:1.5px solid var(--ink);
 border-radius:3px;background:transparent;color:inherit;cursor:pointer}}
.wrong{{color:var(--ink);border-left:6px double var(--verm);padding-left:.7rem}}
hr{{border:0;border-top:1.5px solid var(--ink);margin:1.1rem 0 0}}
</style><main><h1>Sign in</h1><p>Each person sees only what is theirs to see.</p><hr>
<form method="post" action="/login"><input type="hidden" name="form" value="{form}">{wrong}
<label for="name">Name</label>
<input id="name" name="name" autocomplete="username" required autofocus value="{name}">
<label for="passphrase">Pass-phrase</label>
<input id="passphrase" name="passphrase" type="password" autocomplete="current-password" required>
<button>Sign in</button></form><p style="margin-top:2rem"><small>{caution}</small></p></main></html>"""


def _page(status: int = 200, wrong: str = "", name: str = "") -> Response:
    form = secrets.token_urlsafe(24)
    message = f'<p class="wrong" role="alert">{escape(wrong)}</p>' if wrong else ""
    page = _PAGE.format(form=form, wrong=message, name=escape(name, quote=True), caution=escape(CAUTION_SHORT))
    response = HTMLResponse(page, status_code=status, headers={"cache-control": "no-store"})
    response.set_cookie(FORM_COOKIE, form, httponly=True, samesite="strict", path="/login")
    return response


async def show(request: Request) -> Response:
    """Show the form."""
    return _page()


async def sign_in(request: Request) -> Response:
    """Check the form; set the sign-in cookie and go to the first page, or show the form again with what is wrong."""
    fields = await request.form()
    name, passphrase = str(fields.get("name", ""))[:60], str(fields.get("passphrase", ""))[:500]
    expected = request.cookies.get(FORM_COOKIE, "")
    if not expected or not hmac.compare_digest(expected.encode(), str(fields.get("form", "")).encode()):
        return _page(400, "This form was open too long. Please try again.", name)
    try:
        # argon2 takes its time on purpose: not in the event loop.
        token = await run_in_threadpool(accounts_of_home().sign_in, name, passphrase)
    except ThirdstepError as error:
        return _page(401, str(error), name)
    response = RedirectResponse("/", status_code=303)
    secure = request.url.scheme == "https"
    response.set_cookie(
        COOKIE, token, max_age=SIGN_IN_HOURS * 3600, httponly=True, samesite="lax", secure=secure, path="/"
    )
    response.delete_cookie(FORM_COOKIE, path="/login")
    return response


async def sign_out(request: Request) -> Response:
    """End the sign-in on the server, not only in the browser."""
    token = request.cookies.get(COOKIE, "")
    if token:
        await run_in_threadpool(accounts_of_home().sign_out, token_sha256(token))
    response = RedirectResponse("/login", status_code=303)
    response.delete_cookie(COOKIE, path="/")
    return response


ROUTES = [
    Route("/login", show, methods=["GET"]),
    Route("/login", sign_in, methods=["POST"]),
    Route("/logout", sign_out, methods=["GET", "POST"]),
]
