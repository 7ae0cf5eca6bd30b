"""Who is looking. There is no default viewer: without a valid signed header nobody is, and nothing is shown."""

import streamlit as st

from dashboard.access.gate import accounts_of_home, viewer_from_header
from dashboard.access.viewer import Viewer


def _header() -> str | None:
    value = st.user.to_dict().get("local_user")
    return value if isinstance(value, str) and value else None


def current_viewer() -> Viewer | None:
    """Return who is signed in, asked anew on every run; null when the header is missing, forged or expired."""
    value = _header()
    return viewer_from_header(value) if value else None


def is_still(viewer: Viewer) -> bool:
    """Return whether somebody whom a page was drawn for is looking still, with the same rights.

    A part of a page that is drawn alone, and what a click in it calls, keep what they were given when the whole page
    was drawn: without asking, a tab left open would go on as somebody who has signed out, or reads less by now.
    """
    return current_viewer() == viewer


def prove_again(passphrase: str) -> None:
    """Take the pass-phrase of who is signed in again, before what cannot be undone.

    Raises:
        ThirdstepError: It is another one, or too many were tried.
    """
    value = _header() or ""
    if viewer_from_header(value) is not None:
        accounts_of_home().prove_again(value.partition("|")[0], passphrase)
