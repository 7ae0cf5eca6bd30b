"""The one advice for an athlete and the work that goes with it, for pages and prints alike."""

from typing import Any

from dashboard import wording
from dashboard.parts.marks import empty
from dashboard.reads import Opened
from schemas.html import Markup, html, join_html

Row = dict[str, Any]


def advice_of(opened: Opened, athlete_id: str) -> Row | None:
    """Return the advice of today; null where there is none yet."""
    rows = opened.rows("advice", {"athlete_id": athlete_id}, order_by=["-week_of"], limit=1)
    return rows[0] if rows else None


def spoken_to(opened: Opened, told: Row | None) -> tuple[str, str]:
    """Return headline and sentence of the advice as who reads it is spoken to: the athlete, or a minor's guardian."""
    if opened.viewer.is_tied and not opened.viewer.is_own:
        return wording.told_guardian(told)
    return (told["own_headline"], told["own_sentence"]) if told else (wording.NO_ADVICE_HEADLINE, wording.NO_ADVICE)


def works_of(opened: Opened, told: Row | None) -> list[Row]:
    """Return the work that goes with an advice, the better supported first."""
    if told is None:
        return []
    week = {"athlete_id": told["athlete_id"], "week_of": told["week_of"]}
    return opened.rows("advised_work", week, order_by=["rank"])


def advice_html(told: Row | None, works: list[Row], own: bool, *, said_above: bool = False) -> Markup:
    """Return the advice with its work, each with why, how strong the evidence is, its caution and what would show.

    ``said_above``: headline and sentence of the advice stand on top of the page already; here its work alone.
    """
    if told is None:
        return empty(wording.NO_FOCUS)
    parts: list[Markup] = []
    if not said_above:
        parts.append(html("<p>{}</p>", told["own_sentence"] if own else told["sentence"]))
        if told["stands"] not in wording.GOES_ON:
            head = told["own_headline"] if own else told["headline"]
            parts.insert(0, html('<p class="big">{}</p>', head))
    elif not works and not told["waits"]:
        parts.append(html("<p>{}</p>", wording.NO_WORK_NOW))
    if told["waits"]:
        parts.append(html('<p class="soft">{}</p>', told["waits"]))
    for row in works:
        first = html("<p>{}</p>", row["when"]) if row["when"] and not own else ""
        caution = f"{row['caution']} {wording.OWN_CAUTION}" if own else row["caution"]
        parts.append(
            html('<div class="focus"><p class="big">{}</p>{}', wording.sentence_case(row["headline"]), first)
            + html("<p>{}</p><dl><dt>{}</dt><dd>{}</dd>", row["work"], wording.WHY, row["why"])
            + html("<dt>{}</dt><dd>{}</dd>", wording.WOULD_SHOW, row["would_show"])
            + html(
                '<dt>{}</dt><dd>{}</dd></dl><p class="soft">{}</p></div>',
                wording.EVIDENCE,
                wording.STRENGTHS.get(row["strength"], row["strength"]),
                caution,
            )
        )
    if told["caution"] and not own:
        parts.append(html('<p class="soft">{}</p>', told["caution"]))
    return join_html(parts)
