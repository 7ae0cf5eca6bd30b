"""Rating scales: their ends and which end is good, as far as a header, a title or a sister column says it."""

import re
from dataclasses import dataclass

from pipelines.cells.languages import said_of
from pipelines.cells.ratings import EFFORTS, NONE_TO_TEN, RATED
from pipelines.layouts.words.said import find_day
from schemas.checkin import BY_NAME
from schemas.reading import Good, Scale
from schemas.spelling import fold

__all__ = ["EFFORTS", "RATED", "SaidScale", "open_beside", "quantity_of", "read_scale", "said_in", "with_sisters"]
BOTH_WAYS = (6.0, 7.0)  # ends of scales on which the best stands at either end
# One number that names no side may be said to be of both.
ON_BOTH_SIDES = {"hamstring_tightness": ("hamstring_tightness_l", "hamstring_tightness_r")}

RANGE = re.compile(  # of no day: 2026-11-09
    r"(?<![\d.,-])(\d{1,3})\s*(?:-|–|—|\bto\b|\bbis\b|\bà\b|\ba\b|\bau\b|\btill\b|\.\.|→)\s*(\d{1,3})(?!\d|[.,]\d)",
    re.I,
)
OF_MOST = re.compile(r"(?:/|\bof\b|\bout of\b|\bvon\b|\bsur\b|\bsu\b|\bav\b)\s*(\d{1,3})\b", re.I)
END = re.compile(r"(?<![\d.,])(\d{1,3})\s*(?:=|:|\(|–|-|is|ist|means)?\s*([^\W\d_][^\d,;:()\[\]=–]*)", re.I)

# Words that are small words of another language ('los' is loose in Dutch, an article in Spanish): only where an end is
# described by nothing else.
ALONE = ("los", "vol", "ma")
# Swedish and German write it before the word, in one: 'jättetrött', 'supergut'.
VERY = re.compile(r"\b(?:jatte|skit|super|mega)(?=[a-z]{3})")
# What a header asks for: of these, more is worse or better. All of it is common practice, no source.
EVILS = (
    "sore", "soreness", "muskelkater", "courbatures", "courbature", "agujetas", "indolenzimento", "doms", "fatigue",
    "tired",
    "tiredness", "mudigkeit", "mude", "ermudung", "stanchezza", "fatiga", "cansancio", "stress", "stresslevel",
    "estres",
    "pain", "schmerz", "schmerzen", "douleur", "dolor", "dolore", "tight", "tightness", "tension", "tensione", "ziehen",
    "gene", "raideur", "verspannung", "fest", "trotthet", "traningsvark", "stel", "stiff", "stiffness", "ache", "aches",
    "exhaustion", "spierpijn", "vermoeidheid", "moe", "rigidita", "rigidez", "dor", "cansaco", "trott", "harte",
    "omhet", "muskelomhet", "stolhet", "sliten", "slitenhet", "tretthet", "traethed", "stramhet", "stivhet",
    "smerte", "smerter", "smarta", "vondt",
    *said_of("scale", "more_is_worse"),
)  # fmt: skip
GOODS = (
    "fresh", "freshness", "energy", "energie", "energia", "frische", "mood", "stimmung", "laune", "humeur", "umore",
    "humor",
    "animo", "quality", "qualitat", "qualite", "calidad", "qualita", "qualidade", "kvalitet", "calm", "recovery",
    "erholung",
    "recuperation", "readiness", "motivation", "how well", "how good", "how did you sleep", "wie war der schlaf",
    "forme",
    "schlafqualitat", "wie hast du geschlafen", "wie gut", "humor", "humeur", "sinnesstamning", "recovered", "sleep",
    *said_of("scale", "more_is_better"),
)  # fmt: skip
NONE_OF_IT = (
    "none", "nothing", "not at all", "nichts", "kein", "keine", "keiner", "gar nicht", "gar keiner", "gar kein", "rien",
    "aucun", "aucune", "pas du tout", "pas", "nada", "ninguno", "ninguna", "niente", "per niente", "nulla", "nullo",
    "inga",
    "ingen", "ingenting", "no", "not", "min", "minimum", "low", "lowest", "niedrig", "sans", "sin", "zero", "never",
    "least",
    "nessuno", "nessuna", "geen", "nenhum", "nenhuma",
    "ikke", "inte", "intet", "ikke i det hele tatt",
    *said_of("scale", "none"),
)  # fmt: skip
MUCH_OF_IT = (
    "very", "extreme", "extremely", "a lot", "lots", "max", "maximum", "maximal", "severe", "sehr", "sehr stark",
    "stark",
    "starkes", "extrem", "tres", "beaucoup", "fort", "forte", "mucho", "mucha", "muy", "molto", "maximo", "massimo",
    "high",
    "highest", "hoch", "mycket", "full", "unbearable", "most", "intense", "veel", "erg", "muito",
    "svaert", "veldig", "mye", "meget", "ekstremt", "maks", "valdigt",
    *said_of("scale", "much"),
)  # fmt: skip
GOOD_WORDS = (
    "fresh", "great", "good", "excellent", "best", "relaxed", "rested", "perfect", "super", "gut", "sehr gut",
    "ausgeruht",
    "entspannt", "frisch", "voll da", "fit", "riposato", "riposata", "ottima", "ottimo", "bien", "repose", "reposee",
    "detendu", "descansado", "descansada", "excelente", "bueno", "buena", "bon", "bonne", "calm", "happy", "well",
    "amazing",
    "toll", "bra", "utvilad", "buono", "buona", "eccellente", "fantastic", "loose", "locker", "fine", "genial", "top",
    "energetic", "full of energy", "full energy", "ready", "optimal", "goed", "uitgerust", "otimo", "otima", "bom",
    "boa",
    "god", "godt", "uthvilt", "utmerket", "pigg", "opplagt", "rolig",
    *(word for word in said_of("scale", "good") if word not in ALONE),
)  # fmt: skip
BAD_WORDS = (
    "wrecked", "exhausted", "bad", "awful", "terrible", "poor", "worst", "tired", "worn out", "destroyed", "dead",
    "schlecht",
    "kaputt", "mude", "erschopft", "pessima", "pessimo", "distrutto", "distrutta", "mauvais", "mauvaise", "epuise",
    "epuisee",
    "malo", "mala", "agotado", "agotada", "stressed", "horrible", "hardly", "cannot", "can t", "cant", "miserable",
    "dalig",
    "slut", "terribile", "sad", "knackered", "smashed", "drained", "low energy", "muy mal", "mal", "stiff", "awful",
    "gestresst", "stresse", "pesimo", "pesima", "slecht", "kapot", "uitgeput", "utmattad", "shattered",
    "darlig", "svaert darlig", "utslitt", "helt utslitt", "sliten", "stresset", "stressad",
    *(word for word in said_of("scale", "bad") if word not in ALONE),
)  # fmt: skip


