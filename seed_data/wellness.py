"""How everybody is: morning check-ins, jumps, body mass, injuries."""

import datetime as dt

import numpy as np

from seed_data import cases
from seed_data.programme import is_hurt
from seed_data.squad import ATHLETES, BY_ID, DAYS, LAST_DAY, WEEKS, Athlete, chance, week_number, week_start
from seed_data.weeks import Session

ITEMS = ("sleep_quality", "fatigue", "soreness", "stress", "mood")
JUMP_DAY_SD, JUMP_TRIAL_SD = 0.018, 0.022  # share of height; published jump CVs are 2.4 to 5.8 %
GRAVITY_MPS2 = 9.80665  # m/s2


def usual_items(athlete_id: str) -> np.ndarray:
    """Return the athlete's usual answers, 1 to 5, one per item."""
    return np.clip(4 + chance("usual", athlete_id).choice([-1, 0, 0, 0], size=5), 1, 5)


def checkins(sessions: list[Session]) -> list[dict[str, object]]:
    """Return every check-in; an ordinary day says what that athlete usually says, give or take one."""
    done: dict[tuple[str, dt.date], float] = {}
    for session in sessions:
        load = session.duration_min * (session.effort_0_10 or 0.0)
        key = (session.athlete_id, session.session_date)
        done[key] = done.get(key, 0.0) + load
    rows = []
    for athlete in ATHLETES:
        who = athlete.athlete_id
        if who == cases.NEVER_CHECKS_IN:
            continue
        answers = float(chance("answers", who).uniform(0.80, 0.96))
        for day in DAYS:
            rng = chance("checkin", who, day)
            at_end = day > LAST_DAY - dt.timedelta(days=3)
            silent = who == cases.SILENT and day >= cases.SILENT_FROM
            if silent or (rng.random() > answers and not at_end):
                continue
            yesterday = done.get((who, day - dt.timedelta(days=1)), 0.0)
            rows.append(_checkin(athlete, day, yesterday, rng))
    return rows


def _checkin(athlete: Athlete, day: dt.date, yesterday_au: float, rng: np.random.Generator) -> dict[str, object]:
    who = athlete.athlete_id
    spread = 0.25 if day > LAST_DAY - dt.timedelta(days=3) else 0.62
    pull = np.array([0.0, -0.5, -0.6, 0.0, 0.0]) * (yesterday_au - 380) / 300 * (spread / 0.62)
    drawn = np.clip(np.rint(usual_items(who) + pull + spread * rng.normal(size=5)), 1, 5)
    row: dict[str, object] = {"athlete_id": who, "checked_on": day}
    row["sleep_h"] = float(np.clip(round(4 * (7.8 + 0.9 * spread * float(rng.normal()))) / 4, 5, 10))
    row.update(zip(ITEMS, (int(value) for value in drawn), strict=True))
    tight = rng.poisson(0.45 if spread > 0.5 else 0.2, size=2)
    row["hamstring_tightness_l"], row["hamstring_tightness_r"] = int(min(tight[0], 2)), int(min(tight[1], 2))
    aches = rng.random() < 0.03 and spread > 0.5
    row["pain"] = int(rng.integers(1, 3)) if aches else 0
    row["pain_site"] = str(rng.choice(["left calf", "lower back", "right shin", "right foot"])) if aches else None
    row["ill"] = bool(rng.random() < 0.006 and spread > 0.5)
    row["note"] = None
    _plant(row, who, day)
    return row


