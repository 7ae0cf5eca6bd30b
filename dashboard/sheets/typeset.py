"""From what a sheet says to PDF: black on white, A4, tagged for screen readers (PDF/UA), with fonts of our own."""

import json
from functools import cache
from pathlib import Path
from typing import Any

from dashboard import wording
from dashboard.parts.marks import RULES, bind_units

HERE = Path(__file__).parent
PDF_STANDARD = "ua-1"
HARD = "\u00a0"
_STYLE = """<style>.noise{fill:#E4E4E4}.range{fill:#E4E4E4}.bar{fill:#8A8A8A}.over{fill:#000}
.gap{fill:none;stroke:#555;stroke-dasharray:1.5 2}
.line{fill:none;stroke:#000;stroke-width:1.3}.dot{fill:#000}</style>"""


@cache
def _compiler() -> Any:
    """Return the typesetter with the house fonts only; loaded when the first sheet is asked for."""
    import typst

    return typst


def pdf(template: str, told: dict[str, Any]) -> bytes:
    """Typeset a sheet. What is told is inserted as text, never read as markup."""
    return bytes(
        _compiler().compile(
            str(HERE / template),
            root=str(HERE),
            font_paths=[str(HERE / "fonts")],
            ignore_system_fonts=True,
            sys_inputs={"told": json.dumps(_spaced(told), ensure_ascii=False)},
            pdf_standards=[PDF_STANDARD],
        )
    )


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
