"""Bytes to text: which encoding a text file is in."""

import codecs
import re

from charset_normalizer import from_bytes

from pipelines.errors import UnreadableSource

MARKS: tuple[tuple[bytes, str], ...] = (
    (codecs.BOM_UTF8, "utf-8"),
    (codecs.BOM_UTF32_LE, "utf-32-le"),  # before UTF-16: its mark begins with the same bytes
    (codecs.BOM_UTF32_BE, "utf-32-be"),
    (codecs.BOM_UTF16_LE, "utf-16-le"),
    (codecs.BOM_UTF16_BE, "utf-16-be"),
)
# What West European text holds beyond ASCII in Windows-1252: letters, quotes, dashes, degree, micro, squared ...
WESTERN = re.compile(r"[ -~\s\u00a0-\u00ffŒœŠšŸŽž€‚„…†‡‰‹›‘’“”•–—˜™]*")
CONTROL = re.compile(r"[\x01-\x08\x0e-\x1a\x1c-\x1f]")
CONTROL_SHARE = 0.01  # control signs among the first signs of a text, above which it is none
UNDEFINED = (b"\x81", b"\x8d", b"\x8f", b"\x90", b"\x9d")  # bytes that mean nothing in Windows-1252
SAMPLE = 65536
STATISTICS = 262_144  # bytes that the character statistics are made of


def decode(name: str, content: bytes) -> str:
    """Return the text of a file.

    A byte-order mark is believed. Then UTF-8, UTF-16 without a mark (every second byte zero), Windows-1252 where all of
    it reads as West European text, and at last what the character statistics of charset-normalizer say.

    Raises:
        UnreadableSource: The bytes are no text, or are damaged.
    """
    for mark, encoding in MARKS:
        if content.startswith(mark):
            return _text(name, content[len(mark) :], encoding)
    if b"\x00" in content:
        wide = _utf16_without_mark(content)
        if wide:
            return _text(name, content, wide)
        line = content[: content.index(b"\x00")].count(b"\n") + 1
        raise UnreadableSource(
            name, f"it holds zero (NUL) bytes, the first on line {line}: it is damaged or no text.", "Export it again."
        )
    try:
        return _text(name, content, "utf-8")
    except UnicodeDecodeError:
        pass
    if not any(sign in content for sign in UNDEFINED):
        text = content.decode("cp1252")
        if WESTERN.fullmatch(text):
            return text
    first = next(place for place, sign in enumerate(content) if sign > 127)  # there is one: it is no UTF-8
    sample = content[max(0, content.rfind(b"\n", 0, first)) :][:STATISTICS]
    whole = sample.rfind(b"\n") + 1  # a letter of several bytes must not be cut
    best = from_bytes(sample[:whole] if whole > len(sample) // 2 else sample).best()
    if best is None:
        raise UnreadableSource(name, "its character encoding cannot be told.", "Save it as UTF-8 and load it again.")
    try:
        return _text(name, content, best.encoding)
    except UnicodeDecodeError as error:  # said to be UTF-8 by its beginning alone
        raise UnreadableSource(name, f"it is damaged text ({error.reason}).", "Export it again.") from error


def _text(name: str, content: bytes, encoding: str) -> str:
    try:
        return _printable(name, content.decode(encoding))
    except UnicodeDecodeError as error:
        if encoding == "utf-8":
            raise
        raise UnreadableSource(
            name, f"it says it is {encoding.upper()} text but is damaged ({error.reason}).", "Export it again."
        ) from error


def _printable(name: str, text: str) -> str:
    sample = text[:SAMPLE]
    if "\x00" in text:
        line = text.count("\n", 0, text.index("\x00")) + 1
        raise UnreadableSource(
            name, f"it holds zero (NUL) bytes, the first on line {line}: it is damaged or no text.", "Export it again."
        )
    if len(CONTROL.findall(sample)) > CONTROL_SHARE * len(sample):
        raise UnreadableSource(name, "it is no text and no known table format.", "Export it as .csv or .xlsx.")
    return text


def _utf16_without_mark(content: bytes) -> str | None:
    sample = content[:4096]
    pairs = len(sample) // 2
    even, odd = sample[0::2].count(0), sample[1::2].count(0)
    if odd > 0.7 * pairs and even < 0.05 * pairs:
        return "utf-16-le"
    if even > 0.7 * pairs and odd < 0.05 * pairs:
        return "utf-16-be"
    return None
