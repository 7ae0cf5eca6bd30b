"""The squad sheet of a week and the column beside it, as HTML with every value escaped."""

from collections.abc import Collection, Mapping, Sequence
from typing import Any
from urllib.parse import urlencode

from dashboard import wording
from dashboard.parts.drills import drill_buttons
from dashboard.parts.lines import load_bars, trend_line
from dashboard.parts.marks import empty, mark, more_key, prose, text
from schemas.html import Markup, html, join_html

Row = Mapping[str, Any]
LEVELS_OF = {"watch": ("one_family", "several_families"), "nothing": ("none",), "cannot_say": ("cannot_say",)}
TRAINING_CHOICES = ("as_planned", "adapt", *wording.ADAPTED, "talk_first")


def link(label: str, query: Mapping[str, str | None], current: bool = False) -> Markup:
    """Return a link that keeps the choice in the address."""
    kept = {k: v for k, v in query.items() if v}
    here = html(' aria-current="true"') if current else ""
    return html('<a href="?{}" data-go="{}"{}>{}</a>', urlencode(kept), urlencode(kept), here, label)


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
) -> Markup:
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
        second.append(html("<span>{}:</span>{}", wording.HAMSTRING_FILTER_LABEL, join_html(third)))
    orders = [
        link(label, having(sort=None if slug == "exceptions" else slug), (chosen.get("sort") or "exceptions") == slug)
        for slug, label in wording.SORTS.items()
    ]
    is_full = bool(chosen.get("full"))
    orders.append(link(wording.IN_FULL, having(full=None if is_full else "1"), is_full))
    print_it = html('<a href="sheet/week.pdf?{}" target="_blank">{}</a>', printed, wording.PRINT_SHEET)
    opened = any(chosen.get(name) for name in ("group", "squad", "call", "hamstring", "sort", "full"))
    return (
        html('<div class="choices{}" data-opens>', " opened" if opened else "")
        + more_key("", wording.CHOICES_KEY, opened=opened)
        + html('<nav class="filters rest" aria-label="{}">{}</nav>', wording.FILTER_LABEL, join_html(left))
        + html('<nav class="filters rest" aria-label="{}">{}', wording.ORDER_LABEL, join_html(second))
        + html('<span class="push">{}{}</span></nav></div>', join_html(orders), print_it)
    )


def sheet_table(
    rows: Sequence[Row],
    athletes: Mapping[str, Row],
    decided: Mapping[str, Row],
    may_decide: bool = True,
    drills: Mapping[str, Sequence[Row]] | None = None,
    standing: Mapping[str, str] | None = None,
    changing: Collection[str] = (),
    *,
    in_full: bool = False,
    again: Mapping[str, str] | None = None,
) -> Markup:
    """Return the sheet: a row per athlete with the three calls, each with its strongest reason.

    ``standing``: by athlete, what was decided in an earlier week and stands still; ``changing``: of whom the plan does
    not follow the decision yet; ``in_full``: who goes on as planned has more than a line too;
    ``again``: by athlete, in words, a decision older than what speaks now: it is to be decided on again.
    """
    if not rows:
        return empty(wording.NO_ROWS_FOR_FILTER)
    head = join_html(
        html('<th scope="col" style="width:{}">{}</th>', width, join_html(title.split("\n"), html("<br>")))
        for title, width in wording.SHEET_HEADINGS
    )
    body = join_html(
        _sheet_row(
            row,
            athletes[row["athlete_id"]],
            decided.get(row["athlete_id"]),
            may_decide,
            drill_buttons(row["athlete_id"], (drills or {}).get(row["athlete_id"], [])),
            (standing or {}).get(row["athlete_id"], ""),
            row["athlete_id"] in changing,
            in_full=in_full,
            again=(again or {}).get(row["athlete_id"], ""),
        )
        for row in rows
    )
    return html(
        '<table class="sheet{}"><thead><tr>{}</tr></thead><tbody>{}</tbody></table>',
        " full" if in_full else "",
        head,
        body,
    )


def goes_on(row: Row, standing: str = "") -> bool:
    """Return whether there is nothing to decide on somebody: as planned, nothing to watch, no change, no high load."""
    is_still = row["training_call"] == "as_planned" and row["hamstring_level"] == "none" and not row["load_above"]
    return is_still and row["progress_word"] not in ("improving", "slipping") and not standing


def keeps_work(row: Row) -> bool:
    """Return whether nothing is proposed but to go on with the work: what is to be minded with it is no danger."""
    return bool(row["focus_headline"] == wording.KEEP_THE_WORK)


