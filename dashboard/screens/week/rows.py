"""A week of the squad, gathered from the board for the page and for the printed sheet alike."""

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from dashboard import questions, wording
from dashboard.parts.calls import still_standing
from dashboard.parts.week_sheet import LEVELS_OF
from dashboard.reads import Opened, parsed_day
from dashboard.screens.week.review import as_sheet

Row = dict[str, Any]
Chosen = Mapping[str, str | None]
CHOICES = ("week", "group", "squad", "call", "hamstring", "sort", "now", "full")
MOST_FILES = 3  # files with rows set aside that are named one by one


@dataclass
class Week:
    """One week as it is shown: its lines, who they are of, what was decided, and the review that closed it if any."""

    monday: dt.date
    weeks: list[dt.date]
    athletes: dict[str, Row]
    every: list[Row]  # all lines the viewer may see, before the choices
    rows: list[Row]  # those that fit the choices, in the order asked for
    decided: dict[str, Row]
    changed: dict[str, str | None]
    lede: str
    closed: Row | None = None  # a line of the closed review, with who and when
    is_kept: bool = False  # the lines are those kept at the closing
    against: dt.datetime | None = None  # when the review was closed that the changes are set against
    calls: dict[str, str] = field(default_factory=dict)  # by athlete, of the lines that fit all choices but the call
    levels: dict[str, str] = field(default_factory=dict)  # likewise of the hamstring
    since_closing: str = ""  # over a closed review: what is different now
    asked: tuple[str, ...] = ()  # files of which rows wait for an answer
    standing: dict[str, str] = field(default_factory=dict)  # by athlete, what was decided earlier and stands still
    not_seen: str = ""  # what the sheet could not look at: never entered, not read, not understood
    again: dict[str, str] = field(default_factory=dict)  # by athlete, a decision older than what speaks, in words

    def name(self, athlete_id: str) -> str:
        """Return an athlete's name."""
        return str(self.athletes[athlete_id]["display_name"])


def weeks_on_board(opened: Opened) -> list[dt.date]:
    """Return the Mondays that have a sheet, the last first."""
    if "week_sheet" not in opened.board.tables:
        return []
    mondays = opened.board.read(opened.viewer, "week_sheet", columns=["week_of"])["week_of"]
    return list(mondays.unique().sort(descending=True))


def chosen_rows(rows: Sequence[Row], athletes: Mapping[str, Row], chosen: Chosen) -> list[Row]:
    """Return the rows that fit the choices, in the order asked for."""

    def group(row: Row) -> str:
        return athletes[row["athlete_id"]]["event_group"] or "other"

    def fits(row: Row) -> bool:
        return all(
            (
                chosen.get("group") in (None, group(row)),
                chosen.get("squad") in (None, athletes[row["athlete_id"]]["squad"]),
                chosen.get("call") in (None, row["training_call"]),
                not chosen.get("hamstring") or row["hamstring_level"] in LEVELS_OF[chosen["hamstring"] or ""],
            )
        )

    def name(row: Row) -> str:
        return str(athletes[row["athlete_id"]]["display_name"])

    kept = [row for row in rows if row["athlete_id"] in athletes and fits(row)]
    if chosen.get("sort") == "name":
        return sorted(kept, key=name)
    if chosen.get("sort") == "group":
        groups = list(wording.EVENT_GROUPS)
        return sorted(kept, key=lambda r: (groups.index(group(r)), name(r)))
    return sorted(kept, key=lambda r: (-(r["loudness"] or 0), name(r)))


def undecided(week: Week) -> list[str]:
    """Return who has no decision yet, in the order of the sheet."""
    return [week.name(r["athlete_id"]) for r in week.every if r["athlete_id"] not in week.decided]


