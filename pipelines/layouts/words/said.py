"""What titles, sheet names and file names say of all rows below them: the day, the start, the clock, distances, who."""

import contextlib
import datetime as dt
import re
from collections.abc import Iterable

from pipelines.cells.dates import (
    ORDERS,
    Order,
    find_order,
    is_day,
    is_open,
    read_date,
    weekday_of,
    without_year,
)
from pipelines.cells.months import month_of
from pipelines.cells.phrases import HILLS, VOCABULARY, word_said
from pipelines.cells.spoken import is_known_word
from pipelines.cells.weekdays import weekdays_meant
from pipelines.layouts.words.days_of_sheet import FROM_DAY, LONGEST_WORDS, WRITTEN_ON, day_measured, is_of_sheet
from pipelines.layouts.words.not_said import as_said_of, is_without_sled
from pipelines.layouts.words.step_keys import rate_in, without_keys
from schemas.reading import Fact
from schemas.spelling import fold
from schemas.vocabulary import SESSION_KINDS

WEEKDAY_FIRST = re.compile(r"([^\W\d_]{2,13})\.?,?\s+(?=\d)")
LATEST = dt.date(2100, 1, 1)
MONTH = r"[^\W\d_]{3,12}\.?"
WEEKDAY = r"(?:[^\W\d_]{2,13}\.?,?\s+)?"
DAYS = tuple(
    re.compile(one, re.I)
    for one in (
        r"(?<!\d)(?:19|20)\d\d[-./_]\d{1,2}[-./_]\d{1,2}(?!\d)",
        r"(?<![\d.,])\d{1,2}\s?([./-])\s?\d{1,2}\s?\1\s?(?:20)?\d\d(?!\d|\s*(?:m|yd|s)\b)",
        rf"{WEEKDAY}(?<!\d)\d{{1,2}}(?:\.|st|nd|rd|th|er|º)?\s+(?:de\s+|of\s+)?{MONTH}(?:,?\s+(?:de\s+|del\s+)?(?:20)\d\d)(?!\d)",
        rf"(?<![^\W\d_]){MONTH}\s+\d{{1,2}}(?:st|nd|rd|th)?,?\s+20\d\d(?!\d)",
        r"(?<!\d)(?:19|20)\d\d(?:0[1-9]|1[0-2])(?:0[1-9]|[12]\d|3[01])(?!\d)",
        rf"{WEEKDAY}(?<!\d)\d{{1,2}}(?:\.|st|nd|rd|th|er|º)?\s+(?:de\s+|of\s+)?{MONTH}(?![^\W\d_])",
        r"(?<![^\W\d_])[^\W\d_]{2,10}\.?,?\s+\d{1,2}/\d{1,2}(?![\d/.,]|\s*m\b)",
        # 'out' and 'uno' are months cut short in Portuguese and Czech, behind a number; before one they are words
        rf"(?<![^\W\d_])(?!out\b|uno\b){MONTH}\s+\d{{1,2}}(?:st|nd|rd|th)?(?!\d|[.,/:]\d|\s*(?:m|x|sec|s|min)\b)",
        r"(?<![\d.,])\d{1,2}\.\s?\d{1,2}\.(?!\d)",
    )
)
THREE, GATE_LIST = re.compile(r"\s*\d{1,3}(?:\s*[/-]\s*\d{1,3}){2}\s*"), re.compile(r"\d+")
FIVE = 5  # metres, of which distances of gates are so many
YEAR = re.compile(r"(?<!\d)(20\d\d)(?!\d)")
WEEK = re.compile(
    r"(?<![^\W\d_])(?:weeks?|wk|kw|woche|semaine|sem|semana|vecka|settimana)\.?\s*(?:no\.?|nr\.?|n°)?\s*(\d{1,2})(?!\d)",
    re.I,
)
WEEK_OF = re.compile(
    r"(?<![^\W\d_])(?:weeks?|wk|w\s*/\s*[cb]|wc|weken|wochen?|semaines?|semanas?|vecka|veckor|settimana)(?![^\W\d_])\.?\s*(?:of|from|beginning|starting|vom|ab|du|del?|dal|:)?",
    re.I,
)
YEARS = re.compile(r"(?<!\d)20\d\d\s*[-/–]\s*(?:20)?\d\d(?!\d)")
OFFSET = re.compile(
    r"(\d+(?:[.,]\d+)?)\s*(m|cm)\.?\s*(?:behind|hinter|back\b|derri[eè]re|en arri[eè]re"
    r"|detr[aá]s|por detr[aá]s|bakom|dietro"
    r"|before the first|erachter|achter|vor der|in front of the first gate|achter)",
    re.I,
)
ORDINAL_FIRST = r"(?:first|1st|erste[rn]?|1\.|1re|1[eè]re|premi[eè]re|primera|1[ªa]|prima|eerste|1e|första|første)"
A_GATE = (
    r"(?:gate|beam|lichtschranke|schranke|cellules?(?: photo)?|porte|fotoc[eé]lula|c[eé]lula|fotocellula|cellula"
    r"|poortje?|lichtpoort|fotocell)"
)
SHORT_WAY = r"(\d+(?:[.,]\d+)?)\s*(m|cm)"
FOOT = (
    r"(?:foot|line|fuss|fuß|linie|startlinie|pied|ligne|pie|l[ií]nea|piede|linea|voet|lijn|startlijn|start|d[eé]part)"
)
# 'front foot 50 cm from the first gate', '1re cellule à 0,5 m de la ligne', 'erste Lichtschranke 0,3 m nach der Linie'
AWAY = re.compile(
    rf"\b{FOOT}\s+(?:avant |arri[eè]re )?(?:at |[àa] )?{SHORT_WAY}\s+"
    r"(?:from|de|von|vor|avant|before|da|van|från|fra)\s+(?:the |la |der |die |de )?"
    rf"{ORDINAL_FIRST}\s*{A_GATE}"
    rf"|(?<![^\W_]){ORDINAL_FIRST}\s*{A_GATE}\s+(?:is |stands |steht |est |[àa] )?{SHORT_WAY}\s+"
    r"(?:after|past|from|nach|von|apr[eè]s|de|du|despu[eé]s de|dopo|da|na|van|från|fra)\s+"
    rf"(?:the |la |le |der |dem |de |het )?(?:front )?{FOOT}", re.I,
)  # fmt: skip
FIRST_GATE_AT = re.compile(r"first gate (?:is |stands )?(?:at )?(\d+[.,]\d+)\s*m\b", re.I)
# A flying run, and the run-in before it: the distance of a run-in is none that is timed.
FLYING = re.compile(
    r"(?<![^\W\d_])(?:fly|flys|flying|fliegend\w{0,2}|vliegende?|flg|lanc[ée]e?s?|lanzad[oa]s?|flygande|flygende"
    r"|flyvende|lanciat[oi]|lotn[aey])(?![^\W\d_])",
    re.I,
)
RUN_IN = re.compile(
    r"\d{1,3}(?:[.,]\d)?\s*(?:m|yd|yds|metres?|meters?)\s*(?:-|of\s+)?(?:run[- ]?in|run[- ]?up|build[- ]?up|lead[- ]?in"
    r"|anlauf|d['’]?[ée]lan|[ée]lan|de lanzamiento|ansats|till?øp|tilløb|rincorsa"
    r"|aanloop)|(?:run[- ]?in|build[- ]?up|lead[- ]?in|anlauf|aanloop|[ée]lan|rincorsa|ansats|till?øp|tilløb)"
    r"\s*(?:of|von|de|van|:)?\s*\d{1,3}\s*(?:m|yd)\b",
    re.I,
)  # fmt: skip
# 'vliegend 20', 'fly 30', '20 flying': the distance of a flying run, which needs no unit
FLOWN = re.compile(
    rf"{FLYING.pattern}[\s-]*(\d{{2,3}})(?![\d.,x×%]|\s*(?:m|x|yd)\b)|(?<![\d.,x×])(\d{{2,3}})[\s-]*{FLYING.pattern}",
    re.I,
)
# 'HILL (Quarry Rd) 40 yd', '6/5 steep hill 6x30 m': behind another word it is the name of a place or somebody
HILL = re.compile(
    r"^[\s,:;–-]*(?:(?:short|long|steep|grass)\s+)?hill\s*(?:\([^()]*\))?[\s,:–-]*(?:\d{1,2}\s*[x×]\s*)?"
    r"\d{2,3}\s*-?\s*(?:m|mts?|metres?|meters?|yds?|yards?)(?![a-z])",
    re.I,
)
# 'Chapel Hill 60 m, 6% grade', 'Quarry hill (8%)': how steep it is makes a hill of it, whatever its name
STEEP = re.compile(
    r"(?<![^\W\d_])hills?\s*(?:\d{2,3}\s*m\b\s*)?(?:\([^()]*?)?\s*(?:about|approx\.?|ca\.?|~)?\s*\d{1,2}(?:[.,]\d)?\s*%"
    r"|(?<![^\W\d_])hills?(?![^\W\d_]).*(?<![^\W\d_])(?:grade|gradient|slope|incline)(?![^\W\d_])",
    re.I,
)
FULLY_AUTOMATIC = re.compile(
    r"(?<![^\W_])FAT(?![^\W_])(?!\s*%)|(?i:\bfully[ -]automatic\b)"
)  # of a meet; small it is of a body
HAND_ALONE = re.compile(r"[(,]\s*hand\s*(?:[),]|$)", re.I)  # '120 m standing (hand)'
RATE = re.compile(
    r"(?<!\d)(\d{2,4})\s*(?:fps|hz|frames?/s|frames? (?:a|per) second|bilder/s|bilder pro|bilder je|b/s|images/s|i/s|"
    r"im[aá]genes/s|fotogramas|cuadros|rutor/s)",
    re.I,
)
DISTANCES = re.compile(
    r"(?<![\d.,/])(\d{1,3}(?:[.,]\d)?(?:\s*(?:[/+&,]|and|und|et|y|och|e)\s*\d{1,3}(?![.,]\d))*)"
    r"\s*-?\s*(m|mts?|metres?|meters?|metros?|yd|yds|yards?)(?![a-z])",
    re.I,
)
# 'Run 2', '1. Lauf': which run all the steps below are of
RUN_SAID = re.compile(
    r"(?<![^\W_])(?:(\d{1,2})(?:\.|st|nd|rd|th|er|e|ère)?\s*(?:lauf|run|course|essai|lopp|loop|poging)"
    r"|(?:lauf|run|lopp|course|essai|carrera|prova)\s*(?:nr\.?|no\.?|n°|#)?\s*(\d{1,2}))(?![^\W_]|[.,]\d|\s*m\b)", re.I,
)  # fmt: skip
# What a title says of some rows alone: the key of a mark ('h = hand timed'), or what is marked or written otherwise.
LEGEND = re.compile(
    r"(?<![^\W_])(?<!\d )\(?[^\W\d_]{1,2}\)?\s*[=:]\s*[^.;,\n]*|[*†]+\s*[=:]?\s*[^.;,\n]+"
    r"|[^.;,()\n]*(?<![^\W\d_])(?:marked|markiert\w{0,2}|gekennzeichnet\w{0,2}|marqu[ée]e?s?|marcad[oa]s?|markera\w{1,2}"
    r"|in red|in rot|en rouge|en rojo|in bold|fett|italics?|kursiv|with an? [a-z]|mit [a-z])(?![^\W\d_])[^.;,()\n]*",
    re.I,
)
# What did not work that day did not time its runs: 'hand timed (gates broken)'.
BROKEN = re.compile(
    r"[^.;,()\n]*(?<![^\W\d_])(?:stuk|kapot|broken?|not working|kaputt|guast[oaei]|"
    r"defekt\w?|defect|en panne|rot[oa]s?|rotti?|trasig\w?|ødelagt)"
    r"(?![^\W\d_])[^.;,()\n]*", re.I,
)  # fmt: skip
MASS = re.compile(r"(\d{1,3}(?:[.,]\d)?)\s*(kg|lb|lbs)\b", re.I)

