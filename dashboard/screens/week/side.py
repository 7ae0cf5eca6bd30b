"""The column beside the week's sheet: what changed, what was decided and followed, what is missing, and the closing."""

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import Any

from dashboard import wording
from dashboard.parts.marks import prose, text

MOST_LISTED = 6


def _list(items: Sequence[str], none: str) -> str:
    shown = [f"<li>{item}</li>" for item in items[:MOST_LISTED]] or [f'<li class="soft">{text(none)}</li>']
    rest = [f"<li>{item}</li>" for item in items[MOST_LISTED:]]
    more = (
        f"<details><summary>{text(wording.more_listed(len(rest)))}</summary><ul>{''.join(rest)}</ul></details>"
        if rest
        else ""
    )
    return f"<ul>{''.join(shown)}</ul>{more}"


def side_column(
    changed: Sequence[tuple[str, str]],
    decided: Sequence[tuple[str, str, str]],
    missing: Sequence[tuple[str, str | None]],
    against: dt.datetime | None = None,
    review: str = "",
) -> str:
    """Return the column beside the sheet; ``against``: when the review was closed that the changes are against."""
    first = [f"<b>{text(name)}</b>: {prose(sentence)}" for name, sentence in changed]
    second = [f'{text(name)}: {text(call)} <span class="soft">{prose(after)}</span>' for name, call, after in decided]
    third = [f'<a href="data" data-act="data">{text(s)}</a>' if target else text(s) for s, target in missing]
    head, since = wording.SINCE_WEEK, ""
    if against is not None:
        head, since = wording.SINCE_REVIEW, f'<p class="soft">{text(wording.since_review_of(against))}</p>'
    return (
        f'<aside class="side"><h2>{head}</h2>{since}{_list(first, wording.NOTHING_CHANGED)}'
        f"<h2>{wording.DECIDED_LAST_WEEK}</h2>{_list(second, wording.NO_DECISIONS)}"
        f"<h2>{wording.MISSING}</h2>{_list(third, wording.NOTHING_MISSING)}{review}</aside>"
    )


def review_box(
    decided: int,
    athletes: int,
    closed: Mapping[str, Any] | None,
    may_close: bool,
    undecided: Sequence[str] = (),
    *,
    rest: int = 0,
) -> str:
    """Return the end of the column: how far the review is and how it is closed, or when it was.

    ``undecided``: names of those nothing is decided for, who are told before it is closed; ``rest``: how many of them
    go on as planned and can be agreed with in one step.
    """
    if closed is not None:
        again = f'<button class="plain" data-act="reopen">{wording.OPEN_AGAIN}</button>' if may_close else ""
        told = wording.closed_review(closed["closed_at"], closed["closed_by"])
        return f"<h2>{wording.THIS_REVIEW}</h2><p>{text(told)} {again}</p>"
    form = (
        f'<details class="close"><summary>{wording.CLOSE_REVIEW}</summary><p>{text(wording.undecided(undecided))}</p>'
        f'<p class="soft">{wording.CLOSE_LEDE}</p>'
        f'<form data-do="close"><button>{wording.CLOSE_IT}</button></form></details>'
    )
    agree = f'<p><button data-act="rest">{text(wording.agree_rest(rest))}</button></p>' if rest else ""
    return (
        f"<h2>{wording.THIS_REVIEW}</h2><p>{text(wording.decided_so_far(decided, athletes))}</p>{agree}"
        f"{form if may_close else ''}"
    )
