"""What a federation published of people like this athlete, beside the own usual time: context, nothing else."""

from dashboard import wording
from dashboard.parts import page
from dashboard.parts.figure import explain
from dashboard.reads import Opened
from schemas.html import html, join_html


def beside_others(opened: Opened, athlete_id: str) -> None:
    """Show a line for each kind of start that something was published of; nothing where nothing was."""
    rows = opened.rows("start_beside_others", {"athlete_id": athlete_id}, order_by=["-runs"])
    if not rows:
        return
    items = join_html(html("<li>{}.</li>", row["sentence"]) for row in rows)
    page.show(
        html(
            '<div class="finding"><h2>{}</h2><p class="soft">{}</p><ul class="notes">{}</ul></div>',
            wording.BESIDE_TITLE,
            wording.BESIDE_CONTEXT,
            items,
        )
    )
    explain(opened, "beside", ("start_beside_others",), lambda: [("start_beside_others", rows)])
