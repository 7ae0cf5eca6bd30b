"""A fault on a page is told in our words, and its whole story stands in the log under the reference that is shown."""

import re
import tomllib
from pathlib import Path

import polars as pl
import pytest
import streamlit as st
from streamlit.testing.v1 import AppTest

from pipelines import flow
from pipelines.errors import ThirdstepError
from pipelines.outputs import server

CONFIG = Path(__file__).parents[2] / "dashboard" / ".streamlit" / "config.toml"


def fault_page(kind: str) -> None:
    import polars as pl

    from dashboard.parts.faults import in_own_words

    with in_own_words():
        raise pl.exceptions.PanicException("a wrong index") if kind == "panic" else KeyError("secret column")


@pytest.mark.parametrize("kind", ["panic", "plain"])
def test_a_fault_is_said_with_a_reference_that_stands_in_the_log(kind, capfd, monkeypatch):
    monkeypatch.setattr(st, "get_option", lambda name: "none")
    at = AppTest.from_function(fault_page, args=(kind,), default_timeout=60).run()
    assert not at.exception
    shown = " ".join(part.proto.body for part in at.get("html"))
    reference = re.search(r"reference ([0-9a-f]{8}),", shown)
    assert reference, shown
    assert "dashboard.log" in shown
    assert "secret column" not in shown
    assert "http" not in re.sub(r"<style>.*?</style>", "", shown, flags=re.S)
    told = capfd.readouterr().err
    assert f"fault {reference[1]}\n" in told
    assert "Traceback" in told
    assert ("a wrong index" if kind == "panic" else "secret column") in told


def test_a_page_that_asks_to_be_drawn_again_or_to_stop_is_no_fault():
    from streamlit.runtime.scriptrunner_utils.exceptions import ScriptControlException

    assert not issubclass(ScriptControlException, (Exception, pl.exceptions.PanicException))


def test_no_error_of_the_framework_offers_a_search_engine():
    client = tomllib.loads(CONFIG.read_text(encoding="utf-8"))["client"]
    assert (client["showErrorDetails"], client["showErrorLinks"]) == ("none", False)


def test_what_kept_the_dashboard_from_starting_stands_in_a_log_that_is_named(tmp_path, monkeypatch):
    home = flow.find_home(tmp_path / "home")
    lines = "import sys; print('first', file=sys.stderr); print('it is broken', file=sys.stderr)"
    monkeypatch.setattr(server, "_command", lambda *_: [server.sys.executable, "-c", lines])
    for _ in range(2):
        with pytest.raises(ThirdstepError, match="it is broken") as told:
            server.serve(home, None, False, print)
        assert str(home.dashboard_log) in told.value.message
    assert home.dashboard_log.read_text(encoding="utf-8").splitlines() == ["first", "it is broken"] * 2


def test_a_long_log_is_put_aside(tmp_path, monkeypatch):
    home = flow.find_home(tmp_path / "home")
    monkeypatch.setattr(server, "LONGEST_LOG_BYTES", 10)
    with server._log(home) as log:
        log.write("twenty letters of it")
    server._log(home).close()
    assert home.dashboard_log.read_text(encoding="utf-8") == ""
    assert home.dashboard_log.with_suffix(".before.log").read_text(encoding="utf-8") == "twenty letters of it"
