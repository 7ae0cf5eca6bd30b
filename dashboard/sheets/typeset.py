"""From what a sheet says to PDF: black on white, A4, tagged for screen readers (PDF/UA), with fonts of our own."""

import json
import unicodedata
from functools import cache
from pathlib import Path
from typing import Any

from dashboard import wording
from dashboard.parts.marks import RULES, bind_units

HERE = Path(__file__).parent
PDF_STANDARD = "ua-1"
HARD = "\u00a0"
STAND_IN = "□"  # for a letter that no font of the typesetter holds
CANNOT_SHOW = "could not be displayed"  # what the typesetter says of such a letter
_STYLE = """<style>.noise{fill:#E4E4E4}.range{fill:#E4E4E4}.bar{fill:#8A8A8A}.over{fill:#000}
.gap{fill:none;stroke:#555;stroke-dasharray:1.5 2}
.line{fill:none;stroke:#000;stroke-width:1.3}.dot{fill:#000}</style>"""


@cache
def _compiler() -> Any:
    """Return the typesetter with the house fonts only; loaded when the first sheet is asked for."""
    import typst

    return typst


def pdf(template: str, told: dict[str, Any]) -> bytes:
    """Typeset a sheet. What is told is inserted as text, never read as markup.

    Letters that the fonts lack (a Chinese name, an emoji) are stood in for, and the foot of each page says so: one
    letter of one note must not cost everybody the sheet.
    """
    told = _spaced(told)
    letters = _letters(told)
    lacking = {letter for letter in letters if unicodedata.category(letter) == "Cs"}  # half a letter of a damaged text
    # Asked before: of letters that are joined, the typesetter drops without a word what it cannot show.
    foreign = set(filter(_is_foreign, letters - lacking))
    lacking |= _cannot_show(sorted(foreign))
    try:
        return _typeset(template, _stood_in(told, lacking))
    except RuntimeError as trouble:
        if CANNOT_SHOW not in str(trouble):
            raise
    lacking |= foreign | _cannot_show(sorted(letters - lacking - foreign))
    return _typeset(template, _stood_in(told, lacking))


def _is_foreign(letter: str) -> bool:
    """Return whether a letter is of no alphabet that the house fonts are made for."""
    kind = unicodedata.category(letter)
    return letter >= "\u0250" and (kind[0] in "LMC" or kind in ("So", "Sk"))


def _typeset(template: str, told: Any) -> bytes:
    return bytes(
        _compiler().compile(
            str(HERE / template),
            root=str(HERE),
            font_paths=[str(HERE / "fonts")],
            ignore_system_fonts=True,
            sys_inputs={"told": json.dumps(told, ensure_ascii=False)},
            pdf_standards=[PDF_STANDARD],
        )
    )


def _letters(told: Any) -> set[str]:
    """Return every letter beyond the plain ones, those of pictures too, and every sign that steers."""
    if isinstance(told, str):
        return {one for one in told if not " " <= one <= "~" and one not in "\t\n\r"}
    values = told.values() if isinstance(told, dict) else told if isinstance(told, list) else ()
    return {letter for value in values for letter in _letters(value)}


def _cannot_show(letters: list[str]) -> set[str]:
    """Return those of some letters that the typesetter cannot show: it is asked, by halves."""
    try:
        if letters:
            _typeset("letters.typ", letters)
    except RuntimeError as trouble:
        if CANNOT_SHOW not in str(trouble):
            raise
        if len(letters) == 1:
            return set(letters)
        half = len(letters) // 2
        return _cannot_show(letters[:half]) | _cannot_show(letters[half:])
    return set()


def _stood_in(told: Any, lacking: set[str]) -> Any:
    """Put the stand-in for letters that cannot be shown, and say so at the foot."""
    if not lacking:
        return told
    # A sign that only joins or steers its neighbours has no place of its own.
    table = {ord(one): "" if unicodedata.category(one) in ("Cf", "Mn") else STAND_IN for one in lacking}

    def put(value: Any) -> Any:
        if isinstance(value, str):
            return value.translate(table)
        if isinstance(value, dict):
            return {name: put(one) for name, one in value.items()}
        return [put(one) for one in value] if isinstance(value, list) else value

    return {**put(told), "foot": f"{put(told['foot'])} {wording.letters_lacking(STAND_IN)}"}


def _spaced(told: Any) -> Any:
    """Keep numbers and units together, by plain hard spaces: the house fonts hold no narrow one."""
    if isinstance(told, str):
        return told if told.startswith("<svg") else bind_units(told.replace(wording.NARROW, HARD), HARD)
    if isinstance(told, dict):
        return {name: _spaced(value) for name, value in told.items()}
    return [_spaced(value) for value in told] if isinstance(told, list) else told


def small_line(drawn: str) -> tuple[str, str]:
    """Return a small line of the page as a picture for paper, and what it says; no picture where there is none."""
    if not drawn.startswith("<svg"):
        return "", drawn.split(">", 1)[-1].split("<", 1)[0]
    said = drawn.split('aria-label="', 1)[1].split('"', 1)[0]
    head, rest = drawn.split(">", 1)
    return f'{head} xmlns="http://www.w3.org/2000/svg">{_STYLE}{rest}', said


def marked(slug: str | None, labels: dict[str, str], why: str | None = None, more: int = 0) -> dict[str, str]:
    """Return a call for paper: its rule, its word and its strongest reason."""
    slug = slug or "cannot_say"
    rest = f" and {more} more" if why and more else ""
    label = labels.get(slug, wording.HAMSTRING.get(slug, slug.replace("_", " ")))
    return {"rule": RULES.get(slug, "quiet"), "word": label, "why": f"{why or ''}{rest}"}
