"""Tables of the Groups page: tests and when they are due, what the week lacks, and the group's load by week."""

from collections.abc import Mapping, Sequence
from typing import Any

from dashboard import wording
from dashboard.parts.marks import SCROLL, text
from dashboard.screens.group import words
from schemas.html import Markup, html, join_html

Row = Mapping[str, Any]


def _frame(head: Sequence[str], rows: Sequence[str]) -> Markup:
    titles = join_html(html('<th scope="col">{}</th>', title) for title in head)
    return html(
        '{}<table class="group"><thead><tr>{}</tr></thead><tbody>{}</tbody></table></div>',
        SCROLL,
        titles,
        join_html(rows),
    )


def test_table(rows: Sequence[Row], names: Mapping[str, str]) -> str:
    """Return athletes by tests: days since, overdue, or never, each by word and mark."""
    found = {(row["athlete_id"], row["test"]): row for row in rows}
    tests = [slug for slug in wording.CALENDAR_TESTS if any(row["test"] == slug for row in rows)]
    body = []
    for athlete_id, name in names.items():
        cells = join_html(_test_cell(found.get((athlete_id, test))) for test in tests)
        body.append(html('<tr><th scope="row">{}</th>{}</tr>', name, cells))
    return _frame([words.ATHLETE, *(text(wording.CALENDAR_TESTS[slug]) for slug in tests)], body)


def _test_cell(row: Row | None) -> Markup:
    if row is None:
        return html('<td class="soft">–</td>')
    if row["state"] == "never":
        return html('<td><span class="call none">{}</span></td>', words.NEVER)
    when = html(' title="{}"', wording.full_day(row["last_on"]))
    if row["state"] == "overdue":
        return html('<td{}><span class="call adapt">{}</span></td>', when, words.overdue(row["days_since"]))
    return html('<td class="soft"{}>{}</td>', when, words.days_ago(row["days_since"]))


def completeness_table(rows: Sequence[Row], names: Mapping[str, str]) -> str:
    """Return athletes by items: how many there are of how many there should be."""
    found = {(row["athlete_id"], row["item"]): row for row in rows}
    calls = {row["item"]: row["for_calls"] for row in rows}
    items = [slug for slug in words.ITEMS if slug in calls]
    body = []
    for athlete_id, name in names.items():
        cells = join_html(_item_cell(found.get((athlete_id, item))) for item in items)
        body.append(html('<tr><th scope="row">{}</th>{}</tr>', name, cells))
    head = [html("{}<small>for {}</small>", words.ITEMS[item], calls[item]) for item in items]
    return _frame([words.ATHLETE, *head], body)


def _item_cell(row: Row | None) -> Markup:
    if row is None or row["expected"] == 0:
        return html('<td class="soft">–</td>')
    said = f"{row['have']} {words.OF} {row['expected']}"
    if row["lacking"] == 0:
        return html('<td class="soft">{}</td>', said)
    return html('<td><span class="call {}">{}</span></td>', "none" if row["have"] == 0 else "adapt", said)


def group_load_table(rows: Sequence[Row]) -> str:
    """Return the weeks of the group: how many athletes lay where in their own range."""
    body = []
    for row in rows:
        cells = []
        for key, _ in words.GROUP_LOAD_COLUMNS[1:]:
            loud = key == "above" and row[key]
            shown = html('<span class="call adapt">{}</span>', row[key]) if loud else f"{row[key]}"
            cells.append(html("<td{}>{}</td>", "" if row[key] else " class=soft", shown))
        body.append(html('<tr><th scope="row">{}</th>{}</tr>', wording.day(row["week_of"]), join_html(cells)))
    return _frame([label for _, label in words.GROUP_LOAD_COLUMNS], body)
