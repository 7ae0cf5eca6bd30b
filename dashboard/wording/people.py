"""Words of the People page."""

from collections.abc import Mapping, Sequence
from typing import Any

from dashboard.wording.forms import joined
from schemas.labels import CONSENT_TOPICS, EVENT_GROUPS

PEOPLE = "People"
PEOPLE_LEDE = "Who may sign in and what they read, consent, one person’s data, and who did what."
PEOPLE_REFUSED = "Only the head coach keeps accounts and people’s data."
ASK_AGAIN = "Give your pass-phrase again first: accounts, exports and erasing ask for it every ten minutes."
AGAIN_LABEL, AGAIN_BUTTON = "Your pass-phrase, again", "Go on"
AGAIN_DONE = "For ten minutes you can change accounts, export and erase."
OWN_SIGN_IN = "Your devices and second factor"
ACCOUNTS, ADD_ACCOUNT, ONE_ACCOUNT = "Accounts", "Add an account", "Change an account"
CHOOSE_ACCOUNT, CHOOSE_PERSON = "Choose an account", "Choose a person"
CHOOSE_MINOR = "Choose who is under 18: from that birthday on no guardian reads the page"
ROLE, SIGN_IN_NAME, READS, STATE, GROUPS = "Role", "Sign-in name", "Reads", "State", "Event groups"
GRANT = "Reads injury detail and check-in notes"
ADD_BUTTON, INVITE_BUTTON, OUT_BUTTON, CLOSE_BUTTON, KEEP_BUTTON = (
    "Add and make an invitation",
    "Make an invitation",
    "Sign out everywhere",
    "Close the account",
    "Keep what they read",
)
INVITATION = "Send this link to them alone. It works once, for 7 days, and lets them set their own pass-phrase."
INVITATION_SCAN = "Or let them scan it with the camera of their phone:"
INVITATION_HERE_ONLY = (
    "This link opens on this machine only, because the dashboard is open here alone. For a phone, end it, start it "
    "with thirdstep open --on-this-network, and make the invitation again from the address it prints."
)
CONSENT, CONSENT_LEDE = (
    "Consent",
    "For a minor the guardian gives it. While consent to health answers is withdrawn, check-ins are closed.",
)
TOPIC, GIVEN_ON, GIVEN_BY, BY_GUARDIAN = "For", "Given or refused on", "By", "By the guardian"
WITHDRAWN_ON, REFUSED_CONSENT = "Withdrawn on", "Refused"
KEEP_CONSENT = "Keep"
ONE_PERSON, ONE_PERSON_LEDE = (
    "One person’s data",
    "Everything held of one person, to hand over; or to erase, which cannot be undone.",
)
EXPORT_GET = "Download everything held (.zip)"
ERASE_CONFIRM, ERASE_BUTTON = "To erase, type the person’s key", "Erase this person"
ERASING = "Erasing, and computing anew without them…"
ERASE_MISTYPED = "The key was not the same, so nothing was erased."
PAST_KEEPING, NOTHING_PAST = "Past its keeping", "Nothing is older than your settings say it is kept."
TRAIL, TRAIL_LEDE = "Who did what", "Sign-ins, reads of injury detail, changes, exports and erasures; newest first."
TRAIL_WHEN, TRAIL_WHO, TRAIL_WHAT, TRAIL_ABOUT, SHOW_ONLY = "when", "who", "what", "about", "Show only"
NOT_JOINED, CLOSED, OPEN_STATE = "invited, not joined yet", "closed", "open"
SECOND, SECOND_ON, SECOND_OFF = "Second factor", "on", "–"
SECOND_FOR, SECOND_BUTTON = "Who must have a second factor", "Ask it of them"
SECOND_ASKED = {
    "nobody": "nobody; it is offered to everybody",
    "head_coach": "head coaches",
    "coaches": "head coaches and staff",
    "everybody": "everybody, athletes and guardians too",
}
SECOND_LEDE = (
    "With a second factor a pass-phrase alone signs nobody in: a code of the person’s phone is asked too. Who must "
    "have one and has none finds nothing open but setting it up, from the next click on. Recovery codes open when a "
    "phone is lost; where those are lost too, thirdstep account second-off NAME does on this machine."
)
SECOND_KEPT = (
    "Kept. Who has none is led to setting it up at the next click.",
    "Kept. Nobody is asked for one; who has one keeps it.",
)
NO_CONSENT_TITLE = "No guardian’s consent on record"
MAKE_LIST = "List it"


