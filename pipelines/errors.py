"""What can go wrong, each with the sentence a coach reads and what to do next."""


class ThirdstepError(Exception):
    """Something could not be done. ``message`` is a sentence for people and says what to do next."""

    def __init__(self, message: str) -> None:
        super().__init__(message)
        self.message = message


class SourceError(ThirdstepError):
    """A file, or one sheet of it, cannot be taken in; no other file is touched by it."""

    def __init__(self, name: str, why: str, next_step: str = "", sheet: str = "") -> None:
        place = f"{name}, sheet '{sheet}'" if sheet else name
        super().__init__(f"{place}: {why}{' ' + next_step if next_step else ''}")
        self.name = name
        self.sheet = sheet
        self.why = why
        self.next_step = next_step


class UnreadableSource(SourceError):  # noqa: N818 - a state of the file, as its sentence says
    """The bytes of a file are not a table that can be read: empty, damaged, cut off, wrongly named, unknown format."""


class NotUnderstood(SourceError):  # noqa: N818 - the same
    """A table was read, but its headers do not say what it holds; nothing of it is stored."""


class Older(str):
    """What is not wrong but of an earlier version: the checks are newer than what they are asked about."""
