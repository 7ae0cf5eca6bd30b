"""The sign-in page: a form, and the way through a club's own sign-in where there is one."""

import logging
from pathlib import Path

from starlette.requests import Request
from starlette.responses import Response

from dashboard.access.forms import SECRET, plain_page
from dashboard.access.gate import accounts_of_home
from dashboard.wording.signing_in import by_club
from pipelines.accounts.openid import ClubSignIn, club_sign_in
from pipelines.errors import ThirdstepError
from schemas.html import Markup, html

START = "/openid/start"
_log = logging.getLogger(__name__)


def club_of_home() -> ClubSignIn | None:
    """Return the club's sign-in of the home folder that is served; null where there is none or it is set up wrongly."""
    try:
        return club_sign_in(Path(accounts_of_home().path).parent)
    except ThirdstepError as wrong:
        _log.error("the club's sign-in is not offered: %s", wrong)  # names of settings only, never the secret
        return None


def wrong_line(sentence: str) -> Markup:
    """Return a sentence on what was wrong; nothing for none."""
    return html('<p class="wrong" role="alert">{}</p>', sentence) if sentence else Markup()


def sign_in_page(request: Request, status: int = 200, wrong: str = "", name: str = "") -> Response:
    """Return the form, with what was wrong; beside it the way through the club's own sign-in where there is one."""
    club = club_of_home()
    beside = html('<p><a class="club" href="{}">{}</a></p>', START, by_club(club.label)) if club else ""
    inner = html(
        """<h1>Sign in</h1><p>Each person sees only what is theirs to see.</p><hr>
<form method="post" action="/login">{}{}
<label for="name">Name</label>
<input id="name" name="name" autocomplete="username" required autofocus value="{}">
<label for="passphrase">Pass-phrase</label>
<input id="passphrase" name="passphrase" type="password" autocomplete="current-password" required>
<button>Sign in</button></form>{}""",
        SECRET,
        wrong_line(wrong),
        name,
        beside,
    )
    return plain_page(request, "Sign in", inner, "/login", status)
