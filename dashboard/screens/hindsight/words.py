"""Words of the page 'Flags in hindsight' and of the rule editor on it."""

from collections.abc import Mapping, Sequence
from typing import Any

from dashboard.wording import day, full_day, number, sentence_case
from schemas.settings import Setting, SquadSettings

Row = Mapping[str, Any]
PARTS = {"back": "Looked back", "rules": "The rules"}  # what a phone shows one of at a time
TITLE = "Flags in hindsight"
LEDE_NONE = "No past week can be judged yet."
NOTHING_YET = "Nothing has been looked back on yet. Load check-ins, runs and tests; the page fills by itself."
FOR_HEAD_COACH = "This page is for the head coach."
WHAT_FOLLOWED = "What was flagged, and what followed"
HOW_SURE = "How sure that is"
BESIDE = "Beside rules that know less"
ACTED = "Flags acted on, and not"
INJURIES = "The injuries of the time"
IN_FIGURES = "In figures: how sure, beside other rules, what was acted on. Under ten injuries nothing can be concluded."
ATTENTION_BEHIND = "How often the rules speak where nothing is wrong, and what they find"
MEANING = "What this does not mean"
OTHER_VERSION = "Under other numbers"
RULES = "The numbers of the rules"

FOUND, FALSE, MISSED, QUIET = "flagged, injury followed", "flagged, none followed", "not flagged, injury", "quiet"
WITH_INJURY, WITHOUT = "Injury within seven days", "No injury"
FLAGGED, NOT_FLAGGED = "Flagged the evening before", "Not flagged"
RULE_NAMES = {
    "flag_in_force": "the flag in force",
    "without_budget": "the flag without a budget",
    "history_alone": "history alone",
    "random": "random, same rate",
    "always": "always",
    "never": "never",
    "acted_on": "acted on",
    "not_acted_on": "not acted on",
}
RULE_MEANS = {
    "flag_in_force": "at least one of four families speaks",
    "without_budget": "the same four, every sign speaking for itself",
    "history_alone": "a hamstring injury in the last twelve months",
    "random": "each athlete’s own flags, dealt to weeks by chance",
    "always": "a flag for everybody, every week",
    "never": "no flag at all",
}
COMPARED = ("flag_in_force", "without_budget", "history_alone", "random", "always", "never")
BESIDE_COLUMNS = (
    ("name", "rule"),
    ("found", "injuries flagged"),
    ("false", "false flags"),
    ("each_week", "flags a week"),
    ("followed", "flags followed by one"),
    ("lift", "times as often as any week"),
    ("means", "what it flags"),
)
ACTED_COLUMNS = (
    ("name", "flags"),
    ("count", "how many"),
    ("hits", "injury followed"),
    ("followed", "share"),
    ("range", "exact 95 %"),
)
SHARES = (
    ("sensitivity", "injuries that were flagged"),
    ("ppv", "flags followed by an injury"),
    ("specificity", "quiet weeks left unflagged"),
)
SHARE_COLUMNS = (
    ("name", "share"),
    ("counts", "counts"),
    ("value", "seen"),
    ("exact", "exact 95 %"),
    ("wilson", "Wilson 95 %"),
    ("athletes", "athletes drawn anew"),
)
INJURY_COLUMNS = (
    ("injured_on", "onset"),
    ("who", "athlete"),
    ("asked", "the evening before"),
    ("families", "families"),
    ("acted", "acted"),
)
NO_INJURIES = "No hamstring injury that stopped training came in these weeks."
OUTCOMES = {
    "hit": "flagged",
    "missed": "not flagged",
    "no_flag_possible": "no flag possible",
    "left_out": "left out: injured already",
}
INTERVAL_KEY = "Dot: what was seen. Line: exact 95 % interval, weeks taken one by one."
BESIDE_KEY = (
    "Ring: share of all weeks flagged. Dot: share of the injuries that came in a flagged week. A rule says something "
    "only where the dot lies clearly to the right of its ring."
)
NOT_MEANT = (
    "A flag that no injury followed was not wrong to raise: it is a reason to talk, and talking costs little.",
    "A flag that was acted on may have prevented the injury it pointed at, and then it counts as false here. That "
    "cannot be settled without drawing lots.",
    "It says nothing about any one athlete’s chance of injury, and nothing about a coach’s decision.",
    "A number tuned until the past looks good is not better: judge changed numbers on the season that follows.",
)
COUNTING = (
    "Asked every Sunday evening of every athlete who was not injured or still returning. An injury counts once: "
    "hamstring, stopped training (or may have), onset in the seven days after."
)
# --- other numbers ---
LOOK_BACK = "Look back under these numbers"
LOOKING_BACK = "Looking back …"
AS_THEY_CAME = "as they came, before any change"
OTHER_LEDE = "The same past under the rules as they stood after an earlier change. Nothing is changed by looking."
# --- rule editor ---
RULES_LEDE = (
    "These numbers turn answers and runs into calls and flags. A change is kept with who, when and why, and everything "
    "is derived anew."
)
RULE_COLUMNS = (("what", "number"), ("value", "in force"), ("range", "may be"))
BEARING = (
    (("readiness",), "They bear on the call"),
    (("hamstring",), "They bear on the flag"),
    (("readiness", "hamstring"), "They bear on both"),
    ((), "They bear on neither call nor flag"),
)
HISTORY_COLUMNS = (
    ("at", "when"),
    ("by", "who"),
    ("what", "number"),
    ("change", "change"),
    ("why", "why"),
    ("version", "versions then"),
)
CHANGE, CHOOSE, NEW_VALUE, WHY = "Change a number", "Number", "New value", "Why"
WHY_EXAMPLE = "for example: three notes a day that meant nothing"
CHANGE_BUTTON = "Change the rule"
HISTORY = "Every change"
NO_HISTORY = "Nothing has been changed: all numbers are as they came."
CALL_LINES = "How answers become the call"
UNKNOWN = "not known"


