"""The plain pages of our own that are served before any page of the dashboard: their look, and a form that no other
site can send.
"""

import base64
import hashlib
import hmac
import secrets
from contextlib import suppress

from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from dashboard.access import on_phone
from dashboard.access.cookies import FORM, KNOWN, cookie_name
from dashboard.access.gate import accounts_of_home, end_here, form_token, sign_in_cookie
from dashboard.wording import CAUTION_SHORT
from pipelines.accounts.accounts import SIGN_IN_HOURS, token_sha256
from pipelines.accounts.file import CannotWrite
from pipelines.accounts.limits import KNOWN_DAYS
from schemas.html import Markup, as_html, html

STYLE = """@font-face{font-family:HouseSerif;src:url(/app/static/serif.woff2);font-weight:200 900}
@font-face{font-family:HouseSans;src:url(/app/static/sans.woff2);font-weight:200 800}
:root{--paper:#FBFAF6;--ink:#14181D;--soft:#545B63;--rule:#8A867C;--blue:#005A8C;--verm:#B34700;
 color-scheme:light dark}
@media(prefers-color-scheme:dark){
 :root{--paper:#14171A;--ink:#ECE8DF;--soft:#A9AEB3;--rule:#767C82;--blue:#7CC0EA;--verm:#FF9A62}}
body{margin:0;background:var(--paper);color:var(--ink);font:16px/1.45 HouseSans,system-ui,sans-serif}
main{max-width:25rem;margin:12vh auto 0;padding:0 1.25rem}
h1{font:600 1.7rem/1.2 HouseSerif,Georgia,serif;margin:0 0 .35rem}
p{margin:.4rem 0;color:var(--soft)} label{display:block;margin:1rem 0 .25rem}
input{width:100%;box-sizing:border-box;font:inherit;padding:.55rem .6rem;border:1px solid var(--rule);
 border-radius:3px;background:transparent;color:inherit}
input:focus,button:focus{outline:2px solid var(--blue);outline-offset:2px}
button{margin-top:1.3rem;font:inherit;font-weight:600;padding:.55rem 1.2rem;border:1.5px solid var(--ink);
 border-radius:3px;background:transparent;color:inherit;cursor:pointer}
a.club{display:inline-block;margin-top:1rem;color:var(--blue)}
.wrong{color:var(--ink);border-left:6px double var(--verm);padding-left:.7rem}
hr{border:0;border-top:1.5px solid var(--ink);margin:1.1rem 0 0}
table{width:100%;border-collapse:collapse} td{padding:.35rem .6rem .35rem 0;border-bottom:1px solid var(--rule);
 vertical-align:top} td form button{margin:0;white-space:nowrap;padding:.2rem .6rem} td.act{text-align:right}
h2{font:600 1.15rem/1.3 HouseSerif,Georgia,serif;margin:2rem 0 .3rem} code{font-size:.95rem;word-break:break-all}
svg.square{background:#fff;max-width:13rem;height:auto;display:block;margin:.8rem 0}
ol.codes{columns:2;padding-left:1.6rem}
small.name{color:var(--soft)} p.last{margin-top:2rem} noscript p{color:var(--ink)}
"""


# Where a form's secret goes. It holds a tag, so that nobody's name or device can be taken for it.
SECRET = html('<input type="hidden" name="form">')


def plain_page(
    request: Request, title: str, inner: Markup, path: str, status: int = 200, *, script: str = ""
) -> Response:
    """Return a page with one form; ``inner`` holds ``SECRET`` where the form's secret goes, and may run one script."""
    nonce = secrets.token_urlsafe(24)
    form = form_token(nonce, request.cookies.get(sign_in_cookie(request.scope), ""))
    if script:
        inner += html("<script>{}</script>", as_html(script))
    filled = html('<input type="hidden" name="form" value="{}">', form).join(inner.split(SECRET))
    page = (
        html('<!doctype html><html lang="en"><meta charset="utf-8"><meta name="viewport" content="width=device-width">')
        + html("{}<title>{}</title><style>{}</style>", on_phone.HEAD, title, as_html(STYLE))
        + html('<main>{}<p class="last"><small>{}</small></p></main></html>', filled, CAUTION_SHORT)
    )
    response = HTMLResponse(page, status_code=status, headers={"cache-control": "no-store"})
    response.headers["content-security-policy"] = _policy(script)
    response.set_cookie(cookie_name(FORM), nonce, httponly=True, samesite="strict", path=path, secure=is_https(request))
    return response


