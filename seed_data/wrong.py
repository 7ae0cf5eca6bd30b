"""Rows that are wrong on purpose: each is an extra row, so that nothing right is lost with it."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from seed_data.sheets import SeedFile, Sheet


@dataclass(frozen=True)
class Wrong:
    """A copy of a good row, put below it, with some cells changed; ``kind`` names what is wrong."""

    file: str
    kind: str
    place: float  # where in the sheet, 0 the first row, 1 the last
    changes: Mapping[str, Any] = field(default_factory=dict)  # heading -> what the cell says
    sheet: str = ""
    is_bare: bool = False  # nothing in the row but the changes


WRONG: tuple[Wrong, ...] = (
    Wrong("starts_2026-06.csv", "time_not_rising", 0.21, {"Run": "8", "20m": "1.79"}),
    Wrong("starts_2026-06.csv", "empty_row", 0.50, is_bare=True),
    Wrong("starts_2026-07.csv", "impossible_speed", 0.37,
          {"Rep": "8", "t 30 m (s)": "3,60"}),
    Wrong("starts_2026_w44.csv", "mean_row", 1.0,
          {"Athlete": "Mean", "5 m": "1.42", "10 m": "2.13", "20 m": "3.30", "30 m": "4.38"}, is_bare=True),
    Wrong("starts_2026_w45.csv", "unknown_athlete", 0.44, {"Athlete": "Orla Wintersedge"}),
    Wrong("starts_2026_w46.csv", "duplicate", 0.62),
    Wrong("starts_2026_w47.csv", "future_date", 0.30, {"Date": "2026-12-24"}),
    Wrong("flying_2026_autumn.xlsx", "time_not_rising", 0.4, {"Run": 9, "10 m": 1.12, "20 m": 2.25, "30 m": 2.19},
          "November"),
    Wrong("sled_block_2026.csv", "out_of_range", 0.5, {"Run": "19", "Sled load (kg)": "460"}),
    Wrong("body_mass_summer.csv", "out_of_range", 0.33, {"measured_on": "2026-07-03", "body_mass_kg": "6.8"}),
    Wrong("body_mass_september.csv", "impossible_date", 0.55, {"Date": "31.09.2026"}),
    Wrong("body_mass_autumn.csv", "out_of_range", 0.71, {"Date": "29/10/2026", "Body mass (lb)": "1328"}),
    Wrong("sessions_summer.csv", "impossible_date", 0.40, {"session_date": "2026-06-31"}),
    Wrong("sessions_autumn.csv", "out_of_range", 0.25, {"Session": "3", "Effort (0-10)": "12"}),
    Wrong("sessions_autumn.csv", "not_a_number", 0.66, {"Session": "3", "Minutes": "eighty"}),
    Wrong("sessions_2026_w47.csv", "missing_date", 0.57, {"Date": None}),
    Wrong("checkins_summer.csv", "duplicate", 0.48),
    Wrong("checkins_autumn.csv", "out_of_range", 0.35, {"Date": "2026-08-24", "Sleep (h)": "75"}),
    Wrong("checkins_autumn.csv", "out_of_range", 0.81, {"Date": "2026-08-25", "Mood (1-5)": "7"}),
    Wrong("gym_2026-10.xlsx", "unknown_athlete", 0.52, {"Athlete": "Guest"}, "October"),
    Wrong("gym_2026-11.xlsx", "out_of_range", 0.18, {"Set": 9, "Load (kg)": 1200.0}, "November"),
    Wrong("gym_2026-11.xlsx", "duplicate", 0.63, {}, "November"),
    Wrong("gym_2026-11.xlsx", "mean_row", 1.0, {"Athlete": "Average", "Reps": 5.2, "Load (kg)": 84.3}, "November",
          is_bare=True),
    Wrong("eccentric_force_2026.csv", "out_of_range", 0.47, {"Trial": "4", "Peak force (N)": "3"}),
    Wrong("jumps_2026.xlsx", "out_of_range", 0.26, {"Trial": 4, "Flight (s)": 0.055}, "Countermovement"),
    Wrong("steps_2026_autumn.csv", "out_of_range", 0.58, {"Step": "30", "Contact (s)": "0.016"}),
    Wrong("races_2026.csv", "not_a_number", 0.15, {"Round": "semi final", "Time": "10.85.2"}),
    Wrong("technique_notes_2026.csv", "unknown_word", 0.70, {"item": "looks good"}),
)  # fmt: skip


def plant(files: list[SeedFile]) -> None:
    """Put the wrong rows into the sheets' bodies, from the last place of each sheet to the first."""
    sheets = {(file.name, sheet.name if len(file.sheets) > 1 or file.name.endswith(".xlsx") else ""): sheet
              for file in files for sheet in file.sheets}  # fmt: skip
    for (name, title), sheet in sheets.items():
        mine = [one for one in WRONG if (one.file, one.sheet) == (name, title)]
        at = sorted(((int(one.place * (len(sheet.body) - 1)), one) for one in mine), key=lambda pair: pair[0])
        for offset, (place, one) in enumerate(at):
            cells = [None] * len(sheet.columns) if one.is_bare else list(sheet.body[place + offset])
            for heading, value in one.changes.items():
                cells[sheet.headings.index(heading)] = value
            sheet.body.insert(place + offset + 1, cells)
            sheet.wrong.append((place + offset + 1, one.kind))
    missing = [one for one in WRONG if (one.file, one.sheet) not in sheets]
    if missing:
        raise ValueError(f"no such sheet for a wrong row: {missing[0].file} {missing[0].sheet!r}")


def wrong_rows(files: list[SeedFile]) -> list[dict[str, object]]:
    """Return file, sheet, line and kind of every wrong row, as written."""
    return [
        {"file": file.name, "sheet": sheet.name if file.name.endswith(".xlsx") else "",
         "line": line_of(sheet, place), "kind": kind}
        for file in files for sheet in file.sheets for place, kind in sheet.wrong
    ]  # fmt: skip


def line_of(sheet: Sheet, place: int) -> int:
    """Return the line of a row of the body, counted from 1 as an editor shows it."""
    return sheet.header_line + 1 + place
