"""Tables of the Plan page: what a plan would mean for each, and what was done of the last one."""

from collections.abc import Mapping, Sequence
from typing import Any

from dashboard import wording
from dashboard.parts.marks import SCROLL, prose, text
from dashboard.screens.plan import words
from schemas.html import Markup, html, join_html

Row = Mapping[str, Any]


def _frame(head: Sequence[str], rows: Sequence[str], kind: str = "") -> Markup:
    titles = join_html(html('<th scope="col">{}</th>', title) for title in head)
    return html(
        '{}<table class="group {}"><thead><tr>{}</tr></thead><tbody>{}</tbody></table></div>',
        SCROLL,
        kind,
        titles,
        join_html(rows),
    )


def effect_table(
    rows: Sequence[Row], names: Mapping[str, str], minded: Mapping[str, Sequence[str]] | None = None
) -> str:
    """Return what a plan would mean, an athlete a line, in words with a mark where it leaves own range.

    ``minded``: what calls and decisions say against each one's fast sessions of the week as it is saved.
    """
    found = {row["athlete_id"]: row for row in rows}
    body = []
    for athlete_id, name in names.items():
        row = found.get(athlete_id)
        if row is None:
            continue
        label = html('<span class="narrow">{} </span>', words.EFFECT_COLUMNS[3])
        monotony = label + text(wording.number(row["monotony"], 2))
        speaks = (
            html('<br><span class="call adapt">{}</span>', words.EXPOSURE_SPEAKS) if row["speaks_on_exposure"] else ""
        )
        speaks += join_html(
            html('<br><span class="call adapt">{}</span>', said) for said in (minded or {}).get(athlete_id, ())
        )
        body.append(
            html(
                '<tr><th scope="row">{}</th><td class="words">{}</td>',
                name,
                _placed(row["load_words"], row["load_place"]),
            )
            + html(
                '<td class="words">{}{}</td><td class="num">{}</td></tr>', prose(row["fast_words"]), speaks, monotony
            )
        )
    return _frame(words.EFFECT_COLUMNS, body, "effect")


def _placed(sentence: str, place: str | None) -> Markup:
    """Return a sentence, marked where it says that own range is left upwards."""
    return html('<span class="call adapt">{}</span>', prose(sentence)) if place == "above" else prose(sentence)


def done_table(rows: Sequence[Row], names: Mapping[str, str], caveats: Mapping[str, str]) -> str:
    """Return plan against done, an athlete a line; what is not known is a dash with its reason."""
    found = {row["athlete_id"]: row for row in rows}
    body = []
    for athlete_id, name in names.items():
        row = found.get(athlete_id)
        if row is None:
            continue
        percent = wording.number(row["difference_percent"], 0, "%", signed=True)
        cells = [
            f"{row['sessions_done']} of {row['sessions_planned']}",
            wording.number(row["planned_au"], 0),
            wording.number(row["load_au"], 0),
            percent,
            wording.number(row["planned_fast_metres"], 0, "m"),
            wording.number(row["done_fast_metres"], 0, "m"),
        ]
        numbers = join_html(html('<td class="num">{}</td>', prose(cell)) for cell in cells)
        why = caveats.get(row["reason"] or "", "")
        body.append(html('<tr><th scope="row">{}</th>{}<td class="words soft">{}</td></tr>', name, numbers, why))
    return _frame(words.DONE_COLUMNS, body)