SEXES = {
    "f": ("women", "woman", "girls", "ladies", "female", "frauen", "damen", "madchen", "weiblich", "femmes",
          "filles", "dames",
          "mujeres", "chicas", "femenino", "donne", "ragazze", "damer", "dames", "vrouwen", "meisjes", "meiden",
          "kvinnor", "tjejer", "w", "f", "feminin"),
    "m": ("men", "man", "boys", "male", "herren", "manner", "jungen", "mannlich", "hommes", "garcons", "hombres",
          "chicos",
          "masculino", "uomini", "ragazzi", "herrar", "heren", "mannen", "jongens", "man", "killar", "m", "masculin"),
}  # fmt: skip


def find_day(text: str) -> str | None:
    """Return the part of a text that is a day, the one with a year first; None where there is none."""
    plain = re.sub(r"(?<=\d)_(?=\d)", "-", text).replace("_", " ")
    taken: list[tuple[int, int]] = []
    found: list[str] = []
    for pattern in DAYS:
        for match in pattern.finditer(plain):
            apart = all(match.end() <= begin or match.start() >= end for begin, end in taken)
            if apart and (one := _day_of(match[0])) is not None:
                taken.append(match.span())
                found.append(one)
    if found:
        measured = [(day, at) for day, at in zip(found, taken, strict=True) if not is_of_sheet(plain[: at[0]], day)]
        if len({day for day, _ in measured}) == 1:
            return measured[0][0]
        return day_measured(plain, list(zip(found, taken, strict=True)))
    compact = re.search(r"(?<!\d)(?:19|20)\d{6}(?!\d)", plain)
    return compact[0] if compact and is_day(f"{compact[0][:4]}-{compact[0][4:6]}-{compact[0][6:]}") else None


