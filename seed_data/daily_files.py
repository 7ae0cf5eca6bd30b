"""The rest of the folder: roster, body, sessions, plan, gym, tests, check-ins, injuries, races, decisions."""

import datetime as dt
from typing import Any

from seed_data import gym, library, races_and_decisions, returning, weeks, wellness
from seed_data.sheets import Column, Row, SeedFile, Sheet
from seed_data.squad import ATHLETES, BY_ID, LAST_DAY, WEEKS, week_start
from seed_data.weeks import Session

C = Column
AUTUMN = dt.date(2026, 9, 1)  # from here on: the autumn sheets


def _named(rows: list[dict[str, Any]]) -> list[dict[str, Any]]:
    return [{**row, "name": BY_ID[str(row["athlete_id"])].display_name} for row in rows]


def _own(names: str, forms: dict[str, str] | None = None) -> list[Column]:
    """Return columns headed by the record's own names."""
    return [C(name, name, (forms or {}).get(name, "")) for name in names.split()]


def daily_files(sessions: list[Session]) -> list[SeedFile]:
    """Return every file but the timing folder."""
    return [*_people(), *_sessions(sessions), *_gym(sessions), *_tests(), *_checkins(sessions), *_told()]


def _people() -> list[SeedFile]:
    roster = [
        {**vars(athlete), "joined_on": dt.date(2023 if athlete.squad == "senior" else 2025, 10, 1)}
        for athlete in ATHLETES
    ]
    heights = _named([
        {"athlete_id": one.athlete_id, "measured_on": dt.date(2026, 5, 26), "height_m": one.height_m,
         "leg_length_m": round(0.53 * one.height_m, 2)}  # leg length 0.53 of height (Morin et al. 2005)
        for one in ATHLETES
    ])  # fmt: skip
    masses: list[dict[str, Any]] = []
    for week in range(1, WEEKS, 2):
        for one in ATHLETES:
            day = week_start(week) + dt.timedelta(days=3)
            masses.append({"athlete_id": one.athlete_id, "measured_on": day, "mass": body_mass(one.athlete_id, day)})
    masses = _named(masses)

    def between(first: dt.date, last: dt.date) -> list[dict[str, Any]]:
        return [row for row in masses if first <= row["measured_on"] <= last]

    return [
        SeedFile("roster.csv", (Sheet("", _own("athlete_id display_name sex birth_date event_group squad joined_on"),
                                      roster),)),
        SeedFile("heights.csv", (Sheet("", [
            C("Athlete", "name"), C("Measured on", "measured_on"), C("Height (cm)", "height_m", "cm"),
            C("Leg length (cm)", "leg_length_m", "cm"),
        ], heights),)),
        SeedFile("consents.csv", (Sheet("", _own("athlete_id topic given_on given_by is_guardian"),
                                        wellness.consents()),)),
        SeedFile("heights_under_18.csv", (Sheet("", [
            C("Athlete", "name"), C("Measured on", "measured_on"), C("Height (cm)", "height_m", "cm1"),
            C("Sitting height (cm)", "sitting_height_m", "cm1"),
        ], _named(wellness.growing_heights())),)),
        SeedFile("body_mass_summer.csv", (Sheet("", [
            C("athlete_id", "athlete_id"), C("measured_on", "measured_on"), C("body_mass_kg", "mass", ".1f"),
        ], between(dt.date(2026, 5, 25), dt.date(2026, 8, 31))),)),
        SeedFile("body_mass_september.csv", (Sheet("", [
            C("Name", "name"), C("Date", "measured_on", "dmy"), C("Body mass (kg)", "mass", ".1f"),
        ], between(dt.date(2026, 9, 1), dt.date(2026, 9, 30))),), delimiter=";", decimal=",", encoding="utf-8-sig",
            line_end="\r\n"),
        SeedFile("body_mass_autumn.csv", (Sheet("", [
            C("Athlete", "name"), C("Date", "measured_on", "dmy/"), C("Body mass (lb)", "mass", "lb"),
        ], between(dt.date(2026, 10, 1), LAST_DAY)),), delimiter=";", encoding="cp1252", line_end="\r\n"),
    ]  # fmt: skip


def body_mass(athlete_id: str, day: dt.date) -> float:
    """Return what the scale showed, kg."""
    return wellness.body_mass_kg(athlete_id, day)


