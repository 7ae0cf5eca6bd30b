"""What a title names without saying it of the runs below: 'without blocks', 'training block 2', 'before sled work'."""

import re

# All of it is common practice, no source.
NO = (
    r"(?<![^\W\d_])(?:no|not|without|ohne|keine?[nmrs]?|sans|pas de|sin|senza|sem|utan|ingen|uten|uden|zonder|geen"
    r"|ilman|bez)\s+(?:the |den |der |die |das |les? |la |los? |las |il |o |os |de )?"
)
DENIED = re.compile(rf"{NO}[^\W\d_][\w-]*", re.I)
SLEDS = r"(?:sleds?|schlitten\w*|tra[iî]neaux?|trineos?|slitt[ae]|slee\w*|sl[äæ]d\w*|tren[óo]s?)"
NO_SLED = re.compile(rf"(?:{NO}|(?<![^\W\d_])w/o\s+){SLEDS}|(?<![^\W\d_])un(?:loaded|resisted)(?![^\W\d_])", re.I)
SLED = re.compile(rf"(?<![^\W\d_]){SLEDS}", re.I)
OF_A_SEASON = (
    r"(?:training|trainings|winter|summer|spring|autumn|prep\w*|base|strength|gym|power|speed|season|test\w*|competition"
    r"|kraft|vorbereitungs|aufbau|grundlagen|wettkampf|hiver|travail|force|vitesse|trenings|tränings|voorbereidings)"
)
BLOCK_OF_WEEKS = re.compile(
    rf"{OF_A_SEASON}[\s-]*blo[ck]{{1,2}}(?![^\W\d_])"
    r"|(?<![^\W\d_])blo(?:c|ck|k|que|cco)\s*(?:no\.?|nr\.?|n°|#)?\s*(?:\d{1,2}(?!\s*(?:m|x|×|yd)\b)|[IVX]{1,4}|[A-D])(?![\w.]*\w)"
    r"|(?<![^\W\d_])blo(?:c|que|cco)\s+(?:de|di|d['’])\s*(?!d[ée]part|salida|partenza)[^\W\d_]+",
    re.I,
)
ANOTHER_PART = re.compile(
    r"(?<![^\W\d_])(?:before|after|vor|nach|avant|apr[eè]s|antes|despu[eé]s|prima|dopo|före|efter|før|etter|voor|na)\s+"
    r"(?:the |dem |der |le |la |les |el |del? |di |het )?[^\W\d_][\w-]*", re.I,
)  # fmt: skip


def as_said_of(column: str, text: str) -> str:
    """Return a title without what it does not say of the runs below, for one column.

    'Without resistance' says of it that there is none, and stays.
    """
    if column == "resistance_kind":
        return ANOTHER_PART.sub(" ", NO_SLED.sub(" ", text))
    if column == "start_kind":
        text = BLOCK_OF_WEEKS.sub(" ", text)
    return DENIED.sub(" ", text)


def is_without_sled(text: str) -> bool:
    """Return whether a text over some columns says that nothing is pulled in theirs, and names no sled besides."""
    return NO_SLED.search(text) is not None and SLED.search(NO_SLED.sub(" ", text)) is None
