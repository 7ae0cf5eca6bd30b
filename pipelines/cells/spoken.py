"""Words in free spelling: the words a column may hold, yes and no, and words for a value that is not there."""

import re
import tomllib
from functools import cache
from importlib.resources import files

from pipelines.cells import SET_ASIDE, listed
from pipelines.cells.events import event_of, group_of_events
from pipelines.cells.languages import in_cells, languages
from pipelines.cells.phrases import VOCABULARY, word_said
from schemas import vocabulary
from schemas.outcome_words import ENDED_RACE, NOT_THERE, OUTCOME_WORDS
from schemas.shape import ColumnShape
from schemas.spelling import fold, slug

PHRASED = ("start_kind", "clock_start", "timing_kind", "resistance_kind")  # read inside longer texts too
DENIED = frozenset({"no", "not", "non", "without", "ohne", "kein", "keine", "keinen", "nicht", "sans", "pas",
    "sin", "senza", "sem", "ingen", "inga", "utan", "uten", "uden", "zonder", "geen", "niet", "bez"})  # fmt: skip
GUARDED = re.compile(r"'[=+\-@\t\r']")
HURT = ("lesion", "lesio", "injury", "verletzung", "blessure", "infortunio", "lesao", "skada", "skade", "kontuzja")
RAN_WITHOUT_TIME = ("nm", "nt", "no time", "dnq")
EVERYBODY_WORDS = {  # folded; common practice, no source
                   "everybody", "everyone", "all", "all of them", "whole squad", "whole group", "full squad", "team",
                   "squad", "alle", "ganze gruppe", "gesamte gruppe", "tous", "toutes", "tout le monde", "todos",
                   "todas", "tutti", "tutte", "alla", "alle sammen", "allesammen", "iedereen", "allemaal",
                   "hele groep", "hele ploeg", "allen"}  # fmt: skip
# Behind or before the name of a phase, folded; common practice, no source.
OF_PHASES = re.compile(
    r"^(?:phase|periode?|fase|periodo|bloc|block)(?: de| di| d)? | (?:phase|period|block|blok|fase)$"
)
SIGNS_ONLY = re.compile(r"[\s\-–—._/?*]*")


@cache
def _listed() -> dict[str, dict[str, list[str]]]:
    return tomllib.loads(files(__package__).joinpath("words.toml").read_text(encoding="utf-8"))


@cache
def _missing(kind: str) -> frozenset[str]:
    return frozenset({*_listed()["missing"][kind], *in_cells("missing").get(kind, ())})


def is_outcome(text: str) -> bool:
    """Return whether a text says why there is no value: not started, not finished, injured."""
    return fold(text) in _missing("outcome")


def is_absent(text: str) -> bool:
    """Return whether a text below a person's name says that this person was not there: '-', 'injured', 'lesión'.

    Words for a run that was begun and not finished, or not timed, do not.
    """
    folded = fold(text)
    if SIGNS_ONLY.fullmatch(text) or folded in NOT_THERE:
        return True
    if is_outcome(text):
        return folded not in ENDED_RACE and folded not in RAN_WITHOUT_TIME
    words = folded.split()
    if len(words) < 2 or any(char.isdigit() for char in text):
        return False
    inside = any(" " in phrase and f" {phrase} " in f" {folded} " for phrase in NOT_THERE)
    return inside or words[0] in HURT or (words[0] not in ENDED_RACE and is_outcome(words[0]))


def is_missing(text: str) -> bool:
    """Return whether a text stands for a value that is not there: '-', 'n/a', 'DNF', 'DNS' and the like."""
    return bool(SIGNS_ONLY.fullmatch(text)) or fold(text) in _missing("nothing") or is_outcome(text)


def is_open_end(text: str) -> bool:
    """Return whether a text in the place of an end says that it has not come: 'not yet', 'offen', 'en cours'."""
    return fold(text) in _missing("open_end")


@cache
def _spellings(column: str, words: tuple[str, ...]) -> dict[str, str]:
    found: dict[str, str] = {}
    for word, spellings in {**_listed().get(column, {}), **OUTCOME_WORDS.get(column, {})}.items():
        if word in words:
            found.update({fold(spelling): word for spelling in spellings})
    for word, spellings in in_cells(column).items():
        if word in words:
            found.update({spelling: word for spelling in spellings if spelling not in found})
    return found | {fold(word): word for word in words}


