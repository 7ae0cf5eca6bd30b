"""The squad's own drills: those for an athlete's advised work, and one with its cue as the athlete reads it."""

from collections.abc import Collection, Mapping, Sequence
from typing import Any
from urllib.parse import urlsplit

from dashboard import wording
from dashboard.parts.drill_pictures import drill_picture
from dashboard.parts.marks import more_key
from dashboard.reads import Opened
from schemas.html import Markup, html, join_html

Row = dict[str, Any]
MOST_OFFERED = 4
ANY = "any"


def drills_in_use(opened: Opened) -> list[Row]:
    """Return the drills that may be chosen, by limit and name."""
    if "drill" not in opened.board.tables:
        return []
    return opened.rows("drill", {"is_used": True}, order_by=["limit", "drill"])


def offered(opened: Opened, athlete_ids: Collection[str]) -> dict[str, list[Row]]:
    """Return for each athlete the drills for the work that is advised, those for the better supported limit first.

    Work that is held back (a talk, the way back, 'adapt') is not advised, and no drill is offered for it.
    """
    every = drills_in_use(opened)
    if not every or "advised_work" not in opened.board.tables:
        return {}
    by_limit: dict[str, list[Row]] = {}
    for drill in every:
        by_limit.setdefault(drill["limit"], []).append(drill)
    found: dict[str, list[Row]] = {}
    for work in opened.rows("advised_work", {"athlete_id": list(athlete_ids)}, order_by=["athlete_id", "rank"]):
        chosen = found.setdefault(work["athlete_id"], [])
        names = {one["drill"] for one in chosen}
        chosen += [one for one in by_limit.get(work["limit"], by_limit.get(ANY, [])) if one["drill"] not in names]
    return {who: some[:MOST_OFFERED] for who, some in found.items()}


def drill_buttons(athlete_id: str, drills: Sequence[Mapping[str, Any]]) -> Markup:
    """Return a button for each drill: pressed, it is what was decided."""
    keys = join_html(
        html(
            '<button type="button" class="plain" data-act="drill" data-athlete="{}" data-drill="{}" title="{}">{}'
            "</button>",
            athlete_id,
            one["drill"],
            wording.drill_short(one),
            wording.drill_title(one["drill"]),
        )
        for one in drills
    )
    if not drills:
        return html("")
    return html('<div class="drills" role="group" aria-label="{}">{}</div>', wording.DRILLS_OFFERED, keys)


def drills_named(drills: Sequence[Mapping[str, Any]]) -> Markup:
    """Return drills with their cues in a line each, to read; they are chosen on This week."""
    if not drills:
        return html("")
    items = join_html(html("<li>{}</li>", wording.drill_short(one)) for one in drills)
    return html('<p class="soft">{}</p><ul class="notes">{}</ul>', wording.DRILLS_TO_CHOOSE, items)


def drill_text(drill: Mapping[str, Any], *, to_athlete: bool = True, in_list: bool = False) -> Markup:
    """Return a drill with its cue, why, how much, what to mind and where to see it; for an athlete also of pain.

    ``in_list``: among many, where a phone shows name, drawing and cue, and the rest once it is opened.
    """
    facts = (
        (wording.DRILL_AMOUNT, drill["amount"]),
        (wording.DRILL_WHY, drill["why"]),
        (wording.DRILL_MIND, " ".join([_sentence(drill["caution"]), *([wording.DRILL_PAIN] if to_athlete else [])])),
    )
    cue = html("<dt>{}</dt><dd>{}</dd>", wording.DRILL_CUE, drill["cue"]) if drill["cue"] else ""
    said = join_html(html("<dt>{}</dt><dd>{}</dd>", name, fact) for name, fact in facts if fact)
    if drill["link"] and urlsplit(drill["link"]).scheme == "https":
        place = urlsplit(drill["link"]).netloc
        said += html(
            '<dt>{}</dt><dd><a href="{}" target="_blank" rel="noopener noreferrer">{}</a></dd>',
            wording.DRILL_LINK,
            drill["link"],
            place,
        )
    title = wording.drill_title(drill["drill"])
    drawn = drill_picture(drill["drill"])
    if not in_list:
        return html('<div class="focus"><p class="big">{}</p>{}<dl>{}{}</dl></div>', title, drawn, cue, said)
    first = html("<dl>{}</dl>", cue) if cue else ""
    return html(
        '<div class="focus"><p class="big">{}</p>{}{}{}<dl class="rest">{}</dl></div>',
        title, drawn, first, more_key(title), said,
    )  # fmt: skip


def _sentence(said: str | None) -> str:
    return "" if not said else said[:1].upper() + said[1:].rstrip(".") + "."


def chosen_drills(opened: Opened, decisions: Sequence[Mapping[str, Any]]) -> list[Row]:
    """Return the drills that were chosen with some decisions, each once."""
    names = {row["drill"] for row in decisions if row.get("drill")}
    if not names or "drill" not in opened.board.tables:
        return []
    found: dict[str, Row] = {}
    for row in opened.rows("drill", {"drill": sorted(names)}, order_by=["drill", "limit"]):
        found.setdefault(row["drill"], row)
    return list(found.values())