def percent(share: float | None, places: int = 0) -> str:
    """Write a share as percent; small ones with the places that keep them from reading as 0."""
    if share is None:
        return "–"
    if 0 < share < 0.01 or 0.99 < share < 1:
        places = 1
    return number(100 * share, places, "%")


def span(low: float | None, high: float | None) -> str:
    """Write an interval of shares: 26 to 88 %."""
    if low is None or high is None:
        return "–"
    if high < 0.1:
        return f"{number(100 * low, 1)} to {number(100 * high, 1, '%')}"
    return f"{number(100 * low, 0)} to {number(100 * high, 0, '%')}"


def times(value: float | None, low: float | None = None, high: float | None = None) -> str:
    """Write how many times as often, with its interval where there is one."""
    if value is None:
        return "–"
    rest = f" ({number(low, 1)} to {number(high, 1)})" if low is not None and high is not None else ""
    return f"{number(value, 1 if value else 0)}×{rest}"


def count(value: float | None) -> str:
    """Write a count; an expected one with a decimal."""
    return "–" if value is None else number(value, 0 if value == int(value) else 1)


def plural(value: float, one: str, many: str) -> str:
    """Write a count with its noun."""
    return f"{count(value)} {one if value == 1 else many}"


def weeks_told(flag: Row) -> str:
    """Say which weeks were looked back on and which of them were judged."""
    if flag["first_week_of"] is None:
        return ""
    return (
        f"Weeks of {full_day(flag['first_week_of'])} to {full_day(flag['last_week_of'])}, "
        f"{plural(flag['athletes'], 'athlete', 'athletes')}: {plural(flag['judged'], 'week', 'weeks')} of one athlete "
        f"judged, {count(flag['no_flag_possible'])} without a flag possible for want of data (coverage "
        f"{percent(flag['coverage'])}), {count(flag['left_out'])} left out: injured or returning."
    )


def version_told(flag: Row, history: Sequence[Row]) -> str:
    """Say which version of the rule is looked back with, and since when it is in force."""
    said = sentence_case(flag["rule_version"])
    last = next(
        (r for r in reversed(history) if r["hamstring_version"] == flag["rule_version"].rsplit(" ", 1)[-1]), None
    )
    if last is None or last["at"] is None:
        return f"The rule: {said}."
    return f"The rule: {said}, in force since {full_day(last['at'])}, changed by {last['by']}."


