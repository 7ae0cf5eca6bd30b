"""The way from a step time to the marks it came from: every page that shows step times has it."""

from collections.abc import Iterable, Mapping
from typing import Any

from dashboard import wording
from dashboard.reads import Opened
from schemas.html import Markup, html, join_html

RUN = ("athlete_id", "session_date", "session_no", "rep_no")


def film_address(run: Mapping[str, Any]) -> str:
    """Return the address of a run's marks, relative to any page of the dashboard."""
    return f"film?athlete={run['athlete_id']}&day={run['session_date']}&session={run['session_no']}&run={run['rep_no']}"


def film_line(opened: Opened, runs: Iterable[Mapping[str, Any]]) -> Markup:
    """Return a line of links to the marks of those of some runs that were marked off a film; "" for who marks none.

    A run whose steps were typed has no marks; for a coach the line says where it can be marked.
    """
    if not opened.viewer.is_coach:
        return Markup()
    asked = {tuple(run[name] for name in RUN): run for run in runs}
    if not asked:
        return Markup()
    marked: set[tuple[Any, ...]] = set()
    for athlete_id, day in {(key[0], key[1]) for key in asked}:
        rows = opened.rows("film", {"athlete_id": athlete_id, "session_date": day})
        marked |= {tuple(row[name] for name in RUN) for row in rows}
    found = [asked[key] for key in sorted(asked) if key in marked]
    if not found:
        address = film_address(asked[max(asked)])
        return html('<p class="soft">{} <a href="{}">{}</a></p>', wording.TYPED_STEPS, address, wording.MARK_FILM)
    links = join_html(
        (
            html('<a href="{}">{}</a>', film_address(run), wording.film_run(run["session_date"], run["rep_no"]))
            for run in found
        ),
        ", ",
    )
    return html('<p class="soft">{} {}</p>', wording.MARKS_OF_FILM, links)