def _day_of(part: str) -> str | None:
    """Return a part of a text as the day it is, without a word before it that is no weekday; gates are none."""
    steps = [int(one) for one in GATE_LIST.findall(part)] if THREE.fullmatch(part) else []
    if steps and steps == sorted(set(steps)) and all(one % FIVE == 0 for one in steps):
        return None  # 10/20/30
    weekday, rest = weekday_of(part.strip(" ,"))
    words = part.strip(" ,").split(maxsplit=1)
    if weekday is None and len(words) > 1 and words[0][0].isalpha() and month_of(words[0]) is None:
        rest = words[1]
    elif weekday is not None:
        rest = part.strip(" ,")
    return rest if is_day(rest.replace(" ", "") if re.fullmatch(r"[\d\s./-]+", rest) else rest) else None


def days_it_may_be(text: str) -> dict[str, str]:
    """Return the days that a title may mean, each with why: what it writes, and where its weekday is another's, the
    days of the years beside whose weekday it is.
    """
    day = find_day(text)
    if day is None:
        return _days_of_sheet(text)
    meant = None if without_year(day) else read_date(day, None, LATEST, ahead=True)[0]
    if meant is None:
        return {}
    found = {meant.isoformat(): f"as written: '{text}'"}
    weekdays = _weekdays_before(text, day)
    if weekdays and meant.weekday() not in weekdays:
        for year in (meant.year - 1, meant.year + 1):
            with contextlib.suppress(ValueError):
                other = meant.replace(year=year)
                if other.weekday() in weekdays:
                    found[other.isoformat()] = "the same day of the year whose weekday it is"
    return found


