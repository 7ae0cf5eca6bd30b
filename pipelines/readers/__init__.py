"""Readers: the bytes of a file become tables of text, each cell as written and with its line."""

from pipelines.errors import UnreadableSource
from pipelines.readers.formats import SUPPORT, format_of
from schemas.intake import TextTable

__all__ = ["SUPPORT", "TextTable", "UnreadableSource", "read_tables", "read_with_skipped"]


def read_with_skipped(name: str, content: bytes) -> tuple[list[TextTable], list[tuple[str, str]]]:
    """Read a file and also say which of its sheets hold no table.

    Returns:
        The tables in file order, and (sheet, reason) for each sheet passed over.

    Raises:
        UnreadableSource: The file holds no table that can be read; the message says why and what to do.
    """
    tables, skipped = format_of(name, content).read(name, content)
    if not tables:
        why = "; ".join(f"sheet '{sheet}' {reason}" for sheet, reason in skipped) or "there is no table in it"
        raise UnreadableSource(name, f"no table found: {why}.", "Put the headers in one row with the data below it.")
    return tables, skipped


def read_tables(name: str, content: bytes) -> list[TextTable]:
    """Read every table of a file as text.

    Raises:
        UnreadableSource: The file is empty, damaged, cut off, wrongly named or in a format that is not read.
    """
    return read_with_skipped(name, content)[0]
