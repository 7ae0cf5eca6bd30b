"""An address that is not somebody's: their own first page, and one sentence that says so."""

from collections.abc import Callable

import pytest
import streamlit as st

from dashboard import wording
from dashboard.access.viewer import Viewer
from tests.dashboard.conftest import ATHLETE, HEAD, STAFF, html_of


@pytest.mark.parametrize(
    ("viewer", "path", "said"),
    [
        (ATHLETE, "/athlete?athlete=marit-oakhollow", wording.NOT_YOURS),
        (ATHLETE, "/plan", wording.NOT_YOURS),
        (ATHLETE, "/nowhere", wording.NO_SUCH_PAGE),
        (ATHLETE, "/my-start", ""),
        (STAFF, "/people", wording.NOT_YOURS),
        (STAFF, "/hindsight", wording.NOT_YOURS),
        (STAFF, "/check-in", wording.NOT_YOURS),
        (STAFF, "/", ""),
        (HEAD, "/people", ""),
        (HEAD, "/an/address/of/many/parts", ""),  # no page can have it: left to the framework
    ],
)
def test_who_asks_for_a_page_that_is_not_theirs_is_told(
    open_as: Callable, monkeypatch: pytest.MonkeyPatch, viewer: Viewer, path: str, said: str
):
    monkeypatch.setattr(type(st.context), "url", property(lambda _: f"http://127.0.0.1:8501{path}"))
    drawn = html_of(open_as(viewer))
    assert [one for one in (wording.NOT_YOURS, wording.NO_SUCH_PAGE) if one in drawn] == ([said] if said else [])
    if viewer is ATHLETE:
        assert "Marit" not in drawn