def gather(
    opened: Opened,
    chosen: Chosen,
    *,
    weeks: Sequence[dt.date] | None = None,
    decisions: Sequence[Row] | None = None,
    kept_lines: Sequence[Row] | None = None,
) -> Week | None:
    """Gather a week; null where the board holds none.

    Args:
        opened: The viewer and the board.
        chosen: Week, event group, squad, call, order, and whether a closed week is wanted as it stands now.
        weeks: The Mondays that have a sheet, where they are known already.
        decisions: The decisions of the week, where more is known of them than the board holds yet.
        kept_lines: The lines of the closed review, likewise.
    """
    athletes = {a["athlete_id"]: a for a in opened.board.allowed_athletes(opened.viewer).to_dicts()}
    mondays = list(weeks if weeks is not None else weeks_on_board(opened))
    if not mondays:
        return None
    asked = parsed_day(chosen.get("week"))
    monday = asked if asked is not None and asked in mondays else mondays[0]
    lines = list(kept_lines) if kept_lines is not None else opened.rows("review_line", {"week_of": monday})
    closed = lines[0] if lines else None
    is_kept = closed is not None and not chosen.get("now")
    found = [as_sheet(line) for line in lines] if is_kept else opened.rows("week_sheet", {"week_of": monday})
    every = [r for r in found if r["athlete_id"] in athletes]
    rows = chosen_rows(every, athletes, chosen)
    changed = {r["athlete_id"]: r["changed"] for r in every}
    against = None
    if not is_kept:
        since = opened.rows("review_change", {"week_of": monday})
        changed |= {r["athlete_id"]: r["changed"] for r in since}
        against = max((r["closed_at"] for r in since), default=None)
    if is_kept:
        decided = {
            line["athlete_id"]: {"call": line["decided"], "decided_by": line["closed_by"]}
            for line in lines
            if line["decided"]
        }
    else:
        known = decisions if decisions is not None else opened.rows("decision", {"week_of": monday})
        decided = shown_decisions(known)
    states = {} if is_kept else decision_states(opened, monday)
    again = {who: row["words"] for who, row in states.items() if row["is_older"] and who in decided}
    proposed = proposals(every)
    decided = {
        who: as_stands(row, states.get(who), proposed.get(who)) for who, row in decided.items() if who not in again
    }
    calls = {r["athlete_id"]: r["training_call"] for r in chosen_rows(every, athletes, {**chosen, "call": None})}
    levels = {
        r["athlete_id"]: r["hamstring_level"] for r in chosen_rows(every, athletes, {**chosen, "hamstring": None})
    }
    never = opened.rows("never_entered", order_by=["place"]) if "never_entered" in opened.board.tables else []
    lede = questions.week_lede(rows, [row["kind"] for row in never])
    week = Week(monday, mondays, athletes, every, rows, decided, changed, lede, closed, is_kept, against, calls, levels)
    week.standing, week.again = _standing(opened, week), again
    if monday == mondays[0] and not is_kept:
        mine = None if opened.viewer.role == "head_coach" else opened.viewer.name
        unread = questions.unread_files(opened.board.home, mine)
        week.not_seen = say_not_seen([row["words"] for row in never], unread)
        week.asked = tuple(one["file"] for one in unread if one["holding"] and not one["problem"])
    if is_kept:
        since_then = _changed_since(opened, week)
        named = [
            (week.name(r["athlete_id"]), since_then[r["athlete_id"]]) for r in every if r["athlete_id"] in since_then
        ]
        week.since_closing = questions.since_closing(named)
        for who, said in since_then.items():  # in the row too: it is the row that is read at the track
            week.standing[who] = " ".join([*filter(None, [week.standing.get(who)]), wording.since_closed(said)])
    return week


def say_not_seen(never: Sequence[str], unread: Sequence[Row]) -> str:
    """Say what the sheet could not look at; "" where there is nothing of the kind."""
    columns = [len(one["columns"]) for one in unread if one["columns"] and not one["problem"]]
    said = wording.unread_line(
        [one["file"] for one in unread if one["problem"]],
        [one["file"] for one in unread if one["holding"] and not one["problem"]],
        sum(columns),
        len(columns),
    )
    return "; ".join(part for part in (wording.never_entered_line(never), said) if part)


def _standing(opened: Opened, week: Week) -> dict[str, str]:
    """Return what was decided in an earlier week and stands on the day of the sheet."""
    day = max((row["day_on"] for row in week.every), default=None)
    if day is None:
        return {}
    return still_standing(opened, [row["athlete_id"] for row in week.every], day, week.monday)


def _changed_since(opened: Opened, week: Week) -> dict[str, str]:
    """Return what is different from when a review was closed, by athlete."""
    return {r["athlete_id"]: r["changed"] for r in opened.rows("review_since", {"week_of": week.monday})}


