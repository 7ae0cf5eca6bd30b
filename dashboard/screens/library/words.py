"""Words of the page of drills."""

from dashboard.wording import drill_title, joined

LIBRARY = "Drills"
LEDE = (
    "Your own drills and exercises, each for what limits a start. On This week, ‘change’ beside an athlete offers "
    "those for the work that is advised; the athlete reads the drill with its cue on Today."
)
EMPTY = "There is no drill yet. Write the first one down below: a name, what it is for and a cue will do."
FOR = "For {}"
PROPOSED_TITLE = "Proposed"
PROPOSED = "Proposed by {}, not in use yet"
AWAY_TITLE = "Put away"
USE, PUT_AWAY, USE_AGAIN, EDIT = "use it", "put away", "use it again", "edit"
WRITE_TITLE, EDIT_TITLE = "Write a drill down", "Edit {}"
PROPOSE_TITLE = "Propose a drill"
PROPOSE_LEDE = "The head coach says whether it is used. You can change what you proposed yourself."
NAME, LIMIT, CUE, WHY = "Name", "What it is for", "Cue, as the athlete is told it", "Why it helps, in a sentence"
AMOUNT, CAUTION, LINK = "How much", "What to mind", "Picture or film of it, an address that begins with https://"
SAVE, UNDO, LEAVE = "Keep it", "Undo", "leave it as it is"
UNNAMED = "Give the drill a name of letters or digits, then keep it."
NO_LINK = "‘{}’ is no address that begins with https://. Nothing was kept."
TAKEN_BACK = "What was kept last on this page is taken back."
NOT_FOUND = "There is no such drill of yours to change. Open the page again."
CAUTION_HEAD = (
    "Heavy resisted runs, eccentric work and full speed are built up slowly and supervised; under 18 technique comes "
    "before load and speed. Pain, or a suspected injury, goes to a licensed professional."
)


def kept(slug: str, *, proposed: bool) -> str:
    """Confirm that a drill is kept."""
    return f"{'Proposed' if proposed else 'Kept'}: {drill_title(slug)}."


def said_of(slug: str, *, used: bool) -> str:
    """Confirm that a drill is used or put away."""
    return f"{drill_title(slug)} is {'in use' if used else 'put away'}."


def told_by(names: list[str]) -> str:
    """Say who wrote something down."""
    return PROPOSED.format(joined(names))
