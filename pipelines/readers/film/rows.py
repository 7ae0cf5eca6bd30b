"""What follows from a film as rows of text under the record's own columns, as a careful person would type them."""

from collections.abc import Mapping
from typing import Any

import polars as pl

from pipelines.readers.film.marks import RUN, STEPS, Marks
from pipelines.readers.film.measures import Film, Value
from schemas.intake import TextTable

SECONDS, METRES, DEGREES = 6, 4, 2  # decimals that are kept: far below any error of theirs
LAID = ("step_length_m", "touchdown_distance_m")
SEEN = ("shin_touchdown_deg", "shin_toeoff_deg", "trunk_touchdown_deg", "knee_toeoff_deg")

Row = dict[str, str | None]


def tables_of(name: str, marks: Marks, film: Film) -> list[TextTable]:
    """Return the tables that a film fills, each row with the run it is of."""
    run = {column: str(marks.run[column]) for column in RUN}
    rows = {"film": [{**run, **_film_row(marks, film)}]}
    rows["step"] = [{**run, **_step_row(marks, film, step)} for step in film.steps]
    front = {**_value(film.front["front_shin_set_deg"], "front_shin_set_deg", DEGREES),
             **_value(film.front["front_shin_push_deg"], "front_shin_push_deg", DEGREES)}  # fmt: skip
    errors = [one.error for one in film.front.values() if one.error is not None]
    if front["front_shin_set_deg"] or front["front_shin_push_deg"]:
        rows["set_position"] = [{**run, **front, "front_shin_deg_se": _text(max(errors), DEGREES)}]
    return [_table(name, sheet, listed) for sheet, listed in rows.items() if listed]


def _table(name: str, sheet: str, rows: list[Row]) -> TextTable:
    header = list(rows[0])
    cells = {f"c{place}": [row[column] for row in rows] for place, column in enumerate(header)}
    frame = pl.DataFrame(cells, schema=dict.fromkeys(cells, pl.String)).with_columns(
        pl.int_range(1, pl.len() + 1, dtype=pl.Int64).alias("_line")
    )
    return TextTable(sheet=sheet, header=header, header_line=0, rows=frame, source=name)


def _film_row(marks: Marks, film: Film) -> Row:
    told: Mapping[str, Any] = marks.film
    phone = film.camera
    return {
        "film_name": str(told.get("name") or "") or None,
        "film_print": str(told.get("print") or "") or None,
        "film_frames": _whole(told.get("frames")),
        "capture_rate_hz": _text(film.speed.capture_hz, 3),
        "container_rate_hz": _text(film.speed.container_hz, 3),
        "rate_known_by": film.speed.known_by,
        "lane_marks": str(len(marks.lane)),
        "lane_misfit_px": _text(phone.misfit_px, 2) if phone else None,
        "phone_height_m": _text(phone.height_m, 2) if phone else None,
        "phone_away_m": _text(float(-phone.place[1]), 2) if phone else None,
        "lengths_reason": film.lengths_reason,
        "angles_reason": film.angles_reason,
        "marked_by": marks.by or None,
        "marked_at": marks.at or None,
    }


def _step_row(marks: Marks, film: Film, step: int) -> Row:
    found = film.steps[step]
    down = marks.mark("touchdown", step) or marks.mark("toeoff", step)
    row: Row = {"step_no": str(step), "side": down.side if down else None}
    for name in ("contact_s", "flight_s"):
        row |= _value(found[name], name, SECONDS)
    for name in LAID:
        row |= _value(found[name], name, METRES) | {f"{name}_se": _text(found[name].error, METRES)}
    for name in SEEN:
        row |= _value(found[name], name, DEGREES)
    row["shin_deg_se"] = _largest(found["shin_touchdown_deg"], found["shin_toeoff_deg"])
    row["trunk_deg_se"] = _largest(found["trunk_touchdown_deg"])
    row["knee_deg_se"] = _largest(found["knee_toeoff_deg"])
    row["frame_rate_hz"] = _text(_rate(marks, film, step), 3)
    return row


def _rate(marks: Marks, film: Film, step: int) -> float | None:
    """Return the frame rate that gives the errors of this step's times: 1 / root mean square gap at its events."""
    factor = film.speed.factor
    events = [marks.mark("touchdown", step), marks.mark("toeoff", step)]
    events += [marks.mark("touchdown", step + 1)] if step + 1 in STEPS else []
    gaps = [one.gap for one in events if one is not None and one.gap > 0]
    if factor is None or not gaps:
        return film.speed.capture_hz
    return float(1 / (factor * (sum(gap**2 for gap in gaps) / len(gaps)) ** 0.5))


def _largest(*values: Value) -> str | None:
    errors = [one.error for one in values if one.error is not None]
    return _text(max(errors), DEGREES) if errors else None


def _value(value: Value, name: str, places: int) -> Row:
    return {name: _text(value.value, places)}


def _text(value: float | None, places: int) -> str | None:
    return None if value is None else f"{value:.{places}f}"


def _whole(value: object) -> str | None:
    return None if value is None else str(int(float(str(value))))
