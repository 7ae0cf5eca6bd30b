"""The one advice for an athlete and the work that goes with it, for pages and prints alike."""

from typing import Any

from dashboard import wording
from dashboard.parts.marks import empty, text
from dashboard.reads import Opened

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


def advice_html(told: Row | None, works: list[Row], own: bool) -> str:
    """Return the advice with its work, each with why, how strong the evidence is, its caution and what would show."""
    if told is None:
        return empty(wording.NO_FOCUS)
    sentence = told["own_sentence"] if own else told["sentence"]
    parts = [f"<p>{text(sentence)}</p>"]
    if told["stands"] not in wording.GOES_ON:
        head = told["own_headline"] if own else told["headline"]
        parts.insert(0, f'<p class="big">{text(head)}</p>')
    if told["waits"]:
        parts.append(f'<p class="soft">{text(told["waits"])}</p>')
    for row in works:
        first = f"<p>{text(row['when'])}</p>" if row["when"] and not own else ""
        caution = f"{row['caution']} {wording.OWN_CAUTION}" if own else row["caution"]
        parts.append(
            f'<div class="focus"><p class="big">{text(wording.sentence_case(row["headline"]))}</p>{first}'
            f"<p>{text(row['work'])}</p><dl><dt>{wording.WHY}</dt><dd>{text(row['why'])}</dd>"
            f"<dt>{wording.WOULD_SHOW}</dt><dd>{text(row['would_show'])}</dd>"
            f"<dt>{wording.EVIDENCE}</dt><dd>{text(wording.STRENGTHS.get(row['strength'], row['strength']))}</dd></dl>"
            f'<p class="soft">{text(caution)}</p></div>'
        )
    if told["caution"] and not own:
        parts.append(f'<p class="soft">{text(told["caution"])}</p>')
    return "".join(parts)
