"""Hours with a half in words: '6 e mezza', 'sieben einhalb', '7½', 'siete y media'. Common practice, from memory."""

import re

from schemas.spelling import fold

# Numbers of hours in words, folded; only those that a night or a session may have.
IN_LETTERS = {
    1: ("one", "une", "una"),
    2: ("two", "zwei", "deux", "dos", "due", "twee", "duas"),
    3: ("three", "drei", "trois", "tres", "tre", "drie"),
    4: ("four", "vier", "quatre", "cuatro", "quattro", "quatro", "fyra", "fire", "nelja", "cztery", "ctyri"),
    5: ("five", "funf", "fuenf", "cinq", "cinco", "cinque", "vijf", "fem", "viisi", "piec", "pet"),
    6: ("six", "sechs", "seis", "sei", "zes", "sex", "seks", "kuusi", "szesc", "sest"),
    7: ("seven", "sieben", "sept", "siete", "sette", "sete", "zeven", "sju", "syv", "seitseman", "siedem", "sedm"),
    8: ("eight", "acht", "huit", "ocho", "otto", "oito", "atta", "atte", "otte", "kahdeksan", "osiem", "osm"),
    9: ("nine", "neun", "neuf", "nueve", "nove", "negen", "nio", "ni", "yhdeksan", "dziewiec", "devet"),
    10: ("ten", "zehn", "dix", "diez", "dieci", "dez", "tien", "tio", "ti", "kymmenen", "dziesiec", "deset"),
}
NUMBERS = {word: number for number, words in IN_LETTERS.items() for word in words}
HOURS = "h|hrs?|hours?|std|stunden?|heures?|horas?|or[ea]|timmar|timer|uur|uren|godzin[ay]?|hodin[ay]?|tuntia"
HALF = (
    "and a half|a half|half|(?:und )?ein ?halb|und (?:eine )?halbe?|et demie?|y media|e mezz[ao]|e meia"
    "|en(?: een)? half|och en halv|og en halv|i pol|a pul|ja puoli"
)
WITH_HALF = re.compile(rf"(\d{{1,2}}|{'|'.join(NUMBERS)}) ?(?:({HOURS}) )?(?:{HALF})(?: ?({HOURS}))?")
IN_FIGURES = re.compile(r"(\d)\s*½|(\d)\s+1/2")


def hours_with_half(text: str) -> tuple[float, bool] | None:
    """Return the hours a text says with a half, and whether it calls them hours; None where it is no such text.

    'halb sieben' and 'half seven' are times of a clock, and none of these.
    """
    plain = IN_FIGURES.sub(r"\1\2 half", text.strip())
    said = WITH_HALF.fullmatch(fold(plain)) if re.fullmatch(r"[\w\s.’']+", plain) else None
    if said is None:
        return None
    number = NUMBERS[said[1]] if said[1] in NUMBERS else int(said[1])
    return number + 0.5, bool(said[2] or said[3])