@dataclass(frozen=True)
class SaidScale:
    """What is said of a scale; null where it is not said."""

    least: float | None = None
    most: float | None = None
    good: Good | None = None
    is_usual: bool = False  # which end is good is not said, nor by a quality that is named

    @property
    def scale(self) -> Scale | None:
        """The scale, where all of it is said."""
        if self.least is None or self.most is None or self.good is None or self.least >= self.most:
            return None
        return Scale(self.least, self.most, self.good)


def _has(words: str, some: tuple[str, ...]) -> bool:
    padded = f" {words} "
    return any(f" {one} " in padded for one in some)


def quantity_of(header: str, column: str) -> Good | None:
    """Return which end of what a header asks for is good: 'low' for soreness, 'high' for freshness, None if unsaid."""
    bare = fold(END.sub(" ", re.sub(r"[(\[].*?[)\]]", " ", header)))
    evil, good = _has(bare, EVILS), _has(bare, GOODS)
    if column in NONE_TO_TEN:
        return "low"
    if evil != good:
        return "low" if evil else "high"
    names = BY_NAME[column].names if column in BY_NAME else ""
    if names == "good":
        return "high"
    return "low" if names == "bad" and evil else None


def _is_good(words: str, quantity: Good | None) -> bool | None:  # noqa: PLR0911
    """Return whether an end described so is the good one."""
    said = VERY.sub("", fold(words))
    if said in ALONE:
        return said in said_of("scale", "good")
    if _has(said, GOOD_WORDS) and _has(said, EVILS) and not _has(said, NONE_OF_IT):  # 'super strak', 'bien fatigué'
        return None
    if _has(said, NONE_OF_IT):
        rest = " ".join(word for word in said.split() if word not in NONE_OF_IT)
        if _has(rest, GOOD_WORDS) and not _has(rest, EVILS):
            return False
        if _has(rest, BAD_WORDS) or _has(rest, EVILS):
            return True
        return None if quantity is None else quantity == "low"
    if _has(said, GOOD_WORDS):
        return True
    if _has(said, BAD_WORDS) or _has(said, EVILS):
        return False
    if _has(said, GOODS):
        return True
    if _has(said, MUCH_OF_IT):
        return None if quantity is None else quantity == "high"
    return None


