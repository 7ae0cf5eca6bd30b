"""The words of the page on consent and on one's own data."""

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import Any

from dashboard.wording import joined, long_day
from schemas.labels import CONSENT_TOPICS

KEPT, CONSENT, COPY, ASK = "What is kept", "Consent", "A copy of everything", "Whom to ask"
NOT_TIED = "This sign-in is tied to no athlete. Ask your coach to tie it to you."
KEPT_LEDE = "Rows on record now. Each page shows where they came from."
NOTHING_KEPT = "Nothing is kept yet."
COLUMNS = (("what", "what"), ("rows", "rows"))
# What stops when consent is withdrawn. What stays is the same for all.
STOPS = {
    "health": "If withdrawn, the check-in closes and growth is shown no more. Training goes on without them.",
    "video": "If withdrawn, no new video should be taken: tell the coach, nothing here stops a camera.",
    "sharing": "If withdrawn, nothing more goes to a federation; what went goes when this squad next takes part.",
}
# What is asked for: what, who reads it, for what, until when.
ASKS = {
    "health": (
        "What: the morning’s answers (sleep, tiredness, soreness, pain, illness) and measured height. Who: those named "
        "below under ‘Read by’. For: the call of the day and the plan. Until: it is withdrawn, or past its keeping."
    ),
    "video": (
        "What: films of starts and runs; the film stays on the device it is marked on, its times and marks are kept. "
        "Who: the coaches. For: contacts, steps and angles of the start. Until: it is withdrawn."
    ),
    "sharing": (
        "What: times, speeds and weeks with flags, without name, note or day, the age as one of five bands. Who: a "
        "federation of squads, if this one takes part; told are only figures of at least ten people of three squads. "
        "For: how far times err, and what is usual at an age. Until: it is withdrawn."
    ),
}
FREELY = (
    "Each may be given or refused, and withdrawn on any day; training goes on either way. While neither is said it "
    "counts as no."
)
STAYS = "What was kept before stays until it is erased, and coaches go on reading it. Ask the head coach to erase it."
GIVE, REFUSE, WITHDRAW, UNDO = "Give consent", "Refuse consent", "Withdraw consent", "Undo"
UNDER_AGE = "While you are under 18, a parent or guardian gives and withdraws consent. This is what stands on record."
UNDONE = "Taken back: it stands as before."
REFUSED = "Consent is given and withdrawn by the person, or by the guardian of a minor. Nothing was changed."
COPY_LEDE = "Everything on record, to read and for programs, as one file. It holds health data: keep it safe."
NO_NOTES = "Free-text notes are between the athlete and the coach, and are left out."
COPY_GET = "Take everything away (.zip)"
SAME_DAY = "Withdrawn or refused today. Take it back with Undo, or give it from tomorrow on."
DONE = {"give": "consent is given", "refuse": "consent is refused", "withdraw": "consent is withdrawn"}


def stands(row: Mapping[str, Any] | None) -> str:
    """Say what is on record of one topic."""
    if row is None:
        return "Neither given nor refused."
    by = f" by {row['given_by']}" if row["given_by"] else ""
    if row.get("is_refused"):
        return f"Refused{by} on {_on(row['given_on'])}."
    if row["withdrawn_on"]:
        return f"Given{by} on {_on(row['given_on'])}, withdrawn on {_on(row['withdrawn_on'])}."
    return f"Given{by}, in force since {_on(row['given_on'])}."


def _on(day: dt.date) -> str:
    return f"{long_day(day)} {day.year}"


def done(topic: str, what: str) -> str:
    """Say what was just kept: one of ``DONE``."""
    return f"{CONSENT_TOPICS[topic].capitalize()}: {DONE[what]} from today on."


def reads(names: Sequence[str], notes: Sequence[str], *, guardian: bool) -> str:
    """Say who reads the rows, and who the notes."""
    if not names:
        return "No coach has an account yet."
    also = " A guardian reads all but the notes." if guardian else ""
    own = f" Free-text notes: {joined(list(notes))}." if notes else ""
    return f"Read by {joined(list(names))}.{own}{also}"


def ask(heads: Sequence[str], contact: str) -> str:
    """Say who corrects and erases, and who else can be asked."""
    who = joined(list(heads)) if heads else "the head coach"
    said = f"To correct or erase anything, ask {who}: it is done on the page People, and cannot be undone."
    return f"{said} Beside the coaches: {contact}." if contact else said
