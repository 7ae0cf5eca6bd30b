"""What the titles above blocks say, and which of them hold for every block of a tab."""

from collections.abc import Sequence

from pipelines.layouts.words.evidence import to_number
from pipelines.layouts.words.lines import is_comment
from pipelines.layouts.words.said import said_by
from schemas.reading import Fact
from schemas.spelling import fold

OF_A_TAB = ("start_kind", "clock_start", "timing_kind", "gate_offset_m", "frame_rate_hz")
Line = tuple[int, list[str]]  # line of the file, cells


def is_title(cells: Sequence[str]) -> bool:
    """Return whether a line is one cell of words."""
    said = [cell for cell in cells if cell]
    return len(said) == 1 and to_number(said[0]) is None and not is_comment(said[0])


def of_the_tab(blocks: Sequence[tuple[list[Line], Line, list[Line]]]) -> list[Line]:
    """Return the titles above several blocks that say of all of them how runs start or are timed: one cell, no day,
    and set apart from the first block, by its own title or by an empty row.
    """
    if len(blocks) < 2:
        return []
    titles, header, _ = blocks[0]
    found = []
    for place, (number, cells) in enumerate(titles):
        next_line = titles[place + 1][0] if place + 1 < len(titles) else header[0]
        said = said_by(" ".join(cell for cell in cells if cell), "title")
        if not is_title(cells) or "date" in said:
            break
        is_apart = next_line > number + 1 or any("date" in said_by(cell, "title") for _, some in titles[place + 1:]
                                                 for cell in some if cell)  # fmt: skip
        if is_apart and set(said) & set(OF_A_TAB):
            found.append((number, cells))
    return found


def facts_of_titles(titles: Sequence[str], facts: dict[str, Fact]) -> dict[str, Fact]:
    """Return what titles say; the one nearest to the rows counts. Titles of several days leave the day to be asked."""
    told = [said_by(text, "title") for text in titles]
    made = dict(facts)
    for said in told:
        made = {**made, **said}
    days = {said["date"].text and fold(said["date"].text) for said in told if "date" in said}
    return {**made, "date": Fact("", "answer")} if len(days) > 1 else made
