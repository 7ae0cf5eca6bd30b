"""Sources are kept byte for byte, and the log of what was done is whole or not there."""

import datetime as dt
import hashlib
import json

import pytest

from pipelines.errors import ThirdstepError
from pipelines.record.sources import checksum, journal, keep, read_source, source_path

AT = dt.datetime(2026, 11, 2, 9, 30)


def test_the_checksum_is_the_published_one():
    # FIPS 180-4 (NIST), SHA-256 of "abc", the standard's own example (from memory)
    assert checksum(b"abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"


def test_bytes_are_kept_as_they_came_with_who_when_and_name(tmp_path):
    content = "é;1,80\r\n".encode("cp1252")
    sha256 = keep(tmp_path, "Zeiten März.csv", content, "coach", AT)
    assert sha256 == hashlib.sha256(content).hexdigest()
    assert read_source(tmp_path, sha256) == content
    note = json.loads(source_path(tmp_path, sha256).with_suffix(".json").read_text())
    assert (note["name"], note["by"], note["at"]) == ("Zeiten März.csv", "coach", "2026-11-02T09:30:00")
    assert not list(tmp_path.rglob("*.part"))


def test_a_changed_or_missing_source_is_named(tmp_path):
    sha256 = keep(tmp_path, "a.csv", b"one", "coach", AT)
    source_path(tmp_path, sha256).write_bytes(b"two")
    with pytest.raises(ThirdstepError, match="damaged"):
        read_source(tmp_path, sha256)
    source_path(tmp_path, sha256).unlink()
    with pytest.raises(ThirdstepError, match="missing"):
        read_source(tmp_path, sha256)


def test_an_event_reads_back_as_it_was_written(tmp_path):
    event = journal.Event(
        1, "load", 1, "coach", AT, "ab" * 32, "a.csv", "file", dt.date(2026, 11, 2), {"date_order": "day"}
    )
    journal.write_event(tmp_path, event)
    journal.write_event(tmp_path, journal.Event(2, "undo", 1, "coach", AT))
    assert next(iter(journal.read_events(tmp_path))) == event
    assert journal.last_event_no(tmp_path) == 2


def test_a_gap_in_the_log_is_named_and_not_passed_over(tmp_path):
    for number in (1, 2, 3):
        journal.write_event(tmp_path, journal.Event(number, "undo", 1, "coach", AT))
    journal.take_away(tmp_path, 2)
    with pytest.raises(ThirdstepError, match="Event 2"):
        list(journal.read_events(tmp_path))
