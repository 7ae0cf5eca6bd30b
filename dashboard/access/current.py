"""Who is looking. There is no default viewer: without a valid signed header nobody is, and nothing is shown."""

import streamlit as st

from dashboard.access.gate import viewer_from_header
from dashboard.access.viewer import Viewer


def current_viewer() -> Viewer | None:
    """Return who is signed in, asked anew on every run; null when the header is missing, forged or expired."""
    value = st.user.to_dict().get("local_user")
    return viewer_from_header(value) if isinstance(value, str) and value else None