def shown_decisions(rows: Sequence[Row]) -> dict[str, Row]:
    """Return the decision shown for each athlete, on the start's work before any other, with that on training."""
    decided: dict[str, Row] = {}
    for row in rows:
        if row["topic"] == "start_work" or row["athlete_id"] not in decided:
            decided[row["athlete_id"]] = row
    training = {row["athlete_id"]: row["call"] for row in rows if row["topic"] == "training"}
    return {who: {**row, "training": training.get(who)} for who, row in decided.items()}


def decision_states(opened: Opened, monday: dt.date) -> dict[str, Row]:
    """Return how the decisions of a week stand beside what is known now, by athlete."""
    if "decision_state" not in opened.board.tables:
        return {}
    return {row["athlete_id"]: row for row in opened.rows("decision_state", {"week_of": monday})}


def proposals(rows: Sequence[Row]) -> dict[str, str | None]:
    """Return the work that each row of the sheet proposes, by athlete."""
    return {row["athlete_id"]: row["focus_headline"] for row in rows}


def as_stands(decision: Row, state: Row | None, proposed: str | None) -> Row:
    """Return a decision as it is shown: one made against the call is said as what it is, never as agreed.

    The coach's own work stands with it; the work that went with the call does not.
    """
    if state is None or not state["is_overruled"]:
        return decision
    work = decision["call"] if decision["topic"] == "start_work" and decision["call"] != proposed else None
    said = "; ".join(filter(None, [state["words"], work]))
    return {**decision, "call": said, "training": None, "decided_by": None}


def decided_in_words(
    rows: Sequence[Row], states: Mapping[str, Row] | None = None, proposed: Mapping[str, str | None] | None = None
) -> dict[str, str]:
    """Return what was decided on each athlete in one text: training, then the work.

    ``states``: one made against the call is kept as what it is, one older than what speaks as decided before it; the
    work ``proposed`` with that call is then left out.
    """
    order = {"training": 0, "start_work": 1}
    stands = {who: state["words"] for who, state in (states or {}).items() if state["words"]}
    said: dict[str, list[str]] = {}
    for row in sorted(rows, key=lambda r: order.get(r["topic"], 2)):
        who = row["athlete_id"]
        goes_with_call = who in stands and row["topic"] == "start_work" and row["call"] == (proposed or {}).get(who)
        if row["topic"] in order and row["call"] and not goes_with_call:
            against = stands.get(row["athlete_id"]) if row["topic"] == "training" else None
            said.setdefault(row["athlete_id"], []).append(against or row["call"])
    for who, words in stands.items():
        if who in said and words not in said[who]:
            said[who].insert(0, words)
    return {athlete_id: "; ".join(calls) for athlete_id, calls in said.items()}


def as_file(week: Week, row: Row) -> Row:
    """Return a line of the sheet as it goes into a file: names for ids, the decision, no order of loudness."""
    decision = week.decided.get(row["athlete_id"])
    hidden = (
        "loudness",
        "athlete_id",
        "week_of",
        "training_reads_injury",
        "hamstring_reads_injury",
        "work_reads_injury",
        "is_coming_back",
    )
    return {
        "athlete": week.name(row["athlete_id"]),
        "week_of": week.monday,
        **{name: value for name, value in row.items() if name not in hidden},
        "decided": decision["call"] if decision else week.again.get(row["athlete_id"]),
    }


def changes(week: Week) -> list[tuple[str, str]]:
    """Return who changed and how, the loudest first."""
    loud = sorted(week.every, key=lambda r: -(r["loudness"] or 0))
    return [(week.name(r["athlete_id"]), said) for r in loud if (said := week.changed.get(r["athlete_id"]))]


def decided_last_week(opened: Opened, week: Week) -> list[tuple[str, str, str]]:
    """Return what was decided on the start and the hamstring for the week before, and what followed or holds."""
    before = week.monday - dt.timedelta(days=7)
    wanted = {"week_of": before, "topic": ["start_work", "hamstring"]}
    last = opened.rows("decision", wanted, order_by=["athlete_id", "topic"])
    standing = opened.rows("standing_decision", {"week_of": before, "topic": "hamstring"})
    until = {(row["athlete_id"], row["call"]): row["until_on"] for row in standing}
    then = {r["athlete_id"]: r for r in opened.rows("focus_followup", {"week_of": before})}
    progress = {r["athlete_id"]: r["progress_sentence"] for r in week.every}
    told = []
    for row in last:
        athlete_id = row["athlete_id"]
        if athlete_id not in week.athletes:
            continue
        after = then.get(athlete_id)
        if row["topic"] == "hamstring":
            holds = until.get((athlete_id, row["call"]))
            said = wording.holds_until(holds) if holds else ""
        elif after:
            said = wording.followed(after["done_sentence"], after["change_sentence"])
        else:
            said = f"{wording.SINCE_THEN} {progress[athlete_id]}." if progress.get(athlete_id) else ""
        told.append((week.name(athlete_id).split()[0], f"{row['call'] or row['note'] or ''}.", said))
    return told


