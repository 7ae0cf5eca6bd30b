"""One's own sign-in: on which devices one is signed in, and a second factor. A plain page, behind the gate.

To who owes a second factor it is the only page there is.
"""

import io
from html import escape

import segno
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from dashboard.access.forms import is_own_form, plain_page
from dashboard.access.gate import HEADER, account_of, accounts_of_home, sign_in_cookie, viewer_from_header
from dashboard.access.sign_in import wrong_line
from dashboard.access.viewer import Viewer
from pipelines.accounts.accounts import token_sha256
from pipelines.accounts.devices import SHORT
from pipelines.accounts.second import address_of
from pipelines.errors import ThirdstepError

PATH = "/account"
FORM_OLD = "This form was open too long. Please try again."
_OWES = (
    "Your squad asks for one: a pass-phrase alone opens nothing. You need an authenticator on a phone of yours, and it "
    "takes two minutes. Everything else opens once it is on."
)
_NEW_KEY = "Take it off and set it up anew; until then sign in with a recovery code."
_AGAIN = (
    '<label for="again-{do}">Your pass-phrase, again</label><input id="again-{do}" name="passphrase" type="password"'
    ' autocomplete="current-password" required>'
)


def _form(do: str, button: str, inner: str = "") -> str:
    return (
        f'<form method="post" action="{PATH}"><input type="hidden" name="form" value="{{form}}">'
        f'<input type="hidden" name="do" value="{do}">{inner}<button>{escape(button)}</button></form>'
    )


def _devices(viewer: Viewer, here: str) -> str:
    rows = []
    for one in accounts_of_home().devices_of(viewer.name):
        when = f"since {_time(one.started_at)}<br>seen {_time(one.seen_at)}"
        inner = f'<input type="hidden" name="which" value="{escape(one.short, quote=True)}">'
        act = "this one" if one.short == here[:SHORT] else _form("end", "Sign out", inner)
        name = escape(one.device or "A browser")
        rows.append(f'<tr><td>{name}<br><small class="name">{when}</small></td><td class="act">{act}</td></tr>')
    return f"<h2>Signed in on</h2><table>{''.join(rows)}</table>"


def _time(at: str) -> str:
    return escape(at[:16].replace("T", " ")) + " UTC"


def _square(text: str) -> str:
    told = io.BytesIO()
    segno.make(text, error="m").save(
        told, kind="svg", scale=4, border=2, xmldecl=False, svgclass="square", lineclass=None
    )
    return told.getvalue().decode()


def _second(viewer: Viewer, here: str) -> str:
    accounts, head = accounts_of_home(), "<h2>Second factor</h2>"
    if accounts.has_second(viewer.name):
        left = accounts.codes_left(viewer.name)
        said = f"On: signing in asks for a code of your phone. {left} recovery code{'s' if left != 1 else ''} left."
        if not accounts.second_is_readable(viewer.name):
            said = (
                f"On, but its key did not come with the backup: your phone's codes do not work. {_NEW_KEY} {left} left."
            )
        again, off = (_AGAIN.replace("{do}", do) for do in ("codes", "off"))
        return (
            f"{head}<p>{said}</p>{_form('codes', 'Make new recovery codes', again)}"
            f"<p>For another phone, take it off and set it up anew.</p>{_form('off', 'Take it off', off)}"
        )
    secret = accounts.second_begun(viewer.name) if accounts.is_fresh(here) else ""  # no open laptop shows it
    if secret:
        square = _square(address_of(viewer.name, secret))
        inner = (
            '<label for="code">The six digits it shows now</label>'
            '<input id="code" name="code" autocomplete="one-time-code" inputmode="numeric" required>'
        )
        return (
            f"{head}<p>Scan this with an authenticator on your phone, or type the key.</p>{square}"
            f"<p><code>{escape(secret)}</code></p>{_form('confirm', 'Turn it on', inner)}"
        )
    said = "Off. With it, a pass-phrase alone signs nobody in: a code of your phone is asked too."
    inner = _AGAIN.replace("{do}", "begin")
    return f"{head}<p>{said}</p>{_form('begin', 'Set it up', inner)}"


def _page(request: Request, viewer: Viewer, here: str, said: str = "", status: int = 200) -> Response:
    account = account_of(here)
    if account is not None and account.owes_second:
        inner = (
            f"<h1>Set up your second factor</h1><p>Signed in as <b>{escape(viewer.name)}</b>.</p><hr>{said}"
            f"<p>{_OWES}</p>"
            f'{_second(viewer, here)}<p><a class="club" href="/logout">Sign out</a></p>'
        )
        return plain_page(request, "Your sign-in", inner, PATH, status)
    inner = (
        f"<h1>Your sign-in</h1><p>Signed in as <b>{escape(viewer.name)}</b>.</p><hr>{said}{_devices(viewer, here)}"
        f'{_second(viewer, here)}<p><a class="club" href="/">Back to the dashboard</a></p>'
        f'<p><a class="club" href="/logout">Sign out</a></p>'
    )
    return plain_page(request, "Your sign-in", inner, PATH, status)


def _codes(codes: list[str]) -> str:
    items = "".join(f"<li><code>{escape(one)}</code></li>" for one in codes)
    return (
        "<h2>Recovery codes</h2><p><b>Print these now, or write them down: they are shown once.</b> Each signs you in "
        f'once, when your phone is lost.</p><ol class="codes">{items}</ol>'
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
        said = await run_in_threadpool(_do, viewer, here, told)
    except ThirdstepError as wrong:
        return _page(request, viewer, here, wrong_line(str(wrong)), 400)
    return _page(request, viewer, here, said)


def _do(viewer: Viewer, here: str, told: dict[str, str]) -> str:
    accounts = accounts_of_home()
    if told["do"] == "end":
        accounts.end_one(viewer.name, told["which"])
        return "<p>Signed out there.</p>"
    if told["do"] == "confirm":
        return _codes(accounts.confirm_second(viewer.name, told["code"]))
    if told["do"] in ("begin", "off", "codes"):
        accounts.prove_again(here, told["passphrase"])
        if told["do"] == "codes":
            return _codes(accounts.renew_codes(viewer.name))
        if told["do"] == "begin":
            accounts.begin_second(viewer.name)
            return ""
        accounts.remove_second(viewer.name)
        return "<p>The second factor is off.</p>"
    return ""


def _who(request: Request) -> tuple[Viewer | None, str]:
    here = token_sha256(request.cookies.get(sign_in_cookie(request.scope), ""))
    return viewer_from_header(request.headers.get(HEADER), sets_up=True), here


ROUTES = [Route(PATH, show, methods=["GET"]), Route(PATH, act, methods=["POST"])]