def reads_what(role: str, groups: Sequence[str], grant: bool, athlete: str) -> str:
    """Say what an account reads."""
    if role == "head_coach":
        return "everything"
    if role == "staff":
        said = joined([EVENT_GROUPS.get(group, group) for group in groups])
        return f"{said}; injury detail too" if grant else f"{said}; no injury detail"
    return f"the page of {athlete}" + ("" if role == "athlete" else ", without notes")


def account_added(name: str) -> str:
    """Say that an account is there."""
    return f"The account “{name}” is there. It opens with the invitation below."


def account_done(what: str, name: str) -> str:
    """Say what was done with an account."""
    return f"“{name}”: {what}."


EMAIL, EMAIL_BUTTON = "Address at the club’s sign-in", "Keep the address"
DONE_EMAIL = "its address at the club’s sign-in is kept"
DONE_OUT, DONE_CLOSED, DONE_CHANGED = "signed out on all devices", "closed", "what it reads is changed"


def consent_shown(row: Mapping[str, Any], name: str) -> dict[str, Any]:
    """Return a row on consent as it is listed."""
    ended = REFUSED_CONSENT.lower() if row.get("is_refused") else row["withdrawn_on"]
    return {**row, "who": name, "topic": CONSENT_TOPICS[row["topic"]], "withdrawn_on": ended}


def consent_kept(name: str) -> str:
    """Say that consent is on record."""
    return f"Kept for {name}."


def minors_without(names: Sequence[str]) -> str:
    """Name the minors for whom no guardian's consent is on record."""
    return f"{NO_CONSENT_TITLE}: {joined(list(names))}."


PAST_WORD = "ERASE"
PAST_CONFIRM = "To erase all of this for good, type ERASE"
PAST_ERASE = "Erase what is listed"


def past_erased(receipt: Mapping[str, Any]) -> str:
    """Say what went because it was past its keeping, and what stays."""
    went = sum(receipt["rows"].values())
    said = f"Erased: {receipt['people']} people who left, {went} rows of health. Make backups again: they hold them."
    stays = sum(receipt["left"].values())
    if stays:
        said += f" {stays} rows stay, as their lines in the kept files say something else that is kept."
    return said


def erased(receipt: Mapping[str, Any]) -> str:
    """Say what an erasure did, naming nobody."""
    said = (
        f"Erased: {receipt['rows']} rows in {receipt['sources_changed']} files changed and "
        f"{receipt['sources_gone']} gone, {receipt.get('waiting', 0)} cells that waited, "
        f"{receipt['accounts']} accounts, {receipt.get('log_lines', 0)} lines of the dashboard’s log. "
        "Links to files made before lead nowhere now."
    )
    if receipt.get("traces"):
        said += f" The name still stands in {joined(list(receipt['traces']))}."
    if receipt.get("outside"):
        said += f" Delete or make again: {joined(list(receipt['outside']))}."
    if receipt.get("taken_away"):
        said += (
            f" {receipt['taken_away']} files and printed sheets left this home until now (see the trail): those with "
            "this person’s rows are to be destroyed by whoever has them."
        )
    return said + " Backups kept elsewhere may still hold this person: replace them."


def past_row(row: Mapping[str, Any], name: str, table: str) -> str:
    """Say what of one person is past its keeping."""
    if row["what"] == "athlete":
        return f"{name}: left, or not heard of since {row['oldest_on']:%d %b %Y}; kept {row['keep_days']} days"
    return f"{name}: {row['rows']} of {table}, the oldest of {row['oldest_on']:%d %b %Y}; kept {row['keep_days']} days"
