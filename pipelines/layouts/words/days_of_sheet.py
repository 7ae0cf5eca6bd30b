"""Days that a title writes and on which nothing was measured: of the sheet itself, of a person, of the next test."""

import re
from collections.abc import Sequence

LONGEST_WORDS = 24  # letters looked at before a day; own choice
# What was done on a day, in the word before it: a measurement, or only the sheet; common practice, no source
MEASURED_ON = re.compile(
    r"(?:taken|measured|weighed|tested|recorded|gemessen|gewogen|getestet|mesur[ée]\w{0,2}|prises?|medid[oa]s?|tomad[oa]s?"
    r"|misurat[oaie]|rilevat[oaie]|gemeten|mätt|målt)\s*(?:on|am|le|el|il|op|den)?[\s:,(]*$", re.I,
)  # fmt: skip
WRITTEN_ON = re.compile(
    r"(?<![^\W\d_])(?:updated?|printed|revised|version|created|saved|exported|generated|as of|as at|aktualisiert"
    r"|gedruckt|erstellt|gespeichert|mise? [àa] jour|imprim[ée]e?|cr[ée]{2}e?|actualizad[oa]|impres[oa]"
    r"|aggiornat[oa]|stampat[oa]|atualizad[oa]|bijgewerkt|afgedrukt|geprint|uppdaterad|utskriven|oppdatert|opdateret"
    r"|utskrevet)\s*(?:on|am|vom|le|el|al|il|op|den|em|a)?[\s:,(]*$"
    # 'Stand: 30.11.', '(Stand 30.11.)'; 'aus dem Stand 30.11.' is how runs start
    r"|(?:^|[(\[,;–|-])\s*stand[:.]?\s*$|(?<![^\W\d_])stand\s*(?::|vom|am|per)\s*$", re.I,
)  # fmt: skip
# Days of a person, and days to come: nothing was measured on them; common practice, no source
OTHER_DAY = re.compile(
    r"(?<![^\W\d_])(?:born|birth ?date|date of birth|dob|d\.o\.b\.|geb\.?|geboren|geburtsdatum|n[ée]e?|n[ée]\(e\)"
    r"|naissance|nacid[oa]|nacimiento|nat[oa]|nascita|nascid[oa]|nascimento|geboortedatum|född|født|syntynyt"
    r"|next(?: test\w*| session| day)?|(?:n[äa]chste[rn]?|prochaine?|pr[óo]xim[oa]|prossim[oa]|volgende|n[äaæ]sta?e?)"
    r"(?: \w+)?)\s*(?:is|on|am|le|el|il|op|den|em)?[\s:,(]*$", re.I,
)  # fmt: skip
# '12.-16.10.2026', '12 to 16 Oct 2026': the first of several days, before the last of them
FROM_DAY = re.compile(
    r"(?<![\w.,/-])(\d{1,2})(?:\.\s?[-–]\s?|[-–]|\.?\s*(?:to|bis|au|al|till|til|t/m|tot|až|do)\s+)$", re.I
)


def is_of_sheet(before: str, day: str) -> bool:
    """Return whether a day is none of the rows below, by the words before it: on which the sheet was written, somebody
    was born, the next test is, or the last of several days.
    """
    words = before[-LONGEST_WORDS:]
    first, last = FROM_DAY.search(before), re.match(r"(\d{1,2})(?!\d)", day)
    is_last = first is not None and last is not None and int(first[1]) < int(last[1])
    return is_last or bool(WRITTEN_ON.search(words) or OTHER_DAY.search(words))


def day_measured(text: str, found: Sequence[tuple[str, tuple[int, int]]]) -> str | None:
    """Return of several days the one on which a text says that it was measured, the others being those of the sheet:
    'updated 1/10/25 (weights taken 30/9/25)'.
    """
    before = {day: text[max(0, begin - LONGEST_WORDS) : begin] for day, (begin, _) in found}
    measured = [day for day, words in before.items() if MEASURED_ON.search(words)]
    others = [day for day in before if day not in measured]
    is_told = all(WRITTEN_ON.search(before[day]) for day in others)
    return measured[0] if len(measured) == 1 and len(before) == len(found) and is_told else None
