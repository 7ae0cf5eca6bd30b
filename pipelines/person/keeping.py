"""Erasing what is past its keeping: health rows older than the squad keeps them, out of sources, record and history.

The same way as a person is erased: sources and log are made anew without those rows, the record is replayed from them,
and nothing else may have changed. A line of a source that also says something that is kept stays, and is counted.
"""

import dataclasses
import json
import shutil
from collections.abc import Callable
from contextlib import closing
from typing import Any

import polars as pl

from pipelines.errors import ThirdstepError
from pipelines.home.folder import Home, Say, only_publisher, say_nothing
from pipelines.home.settings import read_settings
from pipelines.intake.passage import read_texts
from pipelines.person import cutting, retention
from pipelines.person.cutting import Cut
from pipelines.person.erasure import copy_the_rest, keep_again, write_log
from pipelines.person.naming import Named
from pipelines.person.retention import HEALTH, old_rows
from pipelines.record import opening, replaying, warehouse
from pipelines.record import replacement as swapping
from pipelines.record.sources import journal, read_source
from schemas.settings import SquadSettings

NOBODY = Named("", frozenset(), ())
PLACE = ["load_no", "source_sheet", "source_line"]


@dataclasses.dataclass(frozen=True)
class Past:
    """The receipt: how many rows went, by table, and how many stay because their line says something else too."""

    rows: dict[str, int]
    left: dict[str, int]
    sources_changed: int
    sources_gone: int


def past_keeping(home: Home, say: Say = say_nothing) -> pl.DataFrame:
    """List what is older than the squad's settings say it is kept; nothing is erased by itself."""
    with opening.record(home, say, to_look=True) as con:
        frames = warehouse.record_frames(con)
    squad = read_settings(home.settings)
    return retention.past_keeping(frames, squad, opening.looking_from(squad))


def erase_past(
    home: Home,
    by: str,
    settings: SquadSettings,
    say: Say = say_nothing,
    tell: Callable[[int, int, str], None] | None = None,
) -> Past:
    """Erase the health rows that are past their keeping. The board is to be built again afterwards.

    Raises:
        ThirdstepError: A source is damaged, or anything else would change. Nothing is erased then.
    """
    as_of = opening.looking_from(settings)
    with only_publisher(home, say), opening.closed(home, say):
        folder = swapping.start_over(home)
        with closing(warehouse.connect(home.record)) as con:
            before = warehouse.record_frames(con)
            old = old_rows(before, settings, as_of)
            places = _places(con, old)
        if not any(frame.height for frame in old.values()):
            shutil.rmtree(folder, ignore_errors=True)
            return Past({}, {}, 0, 0)
        cuts, moved = _cut_sources(home, folder, old, places)
        write_log(home, folder, NOBODY, by, cuts, moved)
        copy_the_rest(home, folder, NOBODY)
        with closing(warehouse.connect(folder / home.record.name)) as con:
            oddities = replaying.replay(con, Home(folder), tell or (lambda *_: None))
            after = warehouse.record_frames(con)
        rows, left, different = _compared(before, after, old)
        if oddities or different:
            shutil.rmtree(folder, ignore_errors=True)
            what = "; ".join(oddities) or f"other rows in {', '.join(different)} would change"
            raise ThirdstepError(f"Nothing was erased: {what}. Please report this.")
        swapping.decide(home, "", by)
        swapping.finish(home)
    gone = sum(cut.content is None for cut in cuts.values())
    return Past(rows, left, sum(1 for sha, new in moved.items() if sha != new), gone)


def _compared(
    before: dict[str, pl.DataFrame], after: dict[str, pl.DataFrame], old: dict[str, pl.DataFrame]
) -> tuple[dict[str, int], dict[str, int], list[str]]:
    """Return the rows that went and those that stay, by table, and the tables in which anything else changed."""
    rows, left, different = {}, {}, []
    for name, frame in before.items():
        key = warehouse.SHAPES[name].key
        past = old.get(name, frame.clear()).select(key)
        kept = frame.join(past, on=key, how="anti", nulls_equal=True, maintain_order="left")
        now = after[name].join(past, on=key, how="anti", nulls_equal=True, maintain_order="left")
        if not kept.equals(now, null_equal=True):
            different.append(name)
        still = after[name].height - now.height
        if past.height:
            rows[name], left[name] = past.height - still, still
    return rows, {name: count for name, count in left.items() if count}, different


def _places(con: warehouse.Connection, old: dict[str, pl.DataFrame]) -> pl.DataFrame:
    """Return the lines of loads that say nothing but what is past its keeping."""
    found = []
    for name, shape in warehouse.SHAPES.items():
        frame = con.sql(f'select * from "version_{name}"').pl()
        if name in old:
            past = old[name].select(shape.key).with_columns(is_past=pl.lit(True))
            frame = frame.join(past, on=shape.key, how="left", nulls_equal=True)
        else:
            frame = frame.with_columns(is_past=pl.lit(False))
        found.append(frame.select(*PLACE, pl.col("is_past").fill_null(False)))
    every = pl.concat(found, how="vertical_relaxed").group_by(PLACE).agg(pl.col("is_past").all())
    return every.filter("is_past").select(PLACE)


def _cut_sources(
    home: Home, folder: Any, old: dict[str, pl.DataFrame], places: pl.DataFrame
) -> tuple[dict[str, Cut], dict[str, str]]:
    loads = [event for event in journal.read_events(home.sources) if event.what == "load"]
    by_load = cutting.waiting_lines(places)
    lines: dict[str, set[tuple[str, int]]] = {event.sha256: set() for event in loads}
    for event in loads:
        lines[event.sha256] |= by_load.get(event.load_no, set())
        if event.kind == "mend" and by_load.get(event.load_no):  # the row it mends stands in another source
            told = json.loads(read_source(home.sources, event.sha256))
            fix = told["correction"]
            lines.setdefault(told["sha256"], set()).add((fix["sheet"] or "", fix["line"]))
    cuts: dict[str, Cut] = {}
    moved: dict[str, str] = {}
    for event in sorted(loads, key=lambda one: one.kind == "mend"):
        if event.sha256 in cuts:
            continue
        content, past = read_source(home.sources, event.sha256), lines[event.sha256]
        if event.kind == "mend":
            cut = Cut(None, 1) if past else cutting.cut_mend(content, NOBODY, cuts, moved)
        elif not past:
            cut = Cut(content, 0)
        elif event.kind == "entry":
            cut = _cut_entry(content, old)
        else:
            texts, _, _ = read_texts(event.name, content, event.kind)
            cut = cutting.cut_file(event.name, content, texts, past, NOBODY)
        cuts[event.sha256] = cut
        if cut.content is not None:
            moved[event.sha256] = keep_again(home, folder, event, content, cut.content, NOBODY)
    return cuts, moved


def _cut_entry(content: bytes, old: dict[str, pl.DataFrame]) -> Cut:
    """Cut typed rows by whose they are and of which day."""
    told: dict[str, Any] = json.loads(content)
    name = told["table"]
    if name not in old:
        return Cut(content, 0)
    past = {(who, day.isoformat()) for who, day in old[name].select("athlete_id", HEALTH[name]).iter_rows()}
    kept = [row for row in told["rows"] if (row.get("athlete_id"), str(row.get(HEALTH[name]))[:10]) not in past]
    gone = len(told["rows"]) - len(kept)
    if not kept:
        return Cut(None, gone)
    return Cut(cutting.as_bytes({**told, "rows": kept}), gone)
