"""What the name of a file says of the rows of its tabs."""

from pipelines.layouts.words.said import said_by
from schemas.reading import Fact
from schemas.spelling import fold


def said_by_file(stem: str, sheet: str) -> dict[str, Fact]:
    """Return what a file's name says of all rows of a tab. What held runs back it says of no tab that is named by
    another of its words: of 'sleds hills wickets' the tab 'wickets' has none, and 'hills' is then a hill.
    """
    found = said_by(stem, "file name", is_file=True)
    if "resistance_kind" in found and "resistance_kind" not in said_by(sheet, "sheet name"):
        words, tab = ({word.removesuffix("s") for word in fold(text).split()} for text in (stem, sheet))
        if tab and tab <= words:
            kept = {name: fact for name, fact in found.items() if not name.startswith("resistance_")}
            return kept | ({"resistance_kind": Fact("incline", "sheet name")} if tab == {"hill"} else {})
    return found
