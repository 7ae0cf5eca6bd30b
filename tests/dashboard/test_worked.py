"""'How this is computed' says the formula with the athlete's own numbers: read off the rows, added by hand here."""

import datetime as dt
import re
from pathlib import Path

from dashboard import wording
from tests.dashboard.small_board import table_of

WHO = "teo-brandmere"


def plain(lines: list[str]) -> str:
    return " ".join(lines).replace("\u202f", "").replace("−", "-")


def test_the_days_of_a_week_are_written_out_and_come_to_its_load(home: Path):
    week = table_of(home, "load_week").filter(athlete_id=WHO).sort("week_of").row(-1, named=True)
    days = [week["week_of"] + dt.timedelta(days=n) for n in range(7)]
    of_week = [row for row in table_of(home, "load_day").filter(athlete_id=WHO).to_dicts() if row["day_on"] in days]
    done = [row for row in table_of(home, "session").filter(athlete_id=WHO).to_dicts() if row["session_date"] in days]
    said = plain(wording.worked_load(week, of_week, done))
    terms = [float(a) * float(b) for a, b in re.findall(r"(\d+) min × ([\d.]+)", said)]
    assert len(terms) >= 6
    assert sum(terms) == week["load_au"]
    assert f"{week['load_au']:.0f}" in said


def test_a_day_that_is_not_known_is_not_written_as_a_number():
    day = {"day_on": dt.date(2026, 11, 16), "load_au": None}
    session = {"session_date": day["day_on"], "session_no": 1, "duration_min": 60.0, "effort_0_10": None}
    said = plain(wording.worked_load({"load_au": None, "week_of": day["day_on"]}, [day], [session]))
    assert "= not known" in said
    assert "all days together: not known" in said


def test_the_change_of_the_start_is_written_as_now_less_then(home: Path):
    progress = table_of(home, "start_progress").filter(athlete_id=WHO, metric="t_10_s", is_main=True).row(0, named=True)
    said = plain(wording.worked_trend(progress))
    now, then = (float(one) for one in re.findall(r"([\d.]+)s \(error", said))
    change = re.search(r"is (-?[+\d]+)ms, error", said)
    assert change
    assert abs(1000 * (now - then) - float(change[1])) <= 1.5  # each is rounded to a millisecond
    assert wording.worked_trend(None) == []


def test_what_counts_as_fast_is_written_with_own_best_speed(home: Path):
    week = table_of(home, "speed_exposure").filter(athlete_id=WHO).sort("week_of").row(-1, named=True)
    said = plain(wording.worked_exposure(week))
    assert f"{week['best_speed_mps']:.2f}m/s" in said
    assert f"{week['metres_95']:.0f}m of sections" in said
    assert wording.worked_exposure({"best_speed_mps": None}) == []
