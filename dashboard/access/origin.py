"""From which page a request comes, and by which name we were called: asked of every route, exactly, with the port.

A page on another port of this machine is of the same site for a browser, which sends our cookies along to it and from
it. So a websocket is opened, and anything changed, only by a page of this very origin (RFC 6454); and no page answers
to a name that is not ours, so that a name of somebody else's that leads here (DNS rebinding) shows nothing.
"""

import re

import streamlit as st
from starlette.datastructures import Headers
from starlette.types import Scope

OWN_NAMES = ("127.0.0.1", "localhost")
SAFE_METHODS = ("GET", "HEAD", "OPTIONS")
_HOST = re.compile(r"(\[[0-9a-f:.]+\]|[a-z0-9._-]+)(?::\d{1,5})?")


def host_of(scope: Scope) -> str:
    """Return the host and port a request is sent to, in lower case; "" where it is no name of ours."""
    told = Headers(scope=scope).getlist("host")
    found = _HOST.fullmatch(told[0].lower()) if len(told) == 1 else None
    if found is None:
        return ""
    names = {name.lower() for name in st.get_option("server.allowedHosts") or ()} or set(OWN_NAMES)
    return told[0].lower() if found[1] in names or found[1].strip("[]") in names else ""


def is_own_page(scope: Scope) -> bool:
    """Return whether a request may come from the page that it says it comes from.

    One that says its length in two ways is nobody's: what stands behind it could be read as another request.
    """
    if {"content-length", "transfer-encoding"} <= set(Headers(scope=scope).keys()):
        return False
    if scope["type"] == "http" and scope["method"] in SAFE_METHODS:
        return True
    scheme = "https" if scope["scheme"] in ("https", "wss") else "http"
    return Headers(scope=scope).getlist("origin") == [f"{scheme}://{host_of(scope)}"]