def _sessions(sessions: list[Session]) -> list[SeedFile]:
    rows = _named([vars(row) for row in sessions if row.is_logged])
    last_week = week_start(WEEKS - 1)
    summer = [row for row in rows if row["session_date"] < AUTUMN]
    autumn = [row for row in rows if AUTUMN <= row["session_date"] < last_week]
    late = [row for row in rows if row["session_date"] >= last_week]
    free = [
        C("Athlete", "name"), C("Date", "session_date"), C("Session", "session_no"), C("Kind", "kind"),
        C("Planned (min)", "planned_min"), C("Minutes", "duration_min"), C("Effort (0-10)", "effort_0_10"),
        C("Indoor", "indoor"), C("Air temperature (°C)", "air_temperature_c", ".0f"),
    ]  # fmt: skip
    own = _own("athlete_id session_date session_no kind planned_min duration_min effort_0_10 indoor air_temperature_c")
    plan = _own("athlete_id planned_on plan_no kind fast_metres planned_min planned_effort_0_10 note")
    planned: list[dict[str, Any]] = [*weeks.plan_rows()]
    winter = week_start(WEEKS - 4)
    return [
        SeedFile("sessions_summer.csv", (Sheet("", own, summer),)),
        SeedFile("sessions_autumn.csv", (Sheet("", free, autumn),), delimiter=";"),
        SeedFile("sessions_2026_w47.csv", (Sheet("", free, late),), delimiter=";"),
        SeedFile("closed_days.csv", (Sheet("", _own("athlete_id logged_on is_complete note"),
                                           weeks.closed_days(sessions)),)),
        SeedFile("plan_2026_to_october.csv", (Sheet("", plan, [r for r in planned if r["planned_on"] < winter]),)),
        SeedFile("plan_november.csv", (Sheet("", plan, [r for r in planned if r["planned_on"] >= winter]),)),
    ]  # fmt: skip


def _gym_name(row: Row) -> str:
    """Return an exercise as it is written on the board: capital letter, spaces."""
    return str(row["exercise"]).replace("_", " ").capitalize()


