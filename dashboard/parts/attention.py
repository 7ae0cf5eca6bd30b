"""The tables of what alarms cost and find, as they stand on Methods and beside the look back."""

from dashboard.parts.figure import table
from dashboard.parts.marks import prose
from dashboard.reads import Opened
from dashboard.wording import attention as words
from schemas.html import Markup, html, join_html


def attention_tables(opened: Opened, *, is_alone: bool = False) -> Markup:
    """Return the section; nothing where the board has none. Alone on its page its heading stands above already."""
    rates = opened.rows("attention_rate")
    if not rates:
        return Markup()
    budgets = opened.rows("attention_budget", order_by=["budget_of_24"])
    parts = [
        (words.CLEAN_COLUMNS, words.clean_rows(rates)),
        (words.FOUND_COLUMNS, words.found_rows(rates)),
    ]
    shown = join_html((table(rows, [(key, label, None) for key, label in columns]) for columns, rows in parts))
    others = table(words.budget_rows(budgets), [(key, label, None) for key, label in words.BUDGET_COLUMNS])
    heading = "" if is_alone else html('<h2 class="ruled">{}</h2>', words.ATTENTION)
    return html('{}<p class="soft">{}</p>{}', heading, prose(words.ATTENTION_LEDE), shown) + html(
        '<h3>{}</h3><p class="soft">{}</p>{}', words.BUDGETS, prose(words.BUDGETS_LEDE), others
    )
