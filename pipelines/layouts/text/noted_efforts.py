"""What people write in a chat after training: '[4.5.26, 18:52] Ana: done, 75 min, RPE 7'. The day, minutes, effort."""

import re
from collections.abc import Collection

from pipelines.cells.spoken import is_known_word
from pipelines.cells.weekdays import is_weekday
from pipelines.layouts.words.said import find_day
from schemas.spelling import fold
from schemas.vocabulary import SESSION_KINDS

LONGEST_SHORT = 2  # letters of a weekday cut short, which may be any word: 'me', 'do'
# What a phone puts before a message that is copied out of a chat: '[04.05.26, 18:52] Ana: ', '4/5/2026, 18:52 - Ana: '.
STAMP = re.compile(
    r"^\s*\[?(\d{1,4}[./-]\d{1,2}[./-]\d{2,4}),?\s+(?:at |um |à )?\d{1,2}[:.h]\d{2}(?::\d{2})?(?:\s*[ap]\.?m\.?)?\]?"
    r"\s*(?:[-–]\s*)?(?=[^\W\d_][^:;|]{0,40}:)", re.I,
)  # fmt: skip
MINUTES = re.compile(
    r"(?<![\d.,:/x×])(\d{2,3})\s*(?:'(?!')|′|’|min\b\.?|mins\b|minutes?\b|minuten\b|minutos?\b|minut[oi]\b)", re.I
)
EFFORT = re.compile(
    r"(?<![^\W_])(?:s?rpe|pse|effort|anstrengung|belastung|esfuerzo|esfor[çc]o|sforzo|zwaarte|inspanning|anstr[äa]ngning"
    r"|belastning)(?: de)?\s*[:=]?\s*(\d{1,2}(?:[.,]5)?(?:\s*/\s*10(?!\d)|(?![\d:]|[.,]\d)))", re.I,
)  # fmt: skip
# '60 min, 5/10', right behind the minutes: what was asked of the session. Common practice, no source.
OF_TEN_BEHIND = re.compile(
    r"(?<![\d.,:/x×])\d{2,3}\s*(?:'(?!')|′|’|min\b\.?|mins\b|minutes?\b|minuten\b|minutos?\b|minut[oi]\b)"
    r"\s*[,;:@–-]?\s*(\d{1,2}(?:[.,]5)?\s*/\s*10)(?!\d)", re.I,
)  # fmt: skip
# Words of another day than the message's, or of what is to come; common practice, no source.
ANOTHER_DAY = re.compile(
    r"(?<![^\W_])(?:yesterday|tomorrow|gestern|vorgestern|morgen|hier|avant-hier|demain|ayer|anteayer|mañana|ieri|domani"
    r"|gisteren|ig[åa]r|i g[åa]r|imorgon|i morgen|ontem|amanh[ãa]|planned|geplant|pr[ée]vue?s?|previst[oa]|gepland"
    r"|last (?:week|night)|next|target|objectif|ziel)(?![^\W_])", re.I,
)  # fmt: skip
LIKE = re.compile(
    r"(?<![^\W_])(?:like|same as|wie|gleich wie|comme|pareil que|idem que|como|igual que|come|net als|som)"
    r"\s+([^\W\d_]+)",
    re.I,
)


def is_of_that_day(text: str, people: Collection[str]) -> bool:
    """Return whether a message speaks of its own day and its own writer: it names no other day and nobody else of
    those who are known, unless as somebody to compare with.
    """
    words = fold(LIKE.sub(" ", text)).split()
    others = any(word in people for word in words)
    is_dated = any(is_weekday(word) for word in words if len(word) > LONGEST_SHORT) or find_day(text) is not None
    return not others and not is_dated and ANOTHER_DAY.search(text) is None


def without_stamp(text: str) -> str:
    """Return a message with its day alone before it; other lines as they are."""
    match = STAMP.match(text)
    return text if match is None else f"{match[1]} {text[match.end() :]}"


def effort_in(text: str) -> tuple[str, str] | None:
    """Return the minutes and the effort of a session that a remark says; None where it says no effort or several.

    Minutes alone are of anything ('10 min late'), and so are those of a remark with several.
    """
    efforts, minutes = EFFORT.findall(text) or OF_TEN_BEHIND.findall(text), MINUTES.findall(text)
    if len(efforts) != 1:
        return None
    return (minutes[0] if len(minutes) == 1 else "", efforts[0])


def session_in(text: str) -> tuple[str, str, str] | None:
    """Return the kind, minutes and effort that a remark says where it says nothing else, 'Tempo 105 min RPE 7'; '' for
    the kind where none stands there.
    """
    said = effort_in(text)
    if said is None or not said[0]:
        return None
    behind = OF_TEN_BEHIND.search(text)
    bare = text if behind is None else text[: behind.start(1)] + text[behind.end(1) :]
    left = MINUTES.sub(" ", EFFORT.sub(" ", bare)).strip(" .,;:–-/@")
    kind = " ".join(left.split()).strip(" .,;:–-/@")
    return (kind, *said) if not kind or is_known_word(kind, "kind", SESSION_KINDS) else None