def missing(opened: Opened, week: Week) -> list[tuple[str, str | None]]:
    """Return what is missing: check-ins, overdue tests, rows set aside (these with the page to go to)."""
    found: list[tuple[str, str | None]] = []
    here = {r["athlete_id"] for r in week.every}
    silent = opened.rows(
        "week_sheet", {"week_of": week.monday, "checkin_missing": True}, columns=["athlete_id", "checkin_gap_days"]
    )
    gaps = [(week.name(r["athlete_id"]), r["checkin_gap_days"]) for r in silent if r["athlete_id"] in here]
    if gaps:
        gaps.sort(key=lambda g: -(g[1] if g[1] is not None else 10_000))
        found.append((wording.missing_checkins(gaps), None))
    late, limit = _overdue(opened, week)
    if late:
        found.append((wording.tests_overdue(late, limit), None))
    found.extend((said, "data") for said in odd_times(opened, week))
    if week.monday != week.weeks[0]:
        return found  # what is set aside today says nothing of a week gone by
    aside: dict[str, int] = {}
    columns = ["source_name", "source_sheet", "source_line"]
    for name, _, _ in {tuple(row[one] for one in columns) for row in opened.rows("rejected", columns=columns)}:
        aside[name] = aside.get(name, 0) + 1
    if len(aside) > MOST_FILES:
        found.append((wording.set_aside_in_files(sum(aside.values()), len(aside)), "data"))
    else:
        found.extend((wording.set_aside(count, source), "data") for source, count in aside.items())
    return found


def odd_times(opened: Opened, week: Week) -> list[str]:
    """Return which times of the week lie far from the athlete's usual, by file and line, and how many earlier ones do.

    Of a week gone by nothing.
    """
    if week.monday != week.weeks[0]:
        return []
    wanted = {"tables": "split", "kind": "unusual"}
    rows = opened.rows("marked", wanted, order_by=["-load_no", "source_line"])
    runs = {
        (row["source_name"], row["source_sheet"], row["source_line"]): row  # the first of the times of a line
        for row in reversed(rows)
        if row["athlete_id"] in week.athletes
    }
    if not runs:
        return []
    where = {"athlete_id": sorted({row["athlete_id"] for row in runs.values()}), "session_date": (">=", week.monday)}
    ran = opened.rows("split", where, columns=["source_name", "source_sheet", "source_line"])
    of_week = {(row["source_name"], row["source_sheet"], row["source_line"]) for row in ran}
    now = {place: row for place, row in reversed(runs.items()) if place in of_week}
    by_athlete: dict[str, list[tuple[Any, Row]]] = {}
    for place, row in now.items():
        by_athlete.setdefault(row["athlete_id"], []).append((place, row))
    people = list(by_athlete.items())
    named = people[:MOST_FILES]  # a line for each athlete
    told = [
        wording.odd_time(week.name(who), some[0][1]["reason"], *some[0][0]) + wording.and_runs(len(some) - 1)
        for who, some in named
    ]
    unnamed = [place for _, some in people[MOST_FILES:] for place in some]
    if unnamed:
        told.append(wording.more_odd_times(len(unnamed)))
    if len(now) < len(runs):
        told.append(wording.earlier_odd_times(len(runs) - len(now)))
    return told


def _overdue(opened: Opened, week: Week) -> tuple[list[str], int]:
    """Return whose test is overdue today; of a week gone by nothing is said."""
    limit = int(opened.setting("test_overdue_days"))
    if week.monday != week.weeks[0]:
        return [], limit
    overdue = opened.rows("group_test_calendar", {"test": "eccentric_hamstring", "state": "overdue"})
    late = {row["athlete_id"] for row in overdue}
    return [week.name(r["athlete_id"]) for r in week.every if r["athlete_id"] in late], limit
