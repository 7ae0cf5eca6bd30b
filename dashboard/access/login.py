"""The sign-in page, and the page an invitation leads to."""

from contextlib import suppress
from functools import partial

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from dashboard.access import openid
from dashboard.access.cookies import KNOWN, cookie_name
from dashboard.access.forms import (
    SECRET,
    address_of,
    device_of,
    go_on,
    is_https,
    is_own_form,
    known_from_now_on,
    plain_page,
    signed_in,
)
from dashboard.access.gate import accounts_of_home, end_here, sign_in_cookie
from dashboard.access.hashing import BUSY, Busy, hashing
from dashboard.access.sign_in import club_of_home, sign_in_page, wrong_line
from pipelines.accounts.accounts import token_sha256
from pipelines.accounts.file import CannotWrite
from pipelines.accounts.invitations import SPENT, SignInNow
from pipelines.accounts.second import NO_CODE
from pipelines.errors import ThirdstepError
from schemas.html import Markup, html

FORM_OLD = "This form was open too long. Please try again."
# The token stands behind the '#' of the link: a browser keeps that part to itself, so it is in no log on the way.
_OPEN = html(
    """<h1>Join</h1><p>Opening your invitation…</p><hr>
<form method="post" action="/join" id="open">{}
<noscript><p>Paste the part of your link behind the #.</p></noscript>
<label for="token">Invitation</label><input id="token" name="token" required autocomplete="off">
<button>Open</button></form>""",
    SECRET,
)
_SEND_ON = """
const told=location.hash.slice(1);
if(told){history.replaceState(null,'','/join');document.getElementById('token').value=told;
document.getElementById('open').submit()}"""


def _sign_out_form(name: str) -> Markup:
    """Ask whether to sign out here or everywhere."""
    return html(
        """<h1>Sign out</h1><p>Signed in as <b>{}</b>.</p><hr>
<form method="post" action="/logout">{}
<button>Sign out</button> <button name="everywhere" value="1">Sign out on all devices</button></form>
<p><a class="club" href="/account">Your devices and second factor</a></p>
<p><a class="club" href="/">Stay signed in</a></p>""",
        name,
        SECRET,
    )


def _code_form(due: str, wrong: str = "") -> Markup:
    """Ask for the code of the second factor."""
    return html(
        """<h1>Second factor</h1><p>The six digits that your phone shows now, or one of your recovery codes.</p><hr>
<form method="post" action="/login/code">{}{}
<input type="hidden" name="due" value="{}">
<label for="code">Code</label>
<input id="code" name="code" autocomplete="one-time-code" required autofocus maxlength="60" spellcheck="false">
<button>Sign in</button></form>""",
        SECRET,
        wrong_line(wrong),
        due,
    )


def _join_form(name: str, token: str, wrong: str) -> Markup:
    """Ask an invited person for a pass-phrase."""
    return html(
        """<h1>Choose your pass-phrase</h1>
<p>Three or four words of your own do well. Your sign-in name is <b>{}</b>.</p><hr>
<form method="post" action="/join">{}{}
<input type="hidden" name="token" value="{}">
<input name="username" autocomplete="username" value="{}" readonly hidden>
<label for="passphrase">Pass-phrase, 12 characters or more</label>
<input id="passphrase" name="passphrase" type="password" autocomplete="new-password" minlength="12" required autofocus>
<button>Keep it and go on</button></form>""",
        name,
        SECRET,
        wrong_line(wrong),
        token,
        name,
    )


async def show(request: Request) -> Response:
    """Show the form."""
    return sign_in_page(request)


async def sign_in(request: Request) -> Response:
    """Check the form; set the sign-in cookie and go to the first page, or show the form again with what is wrong."""
    fields = await request.form()
    name, passphrase = str(fields.get("name", ""))[:60], str(fields.get("passphrase", ""))[:500]
    if not is_own_form(request, str(fields.get("form", ""))):
        return sign_in_page(request, 400, FORM_OLD, name)
    accounts, browser = accounts_of_home(), request.cookies.get(cookie_name(KNOWN), "")
    try:
        counted = await run_in_threadpool(accounts.count_try, name, address_of(request), browser)
        look = partial(accounts.look_at_try, counted, passphrase, browser, device_of(request))
        token, known, due = await hashing(look, is_known=bool(counted.browser))
    except ThirdstepError as error:
        return sign_in_page(request, 401, str(error), name)
    except Busy:
        return sign_in_page(request, 503, BUSY, name)
    if due:
        return plain_page(request, "Sign in", _code_form(due), "/login")
    response = signed_in(request, token, "/login")
    known_from_now_on(request, response, known)
    return response