# Behind what holds a run back: a slope or a load, 'hill 8%', 'sled 20 kg'.
HOW_MUCH = re.compile(r"\s*\(?\d+(?:[.,]\d+)?\s*(?:%|kg|lbs?|°)?\s*(?:bm|bw)?\)?\s*$", re.I)


def read_word(text: str, shape: ColumnShape) -> tuple[str | None, str]:
    """Return the word a text means in a column and "", or None and why not; (None, "") where it stands for nothing."""
    known = _spellings(shape.name, shape.words)
    folded = fold(text)
    word = known.get(folded) or known.get(re.sub(r" (start|timing|session|test)$", "", folded))
    if shape.name == "phase" and word is None:
        word = known.get(OF_PHASES.sub("", folded))
    if shape.name == "resistance_kind" and word is None:
        word = known.get(fold(HOW_MUCH.sub("", text)))
    word = word or (group_of(text) or group_of_events(text) if shape.name == "event_group" else None)
    if word is not None:
        return word, ""
    if is_missing(text):
        return None, ""
    inside = word_said(text, VOCABULARY[shape.name]) if shape.name in PHRASED else None
    # 'no blocks' is not 'blocks', and which other start it was is not said.
    if inside in shape.words and (inside == "none" or DENIED.isdisjoint(folded.split())):
        return inside, ""
    from rapidfuzz import process

    near = process.extractOne(folded, list(known), score_cutoff=75)
    hint = f" Did you mean '{known[near[0]]}'?" if near else ""
    return None, f"'{text}' is not a word this column knows. It takes {listed(shape.words)}.{hint} {SET_ASIDE}"


def read_yes_no(text: str) -> tuple[bool | None, str]:
    """Return yes or no for a text in many languages and "", or None and why not."""
    folded = fold(text)
    words = {word: {*said, *in_cells("yes_no")[word]} for word, said in _listed()["yes_no"].items()}
    if folded in words["yes"] or text.strip() in {"✓", "✔"}:
        return True, ""
    if folded in words["no"]:
        return False, ""
    if is_missing(text):
        return None, ""
    return None, f"'{text}' is neither yes nor no. {SET_ASIDE} Write yes or no."


def read_free(text: str, shape: ColumnShape) -> tuple[str | None, str]:
    """Return a free text without blanks around it, made a key word where the column is one.

    An apostrophe before a sign that begins a formula is the guard of an exported table, and is taken away.
    """
    text = text.strip()
    text = text[1:] if GUARDED.match(text) else text
    if SIGNS_ONLY.fullmatch(text) or fold(text) in {"n a", "nan", "null", "#n a"}:
        return None, ""
    plain = " ".join(text.split()) if shape.name != "note" else text.strip()
    if not shape.pattern:
        return plain, ""
    if shape.name == "event":
        made = event_of(text) or fold(text)
    elif shape.name == "round":
        made = fold(text)
    else:
        made = slug(text, "_")
    if not made or not re.match(shape.pattern, made):
        return None, f"'{text}' cannot be used as {shape.name.replace('_', ' ')}. {SET_ASIDE} Check the spelling."
    return made, ""


# Words for a rating of five steps, folded: five is the best. Common practice, no source. Other words are asked for.
RATING_WORDS = {
    5: ("very good", "sehr gut", "tres bien", "muy bien", "muy bueno", "muy buena", "excellent", "great",
        "molto bene", "mycket bra",
        "ausgezeichnet", "excelente", "super", "zeer goed", "heel goed", "uitstekend"),
    4: ("good", "gut", "bien", "bueno", "buena", "bene", "bra", "bon", "goed", "prima"),
    3: ("ok", "okay", "average", "mittel", "medium", "moyen", "normal", "so so", "regular", "medio", "mittelmassig",
        "geht so",
        "fair", "neutral", "passable", "cosi cosi", "redelijk", "gemiddeld", "matig", "sadar", "comme ci comme ca"),
    2: ("bad", "schlecht", "poor", "mal", "mauvais", "malo", "mala", "male", "daligt", "dalig", "slecht"),
    1: ("very bad", "sehr schlecht", "tres mal", "tres mauvais", "muy mal", "muy malo", "muy mala", "terrible", "awful",
        "molto male", "very poor", "mycket dalig", "furchtbar", "zeer slecht", "heel slecht"),
}  # fmt: skip