def _days_of_sheet(text: str) -> dict[str, str]:
    """Return the days on which a title says it was written, and the ends of several days, to be offered."""
    found: dict[str, str] = {}
    for pattern in DAYS:
        for match in pattern.finditer(text):
            day, before = _day_of(match[0]), text[: match.start()]
            is_told = WRITTEN_ON.search(before[-LONGEST_WORDS:]) or FROM_DAY.search(before)
            if day is None or not is_told or without_year(day):
                continue
            last = read_date(day, None, LATEST, ahead=True)[0]
            if last is None:
                continue
            first = FROM_DAY.search(before)
            if first is not None and int(first[1]) < last.day:
                found[last.replace(day=int(first[1])).isoformat()] = f"the first of them: '{text}'"
            found[last.isoformat()] = f"as written: '{text}'"
    return found


def is_another_weekday(text: str, day: str) -> bool:
    """Return whether a title puts a weekday before a day with its year that is no such day: 'do 15-10-2025'."""
    weekdays = _weekdays_before(text, day)
    if not weekdays or not YEAR.search(day):
        return False
    meant = {read_date(day, order, LATEST, ahead=True)[0] for order in ("day", "month")} - {None}
    return bool(meant) and all(one.weekday() not in weekdays for one in meant if one is not None)


def _weekdays_before(text: str, day: str) -> frozenset[int]:
    """Return the weekdays that a word before a day may mean: 'do' is Thursday in Dutch and Sunday in Spanish."""
    named = WEEKDAY_FIRST.match(day)
    before = text.replace("_", " ").partition(day)[0].split()
    if named is not None or not before:
        return weekdays_meant(named[1]) if named is not None else frozenset()
    word = before[-1].strip(".,")  # two letters inside a title are a small word: 'treino do 15-10-2025'
    return weekdays_meant(word) if len(word) > 2 or len(before) == 1 else frozenset()


