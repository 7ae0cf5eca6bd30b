"""Which jump a sheet of flights, contacts and heights is of, where no column says it."""

from collections.abc import Sequence

from pipelines.layouts.words.headings import Heading, read_test
from pipelines.layouts.words.titled import test_in, texts_of
from schemas.intake import TextTable
from schemas.reading import Fact
from schemas.vocabulary import JUMP_TESTS

OF_A_JUMP = {"box_height_m", "jump_height_m", "flight_s"}
OF_STEPS = {"step_no", "step_length_m", "contact_frame", "toeoff_frame", "rep_no"}


def jump_told(headings: Sequence[Heading], table: TextTable) -> dict[str, Fact]:
    """Return the test that title, tab or file names over columns of a jump; {} where a column says it, or of steps.

    A contact beside the height of a box is that of a drop jump, whatever the sheet is called (common practice).
    """
    names = {name for one in headings for name in one.names[:1]}
    is_said = "test" in names or any(one.at or one.number is not None for one in headings)
    if is_said or names & OF_STEPS or not names & OF_A_JUMP:
        return {}
    if (test := jump_named(table)) is not None:
        return {"test": Fact(test, "title")}
    return {"test": Fact("drop", "header")} if {"box_height_m", "contact_s"} <= names else {}


def jump_named(table: TextTable) -> str | None:
    """Return the jump that a title, the tab or the file names, the nearest first."""
    for text in texts_of(table):
        named = test_in(text)
        read = read_test(0, named) if named is not None else None
        test = dict(read.at).get("test") if read is not None else None
        if test in JUMP_TESTS:
            return str(test)
    return None
