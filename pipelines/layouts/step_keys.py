"""Steps whose columns bear letters that a title explains ('C = contact, V = flight'), and pictures counted for them."""

import re
from collections.abc import Sequence
from functools import cache

from pipelines.cells.languages import headers
from schemas.spelling import fold

KEY = re.compile(r"(?<![^\W_])([^\W\d_]{1,2})\s*[=:]\s*([^\W\d_]{2,}(?:\s+[^\W\d_]{2,}){0,2})")
COUNTED = re.compile(r"([a-z]{1,2}) ?(\d{1,2})")
# What a foot does, besides the headers of the languages; common practice, from memory.
ALSO = {
    "contact_s": ("contact", "ground contact", "appoggio", "appui", "apoyo", "apoio", "steun", "contato"),
    "flight_s": ("flight", "flug", "vol", "vuelo", "volo", "voo", "vlucht", "svev", "svav", "fase di volo"),
}
PICTURES = (
    r"(?:frames?|pictures|fotogramm?as?|fotogrammi|cuadros|quadros|einzelbilder|bilder|images|rutor|bildrutor|billeder"
    r"|beelden|beeldjes|klatki|klatek|snimky|snimku|kuvaa|kuvia)"
)
SECOND = r"(?:a|per|al|pro|par|por|je|i|na|za) ?(?:second|secondo|sekunde|seconde|segundo|sekund|sekund[aeu]|sekundu)"
PER_SECOND = re.compile(rf"(?<!\d)(\d{{2,4}}) (?:{PICTURES} )?{SECOND}(?![a-z])")
RATES = re.compile(rf"{PER_SECOND.pattern}|{PICTURES} {SECOND}(?![a-z])|\d{{2,4}} (?:fps|hz|i s|b s)(?![a-z])")
SAID = re.compile(rf"(?<![a-z]){PICTURES}(?![a-z])")
COUNTING = re.compile(
    r"(?<![a-z])(?:counted|counts?|contati|conteggio|gezahlte?[nr]?|comptee?s|contad[oa]s|geteld|raknade|talt|talte|liczone)"
    r"(?![a-z])"
)


@cache
def _words() -> dict[str, str]:
    """Return what is said of a step, folded, and the column it stands for."""
    said = headers()
    return {fold(one): name for name, also in ALSO.items() for one in (*said.get(name, ()), *also)}


def _meant(words: str) -> tuple[str, int] | None:
    """Return the column that the first words behind a letter name, and how many they are; the most words count."""
    parts = fold(words).split()
    for size in range(len(parts), 0, -1):
        if (column := _words().get(" ".join(parts[:size]))) is not None:
            return column, size
    return None


def keys_in(text: str) -> dict[str, str]:
    """Return what a title says letters stand for: 'C = contatto, V = volo' gives 'c' and 'v' their columns.

    A letter that is explained twice means nothing.
    """
    found: dict[str, set[str]] = {}
    for match in KEY.finditer(text):
        if (meant := _meant(match[2])) is not None:
            found.setdefault(fold(match[1]), set()).add(meant[0])
    return {letter: columns.pop() for letter, columns in found.items() if len(columns) == 1}


def without_keys(text: str) -> str:
    """Return a text without the letters it explains: what stands behind them is said of all rows."""

    def rest(match: re.Match[str]) -> str:
        meant = _meant(match[2])
        return match[0] if meant is None else " ".join(["", *match[2].split()[meant[1] :]])

    return KEY.sub(rest, text)


def key_of(heading: str, keys: dict[str, str]) -> tuple[str, int] | None:
    """Return the column and the step of a heading 'C 1', by what a title says its letter stands for."""
    match = COUNTED.fullmatch(fold(heading))
    return (keys[match[1]], int(match[2])) if match is not None and match[1] in keys else None


def rate_in(text: str) -> str | None:
    """Return the pictures a second that a title of pictures says, 'Fotogrammi contati a 240 al secondo'."""
    plain = fold(text)
    found = {match[1] for match in PER_SECOND.finditer(plain)}
    return found.pop() if len(found) == 1 and SAID.search(plain) else None


def counts_pictures(texts: Sequence[str]) -> bool | None:
    """Return whether titles say that pictures were counted: True where they do, None where they speak of pictures and
    not of counting, False where of neither. '240 frames a second' alone is the film's rate.
    """
    rests = [RATES.sub(" ", fold(text)) for text in texts]
    spoken = [rest for rest in rests if SAID.search(rest) and "frame rate" not in rest]
    if any(COUNTING.search(rest) for rest in spoken):
        return True
    return None if spoken else False