def _plant(row: dict[str, object], who: str, day: dt.date) -> None:
    """Put the cases of the last days into a check-in."""
    if who == cases.TIGHT and day >= cases.TIGHT_FROM:
        row["hamstring_tightness_l"] = cases.TIGHT_LEFT[(day - cases.TIGHT_FROM).days]
        row["note"] = "left hamstring feels tight when I stand up" if day == cases.TIGHT_TO else None
    if who == cases.ILL and day >= cases.ILL_FROM:
        row.update(ill=True, fatigue=2, mood=3, sleep_h=6.0, note="sore throat since the night")
    if who == cases.SHORT_SLEEP and day == cases.SHORT_SLEEP_ON:
        row.update(sleep_h=5.0, sleep_quality=2, note="late train back")
    if who == cases.CALF and cases.CALF_ON < day <= cases.CALF_ON + dt.timedelta(days=14):
        row["pain"], row["pain_site"] = max(0, 4 - (day - cases.CALF_ON).days // 4), "left calf"
    if who == cases.RETURNS and cases.STRAIN_ON < day <= cases.STRAIN_ON + dt.timedelta(days=24):
        gone = (day - cases.STRAIN_ON).days
        row["pain"], row["pain_site"] = max(0, 5 - gone // 5), "right hamstring"
        row["hamstring_tightness_r"] = max(1, 6 - gone // 4)


def true_jump_m(athlete: Athlete) -> float:
    """Return the true countermovement jump height, m."""
    base = 0.50 if athlete.sex == "m" else 0.39
    young = 0.92 if athlete.squad == "under-20" else 1.0
    return float(base * young * (1 + 0.06 * float(chance("jump", athlete.athlete_id).normal())))


def jumps() -> list[dict[str, object]]:
    """Return countermovement jumps (weekly, three trials) and drop jumps (every fourth week, three trials)."""
    rows: list[dict[str, object]] = []
    for athlete in ATHLETES:
        who = athlete.athlete_id
        for week in range(WEEKS):
            day = week_start(week) + dt.timedelta(days=4)
            rng = chance("jumps", who, week)
            last = week == WEEKS - 1
            hurt = is_hurt(who, day)
            away = last and who in {cases.NEVER_CHECKS_IN, cases.SILENT}
            if hurt or away or (rng.random() < 0.07 and not last):
                continue
            height = true_jump_m(athlete) * (1 + JUMP_DAY_SD * float(rng.normal()) * (0.4 if last else 1.0))
            if who == cases.JUMP_DROP and last:
                height *= cases.JUMP_DROP_SHARE
            for trial in (1, 2, 3):
                risen = height * (1 + JUMP_TRIAL_SD * float(rng.normal()) * (0.6 if last else 1.0))
                rows.append(_jump(who, day, "countermovement", trial, risen, None, None))
            if week % 4 == 2:
                for trial in (1, 2, 3):
                    risen = 0.78 * height * (1 + 0.04 * float(rng.normal()))
                    contact = 0.185 * (1 + 0.04 * float(rng.normal()))
                    rows.append(_jump(who, day, "drop", trial, risen, round(contact, 3), 0.30))
    return rows


def _jump(
    who: str, day: dt.date, test: str, trial: int, height_m: float, contact_s: float | None, box_m: float | None
) -> dict[str, object]:
    """Flight time from height: t = sqrt(8 h / g), rise and fall alike."""
    flight = round(float(np.sqrt(8 * height_m / GRAVITY_MPS2)), 3)
    return {
        "athlete_id": who, "tested_on": day, "test": test, "trial_no": trial, "flight_s": flight,
        "contact_s": contact_s, "box_height_m": box_m,
    }  # fmt: skip


def body_mass_kg(athlete_id: str, day: dt.date) -> float:
    """Return the body mass a scale shows on a day, kg, to 0.1."""
    athlete = BY_ID[athlete_id]
    own = float(chance("mass", athlete_id).normal())
    drift = 0.012 * own * week_number(day) / 26 + (0.02 if athlete.squad == "under-20" else 0.0) * week_number(day) / 26
    return round(float(athlete.body_mass_kg * (1 + drift) + 0.35 * float(chance("scale", athlete_id, day).normal())), 1)


# Height gained a year, m, and sitting height's share of height, by minor: invented, as 16 and 17 year olds gain.
GROWTH = {"luca-pemberwick": (0.024, 0.520), "maelle-dunmoor": (0.006, 0.530), "zofia-hartslow": (0.012, 0.525)}
HEIGHT_SD_M, SITTING_SD_M = 0.004, 0.006  # m, one reading of the tape (common practice, no source)
HEIGHT_DAYS = tuple(dt.date(2025, 11, 20) + dt.timedelta(weeks=8 * n) for n in range(7))


def growing_heights() -> list[dict[str, object]]:
    """Return the heights of the minors, standing and sitting, every eight weeks of a year."""
    rows: list[dict[str, object]] = []
    for who, (a_year, share) in GROWTH.items():
        for day in HEIGHT_DAYS:
            rng = chance("height", who, day)
            true = BY_ID[who].height_m + a_year * (day - dt.date(2026, 5, 26)).days / 365.25
            read, sat = true + HEIGHT_SD_M * rng.normal(), share * true + SITTING_SD_M * rng.normal()
            rows.append({"athlete_id": who, "measured_on": day, "height_m": round(float(read), 3),
                         "sitting_height_m": round(float(sat), 3)})  # fmt: skip
    return rows


def consents() -> list[dict[str, object]]:
    """Return the guardians' consent to health data for who is under 18 in the season, and to film."""
    return [
        {"athlete_id": who, "topic": topic, "given_on": dt.date(2025, 10, 1), "given_by": "guardian",
         "is_guardian": True}
        for who in cases.MINORS
        for topic in ("health", "video")
    ]  # fmt: skip


def injuries() -> list[dict[str, object]]:
    """Return the injuries on record: a few old ones and the strain of this autumn."""
    date = dt.date
    rows = [
        ("marit-oakhollow", date(2026, 2, 10), "hamstring", "l", "strain", "sprinting", True, date(2026, 3, 21), False),
        ("jory-threlkeld", date(2025, 7, 5), "hamstring", "r", "strain", "race", True, date(2025, 8, 16), False),
        ("zofia-hartslow", date(2025, 11, 20), "ankle", "l", "sprain", "landing", True, date(2025, 12, 15), False),
        ("yusuf-carrowmere", date(2025, 12, 3), "back", "both", "stiffness", "lifting", False, date(2025, 12, 12),
         None),
        ("asa-lindenmoor", date(2026, 1, 17), "shin", "r", "bone stress, as told by the clinic", "running volume", True,
         date(2026, 3, 30), False),
        (cases.RETURNS, cases.STRAIN_ON, "hamstring", "r", "strain, as told by the clinic", "sprinting", True,
         cases.RETURNED_ON, False),
        (cases.CALF, cases.CALF_ON, "calf", "l", "strain, as told by the clinic", "sprinting", True,
         cases.CALF_BACK_ON, False),
    ]  # fmt: skip
    names = ("athlete_id", "onset_on", "site", "side", "kind", "mechanism", "stopped_training", "returned_on",
             "recurrence")  # fmt: skip
    return [dict(zip(names, row, strict=True)) for row in rows]
