"""Headings of a gate that say how its runs start or are timed: '30 m standing', '30 m from blocks, photocells (s)'."""

import re
from functools import cache

from pipelines.cells.phrases import VOCABULARY
from schemas.spelling import fold

BESIDE = {"from", "out", "of", "with", "start", "aus", "mit", "depuis", "avec", "desde", "con", "salida", "saida",
          "com", "da", "dai", "saindo", "partida", "en", "em"}  # fmt: skip
# 'Sled % BW'. Common practice, no source
SLED = re.compile(r"(?:sled|schlitten|traineau|trineo|slitta|treno|slade|kelk|slee)(?![a-z])")


@cache
def _how() -> re.Pattern[str]:
    """Return the words of a start from standstill and of a clock, the longest first."""
    starts = [word for kind, words in VOCABULARY["start_kind"].items() if kind != "rolling" for word in words]
    clocks = [word for words in VOCABULARY["timing_kind"].values() for word in words]
    said = sorted({fold(word) for word in (*starts, *clocks)}, key=len, reverse=True)
    return re.compile(rf"(?<![a-z0-9])(?:{'|'.join(re.escape(word) for word in said)})(?![a-z0-9])")


def without_how(bare: str) -> str | None:
    """Return a heading that begins with a distance without the words that say how the run starts or is timed; None
    where it has none of them, or others besides.
    """
    found = re.match(r"\s*(\d{1,3}(?:[.,]\d+)?\s*[a-zA-Z]{1,6})(?![a-zA-Z])", bare)
    if found is None:
        return None
    rest, many = _how().subn(" ", fold(bare[found.end() :]))
    number = re.fullmatch(r"(.*?)(\d{1,2}[ao]?|)", " ".join(word for word in rest.split() if word not in BESIDE))
    if not many or number is None or number[1].strip():
        return None
    return f"{found[1]} {number[2]}".strip()
