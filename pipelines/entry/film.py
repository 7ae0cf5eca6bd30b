"""Marks of a film from the page: put by while somebody works on them, and kept as a source when they are done."""

import dataclasses
import hashlib
import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import polars as pl

from pipelines.entry import batch
from pipelines.errors import ThirdstepError
from pipelines.home.durable import write_durably
from pipelines.home.folder import Home, say_nothing
from pipelines.intake.passage import Given, read_given
from pipelines.readers.film.marks import RUN, marks_of, parse_marks, write_marks
from pipelines.record import loading, opening, warehouse
from pipelines.record.loading import Outcome
from pipelines.record.rights import as_writer
from pipelines.record.sources import read_source
from schemas.intake import LEAVE_UNKNOWN, LayoutOptions
from schemas.rights import Writer

FOLDER = "in_hand"
SAID_NOTHING = LayoutOptions(start_kind=LEAVE_UNKNOWN, clock_start=LEAVE_UNKNOWN, timing_kind=LEAVE_UNKNOWN)
LARGEST = 200_000  # bytes; four contacts with every point are under 6 kB


def name_of(run: Mapping[str, Any]) -> str:
    """Return the name the marks of a run are kept under: one run, one name, so that newer ones take its place."""
    athlete, day, session, rep = (run[name] for name in RUN)
    return f"{athlete} {day} session {session} run {rep}.marks"


def keep(home: Home, told: Mapping[str, Any], by: str | Writer) -> Outcome:
    """Keep the marks of a film as a source, whole or not at all; earlier ones of the same run go out of force.

    Raises:
        ThirdstepError: They are not whole, or a row of them cannot be stored; the sentence says which and why.
    """
    writer = as_writer(by)
    given = _given(told, writer.name)
    tried = batch.try_one(home, given, writer)
    if tried.problem or tried.reasons:  # one cell that cannot be is enough: marks are kept whole
        raise ThirdstepError(tried.problem or " ".join(dict.fromkeys(str(one["reason"]) for one in tried.reasons)))
    outcome = batch.store_one(home, given, writer, say_nothing)
    with opening.record(home) as con:
        log = warehouse.table(con, "load").filter(
            pl.col("source_name") == given.name, pl.col("undone_at").is_null(), pl.col("load_no") != outcome.load_no
        )
        for load_no, sha256 in log.select("load_no", "source_sha256").iter_rows():
            if kept_marks(home, sha256)["run"] == told["run"]:  # its rows are this run's alone: what was just kept
                loading.set_undone(con, home, load_no, "undo", writer.name, opening.now())
    put_away(home, writer.name, told["run"])
    return outcome


def _given(told: Mapping[str, Any], by: str) -> Given:
    content = write_marks(told, by, opening.now(to_the_second=False).isoformat())
    if len(content) > LARGEST:
        raise ThirdstepError("These are more marks than a film of a start has. Nothing was kept.")
    return dataclasses.replace(read_given(name_of(told["run"]), content, SAID_NOTHING), options=SAID_NOTHING)


def measured(told: Mapping[str, Any]) -> dict[str, Any]:
    """Say what follows from the marks of a film, kept or not: speed, times, lengths, angles, each with its error.

    Raises:
        ThirdstepError: They are of no format of ours.
    """
    from pipelines.readers.film.measures import as_told, measure_film  # scipy takes a moment

    try:
        return as_told(measure_film(marks_of(told)))
    except (ValueError, KeyError, TypeError) as trouble:
        raise ThirdstepError(f"The marks cannot be read ({trouble}). Open the film again.") from trouble


def kept_marks(home: Home, sha256: str) -> Mapping[str, Any]:
    """Return the marks of a kept film as they were given.

    Raises:
        ThirdstepError: The source is not there, or holds no marks.
    """
    return parse_marks("the kept marks", read_source(home.sources, sha256))[1]


def kept_bytes(home: Home, sha256: str) -> bytes:
    """Return the marks of a kept film as a file to take away."""
    content = read_source(home.sources, sha256)
    parse_marks("the kept marks", content)
    return content


def put_by(home: Home, told: Mapping[str, Any], by: str) -> None:
    """Put unfinished marks by, so that they are there again after anything."""
    content = json.dumps({"by": by, "marks": told}, ensure_ascii=False).encode()
    if len(content) <= LARGEST:
        write_durably(_place(home, by, told["run"]), content)


def in_hand(home: Home, by: str, run: Mapping[str, Any]) -> Mapping[str, Any] | None:
    """Return the unfinished marks of somebody on a run, null where there are none."""
    try:
        return dict(json.loads(_place(home, by, run).read_text(encoding="utf-8"))["marks"])
    except (OSError, ValueError, KeyError):
        return None


def put_away(home: Home, by: str, run: Mapping[str, Any]) -> None:
    """Throw unfinished marks away: they are kept now, or not wanted."""
    _place(home, by, run).unlink(missing_ok=True)


def forget_person(home: Home, athlete_id: str) -> None:
    """Throw away what anybody has in hand of a person."""
    for path in (home.root / FOLDER).glob("film-*.json"):
        try:
            is_theirs = json.loads(path.read_text(encoding="utf-8"))["marks"]["run"]["athlete_id"] == athlete_id
        except (ValueError, KeyError, TypeError):
            is_theirs = True
        if is_theirs:
            path.unlink(missing_ok=True)


def _place(home: Home, by: str, run: Mapping[str, Any]) -> Path:
    told = json.dumps([by, *(str(run[name]) for name in RUN)])
    return home.root / FOLDER / f"film-{hashlib.sha256(told.encode()).hexdigest()[:24]}.json"
