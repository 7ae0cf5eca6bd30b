"""Tables of the Plan page: what a plan would mean for each, and what was done of the last one."""

from collections.abc import Mapping, Sequence
from typing import Any

from dashboard import wording
from dashboard.parts.marks import SCROLL, prose, text
from dashboard.screens.plan import words

Row = Mapping[str, Any]


def _frame(head: Sequence[str], rows: Sequence[str], kind: str = "") -> str:
    titles = "".join(f'<th scope="col">{title}</th>' for title in head)
    return (
        f'{SCROLL}<table class="group {kind}"><thead><tr>{titles}</tr></thead>'
        f"<tbody>{''.join(rows)}</tbody></table></div>"
    )


def effect_table(rows: Sequence[Row], names: Mapping[str, str]) -> str:
    """Return what a plan would mean, an athlete a line, in words with a mark where it leaves own range."""
    found = {row["athlete_id"]: row for row in rows}
    body = []
    for athlete_id, name in names.items():
        row = found.get(athlete_id)
        if row is None:
            continue
        label = f'<span class="narrow">{words.EFFECT_COLUMNS[3]} </span>'
        monotony = label + text(wording.number(row["monotony"], 2))
        speaks = f'<br><span class="call adapt">{words.EXPOSURE_SPEAKS}</span>' if row["speaks_on_exposure"] else ""
        body.append(
            f'<tr><th scope="row">{text(name)}</th>'
            f'<td class="words">{_placed(row["load_words"], row["load_place"])}</td>'
            f'<td class="words">{prose(row["fast_words"])}{speaks}</td><td class="num">{monotony}</td></tr>'
        )
    return _frame(words.EFFECT_COLUMNS, body, "effect")


def _placed(sentence: str, place: str | None) -> str:
    """Return a sentence, marked where it says that own range is left upwards."""
    return f'<span class="call adapt">{prose(sentence)}</span>' if place == "above" else prose(sentence)


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
        numbers = "".join(f'<td class="num">{prose(cell)}</td>' for cell in cells)
        why = caveats.get(row["reason"] or "", "")
        body.append(f'<tr><th scope="row">{text(name)}</th>{numbers}<td class="words soft">{text(why)}</td></tr>')
    return _frame(words.DONE_COLUMNS, body)
