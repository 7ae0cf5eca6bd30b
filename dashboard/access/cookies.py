"""What our cookies are called. Browsers keep cookies apart by host and not by port (RFC 6265, section 8.5), so two
homes served on one machine would overwrite each other's sign-in: each home has names of its own.
"""

import hashlib
from pathlib import Path

from dashboard.home import home_folder

KNOWN = "known"  # of a browser that somebody has signed in with: others' guesses do not keep it out
FORM = "form"
OPENID = "openid"
SIGN_IN = "sign_in"
MARK_LENGTH = 12  # hexadecimal digits; own choice


def cookie_name(what: str, home: Path | None = None, *, is_https: bool = False) -> str:
    """Return the name of a cookie of one home, by where it lies: a copy of a home is another one.

    Args:
        what: Which cookie.
        home: Whose; else the home that is served.
        is_https: The sign-in's name then begins with ``__Host-``, which a browser takes over HTTPS alone and from this
            very host (RFC 6265bis, section 4.1.3.2).
    """
    place = (home or home_folder()).resolve()
    mark = hashlib.sha256(str(place).encode()).hexdigest()[:MARK_LENGTH]
    return f"{'__Host-' if is_https and what == SIGN_IN else ''}thirdstep_{mark}_{what}"