def find_week(texts: Iterable[str]) -> dt.date | None:
    """Return the Monday of the week that some texts name: '30 Nov - 6 Dec 2026', or 'week 49' beside a year; None
    where none is named or several are. Days that are written count before a number: 'week 2' may be of a block.
    """
    found: set[dt.date] = set()
    numbered: set[dt.date] = set()
    said = list(texts)
    year = find_year(said)
    for text in said:
        own = next((int(match) for match in YEAR.findall(text)), year)
        days = days_written(text)
        known = days_in(text, year)
        if WEEK_OF.search(text) and len(known) == 1:
            known = [known[0], known[0]]
        if len(known) == 2 and (known[1] - known[0]).days <= 6:
            found.add(known[0] - dt.timedelta(days=known[0].weekday()))
            continue
        week = WEEK.search(text)
        if week is not None and not days and own is not None and 1 <= int(week[1]) <= 52:
            numbered.add(dt.date.fromisocalendar(own, int(week[1]), 1))
    found = found or numbered
    return found.pop() if len(found) == 1 else None


def days_written(text: str) -> list[str]:
    """Return the days that a text names, as they are written there."""
    return [one for pattern in DAYS for match in pattern.finditer(text) if (one := _day_of(match[0])) is not None]


def days_in(text: str, year: int | None) -> list[dt.date]:
    """Return the days that a title names, in order; without their year those of ``year``.

    '9/11/2026' has the day first where another day says so, or where only so it is the Monday that 'w/c' names; where
    nothing tells, the title names no day.
    """
    said = days_written(text)
    own = next((int(match) for match in YEAR.findall(text)), year)
    order = find_order(said) if any(is_open(one) for one in said) else "day"
    if order is None and WEEK_OF.search(text):
        first = [one for one in ORDERS if all(_read(day, one, own, 0) for day in said)]
        order = first[0] if len(first) == 1 else None
    if order is None:
        return []
    return sorted({day for one in said if (day := _read(one, order, own)) is not None})


def _read(text: str, order: Order, year: int | None, weekday: int | None = None) -> dt.date | None:
    day = read_date(text, order, dt.date(2100, 1, 1), year=year, ahead=True)[0]
    return day if day is None or weekday is None or day.weekday() == weekday else None


def find_year(texts: Iterable[str]) -> int | None:
    """Return the one year that some texts name, None where they name none or several, or a season of two."""
    found: set[int] = set()
    for text in texts:
        if YEARS.search(text):
            return None
        found |= {int(match) for match in YEAR.findall(text)}
    return found.pop() if len(found) == 1 else None


def _taken(text: str, of_all: str, said: str) -> str:
    """Return how times were taken, beside what a word of the vocabulary says: '(hand)' is by hand, 'FAT' is fully
    automatic; where both stand there, nothing holds for all.
    """
    is_automatic = FULLY_AUTOMATIC.search(of_all) is not None
    if said == "hand" or (not said and HAND_ALONE.search(text)):
        return "" if is_automatic else "hand"
    return "electronic" if is_automatic else said


def _run_in_said(text: str) -> str:
    """Return the one length of a run-in that a text says, "" where it says none or several."""
    said = {tuple(re.findall(r"\d+(?:[.,]\d)?|yd", one[0].lower())) for one in RUN_IN.finditer(text)}
    length, *unit = said.pop() if len(said) == 1 else ("",)
    return f"{length} {unit[0] if unit else 'm'}" if length else ""


