"""Which group and sex a title, a tab or a line of one cell names for the people below it, if it says nothing else."""

from collections.abc import Iterable

from pipelines.cells.spoken import group_of
from pipelines.layouts.words.said import sex_said
from schemas.reading import Fact


def group_and_sex(texts: Iterable[tuple[str, str]]) -> dict[str, Fact]:
    """Return the event group and the sex that texts are and nothing beside, 'Long sprints', 'Women'; nearest first.

    Args:
        texts: Each text with the place it stands at.
    """
    found: dict[str, Fact] = {}
    for text, place in texts:
        if group_of(text) is not None:
            found.setdefault("event_group", Fact(text, place))
        elif (sex := sex_said(text)) is not None:
            found.setdefault("sex", Fact(sex, place))
    return found