def _sheet_row(
    row: Row,
    athlete: Row,
    decision: Row | None,
    may_decide: bool,
    drills: str,
    standing: str = "",
    is_changing: bool = False,
    *,
    in_full: bool = False,
    again: str = "",
) -> Markup:
    athlete_id = text(row["athlete_id"])
    word = wording.PROGRESS.get(row["progress_word"] or "", "–")
    loud = "word" if row["progress_word"] in ("improving", "slipping") else "word soft"
    is_calm = goes_on(row, standing)
    said = ["calm"] * is_calm + ["opened"] * in_full
    quiet = html(' class="{}"', " ".join(said)) if said else ""
    label = [html('<span class="label">{}</span>', name) for name in wording.CARD_LABELS]
    young = html(' <span class="young">{}</span>', wording.UNDER_18) if is_calm and row.get("caution") else ""
    name = html("<b>{}</b>{}", athlete["display_name"], young)
    key = more_key(athlete["display_name"], opened=in_full)
    about = wording.about_athlete(athlete["event_group"], {} if young else dict(row))
    still = {
        "training": row["training_call"] == "as_planned" and not standing,
        "hamstring": row["hamstring_level"] == "none",
        "start": loud != "word",
        "load": not row["load_above"],
    }
    shut = {name: html(' class="still"') if says_nothing else "" for name, says_nothing in still.items()}
    training = mark(row["training_call"], wording.TRAINING, row["training_reason"], row["training_more"] or 0)
    training += html('<small class="stood">{}</small>', standing) if standing else ""
    hamstring = mark(row["hamstring_level"], hamstring_words(row), hamstring_said(row))
    trend = trend_line(row["trend_points"], row["trend_low"], row["trend_high"])
    load = load_bars(row["load_points"], row["load_low"], row["load_high"], row["load_above"], row.get("load_missing"))
    mind = html('<small class="minds">{}</small>', row["focus_caution"]) if row.get("focus_caution") else ""
    kept = " kept" if keeps_work(row) else ""
    mind += html('<small class="stood">{}</small>', wording.sentence_case(again)) if again else ""
    work = html('<span class="focus-line{}">{}</span>{}', kept, row["focus_headline"], mind)
    progress = html('<span class="{}">{}</span><small>{}</small>', loud, word, prose(row["progress_sentence"]))
    return (
        html(
            '<tr data-opens data-athlete="{}"{}><td class="who"><a href="athlete?athlete={}" ',
            athlete_id,
            quiet,
            athlete_id,
        )
        + html('data-athlete="{}" data-act="open">{}</a><small>{}</small>{}</td>', athlete_id, name, about, key)
        + html(
            "<td{}>{}{}</td><td{}>{}{}</td>",
            shut["training"],
            label[0],
            training,
            shut["hamstring"],
            label[1],
            hamstring,
        )
        + html("<td{}>{}{}</td><td{}>{}{}</td>", shut["start"], label[2], trend, shut["start"], label[3], progress)
        + html("<td{}>{}{}</td>", shut["load"], label[4], load)
        + html(
            '<td class="next">{}{} {}{}</td></tr>',
            label[5],
            work,
            _decide(athlete_id, row, decision, may_decide, drills),
            change_link(row["athlete_id"]) if is_changing else "",
        )
    )


def change_link(athlete_id: str) -> Markup:
    """Return the way to the plan with what was decided laid over it."""
    return html(
        '<a class="follow noprint" href="plan?athlete={}&amp;copy=decided" data-act="plan" data-athlete="{}">{}</a>',
        athlete_id,
        athlete_id,
        wording.CHANGE_PLAN,
    )


def _decide(athlete_id: str, row: Row, decision: Row | None, may_decide: bool, drills: str) -> Markup:
    """Return the box that records what was decided, or what has been decided."""
    if decision is not None:
        by = html(' <span class="soft by">{}</span>', decision["decided_by"]) if decision["decided_by"] else ""
        again = _change_form(athlete_id, row, wording.CHANGE_AGAIN, drills) if may_decide else ""
        said = wording.decided_text(decision["call"], dict(row), decision.get("training"))
        return html('<div class="decide"><span class="decided">{}</span>{} {}</div>', said, by, again)
    if not may_decide:
        return html('<div class="decide"><span class="soft">{}</span></div>', wording.NOT_DECIDED_ON)
    return html(
        '<div class="decide"><button data-act="agree" data-athlete="{}" data-sent="{}">{}</button> {}</div>',
        athlete_id,
        wording.AGREED_SENT,
        wording.AGREE,
        _change_form(athlete_id, row, wording.CHANGE, drills),
    )


def _change_form(athlete_id: str, row: Row, label: str, drills: str) -> Markup:
    options = join_html(
        html(
            '<option value="{}"{}>{}</option>',
            slug,
            html(" selected") if slug == row["training_call"] else "",
            wording.DECIDED[slug],
        )
        for slug in TRAINING_CHOICES
    )
    return (
        html('<details><summary>{}</summary><form data-athlete="{}">', label, athlete_id)
        + (html("<b>{}</b>{}", wording.YOUR_DRILLS, drills) if drills else Markup())
        + html('<label>{}<select name="training">{}</select></label>', wording.TRAINING_LABEL, options)
        + html(
            '<label>{}<input name="work" maxlength="200" value="{}"></label>', wording.WORK_LABEL, row["focus_headline"]
        )
        + html('<label>{}<input name="note" maxlength="400"></label>', wording.NOTE_LABEL)
        + html(
            '<span><button>{}</button> <button type="button" class="plain" data-shut>{}</button></span>',
            wording.SAVE,
            wording.CANCEL,
        )
        + html("</form></details>")
    )
