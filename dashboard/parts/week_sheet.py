"""The squad sheet of a week and the column beside it, as HTML with every value escaped."""

from collections.abc import Mapping, Sequence
from typing import Any
from urllib.parse import urlencode

from dashboard import wording
from dashboard.parts.drills import drill_buttons
from dashboard.parts.lines import load_bars, trend_line
from dashboard.parts.marks import empty, mark, prose, text

Row = Mapping[str, Any]
LEVELS_OF = {"watch": ("one_family", "several_families"), "nothing": ("none",), "cannot_say": ("cannot_say",)}
TRAINING_CHOICES = ("as_planned", "adapt", *wording.ADAPTED, "talk_first")


def link(label: str, query: Mapping[str, str | None], current: bool = False) -> str:
    """Return a link that keeps the choice in the address."""
    kept = {k: v for k, v in query.items() if v}
    here = ' aria-current="true"' if current else ""
    return f'<a href="?{text(urlencode(kept))}" data-go="{text(urlencode(kept))}"{here}>{text(label)}</a>'


def hamstring_words(row: Row) -> dict[str, str]:
    """Return the label of a row's hamstring level: its own words, without them that of the level."""
    return wording.HAMSTRING | ({row["hamstring_level"]: row["hamstring_words"]} if row.get("hamstring_words") else {})


def hamstring_said(row: Row) -> str | None:
    """Return why the level is what it is, and which note asks to be read."""
    note = row.get("read_note_on")
    said = [row["hamstring_reason"], wording.read_the_note(note) if note else None]
    return "; ".join(part for part in said if part) or None


def filter_line(
    athletes: Sequence[Row],
    calls: Mapping[str, str],
    chosen: Mapping[str, str | None],
    printed: str = "",
    levels: Mapping[str, str] | None = None,
) -> str:
    """Return the links that choose group, squad, call, hamstring and order, with how many each holds; then the print.

    ``calls`` and ``levels``: training call and hamstring level by athlete, each as the other choices leave them.
    """

    def having(**changes: str | None) -> dict[str, str | None]:
        return {**chosen, **changes}

    groups: dict[str, int] = {}
    squads: dict[str, int] = {}
    for athlete in athletes:
        groups[athlete["event_group"] or "other"] = groups.get(athlete["event_group"] or "other", 0) + 1
        if athlete["squad"]:
            squads[athlete["squad"]] = squads.get(athlete["squad"], 0) + 1
    left = [
        link(
            f"All {len(athletes)}",
            having(group=None, squad=None, call=None, hamstring=None),
            not any(chosen.get(name) for name in ("group", "squad", "call", "hamstring")),
        )
    ]
    for slug in wording.EVENT_GROUPS:
        if slug in groups:
            name = wording.sentence_case(wording.EVENT_GROUPS[slug])
            on = chosen.get("group") == slug
            left.append(link(f"{name} {groups[slug]}", having(group=None if on else slug), on))
    if len(squads) > 1:
        for squad in sorted(squads):
            on = chosen.get("squad") == squad
            left.append(link(f"Squad {squad} {squads[squad]}", having(squad=None if on else squad), on))
    second = []
    counted = list(calls.values())
    for slug, label in wording.TRAINING.items():
        if slug in counted:
            on = chosen.get("call") == slug
            second.append(
                link(f"{wording.sentence_case(label)} {counted.count(slug)}", having(call=None if on else slug), on)
            )
    third = []
    for slug, label in wording.FILTER_HAMSTRING.items():
        many = sum(level in LEVELS_OF[slug] for level in (levels or {}).values())
        if many:
            on = chosen.get("hamstring") == slug
            third.append(link(f"{label} {many}", having(hamstring=None if on else slug), on))
    if third:
        second.append(f"<span>{wording.HAMSTRING_FILTER_LABEL}:</span>{''.join(third)}")
    orders = [
        link(label, having(sort=None if slug == "exceptions" else slug), (chosen.get("sort") or "exceptions") == slug)
        for slug, label in wording.SORTS.items()
    ]
    print_it = f'<a href="sheet/week.pdf?{text(printed)}" target="_blank">{wording.PRINT_SHEET}</a>'
    return (
        f'<nav class="filters" aria-label="{wording.FILTER_LABEL}">{"".join(left)}</nav>'
        f'<nav class="filters" aria-label="{wording.ORDER_LABEL}">{"".join(second)}'
        f'<span class="push">{"".join(orders)}{print_it}</span></nav>'
    )