@cache
def _ratings() -> dict[str, int]:
    ours = {word: step for step, words in RATING_WORDS.items() for word in words}
    told = [(fold(word), int(step)) for own in languages().values() for step, words in own["ratings"].items()
            for word in words]  # fmt: skip
    meant = {word: {step for other, step in told if other == word} for word, _ in told}
    return {word: steps.pop() for word, steps in meant.items() if len(steps) == 1} | ours


def rating_of(text: str) -> int | None:
    """Return the step of five that a word of rating means, 5 the best; None where it is no such word."""
    return _ratings().get(fold(text))


def is_known_word(text: str, column: str, words: tuple[str, ...]) -> bool:
    """Return whether a text is one of the words of a column in some spelling."""
    return fold(text) in _spellings(column, words) or (
        column == "event_group" and (group_of(text) or group_of_events(text)) is not None
    )


def is_phase(text: str) -> bool:
    """Return whether a text names a phase of a season, with or without the word for it: 'GPP', 'Competition phase'."""
    return is_known_word(OF_PHASES.sub("", fold(text)), "phase", vocabulary.PHASES)


def bare_group(text: str) -> str:
    """Return the folded name of a group without the word for one: 'Group A' and 'A group' are 'a'."""
    word = "(?:gruppe|group|groep|groupe|grupo|gruppo|grupp)"
    return re.sub(rf"^{word} | {word}$", "", fold(text))


def group_of(text: str) -> str | None:
    """Return the event group that a text names as a whole, with or without the word for a group; None for others."""
    said = bare_group(text)
    known = _spellings("event_group", vocabulary.EVENT_GROUPS)
    found = known.get(said)
    if found is None and (parts := re.fullmatch(r"([^()\[\]]+)[(\[]([^()\[\]]+)[)\]]\s*", text)):
        outside, inside = (known.get(fold(one)) for one in parts.groups())
        is_same = inside in (None, outside) and not (inside is None and _is_other_word(parts[2]))
        found = outside if outside is not None and is_same else None
    return None if found == "other" else found


def _is_other_word(text: str) -> bool:
    """Return whether what stands in brackets behind a group is more than its distances: 'Sprints (women)'."""
    return not re.fullmatch(r"(?:\d{2,4} ?(?:m|mh|h)?|and|und|et|y|hurdles?| )+", fold(text))


def group_inside(text: str) -> str:
    """Return the words of a title that name one event group ('Plan Langsprint KW 49'), '' where none or several."""
    padded = f" {fold(text)} "
    known = _spellings("event_group", vocabulary.EVENT_GROUPS)
    here = [word for word in known if f" {word} " in padded and known[word] != "other" and not word.isdigit()]
    longest = max(here, key=len, default="")
    return (
        longest
        if len({known[word] for word in here if f" {word} " not in f" {longest} " or word == longest}) == 1
        else ""
    )


def is_kind_word(text: str) -> bool:
    """Return whether a text is a word for a kind of session and says no more than that."""
    return fold(text) in _spellings("kind", vocabulary.SESSION_KINDS)


def kind_of(text: str) -> str | None:
    """Return the kind of session that a free text names: a word of the vocabulary, or the only one said inside it."""
    words = vocabulary.SESSION_KINDS
    known = {
        spelling: word for spelling, word in _spellings("kind", words).items() if word != "other" or spelling == "other"
    }
    said = fold(text)
    if said in known:
        return known[said]
    padded = f" {said} "
    here = {spelling: word for spelling, word in known.items() if f" {spelling} " in padded}
    if any(char.isdigit() for char in said):  # '3x30, rest 6 min' is no day of rest
        here = {spelling: word for spelling, word in here.items() if word != "recovery"}
    head = re.split(r"\s[-–]\s|\s*[:(]", text.strip(), maxsplit=1)[0]
    if head != text.strip() and (word := known.get(fold(head))) is not None and set(here.values()) <= {word}:
        return word  # 'Gym - lower body', 'Accel: blocks'
    found = {word for spelling, word in here.items() if len(spelling) > 3}
    # A short word alone is too little to go by, and enough to doubt: 'gym + jumps' is neither.
    doubted = {word for spelling, word in here.items() if len(spelling) == 3}
    return found.pop() if len(found) == 1 and doubted <= found else None
