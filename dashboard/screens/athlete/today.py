"""Today, for the athlete: what to do, why, how the start goes, this week's work. Nobody else is on it."""

from dashboard import wording
from dashboard.parts import page
from dashboard.parts.advice import advice_of, spoken_to
from dashboard.parts.calls import latest, levels_of, readiness_rows
from dashboard.parts.entrance import open_page
from dashboard.parts.figure import explain
from dashboard.parts.marks import caution, empty
from dashboard.parts.season import season_line
from dashboard.reads import monday_of
from dashboard.screens.athlete import start_figures
from dashboard.screens.athlete.plan_today import is_day_off, plan_today
from dashboard.screens.athlete.tied import tied_line
from dashboard.screens.check_in.writes import viewers_day
from schemas.html import html, join_html


def draw() -> None:
    """Draw the page."""
    opened = open_page(wording.TODAY)
    if opened is None:
        return
    athlete_id = opened.viewer.athlete_id
    if not opened.viewer.is_tied or athlete_id is None:
        page.show(html("<h1>{}</h1>{}", wording.TODAY, empty(wording.NO_ATHLETE_TIED)))
        return
    own = opened.viewer.is_own
    tied_line(opened)
    day = latest(opened.rows("readiness_day", {"athlete_id": athlete_id}), "day_on")
    reasons = (
        opened.rows("readiness_reason", {"athlete_id": athlete_id, "day_on": day[0]["day_on"]}, order_by=["rank"])
        if day
        else []
    )
    told = advice_of(opened, athlete_id)
    headline, sentence = spoken_to(opened, told)
    if told is not None and told["stands"] == "go_on" and is_day_off(opened, athlete_id):
        headline, sentence = wording.DAY_OFF_TODAY, wording.NOTHING_IN_ANSWERS if own else ""
    items = join_html(html("<li>{}</li>", wording.own_words(r["sentence"] or "", own)) for r in reasons)
    why = html("<ul class=notes>{}</ul>", items) if items else ""
    today = html('<p class="soft">{}</p>', wording.long_day(viewers_day()))
    page.show(html('{}<div class="card first"><h1>{}</h1><p>{}</p>{}</div>', today, headline, sentence, why))
    season = season_line(opened, {athlete_id: ""}, monday_of(viewers_day()), in_full=True)
    page.show(plan_today(opened, athlete_id, told), season)
    explain(
        opened,
        "calls",
        ("readiness_day",),
        lambda: readiness_rows(opened, athlete_id),
        wording.why_label(len(reasons), own=own),
        plain=lambda: wording.plain_reasons(reasons, levels_of(opened), own=own),
    )
    start_figures.trend(opened, athlete_id, own=own)
    start_figures.contacts(opened, athlete_id, own=own)
    start_figures.focus(opened, athlete_id, own=own, said_above=True)
    print_it = html('<a href="sheet/{}.pdf" target="_blank">{}</a>', athlete_id, wording.PRINT_MINE)
    page.show(html('<p class="take">{}</p>{}', print_it, caution()))


draw()