async def give_code(request: Request) -> Response:
    """Check the code of the second factor, and sign in."""
    fields = await request.form()
    due, code = str(fields.get("due", ""))[:200], str(fields.get("code", ""))[:60]
    if not is_own_form(request, str(fields.get("form", ""))):
        return sign_in_page(request, 400, FORM_OLD)
    browser = request.cookies.get(cookie_name(KNOWN), "")
    finish = partial(accounts_of_home().finish_second, due, code, browser, device_of(request))
    try:
        token, known, _ = await run_in_threadpool(finish)
    except ThirdstepError as error:
        if str(error) == NO_CODE:
            return plain_page(request, "Sign in", _code_form(due, NO_CODE), "/login", 401)
        return sign_in_page(request, 401, str(error))
    response = signed_in(request, token, "/login")
    known_from_now_on(request, response, known)
    return response


async def show_invitation(request: Request) -> Response:
    """Show the page an invitation's link opens; it sends the token on by itself."""
    return plain_page(request, "Join", _OPEN, "/join", script=_SEND_ON)


async def join(request: Request) -> Response:
    """Open an invitation, then set the pass-phrase and sign in."""
    fields = await request.form()
    token, passphrase = str(fields.get("token", ""))[:200], fields.get("passphrase")
    if not is_own_form(request, str(fields.get("form", ""))):
        return plain_page(request, "Join", wrong_line(FORM_OLD) + _OPEN, "/join", 400, script=_SEND_ON)
    account = await run_in_threadpool(accounts_of_home().invited, token)
    if account is None:
        return plain_page(request, "Join", html("<h1>Join</h1>{}", wrong_line(SPENT)), "/join", 410)
    wrong = ""
    if passphrase is not None:
        try:
            join_now = partial(accounts_of_home().join, token, str(passphrase)[:500], device_of(request))
            return signed_in(request, await hashing(join_now), "/join")
        except SignInNow as set_now:
            return sign_in_page(request, 200, str(set_now), account.name)
        except ThirdstepError as error:
            wrong = str(error)
        except Busy:
            wrong = BUSY
    inner = _join_form(account.name, token, wrong)
    return plain_page(request, "Join", inner, "/join", 400 if wrong else 200)


async def show_sign_out(request: Request) -> Response:
    """Ask before a sign-in is ended: a link or picture of another page must not do it."""
    token = request.cookies.get(sign_in_cookie(request.scope), "")
    account = await run_in_threadpool(accounts_of_home().account_of, token_sha256(token)) if token else None
    if account is None:
        return RedirectResponse("/login", status_code=303)
    return plain_page(request, "Sign out", _sign_out_form(account.name), "/logout")


async def sign_out(request: Request) -> Response:
    """End the sign-in on the server, not only in the browser; or, asked so, every one of the account on all devices."""
    fields = await request.form()
    token = request.cookies.get(sign_in_cookie(request.scope), "")
    if not is_own_form(request, str(fields.get("form", ""))):
        return await show_sign_out(request)
    if token and fields.get("everywhere"):
        account = await run_in_threadpool(accounts_of_home().account_of, token_sha256(token))
        if account is not None:
            await run_in_threadpool(accounts_of_home().sign_out_everywhere, account.name, but=token_sha256(token))
    by_club_too = False
    if token:
        end_here(token_sha256(token))
        with suppress(CannotWrite):  # on a full disk it has ended here, and after a start it runs out
            by_club_too = await run_in_threadpool(accounts_of_home().sign_out, token_sha256(token))
    club = club_of_home() if by_club_too else None
    # who came in through the club leaves there as well: on a shared machine the next one would come in as them
    leave = await openid.leave(club) if club else None
    response = go_on(leave) if leave else RedirectResponse("/login", status_code=303)
    response.delete_cookie(
        sign_in_cookie(request.scope), path="/", secure=is_https(request), httponly=True, samesite="lax"
    )
    return response


ROUTES = [
    Route("/login", show, methods=["GET"]),
    Route("/login", sign_in, methods=["POST"]),
    Route("/login/code", give_code, methods=["POST"]),
    Route("/join", show_invitation, methods=["GET"]),
    Route("/join", join, methods=["POST"]),
    Route("/logout", show_sign_out, methods=["GET"]),
    Route("/logout", sign_out, methods=["POST"]),
    *openid.ROUTES,
]
