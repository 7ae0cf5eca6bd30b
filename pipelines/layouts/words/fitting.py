"""Whether the cells of a column can be what a name of it says: numbers, days, words, people."""

from functools import cache

from pipelines.cells.letters import by_letters
from pipelines.cells.numbers import PLACED, WENT_ON
from pipelines.cells.phrases import VOCABULARY, word_said
from pipelines.cells.spoken import EVERYBODY_WORDS, is_known_word, kind_of, rating_of
from pipelines.layouts.words.evidence import Evidence
from pipelines.layouts.words.scales import RATED
from pipelines.layouts.words.sets import holds_reps, holds_sets
from schemas.shape import all_shapes
from schemas.spelling import fold

PEOPLE = ("athlete_id", "display_name", "first_name", "last_name")
COUNTS = ("session_no", "rep_no", "step_no", "set_no", "trial_no", "plan_no", "set_count", "place", "rung_no")
FRAMES = ("contact_frame", "toeoff_frame")
TEXTS = ("note", "mechanism", "call", "work_done", "squad", "surface", "footwear", "pain_site", "decided_by",
         "signed_by")  # fmt: skip
SERIAL_DAYS = (30_000, 60_000)  # day numbers of spreadsheets for the years 1982 to 2064
LONGEST_HOURS = 4  # of a session of sprinters; common practice, no source
HALF, MOST = 0.5, 0.8


@cache
def kinds() -> dict[str, str]:
    """Return what each record column holds: number, whole, day, yes_no, words or text."""
    found: dict[str, str] = {"date": "day", "set_text": "text", "from_m": "number", "set_effort": "number"}
    for shape in all_shapes().values():
        for name, column in shape.columns.items():
            dtype = str(column.dtype).split("(", maxsplit=1)[0]
            kind = {"Float64": "number", "Int64": "whole", "Date": "day", "Boolean": "yes_no"}.get(dtype, "text")
            found.setdefault(name, "words" if kind == "text" and column.words else kind)
    return found | dict.fromkeys(FRAMES, "whole") | {"set_count": "whole"}


@cache
def words_of(name: str) -> tuple[str, ...]:
    """Return the words that a column may hold, in whatever table."""
    every = [shape.columns[name].words for shape in all_shapes().values() if name in shape.columns]
    return tuple(dict.fromkeys(word for words in every for word in words))


def fits(name: str, seen: Evidence) -> bool:  # noqa: PLR0911, PLR0912 - one for each kind of column
    """Return whether the cells of a column can be what a name of it says."""
    if seen.is_empty:
        return True
    kind = kinds().get(name, "text")
    if name == "duration_min" and seen.clocks >= HALF and any(":" in text for text in seen.texts):
        return not any(is_time_of_day(text) for text in seen.texts)
    if name in ("elapsed_s", "time_s") and seen.clocks >= MOST and any(is_time_of_day(text) for text in seen.texts):
        return False  # when it was run, and not how long it took
    if name in PEOPLE:
        return seen.days < 0.3 and (seen.words >= HALF or seen.known > 0.3)
    if kind == "day":
        serial = seen.numbers >= MOST and SERIAL_DAYS[0] < seen.least and seen.most < SERIAL_DAYS[1]
        return seen.days >= 0.4 or serial
    if name in RATED:
        rated = sum(1 for text in seen.texts if rating_of(text) is not None)
        return seen.measures >= HALF or rated >= HALF * len(seen.texts) or (seen.words >= MOST and seen.distinct <= 9)
    if name == "place" and seen.texts and all(PLACED.fullmatch(text) or WENT_ON.fullmatch(text) for text in seen.texts):
        return True
    if name in COUNTS:
        return seen.numbers >= HALF and seen.whole >= MOST and seen.least >= 0 and seen.most <= 300
    if name in FRAMES:
        return seen.numbers >= HALF and seen.whole >= 0.95
    if name == "reps":
        return seen.measures >= 0.3 or any(holds_reps(text) for text in seen.texts)
    if name == "load_kg":
        return seen.measures >= 0.3 or any("kg" in text.lower() for text in seen.texts) or seen.words >= HALF
    if name == "set_text":
        return any(holds_sets(text) for text in seen.texts)
    if name == "exercise":
        return seen.words >= 0.3
    if kind in ("number", "whole"):
        return seen.measures >= 0.3 and seen.days < HALF
    if kind == "yes_no":
        return True
    if kind == "words":
        known = sum(1 for text in seen.texts if is_known_word(text, name, words_of(name)))
        phrased = sum(1 for text in seen.texts if name in VOCABULARY and word_said(text, VOCABULARY[name]))
        if name == "event_group":
            known += sum(1 for text in seen.texts if fold(text) in EVERYBODY_WORDS)
        if name == "kind":
            return seen.words >= 0.3 or known > 0 or any(kind_of(text) for text in seen.texts)
        return max(known, phrased) >= 0.3 * len(seen.texts) or bool(by_letters(name, "", seen.texts))
    if name == "event":
        return True
    return not (seen.days >= MOST)


def is_time_of_day(text: str) -> bool:
    """Return whether a text like '17:30' is rather when somebody trained than how long: more than four hours."""
    hours = text.partition(":")[0].strip()
    return ":" in text and hours.isdigit() and int(hours) > LONGEST_HOURS
