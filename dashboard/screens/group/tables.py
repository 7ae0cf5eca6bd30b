"""Tables of the Groups page: tests and when they are due, what the week lacks, and the group's load by week."""

from collections.abc import Mapping, Sequence
from typing import Any

from dashboard import wording
from dashboard.parts.marks import SCROLL, text
from dashboard.screens.group import words

Row = Mapping[str, Any]


def _frame(head: Sequence[str], rows: Sequence[str]) -> str:
    titles = "".join(f'<th scope="col">{title}</th>' for title in head)
    return f'{SCROLL}<table class="group"><thead><tr>{titles}</tr></thead><tbody>{"".join(rows)}</tbody></table></div>'


def test_table(rows: Sequence[Row], names: Mapping[str, str]) -> str:
    """Return athletes by tests: days since, overdue, or never, each by word and mark."""
    found = {(row["athlete_id"], row["test"]): row for row in rows}
    tests = [slug for slug in wording.CALENDAR_TESTS if any(row["test"] == slug for row in rows)]
    body = []
    for athlete_id, name in names.items():
        cells = "".join(_test_cell(found.get((athlete_id, test))) for test in tests)
        body.append(f'<tr><th scope="row">{text(name)}</th>{cells}</tr>')
    return _frame([words.ATHLETE, *(text(wording.CALENDAR_TESTS[slug]) for slug in tests)], body)


def _test_cell(row: Row | None) -> str:
    if row is None:
        return '<td class="soft">–</td>'
    if row["state"] == "never":
        return f'<td><span class="call none">{words.NEVER}</span></td>'
    when = f' title="{text(wording.full_day(row["last_on"]))}"'
    if row["state"] == "overdue":
        return f'<td{when}><span class="call adapt">{text(words.overdue(row["days_since"]))}</span></td>'
    return f'<td class="soft"{when}>{text(words.days_ago(row["days_since"]))}</td>'


def completeness_table(rows: Sequence[Row], names: Mapping[str, str]) -> str:
    """Return athletes by items: how many there are of how many there should be."""
    found = {(row["athlete_id"], row["item"]): row for row in rows}
    calls = {row["item"]: row["for_calls"] for row in rows}
    items = [slug for slug in words.ITEMS if slug in calls]
    body = []
    for athlete_id, name in names.items():
        cells = "".join(_item_cell(found.get((athlete_id, item))) for item in items)
        body.append(f'<tr><th scope="row">{text(name)}</th>{cells}</tr>')
    head = [f"{text(words.ITEMS[item])}<small>for {text(calls[item])}</small>" for item in items]
    return _frame([words.ATHLETE, *head], body)


def _item_cell(row: Row | None) -> str:
    if row is None or row["expected"] == 0:
        return '<td class="soft">–</td>'
    said = f"{row['have']} {words.OF} {row['expected']}"
    if row["lacking"] == 0:
        return f'<td class="soft">{said}</td>'
    return f'<td><span class="call {"none" if row["have"] == 0 else "adapt"}">{said}</span></td>'


def group_load_table(rows: Sequence[Row]) -> str:
    """Return the weeks of the group: how many athletes lay where in their own range."""
    body = []
    for row in rows:
        cells = []
        for key, _ in words.GROUP_LOAD_COLUMNS[1:]:
            loud = key == "above" and row[key]
            shown = f'<span class="call adapt">{row[key]}</span>' if loud else f"{row[key]}"
            cells.append(f"<td{'' if row[key] else ' class=soft'}>{shown}</td>")
        body.append(f'<tr><th scope="row">{text(wording.day(row["week_of"]))}</th>{"".join(cells)}</tr>')
    return _frame([label for _, label in words.GROUP_LOAD_COLUMNS], body)
