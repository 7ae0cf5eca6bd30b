"""Words of the work done: load against own weeks, runs by speed, work by kind, and what a measure cannot say."""

import datetime as dt
from collections.abc import Mapping, Sequence

from dashboard.wording.forms import day, number, sentence_case

Row = Mapping
# --- load ---
FACT_COLUMNS = (("what", "last week shown"), ("value", "value"), ("note", "what it is"))
LOAD_CHANGE, LOAD_PLACE, LOAD_PLAN_DONE = "change on the week before", "place among own weeks", "done against planned"
LOAD_FACTS_OWN = (LOAD_CHANGE, LOAD_PLAN_DONE)
MONOTONY, STRAIN, RATIO = "evenness of the days", "load × evenness", "last week beside the three before"
LOAD_FACTS_SAID = (RATIO, MONOTONY, STRAIN)  # said in a sentence under the table
RATIO_NOTE = "a description, not a risk; no limit is meant"
RATIO_HIDDEN = "shown once 28 days in a row are known"
MONOTONY_NOTE = "mean of the seven days over their spread (n − 1)"
STRAIN_NOTE = "no limit is meant"
INJURY_WEEK = "An injury that stopped training touches this week: it is left out of the usual range."
# --- work by kind ---
KIND_TITLE = "Work by kind"
KIND_CAPTION = "By week. Lifting in kg moved (repetitions × load): compared within one family only."
NO_KIND = "No session is logged yet. Load sessions, gym sets and runs."
KIND_COLUMNS = (
    ("week", "week of"),
    ("eccentric_hamstring_sets", "eccentric hamstring, sets"),
    ("eccentric_gap_days", "days since"),
    ("jump_contacts", "jump contacts"),
    ("resisted_metres", "resisted, m"),
    ("sled_kg_metres", "sled, kg m"),
)
TONNAGE_COLUMNS = (
    ("tonnage_squat_kg", "squat, kg"),
    ("tonnage_hinge_kg", "hinge, kg"),
    ("tonnage_hamstring_eccentric_kg", "eccentric hamstring, kg"),
    ("tonnage_hip_flexor_kg", "hip flexor, kg"),
    ("tonnage_calf_ankle_kg", "calf and ankle, kg"),
    ("tonnage_upper_kg", "upper body, kg"),
    ("tonnage_trunk_kg", "trunk, kg"),
    ("tonnage_other_kg", "other, kg"),
)
# What each reason leaves open; the first reason found is kept, so those below it may hold too.
AT_LEAST = {
    "lifting_unknown": ("eccentric_hamstring_sets", "jump_contacts", "resisted_metres", "sled_kg_metres"),
    "jumps_unknown": ("jump_contacts", "resisted_metres", "sled_kg_metres"),
    "runs_unknown": ("resisted_metres", "sled_kg_metres"),
}
# --- runs by speed ---
RUN_COLUMNS = (
    ("week", "week of"),
    ("efforts_90", "runs ≥ 90 %"),
    ("metres_90", "metres ≥ 90 %"),
    ("efforts_95", "runs ≥ 95 %"),
    ("metres_95", "metres ≥ 95 %"),
    ("change_metres_95", "change, m"),
    ("fastest", "fastest, % of own best"),
    ("unclassified_efforts", "not classed"),
)
RUN_COLUMNS_OWN = tuple(one for one in RUN_COLUMNS if one[0] in ("week", "metres_95", "change_metres_95", "fastest"))
NO_SPRING = "No jump or hop test yet. Load jump tests: height from time in the air, drop jumps and hops with contacts."
NO_END = "no end known until a return day is entered"
NOISE_TITLE = "Notes by chance"


def load_facts(week: Row, plan: Row | None, sentences: Mapping[str, str], least_weeks: int) -> list[dict]:
    """Return the measures of a week against the athlete's own past, each with what it means or why it is unknown."""
    is_whole = week["load_au"] is not None
    why = sentences.get(week["reason"] or "", "")
    if week["change_au"] is None:
        change = ("–", why if not is_whole else "the week before is not known whole")
    else:
        percent = number(week["change_percent"], 0, "%", signed=True)
        change = (number(week["change_au"], 0, signed=True), f"{percent} on the week before")
    weeks = week["weeks_in_range"]
    if weeks is None or weeks < least_weeks:
        behind = f"needs {least_weeks} complete weeks without injury; there {_are(weeks or 0)}"
    else:
        behind = f"of 100; {weeks} own complete weeks of the last 52, injury weeks out"
    place = number(week["percentile"], 0)
    facts = [
        (LOAD_CHANGE, *change),
        (LOAD_PLACE, place, behind if is_whole or (weeks or 0) < least_weeks else why),
        (LOAD_PLAN_DONE, *_plan_done(plan, sentences)),
        (MONOTONY, number(week["monotony"], 2), MONOTONY_NOTE if week["monotony"] is not None else why),
        (STRAIN, number(week["strain_au"], 0), STRAIN_NOTE if week["strain_au"] is not None else why),
        (
            RATIO,
            number(week["ratio_uncoupled"], 2),
            RATIO_NOTE if week["ratio_uncoupled"] is not None else RATIO_HIDDEN,
        ),
    ]
    return [{"what": what, "value": value, "note": note} for what, value, note in facts]


