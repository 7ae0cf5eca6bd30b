"""Growth of who is under 18: what was measured, and its speed with its error; nothing is foretold."""

from dashboard import wording
from dashboard.parts import page
from dashboard.parts.calls import Row
from dashboard.parts.figure import explain, finding, table
from dashboard.parts.marks import SCROLL
from dashboard.reads import Opened
from schemas.html import Markup, html, join_html

MOST_DAYS, MOST_MASSES = 8, 4


def _table(rows: list[Row], columns: tuple[tuple[str, str], ...]) -> Markup:
    """Return a table of the columns that hold something; nothing without a row."""
    filled = [
        (key, label, wording.age_text if key == "age_years" else wording.cell)
        for key, label in columns
        if any(row[key] is not None for row in rows)
    ]
    return html("{}", table(rows, filled)) if rows else html("")


def growth(opened: Opened, athlete_id: str, own: bool = False) -> None:
    """Show height, sitting height and mass over time, and the speed of growth; nothing for an adult."""
    if "body_growth" not in opened.board.tables:
        return
    rows = opened.rows("body_growth", {"athlete_id": athlete_id}, order_by=["-measured_on"])
    if not rows:
        return
    tall = next((row for row in rows if row["height_m"] is not None), None)
    finding(wording.growth_title(tall), wording.growth_caption(tall))
    heights = [row for row in rows if row["height_m"] is not None or row["sitting_height_m"] is not None][:MOST_DAYS]
    masses = [row for row in rows if row["body_mass_kg"] is not None][:MOST_MASSES]
    cautions = (wording.GROWTH_NOT_TOLD, wording.GROWTH_SORE_OWN if own else wording.GROWTH_SORE)
    said = join_html(html('<p class="soft">{}</p>', one) for one in cautions)
    tables = _table(heights, wording.HEIGHT_COLUMNS) + _table(masses, wording.MASS_COLUMNS)
    page.show(html("{}{}</div>{}", SCROLL, tables, said))

    def behind() -> list[tuple[str, list[Row]]]:
        measured = opened.rows("body_measure", {"athlete_id": athlete_id}, order_by=["-measured_on"])
        return [("body_growth", rows), ("body_measure", measured)]

    explain(opened, "growth", ("body_growth",), behind)