def said_in(text: str, quantity: Good | None) -> SaidScale:
    """Return what a text says of a scale: '1 = none, 5 = very', '0-10 (10 = sehr stark)', 'from 1 (bad) to 5
    (good)'.
    """
    least: float | None = None
    most: float | None = None
    good: Good | None = None
    between = RANGE.search(text)
    if between and int(between[1]) < int(between[2]):
        least, most = float(between[1]), float(between[2])
    ends = [(float(match[1]), match[2]) for match in END.finditer(text) if fold(match[2])]
    marked = [(value, _is_good(words, quantity)) for value, words in ends]
    values = sorted({value for value, _ in ends})
    if least is None and len(values) >= 2:
        least, most = values[0], values[-1]
    if most is None and least is None:
        top = OF_MOST.search(text)
        most = float(top[1]) if top else (values[-1] if len(values) == 1 and values[0] >= 3 else None)
        least = values[0] if len(values) == 1 and values[0] <= 1 else None
    votes: set[Good] = set()
    for value, is_good in marked:
        if is_good is None:
            continue
        if value in (most, least) and value == most:
            votes.add("high" if is_good else "low")
        elif value == least:
            votes.add("low" if is_good else "high")
    if len(votes) == 1:
        good = votes.pop()
    return SaidScale(least, most, good)


def without_days(text: str) -> str:
    """Return a title without its days: 'Week of 12 October' is out of no twelve."""
    while (day := find_day(text)) is not None and day in text:
        text = text.replace(day, " ")
    return text


def read_scale(header: str, column: str, titles: str = "") -> SaidScale:
    """Return what header and titles say of the scale of a column, the header first."""
    quantity = quantity_of(header, column)
    own = said_in(header, quantity)
    if own.least is None and own.most is None and titles:
        own = said_in(titles, quantity)
    # A quality is rated upwards wherever ends are given without words; how sore or tired one is, both ways are in use.
    # Of 6 and 7 steps both ways are: marks of a school with 1 as the best, the index of Hooper and Mackinnon (1995).
    is_usual = own.good is None and quantity == "high" and column not in EFFORTS and own.most not in BOTH_WAYS
    good = own.good or ("high" if is_usual else None)
    if column in NONE_TO_TEN and good is None:  # 'tightness 0-10': 0 is none
        good = "low" if own.least == 0 else None
    if column in EFFORTS:
        good = "high"
    bare = fold(END.sub(" ", re.sub(r"[(\[].*?[)\]]", " ", header)))
    is_named = _has(bare, tuple(word for word in GOODS if word != "sleep"))  # 'quality', 'mood'; 'sleep' is no more so
    return SaidScale(own.least, own.most, good, is_usual and not is_named)


def open_beside(one: SaidScale, others: list[SaidScale]) -> SaidScale:
    """Return a scale without its usual good end where a sister of the same ends leaves hers open: a form mostly has
    one good end for all that it asks, and which it is will be answered.
    """
    same = any(other.good is None and (other.least, other.most) == (one.least, one.most) for other in others)
    return SaidScale(one.least, one.most) if one.is_usual and same else one


def with_sisters(one: SaidScale, others: list[SaidScale]) -> SaidScale:
    """Return a scale with the end it leaves open from sister columns that name the same other end."""
    if one.scale is not None or (one.least is None and one.most is None):
        return one
    same = {
        (other.least, other.most)
        for other in others
        if other.least is not None and other.most is not None and (one.least in (None, other.least))
        and (one.most in (None, other.most))
    }  # fmt: skip
    if len(same) != 1:
        return one
    least, most = same.pop()
    return SaidScale(least, most, one.good, one.is_usual)