def sheet_table(
    rows: Sequence[Row],
    athletes: Mapping[str, Row],
    decided: Mapping[str, Row],
    may_decide: bool = True,
    drills: Mapping[str, Sequence[Row]] | None = None,
) -> str:
    """Return the sheet: a row per athlete with the three calls, each with its strongest reason."""
    if not rows:
        return empty(wording.NO_ROWS_FOR_FILTER)
    head = "".join(f'<th scope="col" style="width:{width}">{title}</th>' for title, width in wording.SHEET_HEADINGS)
    body = "".join(
        _sheet_row(
            row,
            athletes[row["athlete_id"]],
            decided.get(row["athlete_id"]),
            may_decide,
            drill_buttons(row["athlete_id"], (drills or {}).get(row["athlete_id"], [])),
        )
        for row in rows
    )
    return f'<table class="sheet"><thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>'


def _sheet_row(row: Row, athlete: Row, decision: Row | None, may_decide: bool, drills: str) -> str:
    athlete_id = text(row["athlete_id"])
    word = wording.PROGRESS.get(row["progress_word"] or "", "–")
    loud = "word" if row["progress_word"] in ("improving", "slipping") else "word soft"
    quiet = ""
    if row["training_call"] == "as_planned" and row["hamstring_level"] == "none" and loud != "word":
        quiet = ' class="calm"'
    label = [f'<span class="label">{name}</span>' for name in wording.CARD_LABELS]
    name = f"<b>{text(athlete['display_name'])}</b>"
    about = wording.about_athlete(athlete["event_group"], dict(row))
    still = {
        "training": row["training_call"] == "as_planned",
        "hamstring": row["hamstring_level"] == "none",
        "start": loud != "word",
        "load": not row["load_above"],
    }
    shut = {name: ' class="still"' if is_still else "" for name, is_still in still.items()}
    training = mark(row["training_call"], wording.TRAINING, row["training_reason"], row["training_more"] or 0)
    hamstring = mark(row["hamstring_level"], hamstring_words(row), hamstring_said(row))
    trend = trend_line(row["trend_points"], row["trend_low"], row["trend_high"])
    load = load_bars(row["load_points"], row["load_low"], row["load_high"], row["load_above"])
    mind = f"<small>{text(row['focus_caution'])}</small>" if row.get("focus_caution") else ""
    work = f'<span class="focus-line">{text(row["focus_headline"])}</span>{mind}'
    progress = f'<span class="{loud}">{text(word)}</span><small>{prose(row["progress_sentence"])}</small>'
    return (
        f'<tr data-athlete="{athlete_id}"{quiet}><td class="who"><a href="athlete?athlete={athlete_id}" '
        f'data-athlete="{athlete_id}" data-act="open">{name}</a><small>{text(about)}</small></td>'
        f"<td{shut['training']}>{label[0]}{training}</td><td{shut['hamstring']}>{label[1]}{hamstring}</td>"
        f"<td{shut['start']}>{label[2]}{trend}</td><td{shut['start']}>{label[3]}{progress}</td>"
        f"<td{shut['load']}>{label[4]}{load}</td>"
        f'<td class="next">{label[5]}{work} {_decide(athlete_id, row, decision, may_decide, drills)}</td></tr>'
    )


def _decide(athlete_id: str, row: Row, decision: Row | None, may_decide: bool, drills: str) -> str:
    """Return the box that records what was decided, or what has been decided."""
    if decision is not None:
        by = f' <span class="soft by">{text(decision["decided_by"])}</span>' if decision["decided_by"] else ""
        again = _change_form(athlete_id, row, wording.CHANGE_AGAIN, drills) if may_decide else ""
        said = wording.decided_text(decision["call"], dict(row))
        return f'<div class="decide"><span class="decided">{text(said)}</span>{by} {again}</div>'
    if not may_decide:
        return ""
    return (
        f'<div class="decide"><button data-act="agree" data-athlete="{athlete_id}">{wording.AGREE}</button> '
        f"{_change_form(athlete_id, row, wording.CHANGE, drills)}</div>"
    )


def _change_form(athlete_id: str, row: Row, label: str, drills: str) -> str:
    options = "".join(
        f'<option value="{slug}"{" selected" if slug == row["training_call"] else ""}>'
        f"{text(wording.DECIDED[slug])}</option>"
        for slug in TRAINING_CHOICES
    )
    return (
        f'<details><summary>{label}</summary><form data-athlete="{athlete_id}">{drills}'
        f'<select name="training" aria-label="{wording.TRAINING_LABEL}">{options}</select>'
        f'<input name="work" maxlength="200" value="{text(row["focus_headline"])}" aria-label="{wording.WORK_LABEL}">'
        f'<input name="note" maxlength="400" placeholder="{wording.NOTE_LABEL}" aria-label="{wording.NOTE_LABEL}">'
        f"<span><button>{wording.SAVE}</button></span></form></details>"
    )
