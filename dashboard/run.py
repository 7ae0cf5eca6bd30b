"""The dashboard's server: the gate, the sign-in page, then the Streamlit script. Started by ``thirdstep open``."""

import gc
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path

import streamlit as st
from starlette.middleware import Middleware

from dashboard import downloads as taking
from dashboard.access import lines, login, on_phone, own
from dashboard.access.gate import Gate
from dashboard.sheets.route import ROUTES as SHEETS


@asynccontextmanager
async def _warm_up(_: st.App) -> AsyncIterator[None]:
    """Import what pages use before the first visitor, then keep it out of the collector.

    Streamlit collects garbage after every run; walking the imported libraries each time was most of a page turn.
    """
    import altair  # noqa: F401
    import pandas  # noqa: F401 - else one page meets it half imported by another's first chart (found by the soak)
    import polars  # noqa: F401

    import dashboard.board  # noqa: F401
    import pipelines.flow  # noqa: F401

    lines.hurry_handshakes()
    gc.collect()
    gc.freeze()
    gc.enable()  # where it is our own process, it was at rest until now (serve.py)
    yield


ROUTES = [*login.ROUTES, *own.ROUTES, *on_phone.ROUTES, *taking.ROUTES, *SHEETS]
app = st.App(
    Path(__file__).parent / "app.py",
    routes=ROUTES,
    middleware=[Middleware(Gate), Middleware(on_phone.WithManifest)],
    lifespan=_warm_up,
)
