"""How words are compared: case, accents, hyphens and spaces do not tell two spellings apart."""

import re
import unicodedata
from functools import lru_cache

# Letters that Unicode does not take apart into a plain letter and an accent.
PLAIN_LETTERS = str.maketrans(
    {"ß": "ss", "ø": "o", "æ": "ae", "œ": "oe", "ł": "l", "đ": "d", "ð": "d", "þ": "th", "ı": "i", "’": "'"}
)


@lru_cache(maxsize=65536)
def fold(text: str) -> str:
    """Return a text in lower case, without accents, every run of signs and spaces made one space."""
    plain = text.lower()
    if not plain.isascii():  # nothing below changes plain letters, as most words have
        plain = unicodedata.normalize("NFKD", plain.translate(PLAIN_LETTERS))
        plain = "".join(sign for sign in plain if not unicodedata.combining(sign))
    return re.sub(r"[^0-9a-z%°#]+", " ", plain.replace("'", "")).strip()


def slug(text: str, joint: str = "-") -> str:
    """Return a text as a key: lower-case letters and digits, words joined by ``joint``."""
    return joint.join(re.findall(r"[0-9a-z]+", fold(text)))
