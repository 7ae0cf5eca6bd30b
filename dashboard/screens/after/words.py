"""The words of the page after training, and of the plan as an athlete reads it."""

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import Any

from dashboard.wording import (
    DECIDED,
    DECIDED_OTHERWISE_TO_GUARDIAN,
    NO_ADVICE_TO_GUARDIAN,
    PLAN_TO_GUARDIAN,
    READ_WITH_DECIDED,
    SESSION_KINDS,
    long_day,
    number,
)

AFTER = "After training"
FOR_ATHLETES = "Minutes and effort are the athlete’s own to say. Staff enter them for the group at the track."
LEDE = "Two answers a session: how long it was, warm-up included, and how hard, best about half an hour after it."
READ_BY = "Read by your coaches; it makes your load of the week. A day that nobody closes is not counted as rest."
WHICH = "Which session"
MINUTES, EFFORT = "How many minutes?", "How hard was it?"
OTHER_MINUTES = "other"
EASY, HARD = "rest", "the hardest possible"
SAVE, TAKE_BACK = "Save", "Take it back"
REFUSED = "This sign-in is tied to no athlete, so nothing was saved. Ask your coach to tie it to you."
NOTHING = "Say both, the minutes and how hard it was; then save."
WRONG_MINUTES = "‘{}’ is no number of minutes from 0 to 600. Nothing was saved."
TAKEN_BACK = "Taken back."
KEPT = "Kept: {}, {} min, effort {}."
NOT_ASKED = "Was there training? Say how long and how hard it was."
PLAN_TITLE = "Planned for today"
NO_PLAN = "Nothing is written for today. Ask your coach if you expected a plan."
DAY_OFF = "Day off."
DECIDED_TITLE = "What your coach decided"
MINUTES_OFFERED = ("30", "45", "60", "75", "90", "105", "120")

# How the plan is to be read, by what the advice of today is: the plan was written before this morning’s answers.
PLAN_UNDER = {
    "injury": "This waits: a doctor or physio sees the injury before you run.",
    "talk": "Talk to your coach before you start: this was planned before today’s answers.",
    "ask": "Your coach will want to ask you something first: this was planned before today’s answers.",
    "return": "You are on the way back: your ladder counts, and this plan only where your coach says so.",
    "return_planned": "You are on the way back: your ladder counts, and this plan only where your coach says so.",
    "adapt": "Your coach adapts this today: ask how before you start.",
    "too_few": "Too little is known to say more about today than the plan does.",
    "go_on": "",
    "go_on_watching": "",
}
HOLDS = {
    "injury": "a doctor or physio comes first",
    "talk": "talk first holds",
}  # what holds, by standing, where the decision is older than the answer
NO_ADVICE_YET = "Check in first; this was planned before today’s answers."


def session_name(kind: str | None, number_: int, day: dt.date, today: dt.date, minutes: float | None = None) -> str:
    """Name a session: today, acceleration. One of 0 minutes is a day off, which may have turned out otherwise."""
    when = "today" if day == today else "yesterday" if day == today - dt.timedelta(days=1) else long_day(day)
    if minutes == 0:
        return f"{when}, a day off (only if you trained)"
    what = SESSION_KINDS.get(kind or "", f"session {number_}")
    return f"{when}, {what}" if number_ == 1 else f"{when}, {what} (session {number_})"


def with_caution(name: str, mind: str | None) -> str:
    """Say behind the name of a session what a call or a decision says against it."""
    return f"{name}: {mind}" if mind else name


def on_record(row: Mapping[str, Any], today: dt.date) -> str:
    """Say what is known of a session already; of 0 minutes that it was a day off."""
    if row["duration_min"] == 0:
        day = session_name(None, 1, row["day"], today).split(",", 1)[0]
        return f"{day[0].upper()}{day[1:]}: a day off"
    name = session_name(row["kind"], row["no"], row["day"], today)
    return f"{name[0].upper()}{name[1:]}: {row['duration_min']:g} min, effort {row['effort_0_10']:g}"


def plan_sentence(row: Mapping[str, Any]) -> str:
    """Write a planned session as a sentence: Acceleration, 75 min, effort 7 of 10, 120 m fast. 4 x 30 m blocks."""
    if row["planned_min"] == 0:
        return DAY_OFF
    parts = [SESSION_KINDS.get(row["kind"] or "", "session")]
    if row["planned_min"] is not None:
        parts.append(number(row["planned_min"], 0, "min"))
    if row["planned_effort_0_10"] is not None:
        parts.append(f"effort {row['planned_effort_0_10']:g} of 10")
    if row["fast_metres"]:
        parts.append(f"{row['fast_metres']:g} m fast")
    said = ", ".join(parts)
    return f"{said[0].upper()}{said[1:]}.{' ' + row['note'].strip() if row.get('note') else ''}"


def _is_against_talk(stands: str | None, on_training: Sequence[Mapping[str, Any]]) -> bool:
    """Return whether a talk comes first and the coach decided, knowing of it, something else."""
    decided = [row.get("call") for row in on_training]
    return stands == "talk" and bool(decided) and DECIDED["talk_first"] not in decided


def plan_under(stands: str | None, decided: Sequence[Mapping[str, Any]]) -> str:
    """Return how today's plan is to be read; what the coach decided on training stands before all but a talk."""
    on_training = [row for row in decided if row["topic"] == "training"]
    if stands == "injury":
        return PLAN_UNDER[stands]
    if _is_against_talk(stands, on_training):
        return "Your coach decided otherwise, below: talk first, all the same."
    if on_training:
        return "Read it with what your coach decided, below."
    return NO_ADVICE_YET if stands is None else PLAN_UNDER.get(stands, "")


def decided_before(said: str, stands: str | None) -> str:
    """Say that a decision is older than what speaks now, and what holds until it is made again."""
    holds = HOLDS.get(stands or "", "what stands above holds")
    return f"{said[0].upper()}{said[1:]}: {holds} until the coach has looked again."


def plan_under_for_guardian(stands: str | None, decided: Sequence[Mapping[str, Any]]) -> str:
    """Return how today's plan is to be read, for a guardian."""
    on_training = [row for row in decided if row["topic"] == "training"]
    if stands == "injury":
        return PLAN_TO_GUARDIAN[stands]
    if _is_against_talk(stands, on_training):
        return DECIDED_OTHERWISE_TO_GUARDIAN
    if on_training:
        return READ_WITH_DECIDED
    return NO_ADVICE_TO_GUARDIAN if stands is None else PLAN_TO_GUARDIAN.get(stands, "")


def next_planned(day: dt.date) -> str:
    """Head what is planned next, where nothing is today."""
    return f"Next, {long_day(day)}:"
