"""Lines of one race each, with its person and event: '13 June 2026  Ana Berg  100 m  11.94 (+1.2)  2.'."""

from pipelines.cells.events import event_of
from pipelines.layouts.sheets.people import is_known, is_part_of_one
from pipelines.layouts.text.day_lines import covers
from pipelines.layouts.words.said import find_day
from schemas.spelling import fold

MOST_WORDS = 4  # of a day, a name or an event, '13 June 2026', '100 m hurdles'; own choice


def day_before(text: str) -> tuple[str, str]:
    """Return the day a line begins with and the rest of it, '' where it begins with none."""
    words = text.split()
    for size in range(MOST_WORDS, 0, -1):
        head = " ".join(words[:size]).rstrip(":,-– ")
        if len(words) > size and (day := find_day(head)) is not None and covers(day, head):
            return day, text.split(maxsplit=size)[size].lstrip(":,-– ")
    return "", text


def apart(text: str, known: frozenset[str]) -> tuple[str, str] | None:
    """Return the event of a line and the line without it, where it says a person who is known and an event, in either
    order; None for others.
    """
    words = text.split()
    for size in range(min(MOST_WORDS, len(words)), 0, -1):
        head = " ".join(words[:size]).rstrip(":,-– ")
        if _is_somebody(head, known) and (found := _event_first(text.split(maxsplit=size)[size:])) is not None:
            return found[0], f"{head}  {found[1]}"
    found = _event_first([text])
    if found is None:
        return None
    words = found[1].split()
    heads = (" ".join(words[:size]).rstrip(":,-– ") for size in range(min(MOST_WORDS, len(words)), 0, -1))
    return found if any(_is_somebody(head, known) for head in heads) else None


def _event_first(rest: list[str]) -> tuple[str, str] | None:
    words = rest[0].split() if rest else []
    for size in range(min(MOST_WORDS, len(words) - 1), 0, -1):
        head = " ".join(words[:size]).strip(":,-– ")
        if event_of(head) is not None and not fold(head).isdigit():
            return head, rest[0].lstrip(":,-– ").split(maxsplit=size)[size].lstrip(":,-– ")
    return None


def _is_somebody(text: str, known: frozenset[str]) -> bool:
    return is_known(text, known) or is_part_of_one(text, known)