def in_words(flag: Row) -> str:
    """Say the two-by-two table in a sentence."""
    flags = flag["flags"]
    injuries = flag["injuries"]
    if not injuries:
        found = "No injury came in a week that was judged."
    else:
        found = f"Of {plural(injuries, 'injury', 'injuries')}, {count(flag['hits'])} came in a flagged week."
    followed = (
        f"Of {plural(flags, 'flag', 'flags')}, {count(flag['false_flags'])} were followed by none."
        if flags
        else ("There was no flag.")
    )
    each = (
        f" {sentence_case(plural(flag['false_per_hit'], 'false flag', 'false flags'))} for each injury flagged."
        if (flag["false_per_hit"] is not None)
        else ""
    )
    rate = f" {number(flag['flags_a_week'], 1)} flags a week over the squad." if flag["flags_a_week"] else ""
    rest = []
    if flag["injuries_unjudged"]:
        rest.append(f"{plural(flag['injuries_unjudged'], 'injury', 'injuries')} came where no flag was possible.")
    if flag["injuries_not_counted"]:
        rest.append(
            f"{plural(flag['injuries_not_counted'], 'injury', 'injuries')} came during another one or outside an "
            "athlete’s weeks, and is not counted."
        )
    return " ".join([found, f"{followed}{each}{rate}", *rest])


def chance_told(flag: Row) -> str:
    """Say how good the flag is against its own flags dealt out by chance."""
    share = flag["as_good_by_chance"]
    if share is None:
        return "Without an injury nothing can be held against chance."
    said = (
        f"Dealt out by chance over each athlete’s own weeks, the same flags would find as many injuries or more in "
        f"{percent(share)} of all ways to deal them."
    )
    return said + (" With so few injuries that says nothing either way." if flag["reason"] else "")


def interval_alt(rows: Sequence[Row]) -> str:
    """Describe the chart of intervals."""
    told = [f"{r['name']} {percent(r['value'])}, between {span(r['low'], r['high'])}" for r in rows]
    return "Shares with their exact 95 % intervals: " + "; ".join(told) + "."


def beside_alt(rows: Sequence[Row]) -> str:
    """Describe the chart of rules side by side."""
    told = [f"{r['name']}: {percent(r['flagged'])} of weeks, {percent(r['found'])} of injuries" for r in rows]
    return "Share of weeks flagged and of injuries flagged by each rule: " + "; ".join(told) + "."


def acted_told(acted: Row, other: Row) -> str:
    """Say how many flags were acted on, and what that leaves open."""
    done, left = acted["flags"], other["flags"]
    if not done and not left:
        return "There was no flag to act on."
    return (
        f"{plural(done, 'flag', 'flags')} came with a decision other than as planned, {count(left)} did not. "
        "An injury that acting prevented would count as a false flag, so the two rows cannot be set against each other."
    )


def under_other(flag: Row, now: Row) -> str:
    """Say how the flag would have done under other numbers, beside those in force."""
    return (
        f"{sentence_case(flag['rule_version'])}: {count(flag['hits'])} of "
        f"{plural(flag['injuries'], 'injury', 'injuries')} flagged, "
        f"{plural(flag['false_flags'], 'false flag', 'false flags')}. In force now: {count(now['hits'])} of "
        f"{count(now['injuries'])}, {plural(now['false_flags'], 'false flag', 'false flags')}. {flag['sentence']}"
    )


def change_name(row: Row) -> str:
    """Name a change in a list: 2 · 14 Nov · pain from which ... 3 to 4."""
    when = f"{day(row['at'])} · " if row["at"] else ""
    return f"after change {row['change_no']} · {when}{row['what']}, {row['change']}"


def in_force(one: Setting, settings: SquadSettings) -> str:
    """Write the value in force, with the one it came with where that is another."""
    value, came = getattr(settings, one.name), getattr(SquadSettings(), one.name)
    return one.value_text(value) + (f" (came as {came:g})" if value != came else "")


def changed(what: str, value: float) -> str:
    """Confirm a change."""
    return f"Kept: {what} is now {value:g}. The pages follow as soon as everything is derived anew."
