"""One's own sign-in: on which devices one is signed in, and a second factor. A plain page, behind the gate.

To who owes a second factor it is the only page there is.
"""

import io
from functools import partial

import segno
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from dashboard.access.forms import SECRET, is_own_form, plain_page
from dashboard.access.gate import HEADER, account_of, accounts_of_home, sign_in_cookie, viewer_from_header
from dashboard.access.hashing import BUSY, Busy, hashing
from dashboard.access.sign_in import wrong_line
from dashboard.access.viewer import Viewer
from pipelines.accounts.accounts import token_sha256
from pipelines.accounts.devices import SHORT
from pipelines.accounts.second import address_of
from pipelines.errors import ThirdstepError
from schemas.html import Markup, as_html, html, join_html

PATH = "/account"
PROVEN = ("begin", "off", "codes")  # asked for with the pass-phrase again
FORM_OLD = "This form was open too long. Please try again."
_OWES = (
    "Your squad asks for one: a pass-phrase alone opens nothing. You need an authenticator on a phone of yours, and it "
    "takes two minutes. Everything else opens once it is on."
)
_NEW_KEY = "Take it off and set it up anew; until then sign in with a recovery code."


def _again(do: str) -> Markup:
    return html(
        '<label for="again-{}">Your pass-phrase, again</label><input id="again-{}" name="passphrase" type="password"'
        ' autocomplete="current-password" required>',
        do,
        do,
    )


def _form(do: str, button: str, inner: Markup) -> Markup:
    return html(
        '<form method="post" action="{}">{}<input type="hidden" name="do" value="{}">', PATH, SECRET, do
    ) + html("{}<button>{}</button></form>", inner, button)


def _devices(viewer: Viewer, here: str) -> Markup:
    rows = []
    for one in accounts_of_home().devices_of(viewer.name):
        when = html("since {}<br>seen {}", _time(one.started_at), _time(one.seen_at))
        inner = html('<input type="hidden" name="which" value="{}">', one.short)
        act = "this one" if one.short == here[:SHORT] else _form("end", "Sign out", inner)
        rows.append(
            html('<tr><td>{}<br><small class="name">{}</small></td>', one.device or "A browser", when)
            + html('<td class="act">{}</td></tr>', act)
        )
    return html("<h2>Signed in on</h2><table>{}</table>", join_html(rows))


def _time(at: str) -> str:
    return f"{at[:16].replace('T', ' ')} UTC"


def _square(text: str) -> Markup:
    told = io.BytesIO()
    segno.make(text, error="m").save(
        told, kind="svg", scale=4, border=2, xmldecl=False, svgclass="square", lineclass=None
    )
    return as_html(told.getvalue().decode())


def _second(viewer: Viewer, here: str) -> Markup:
    accounts, head = accounts_of_home(), html("<h2>Second factor</h2>")
    if accounts.has_second(viewer.name):
        left = accounts.codes_left(viewer.name)
        said = f"On: signing in asks for a code of your phone. {left} recovery code{'s' if left != 1 else ''} left."
        if not accounts.second_is_readable(viewer.name):
            said = (
                f"On, but its key did not come with the backup: your phone's codes do not work. {_NEW_KEY} {left} left."
            )
        return (
            head
            + html("<p>{}</p>", said)
            + _form("codes", "Make new recovery codes", _again("codes"))
            + html("<p>For another phone, take it off and set it up anew.</p>")
            + _form("off", "Take it off", _again("off"))
        )
    secret = accounts.second_begun(viewer.name) if accounts.is_fresh(here) else ""  # no open laptop shows it
    if secret:
        square = _square(address_of(viewer.name, secret))
        inner = html(
            '<label for="code">The six digits it shows now</label>'
            '<input id="code" name="code" autocomplete="one-time-code" inputmode="numeric" required>'
        )
        how = html("<p>Scan this with an authenticator on your phone, or type the key.</p>{}", square)
        return head + how + html("<p><code>{}</code></p>", secret) + _form("confirm", "Turn it on", inner)
    off = "Off. With it, a pass-phrase alone signs nobody in: a code of your phone is asked too."
    return head + html("<p>{}</p>", off) + _form("begin", "Set it up", _again("begin"))


def _page(request: Request, viewer: Viewer, here: str, said: Markup | None = None, status: int = 200) -> Response:
    account = account_of(here)
    if account is not None and account.owes_second:
        owes = (
            html("<h1>Set up your second factor</h1><p>Signed in as <b>{}</b>.</p><hr>{}", viewer.name, said)
            + html("<p>{}</p>", _OWES)
            + _second(viewer, here)
            + html('<p><a class="club" href="/logout">Sign out</a></p>')
        )
        return plain_page(request, "Your sign-in", owes, PATH, status)
    inner = (
        html("<h1>Your sign-in</h1><p>Signed in as <b>{}</b>.</p><hr>{}", viewer.name, said)
        + _devices(viewer, here)
        + _second(viewer, here)
        + html('<p><a class="club" href="/">Back to the dashboard</a></p>')
        + html('<p><a class="club" href="/logout">Sign out</a></p>')
    )
    return plain_page(request, "Your sign-in", inner, PATH, status)


def _codes(codes: list[str]) -> Markup:
    items = join_html(html("<li><code>{}</code></li>", one) for one in codes)
    return html(
        "<h2>Recovery codes</h2><p><b>Print these now, or write them down: they are shown once.</b> Each signs you in "
        'once, when your phone is lost.</p><ol class="codes">{}</ol>',
        items,
    )


async def show(request: Request) -> Response:
    """Show one's devices and second factor."""
    viewer, here = _who(request)
    return RedirectResponse("/login", status_code=303) if viewer is None else _page(request, viewer, here)


async def act(request: Request) -> Response:
    """Sign out on one device; set up, turn on or take off the second factor."""
    fields = await request.form()
    viewer, here = _who(request)
    if viewer is None:
        return RedirectResponse("/login", status_code=303)
    if not is_own_form(request, str(fields.get("form", ""))):
        return _page(request, viewer, here, wrong_line(FORM_OLD), 400)
    told = {name: str(fields.get(name, ""))[:500] for name in ("do", "which", "passphrase", "code")}
    try:
        if told["do"] in PROVEN:
            await hashing(partial(accounts_of_home().prove_again, here, told["passphrase"]), is_known=True)
        said = await run_in_threadpool(_do, viewer, told)
    except ThirdstepError as wrong:
        return _page(request, viewer, here, wrong_line(str(wrong)), 400)
    except Busy:
        return _page(request, viewer, here, wrong_line(BUSY), 503)
    return _page(request, viewer, here, said)


def _do(viewer: Viewer, told: dict[str, str]) -> Markup:
    """Do what was asked, once it was proven where that is asked."""
    accounts = accounts_of_home()
    if told["do"] == "end":
        accounts.end_one(viewer.name, told["which"])
        return html("<p>Signed out there.</p>")
    if told["do"] == "confirm":
        return _codes(accounts.confirm_second(viewer.name, told["code"]))
    if told["do"] == "codes":
        return _codes(accounts.renew_codes(viewer.name))
    if told["do"] == "begin":
        accounts.begin_second(viewer.name)
    if told["do"] == "off":
        accounts.remove_second(viewer.name)
        return html("<p>The second factor is off.</p>")
    return Markup()


def _who(request: Request) -> tuple[Viewer | None, str]:
    here = token_sha256(request.cookies.get(sign_in_cookie(request.scope), ""))
    return viewer_from_header(request.headers.get(HEADER), sets_up=True), here


ROUTES = [Route(PATH, show, methods=["GET"]), Route(PATH, act, methods=["POST"])]
