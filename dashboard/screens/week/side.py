"""The column beside the week's sheet: what changed, what was decided and followed, what is missing, and the closing."""

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import Any

from dashboard import wording
from dashboard.parts.marks import more_key, prose, text
from schemas.html import Markup, html, join_html

MOST_LISTED = 6


def _list(title: str, items: Sequence[str], none: str, before: str = "") -> Markup:
    """Return a list under its title; on a phone how many it holds, and the list once it is opened."""
    shown = [html("<li>{}</li>", item) for item in items[:MOST_LISTED]] or [html('<li class="soft">{}</li>', none)]
    rest = [html("<li>{}</li>", item) for item in items[MOST_LISTED:]]
    more = (
        html("<details><summary>{}</summary><ul>{}</ul></details>", wording.more_listed(len(rest)), join_html(rest))
        if rest
        else ""
    )
    if not items:
        return html("<section><h2>{}</h2>{}<ul>{}</ul></section>", title, before, join_html(shown))
    key = more_key(title, wording.open_listed(len(items)))
    return html(
        '<section data-opens><h2>{}</h2>{}<div class="rest">{}<ul>{}</ul>{}</div></section>',
        title,
        key,
        before,
        join_html(shown),
        more,
    )


def side_column(
    changed: Sequence[tuple[str, str]],
    decided: Sequence[tuple[str, str, str]],
    missing: Sequence[tuple[str, str | None]],
    against: dt.datetime | None = None,
    review: str = "",
) -> Markup:
    """Return the column beside the sheet; ``against``: when the review was closed that the changes are against."""
    first = [html("<b>{}</b>: {}", name, prose(sentence)) for name, sentence in changed]
    second = [html('{}: {} <span class="soft">{}</span>', name, call, prose(after)) for name, call, after in decided]
    third = [html('<a href="data" data-act="data">{}</a>', s) if target else text(s) for s, target in missing]
    head, since = wording.SINCE_WEEK, ""
    if against is not None:
        head, since = wording.SINCE_REVIEW, html('<p class="soft">{}</p>', wording.since_review_of(against))
    return html(
        '<aside class="side">{}{}{}<section>{}</section></aside>',
        _list(head, first, wording.NOTHING_CHANGED, since),
        _list(wording.DECIDED_LAST_WEEK, second, wording.NO_DECISIONS),
        _list(wording.MISSING, third, wording.NOTHING_MISSING),
        review,
    )


def review_box(
    decided: int,
    athletes: int,
    closed: Mapping[str, Any] | None,
    may_close: bool,
    undecided: Sequence[str] = (),
    *,
    rest: int = 0,
) -> Markup:
    """Return the end of the column: how far the review is and how it is closed, or when it was.

    ``undecided``: names of those nothing is decided for, who are told before it is closed; ``rest``: how many of them
    go on as planned and can be agreed with in one step.
    """
    if closed is not None:
        again = html('<button class="plain" data-act="reopen">{}</button>', wording.OPEN_AGAIN) if may_close else ""
        told = wording.closed_review(closed["closed_at"], closed["closed_by"])
        return html("<h2>{}</h2><p>{} {}</p>", wording.THIS_REVIEW, told, again)
    form = html(
        '<details class="close"><summary>{}</summary><p>{}</p><p class="soft">{}</p><form '
        'data-do="close"><button>{}</button></form></details>',
        wording.CLOSE_REVIEW,
        wording.undecided(undecided),
        wording.CLOSE_LEDE,
        wording.CLOSE_IT,
    )
    agree = Markup()
    if rest:
        agree = html('<p><button data-act="rest">{}</button></p>', wording.agree_rest(rest))
        agree += html('<p class="soft">{}</p>', wording.AGREE_REST_MEANS)
    return html(
        "<h2>{}</h2><p>{}</p>{}{}",
        wording.THIS_REVIEW,
        wording.decided_so_far(decided, athletes),
        agree,
        form if may_close else "",
    )