def _in_shorthand(rows: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Return one row per exercise of a day, its sets in gym shorthand: 3x5 @ 100/102.5/105 kg."""
    groups: dict[tuple[object, ...], list[dict[str, Any]]] = {}
    for row in rows:
        groups.setdefault((row["athlete_id"], row["session_date"], row["exercise"]), []).append(row)
    made = []
    for sets in groups.values():
        loads = [f"{row['load_kg']:g}" for row in sets if row["load_kg"] is not None]
        said = loads[0] if len(set(loads)) == 1 else "/".join(loads)
        made.append({**sets[0], "work": f"{len(sets)}x{sets[0]['reps']}" + (f" @ {said} kg" if loads else "")})
    return made


def _gym(sessions: list[Session]) -> list[SeedFile]:
    rows = _named(gym.lift_sets(sessions))
    rows.sort(key=lambda row: (row["session_date"], row["athlete_id"]))
    months = {5: "June", 6: "June", 7: "July", 8: "August", 9: "September", 10: "October", 11: "November"}
    jumps = Sheet("", _own("athlete_id session_date session_no exercise set_no reps"), gym.jump_sets(sessions))
    files = [
        SeedFile("exercises.csv", (Sheet("", _own("exercise family bodyweight_share"), gym.exercises()),)),
        SeedFile("jump_sets_2026.csv", (jumps,)),
    ]
    for month in dict.fromkeys(months.values()):
        mine = [row for row in rows if months[row["session_date"].month] == month]
        number = {name: at for at, name in months.items()}[month]
        keys = [C("Athlete", "name"), C("Date", "session_date"), C("Exercise", _gym_name), C("Set", "set_no")]
        work = [C("Reps", "reps"), C("Load (kg)", "load_kg", ".1f"), C("Reps in reserve", "reps_in_reserve", ".0f")]
        columns = [*keys, *work]
        if month == "August":
            mine, columns = _in_shorthand(mine), [*keys[:-1], C("Work", "work")]
        titles = ("Saltmarsh Speed Group", f"Gym log {month} 2026, loads without the body")
        decimal = "," if month == "September" else "."
        files.append(SeedFile(f"gym_2026-{number:02d}.xlsx", (Sheet(month, columns, mine, titles),), decimal=decimal))
    return files


def _tests() -> list[SeedFile]:
    force = _named(gym.force_tests())
    side = {"l": "left", "r": "right"}
    force_columns = [
        C("Athlete", "name"), C("Date", "tested_on"), C("Test", "test"), C("Side", lambda row: side[row["side"]]),
        C("Trial", "trial_no"), C("Peak force (N)", "peak_force_n"),
    ]  # fmt: skip
    jumps = _named(wellness.jumps())
    sheets = []
    for title, test in (("Countermovement", "countermovement"), ("Drop jump", "drop")):
        columns = [C("Athlete", "name"), C("Date", "tested_on"), C("Test", "test"), C("Trial", "trial_no"),
                   C("Flight (s)", "flight_s", ".3f")]  # fmt: skip
        if test == "drop":
            columns += [C("Contact (s)", "contact_s", ".3f"), C("Box height (cm)", "box_height_m", "cm")]
        mine = [row for row in jumps if row["test"] == test]
        sheets.append(Sheet(title, columns, mine, ("Jump tests 2026", "hands on hips, best effort, three trials")))
    return [
        SeedFile("eccentric_force_2026.csv", (Sheet("", force_columns, force),), delimiter=";"),
        SeedFile("jumps_2026.xlsx", tuple(sheets)),
    ]


def _checkins(sessions: list[Session]) -> list[SeedFile]:
    rows = _named(wellness.checkins(sessions))
    columns = [
        C("Name", "name"), C("Date", "checked_on"), C("Sleep (h)", "sleep_h", ".2f"),
        C("Sleep quality (1-5)", "sleep_quality"), C("Freshness (1-5)", "fatigue"),
        C("Muscles (1-5, 5 = not sore)", "soreness"),
        C("Calm (1-5)", "stress"), C("Mood (1-5)", "mood"),
        C("Left hamstring tight (0-10)", "hamstring_tightness_l"),
        C("Right hamstring tight (0-10)", "hamstring_tightness_r"), C("Pain (0-10)", "pain"),
        C("Where is the pain", "pain_site"), C("Are you ill", "ill"), C("Note", "note"),
    ]  # fmt: skip
    rows.sort(key=lambda row: (row["checked_on"], row["athlete_id"]))
    early = [row for row in rows if row["checked_on"] < AUTUMN]
    late = [row for row in rows if row["checked_on"] >= AUTUMN]
    return [
        SeedFile("checkins_summer.csv", (Sheet("", columns, early),)),
        SeedFile("checkins_autumn.csv", (Sheet("", columns, late),)),
    ]


def _told() -> list[SeedFile]:
    injuries = "athlete_id onset_on site side kind mechanism stopped_training returned_on recurrence"
    drill = "drill limit cue why amount caution is_used proposed_by"
    template = "template weekday plan_no kind fast_metres planned_min planned_effort_0_10 note saved_by"
    phases = "athlete_id from_on until_on phase aim"
    decided = "athlete_id week_of topic call note decided_by decided_at"
    ladder = "athlete_id onset_on site side rung_no done_on work_done symptoms signed_by"
    races = _named(races_and_decisions.races())
    words = {"100h": "100 m hurdles", "110h": "110 m hurdles", "400h": "400 m hurdles"}
    race_columns = [
        C("Athlete", "name"), C("Date", "raced_on"),
        C("Event", lambda one: words.get(one["event"], f"{one['event']} m")),
        C("Round", "round"), C("Time", lambda row: "DNF" if row["time_s"] is None else f"{row['time_s']:.2f}"),
        C("Wind (m/s)", "wind_ms", ".1f"), C("Timing", "timing_kind"), C("Reaction (s)", "reaction_s", ".3f"),
        C("Place", "place"), C("Altitude (m)", "altitude_m"),
    ]  # fmt: skip
    many = [row for row in races if BY_ID[row["athlete_id"]].event_group == "combined_events"]
    rest = [row for row in races if BY_ID[row["athlete_id"]].event_group != "combined_events"]
    return [
        SeedFile("injuries.csv", (Sheet("", _own(injuries), wellness.injuries()),)),
        SeedFile("return_steps_autumn.csv", (Sheet("", _own(ladder), returning.return_steps()),)),
        SeedFile("races_2026.csv", (Sheet("", race_columns, rest),)),
        SeedFile("races_combined_events_2026.tsv", (Sheet("", race_columns, many),), delimiter="\t"),
        SeedFile("drills.csv", (Sheet("", _own(drill), library.drills()),)),
        SeedFile("week_templates.csv", (Sheet("", _own(template), library.week_templates()),)),
        SeedFile("season_phases.csv", (Sheet("", _own(phases), library.season_phases()),)),
        SeedFile("decisions_to_october.csv", (Sheet("", _own(decided), races_and_decisions.earlier_decisions()),)),
        SeedFile("decisions_november.csv", (Sheet("", _own(decided), races_and_decisions.decisions()),)),
    ]  # fmt: skip