def _policy(script: str) -> str:
    """Return what a plain page may do: its own look and its one script, by their hashes, and nothing else."""
    run = f"script-src {_seen(script)}; " if script else ""
    return (
        f"default-src 'none'; {run}style-src {_seen(STYLE)}; img-src 'self'; font-src 'self'; manifest-src 'self'; "
        "frame-ancestors 'none'; base-uri 'none'; form-action 'self'"
    )


def _seen(text: str) -> str:
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"


def is_own_form(request: Request, told: str) -> bool:
    """Return whether a form was sent from the page we made for this browser."""
    nonce = request.cookies.get(cookie_name(FORM), "")
    expected = form_token(nonce, request.cookies.get(sign_in_cookie(request.scope), ""))
    return bool(nonce) and hmac.compare_digest(expected.encode(), told.encode())


def go_on(address: str) -> Response:
    """Lead to another origin from a form of ours, which itself leads to ours alone (``form-action``)."""
    page = html(
        '<!doctype html><html lang="en"><meta charset="utf-8"><meta http-equiv="refresh" content="0;url={}">'
        '<title>Sign out</title><p><a href="{}">Go on</a></p></html>',
        address,
        address,
    )
    return HTMLResponse(page, headers={"cache-control": "no-store", "referrer-policy": "no-referrer"})


def signed_in(request: Request, token: str, path: str) -> Response:
    """Go to the first page with the sign-in cookie. Under HTTPS, our own or a proxy's, the cookie never leaves it.

    Whoever was signed in with this browser before is signed out.
    """
    before = request.cookies.get(sign_in_cookie(request.scope), "")
    if before and before != token:
        end_here(token_sha256(before))
        with suppress(CannotWrite):
            accounts_of_home().sign_out(token_sha256(before))
    response = RedirectResponse("/", status_code=303)
    name = sign_in_cookie(request.scope)
    response.set_cookie(
        name, token, max_age=SIGN_IN_HOURS * 3600, httponly=True, samesite="lax", secure=is_https(request), path="/"
    )
    response.delete_cookie(cookie_name(FORM), path=path)
    return response


def known_from_now_on(request: Request, response: Response, token: str) -> None:
    """Let the browser be known at the next sign-in; the sign-in page alone is sent the cookie."""
    response.set_cookie(
        cookie_name(KNOWN), token, max_age=KNOWN_DAYS * 86400, httponly=True, samesite="strict", path="/login",
        secure=is_https(request),
    )  # fmt: skip


def is_https(request: Request) -> bool:
    """Return whether the browser speaks HTTPS, to us or to a proxy on this machine that says so."""
    return request.url.scheme == "https"


def device_of(request: Request) -> str:
    """Return what a browser calls itself, in three words: enough to know one's own devices apart."""
    told = request.headers.get("user-agent", "")
    browsers = (("Edg", "Edge"), ("Firefox", "Firefox"), ("Chrome", "Chrome"), ("Safari", "Safari"))
    systems = (("iPhone", "iPhone"), ("iPad", "iPad"), ("Android", "Android"), ("Windows", "Windows"),
               ("Mac OS", "Mac"), ("Linux", "Linux"))  # fmt: skip
    browser = next((name for sign, name in browsers if sign in told), "A browser")
    system = next((name for sign, name in systems if sign in told), "another system")
    return f"{browser} on {system}"


def address_of(request: Request) -> str:
    """Return where a request comes from; behind a proxy on this machine, whom the proxy names."""
    return request.client.host if request.client else ""