def _offset_said(text: str) -> str:
    """Return how far behind the first gate a text says that runs begin, "" where it does not."""
    offset, at_gate, away = OFFSET.search(text), FIRST_GATE_AT.search(text), AWAY.search(text)
    if away is not None:
        far, unit = away[1] or away[3], (away[2] or away[4]).lower()
        return f"{far} {unit}" if float(far.replace(",", ".")) <= (3 if unit == "m" else 300) else ""
    if offset is not None and float(offset[1].replace(",", ".")) <= (3 if offset[2].lower() == "m" else 300):
        return f"{offset[1]} {offset[2].lower()}"
    return f"{at_gate[1]} m" if at_gate is not None else ""


def said_by(text: str, place: str, *, is_file: bool = False) -> dict[str, Fact]:  # noqa: PLR0912 - one a column
    """Return what a text says of all rows: 'date' and record columns of runs, sessions and steps, each as a fact."""
    found: dict[str, Fact] = {}
    day = find_day(text)
    if day is not None:
        found["date"] = Fact("", "answer") if is_another_weekday(text, day) else Fact(day, place)
    of_all = BROKEN.sub(" ", LEGEND.sub(" ", without_keys(text)))
    for column, words in VOCABULARY.items():
        if column in ("site", "side"):
            continue
        word = word_said(as_said_of(column, AWAY.sub(" ", of_all) if column == "clock_start" else of_all), words)
        if word is not None and not (is_file and column == "indoor"):
            found[column] = Fact(word, place)
    undated = text.replace(day or "\n", " ", 1)
    if day is not None and (kind := " ".join(weekday_of(undated.strip(" ,;:–-"))[1].split()).strip(",;:–- ")):
        found |= {"kind": Fact(kind, place)} if is_known_word(kind, "kind", SESSION_KINDS) else {}
    if place == "row above" and is_without_sled(of_all):  # over columns beside those of sleds, it says what theirs are
        found["resistance_kind"] = Fact("free", place)
    if "resistance_kind" not in found and (HILL.search(undated) or STEEP.search(undated)):
        found["resistance_kind"] = Fact("incline", place)
    if found.get("resistance_kind", Fact("", "")).text == "sled" and HILLS & set(fold(undated).split()):
        del found["resistance_kind"]  # 'hills and sleds': which of them a row is, the row says
    if taken := _taken(text, of_all, found.pop("timing_kind", Fact("", place)).text):
        found["timing_kind"] = Fact(taken, place)
    if "start_kind" not in found and FLYING.search(text):
        found["start_kind"] = Fact("rolling", place)
    if found.get("start_kind", Fact("", "")).text == "rolling" and (run_in := _run_in_said(text)):
        found["run_in_m"] = Fact(run_in, place)
    if offset := _offset_said(text):
        found["gate_offset_m"] = Fact(offset, place)
    runs = {match[1] or match[2] for match in RUN_SAID.finditer(text)}
    if len(runs) == 1 and not is_file:
        found["rep_no"] = Fact(runs.pop(), place)
    rate = RATE.search(text)
    if (pictures := rate[1] if rate is not None else rate_in(text)) is not None:
        found["frame_rate_hz"] = Fact(pictures, place)
    if found.get("resistance_kind", Fact("", "")).text == "sled" and (mass := MASS.search(text)):
        found["resistance_load_kg"] = Fact(f"{mass[1]} {mass[2]}", place)
    return found


def distances_in(text: str) -> list[str]:
    """Return the distances a title names as headings of gates: '10/20/30 m' gives '10 m', '20 m', '30 m'."""
    without = RUN_IN.sub(" ", AWAY.sub(" ", OFFSET.sub(" ", FIRST_GATE_AT.sub(" ", text))))
    flown = list(FLOWN.finditer(without))
    if flown and (day := find_day(without)) is not None:  # 'flying 10 m - 17 March': no run over 17 m
        flown = list(FLOWN.finditer(without.replace(day, "|")))
    found: list[str] = [f"{match[1] or match[2]} m" for match in flown]
    for match in DISTANCES.finditer(without):
        unit = "yd" if match[2].lower().startswith("y") else "m"
        found += [f"{one.strip()} {unit}" for one in re.split(r"[/+&,]|[a-z]+", match[1], flags=re.I)]
    return list(dict.fromkeys(found))


def sex_said(text: str) -> str | None:
    """Return whose heading a text is: 'f' for women, 'm' for men, None for anything else."""
    said = fold(text)
    return next((sex for sex, words in SEXES.items() if said in words and len(said) > 1), None)
