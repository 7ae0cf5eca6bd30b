"""Which formats are read. A new one is a module with one ``read`` function and a line in ``SUPPORT``."""

from collections.abc import Callable
from dataclasses import dataclass
from importlib import import_module

from pipelines.errors import UnreadableSource
from schemas.intake import TextTable

type_of_reader = Callable[[str, bytes], tuple[list[TextTable], list[tuple[str, str]]]]


@dataclass(frozen=True)
class Format:
    """One format: the endings it goes by, what it gives, and the module that reads it ("" while none does)."""

    name: str
    called: str
    endings: tuple[str, ...]
    module: str
    gives: str
    next_step: str = ""

    def read(self, name: str, content: bytes) -> tuple[list[TextTable], list[tuple[str, str]]]:
        """Read the bytes of a file of this format."""
        if not self.module:
            raise UnreadableSource(name, f"{self.called} is not read.", self.next_step)
        reader: type_of_reader = import_module(self.module).read
        return reader(name, content)


SAVE_AS_XLSX = "Open it in a spreadsheet program, save it as .xlsx or .csv, and load that."
NO_TABLE = "Load the spreadsheet or the text file the figures stand in."

SUPPORT: dict[str, Format] = {
    form.name: form
    for form in (
        Format("delimited", "a text file", (".csv", ".tsv", ".txt", ".tab"), "pipelines.readers.delimited",
               "one table; any delimiter, quoting, line ending and encoding"),
        Format("xlsx", "a spreadsheet workbook (.xlsx)", (".xlsx", ".xlsm"), "pipelines.readers.workbook",
               "a table per sheet; stored values only, formulas are never evaluated"),
        Format("ods", "an OpenDocument spreadsheet (.ods)", (".ods",), "pipelines.readers.ods",
               "a table per sheet; stored values only, formulas are never evaluated"),
        Format("parquet", "a Parquet file", (".parquet",), "pipelines.readers.parquet", "one table, in its own types"),
        Format("json", "a JSON file", (".json", ".jsonl", ".ndjson"), "pipelines.readers.json_lines",
               "one table; an object a line, or a list of objects"),
        Format("marks", "the marks of a film (.marks)", (".marks",), "pipelines.readers.film.reader",
               "the film, its steps and its set position, worked out anew each time"),
        Format("old_workbook", "an old or password-protected workbook (.xls)", (".xls",), "", "", SAVE_AS_XLSX),
        Format("png", "a picture (PNG)", (".png",), "", "", NO_TABLE),
        Format("jpeg", "a picture (JPEG)", (".jpg", ".jpeg"), "", "", NO_TABLE),
        Format("gif", "a picture (GIF)", (".gif",), "", "", NO_TABLE),
        Format("pdf", "a PDF document", (".pdf",), "", "", NO_TABLE),
        Format("rtf", "a text document (RTF)", (".rtf",), "", "", NO_TABLE),
        Format("html", "a web page (HTML)", (".html", ".htm"), "", "", SAVE_AS_XLSX),
        Format("sqlite", "a SQLite database", (".sqlite", ".db"), "", "", "Write its tables as CSV and load those."),
        Format("gzip", "a compressed file (gzip)", (".gz",), "", "", "Unpack it and load what is inside."),
        Format("zip", "a zip archive", (".zip",), "", "", "Unpack it and load what is inside."),
        Format("document", "a text document (.docx)", (".docx", ".odt"), "", "", NO_TABLE),
    )
}  # fmt: skip

# First bytes of a file -> format; zip archives are told apart by what they hold.
SIGNATURES: tuple[tuple[bytes, str], ...] = (
    (b"PK\x03\x04", "zip"),
    (b"PK\x05\x06", "zip"),
    (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", "old_workbook"),
    (b"\x89PNG\r\n\x1a\n", "png"),
    (b"\xff\xd8\xff", "jpeg"),
    (b"GIF8", "gif"),
    (b"%PDF-", "pdf"),
    (b"{\\rtf", "rtf"),
    (b"PAR1", "parquet"),
    (b"SQLite format 3\x00", "sqlite"),
    (b"\x1f\x8b", "gzip"),
    (b'{"format":"thirdstep-film-', "marks"),
)
ZIP_CONTENTS: tuple[tuple[bytes, str], ...] = (
    (b"xl/", "xlsx"),
    (b"application/vnd.oasis.opendocument.spreadsheet", "ods"),
    (b"word/", "document"),
    (b"application/vnd.oasis.opendocument.text", "document"),
)


def format_of(name: str, content: bytes) -> Format:
    """Return the format of a file, by its bytes; its name must not say another.

    Raises:
        UnreadableSource: The file is empty, or named as one format while its bytes are another.
    """
    if not content:
        raise UnreadableSource(name, "the file is empty (0 bytes).", "Export it again.")
    found = SUPPORT[_sniff(content)]
    ending = "." + name.rsplit(".", 1)[-1].lower() if "." in name else ""
    named = next((form for form in SUPPORT.values() if ending in form.endings), None)
    if named is None or named.name == found.name or (named.name == "json" and found.name == "delimited"):
        return named if named is not None and named.name == "json" else found
    if not content.strip(b"\x00"):
        raise UnreadableSource(name, "the file holds nothing but zero bytes: it is damaged.", "Export it again.")
    if named.name in ("xlsx", "ods") and found.name == "zip":
        return named  # damaged or cut off: its reader says how
    if found.module and found.name != "delimited":
        step = f"Rename it to end in {found.endings[0]} and load it again."
    elif found.name == "delimited":
        step = "If it is a table of text, rename it to end in .csv; otherwise export it again."
    else:
        step = found.next_step
    raise UnreadableSource(name, f"it is named {ending} but is {found.called}.", step)


def _sniff(content: bytes) -> str:
    for signature, name in SIGNATURES:
        if content.startswith(signature):
            if name != "zip":
                return name
            return next((inner for mark, inner in ZIP_CONTENTS if mark in content), "zip")
    start = content[:512].lstrip(b"\xef\xbb\xbf \t\r\n").lower()
    if start.startswith((b"<!doctype html", b"<html", b"<table")):
        return "html"
    return "delimited"
