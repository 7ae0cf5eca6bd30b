"""A fault of ours on a page: said in our words with a reference, and written to the log with all that is known."""

import datetime as dt
import secrets
import sys
import traceback
from collections.abc import Iterator
from contextlib import contextmanager

import polars as pl
import streamlit as st

from dashboard import wording
from dashboard.parts import page
from schemas.html import html, join_html


@contextmanager
def in_own_words() -> Iterator[None]:
    """Say a fault of what is drawn within on the page, with the reference that finds it in the log.

    Where Streamlit is told to show a fault whole, as the tests do, it is left to it.
    """
    try:
        yield
    except (Exception, pl.exceptions.PanicException) as fault:  # a panic of Polars is no Exception
        if st.get_option("client.showErrorDetails") == "full":
            raise
        page.use_house_style()
        said, what_next = wording.page_fault(_note(fault))
        page.show(html('<div role="alert"><h2>{}</h2><p>{}</p></div>', said, what_next))


def _note(fault: BaseException) -> str:
    """Write a fault where ``thirdstep open`` keeps what the dashboard says, and return its reference."""
    reference = secrets.token_hex(4)
    when = dt.datetime.now(dt.UTC).isoformat(timespec="seconds")
    told = join_html(traceback.format_exception(fault))
    print(f"{when} fault {reference}\n{told}", file=sys.stderr, flush=True)
    return reference
