"""Columns of addresses and telephone numbers, of which the record keeps nothing: that is said, and not asked."""

import re
from collections.abc import Sequence

from schemas.spelling import fold

PHONE = re.compile(r"\+?\(?\d[\d\s()/.-]{6,18}\d")  # with its seven digits and more; common practice, no source
MAIL = re.compile(r"[^@\s]+@[^@\s]+\.[^@\s]+")
DIGITS, MOST = 7, 0.8
HEADED = re.compile(
    r"(?<![a-z])(?:phone|telephone|tel|mobile|cell|handy|telefon|telefono|telefone|telephone|gsm|movil|celular|e ?mail"
    r"|mail|correo|courriel|emergency contact|contact|notfallkontakt|noodnummer|puhelin|mobil)(?![a-z])"
)


def are_contacts(heading: str, texts: Sequence[str]) -> bool:
    """Return whether cells are addresses or telephone numbers, the latter below a heading that says so."""
    mails = sum(1 for text in texts if MAIL.fullmatch(text.strip()))
    phones = sum(1 for text in texts if PHONE.search(text) and sum(map(str.isdigit, text)) >= DIGITS)
    is_headed = HEADED.search(fold(heading)) is not None
    return bool(texts) and (mails >= MOST * len(texts) or (is_headed and phones + mails >= MOST * len(texts)))
