"""Steps whose columns bear letters that a title explains ('C = contact, V = flight'), and pictures counted for them."""

import re
from collections.abc import Mapping, Sequence
from functools import cache
from statistics import fmean

from pipelines.cells.languages import headers
from schemas.spelling import fold
from schemas.unit_words import unit_word

KEY = re.compile(r"(?<![^\W_])([^\W\d_]{1,2})\s*[=:]\s*([^\W\d_]{2,}(?:\s+[^\W\d_]{2,}){0,2})")
COUNTED = re.compile(r"([a-z]{1,3}) ?(\d{1,2})")
# Letters that stand beside each other, 'C1' and 'F1', and need no key: what a foot does on the ground, and in the air.
# Either alone means nothing. Common practice, from memory.
ON_GROUND = ("c", "ct", "gc", "gct", "con", "k", "kt", "bk", "bkz", "kz", "a", "ap", "app", "tc")
IN_AIR = ("f", "ft", "fl", "fz", "v", "vo", "vol", "tv", "air", "at")
IN_BRACKETS = re.compile(r"[\(\[][^)\]]*[\)\]]")
# What first steps last at the least and the most, s; wide bounds, own choice.
LASTS_S = {"contact_s": (0.06, 0.40), "flight_s": (0.0, 0.25)}
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
PER_SECOND = re.compile(rf"(?<!\d)(\d{{2,4}}) (?:(?:{PICTURES} )?{SECOND}|{PICTURES} (?:s|sec|sek))(?![a-z])")
RATES = re.compile(
    rf"{PER_SECOND.pattern}|{PICTURES} {SECOND}(?![a-z])"
    r"|\d{2,4} (?:fps|hz|i s|b s)(?![a-z])"
)
# 'in frames': the numbers are of them. Common practice, no source.
IN_PICTURES = re.compile(
    rf"(?<![a-z])(?:in|i|w|ve|em|en(?= (?:images|cuadros|fotogramas))) (?:de |the )?{PICTURES}(?![a-z])"
)
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
    told = counted(heading)
    return (keys[told[0]], told[1]) if told is not None and told[0] in keys else None


def counted(heading: str) -> tuple[str, int] | None:
    """Return the letters and the number of a heading 'C1 (ms)', 'CT 2 s'."""
    words = fold(IN_BRACKETS.sub(" ", heading)).split()
    if len(words) > 1 and unit_word(words[-1]) is not None and not words[-1].isdigit():
        words = words[:-1]
    match = COUNTED.fullmatch(" ".join(words))
    return None if match is None else (match[1], int(match[2]))


def pair_in(headings: Mapping[str, Sequence[float]]) -> dict[str, str]:
    """Return what two letters stand for that share their numbers, 'C1', 'F1', 'C2', 'F2', by headings and their cells.

    One is a letter of the ground and one of the air, there is one such pair only, and all numbers below them are such
    as first steps last, in seconds or in milliseconds, a contact longer than the flight after it on the whole.
    """
    numbers: dict[str, dict[int, Sequence[float]]] = {}
    for heading, cells in headings.items():
        if (told := counted(heading)) is not None:
            numbers.setdefault(told[0], {})[told[1]] = cells
    pairs = [(ground, air) for ground in ON_GROUND for air in IN_AIR if _share(numbers, ground, air)]
    if len(pairs) != 1:
        return {}
    means = dict(zip(pairs[0], LASTS_S, strict=True))
    below = {column: [one for some in numbers[letter].values() for one in some] for letter, column in means.items()}
    if not all(below.values()) or fmean(below["contact_s"]) <= fmean(below["flight_s"]):
        return {}
    for scale in (1.0, 1000.0):
        if all(low * scale <= one <= high * scale for column, (low, high) in LASTS_S.items() for one in below[column]):
            return means
    return {}


def _share(numbers: Mapping[str, Mapping[int, Sequence[float]]], ground: str, air: str) -> bool:
    """Return whether two letters have the same numbers; after the last contact no flight need follow."""
    on_ground, in_air = {*numbers.get(ground, ())}, {*numbers.get(air, ())}
    return len(on_ground) > 1 and on_ground - {max(on_ground)} <= in_air <= on_ground


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
    if any(COUNTING.search(rest) or IN_PICTURES.search(rest) for rest in spoken):
        return True
    return None if spoken else False
