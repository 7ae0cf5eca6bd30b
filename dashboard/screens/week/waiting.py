"""Who has not answered: a line over the sheet, with a key that copies the list. Nothing is sent from here."""

from collections.abc import Mapping

from dashboard import wording
from dashboard.reads import Opened
from schemas.html import Markup, html


def waiting_line(opened: Opened, names: Mapping[str, str]) -> Markup:
    """Say whose answers are waited for, with a key to copy it; nothing where nobody's are."""
    due = opened.rows("answer_due", order_by=["-day_on"]) if "answer_due" in opened.board.tables else []
    waited = [row for row in due if row["athlete_id"] in names]
    if not waited:
        return Markup()
    listed = wording.waiting_text(waited, names)
    return html(
        '<p class="unseen noprint"><b>{}.</b> {} <button type="button" class="plain" data-copy="{}" '
        'data-done="{}">{}</button></p>',
        wording.waiting_heading(len({row["athlete_id"] for row in waited})),
        "; ".join(listed.splitlines()),
        listed,
        wording.COPIED,
        wording.COPY_LIST,
    )
