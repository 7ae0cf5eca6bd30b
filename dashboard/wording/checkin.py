"""Words of the check-in: its questions, who reads each answer, and what became of it."""

import datetime as dt
from collections.abc import Sequence

from dashboard.wording.forms import day, joined, long_day
from schemas import checkin as _asked

CHECK_IN = "Check in"
CHECKIN_FOR_ATHLETES = "The check-in is the athlete’s own. Nobody fills it in for them."
CHECKIN_LEDE = "Answer what you like and leave the rest: nothing is held against you."
CHECKIN_WHY = "It is used to plan today’s training, and kept as health data. It diagnoses nothing."
CHECKIN_SAVE, CHECKIN_SAVE_AGAIN = "Save", "Save the change"
CHECKIN_TAKE_BACK = "Take it back"
CHECKIN_ALL_WELL = "Nothing tight, nothing hurts"
CANNOT_KEEP = "This cannot be kept just now. Nothing was changed; tell the coach."
TOO_MANY_ENTRIES = "You have saved very often within the hour. What you saved last counts. Try again in an hour."
CHECKIN_NOTHING = "No answer was given, so nothing was saved."
CHECKIN_TAKEN_BACK = "Today’s check-in is taken back."
CHECKIN_REFUSED = "This sign-in is tied to no athlete, so nothing was saved. Ask your coach to tie it to you."
CHECKIN_WITHDRAWN = (
    "Consent to keep health answers was withdrawn or refused, so check-ins are closed. Your training goes on without "
    "them. To open them again, give it on the page Consent and data."
)
CHECKIN_WITHDRAWN_MINOR = (
    "Your parent or guardian withdrew or refused consent to keep health answers, so check-ins are closed; they can "
    "give it on their own page. Your training goes on without them."
)
CHECKIN_NO_CONSENT = (
    "You are under age, and nobody has said yet that your health answers may be kept. Ask a parent or guardian to give "
    "consent to your coach, who notes it on the People page; then this page opens. Your training goes on without it."
)
CHECKIN_OF_FILE = "Today’s answers came with a file. You can change them here; to take them out, ask your coach."
NOT_CHECKED_IN = "You have not checked in today."
GUARDIAN_NOTE = "You read this page as guardian. Free-text notes stay between the athlete and the coach."
UNANSWERED = "no answer"
CHECKIN_NOTE, CHECKIN_PLACE, CHECKIN_SIDE = "Anything else", "Where", "Side"
CHECKIN_PLACES = (
    "hamstring",
    "calf",
    "achilles",
    "thigh front",
    "groin",
    "hip",
    "knee",
    "shin",
    "ankle",
    "foot",
    "back",
    "elsewhere",
)
CHECKIN_SIDES = ("left", "right", "both")
# Item, question, word of the first answer, word of the last answer.
CHECKIN_SCALES = tuple((item.name, item.question, item.first, item.last) for item in _asked.of_scale("five"))
CHECKIN_TENS = tuple((item.name, item.question, item.first, item.last) for item in _asked.of_scale("ten"))
CHECKIN_SLEEP = _asked.BY_NAME["sleep_h"].question
CHECKIN_ILL = "Are you ill today?"
CHECKIN_PURPOSE = (
    "All answers are for today’s training call; those on hamstrings, freshness, muscles and pain also for the "
    "hamstring flag."
)
CHECKIN_NOTE_PURPOSE = (
    "For what the keys cannot say. It changes no call; if it names a hamstring, the coach is asked to read it."
)
CHECKIN_WAITS = "What it means for today follows in a moment."
CHECKIN_SEEN = "Your coaches can read it too. Nobody gets a message: tell them yourself when it matters."
CHECKIN_HURTS = "If it hurts, stop, tell your coach, and see a doctor or physio."
CHECKIN_YES, CHECKIN_NO = "yes", "no"


def checkin_saved(at: dt.datetime) -> str:
    """Say that the answers are kept, and until when they may be changed."""
    return f"Saved at {at:%H:%M}. You can change it until midnight."


def checkin_there(on: dt.date) -> str:
    """Say that this day has answers already."""
    return f"You checked in on {long_day(on)}. You can change it until midnight."


def read_by(names: Sequence[str], guardian: bool) -> str:
    """Say who reads the answers."""
    who = [*names, *(["your guardian"] if guardian else [])]
    return f"Read by {joined([*who, 'you'])}." if who else "Read by you alone: no coach has an account yet."


def note_read_by(names: Sequence[str]) -> str:
    """Say who reads the free text, by name."""
    return f"Read by {joined([*names, 'you'])}, nobody else." if names else "Read by you alone."


def means_today(headline: str) -> str:
    """Say what the answers come to: For today: talk first, before you run."""
    return f"For today: {headline[:1].lower()}{headline[1:]}."


def welfare_line(contact: str) -> str:
    """Name the one to talk to who is not the coach."""
    return f"To talk to someone who is not your coach: {contact}."


def guardian_reads(name: str) -> str:
    """Head a page that a guardian reads."""
    return f"The page of {name}"


def checked_in_on(on: dt.date) -> str:
    """Say shortly when the check-in was."""
    return f"Checked in {day(on)}."