def said_facts(facts: Sequence[Mapping[str, str]]) -> str:
    """Say the measures that describe the days and mean no limit, in one sentence."""
    by_name = {fact["what"]: fact for fact in facts}
    told = [f"{what} {by_name[what]['value']} ({by_name[what]['note']})" for what in LOAD_FACTS_SAID if what in by_name]
    return f"Also, as a description: {'; '.join(told)}." if told else ""


def _are(weeks: int) -> str:
    return "is 1" if weeks == 1 else f"are {weeks}"


def _plan_done(plan: Row | None, sentences: Mapping[str, str]) -> tuple[str, str]:
    if plan is None or plan["planned_au"] is None:
        return "–", "no plan with minutes and effort for this week" if plan is None else _said(plan, sentences)
    if plan["difference_au"] is None:
        return "–", f"{number(plan['planned_au'], 0)} planned. {_said(plan, sentences)}"
    percent = number(plan["difference_percent"], 0, "%", signed=True)
    done = f"{number(plan['load_au'], 0)} of {number(plan['planned_au'], 0)} planned"
    fast = ""
    if plan["planned_fast_metres"] is not None and plan["done_fast_metres"] is not None:
        fast = (
            f"; fast metres {number(plan['done_fast_metres'], 0)} of {number(plan['planned_fast_metres'], 0)} planned"
        )
    return percent, f"{done}{fast}"


def _said(row: Row, sentences: Mapping[str, str]) -> str:
    return sentences.get(row["reason"] or "", "")


def kind_rows(rows: Sequence[Row], columns: Sequence[str]) -> list[dict]:
    """Return the weeks with every count that may be incomplete written as 'at least'."""
    return [
        {
            "week": day(row["week_of"]),
            **{
                key: f"at least {number(row[key], 0)}"
                if key in AT_LEAST.get(row["reason"] or "", ())
                and row[key]  # a nought is written only where all is known
                else row[key]
                for key in columns
                if key != "week"
            },
        }
        for row in rows
    ]


def week_reasons(rows: Sequence[Row], sentences: Mapping[str, str]) -> str:
    """Say what is not known, once for each reason, with the weeks it is about."""
    weeks: dict[str, list[str]] = {}
    for row in rows:
        if row["reason"] in sentences:
            weeks.setdefault(sentences[row["reason"]], []).append(day(row["week_of"]))
    return " ".join(f"{', '.join(some)}: {sentence}" for sentence, some in weeks.items())


def run_rows(rows: Sequence[Row]) -> list[dict]:
    """Return the weeks of fast running as written."""
    return [
        {
            **row,
            "week": day(row["week_of"]),
            "fastest": None if row["fastest_share"] is None else round(100 * row["fastest_share"]),
        }
        for row in rows
    ]


def between(low: float | None, high: float | None) -> str | None:
    """Write a spread: 93 to 101."""
    return None if low is None or high is None else f"{number(low, 0)} to {number(high, 0)}"


def item_reasons(rows: Sequence[Row], sentences: Mapping[str, str]) -> str:
    """Say why a test or a lift has no value, or 'at least', once for each reason."""
    items: dict[str, list[str]] = {}
    for row in rows:
        if row["reason"] in sentences:
            names = items.setdefault(sentences[row["reason"]], [])
            name = row["item"].replace("_", " ")
            if name not in names:
                names.append(name)
    return " ".join(f"{sentence_case(', '.join(some))}: {sentence}" for sentence, some in items.items())


def evidence_of(flag: Row, citations: Mapping[str, str]) -> str:
    """Name the row and the source that a flag rests on: check-in of 22 Nov; Saw 2016 ..."""
    parts = []
    if flag.get("evidence_table"):
        on = flag.get("evidence_on")
        when = f" of {day(on)}" if isinstance(on, dt.date) else ""
        parts.append(f"row: {flag['evidence_table'].replace('_', ' ')}{when}")
    cited = citations.get(flag.get("source") or "")
    if cited:
        parts.append(cited)
    return " · ".join(parts)


def noise_told(noise: Row) -> str:
    """Say how many athletes chance alone would mark on a day, and how many were marked."""
    return (
        f"Chance alone would mark about {number(noise['expected_false_notes_per_day'], 1)} athletes a day for an "
        f"unusual answer: {noise['formula']}. Marked were {number(noise['seen_notes_per_day'], 1)} a day."
    )
