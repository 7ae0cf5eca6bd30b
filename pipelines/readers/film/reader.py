"""Marks of a film: frames, times and pixels become rows of the record each time they are read."""

from pipelines.readers.film.marks import parse_marks
from pipelines.readers.film.measures import measure_film
from pipelines.readers.film.rows import tables_of
from schemas.intake import TextTable


def read(name: str, content: bytes) -> tuple[list[TextTable], list[tuple[str, str]]]:
    """Read marks as the tables they fill: the film itself, its steps, its set position.

    Raises:
        UnreadableSource: They are cut off, of a newer format, or say something that is no mark.
    """
    marks, _ = parse_marks(name, content)
    return tables_of(name, marks, measure_film(marks)), []
