"""Numbers: decimal comma and thousands signs by the whole column, clock times, units in the cell."""

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from pipelines.cells import SET_ASIDE
from pipelines.cells.halves import hours_with_half
from pipelines.cells.spoken import is_missing
from pipelines.cells.units import conversion
from schemas.shape import ColumnShape
from schemas.spelling import fold
from schemas.unit_words import MODEL_UNITS, unit_word

SPACES = re.compile(r"(?<=\d)[\s\u00a0\u202f'’](?=\d{3}(?:\D|$))")
CLOCK = re.compile(r"(?:(\d+):)?(\d{1,3}):(\d{1,2}(?:[.,]\d+)?)")
MINUTES_POINT = re.compile(r"(\d{1,2})\.(\d{2}),(\d{1,3})")  # 1.00,31: minutes, seconds and hundredths of a race
DURATION = re.compile(
    r"(\d+(?:[.,]\d+)?)\s*(?:h|hrs?|hours?|std|stunden?|heures?|horas?|or[ea]|tim|timmar|timers?|t|u|uur|uren|godz|godzin"
    r"|godziny|hod|hodin|hodiny|tuntia|tunti)\.?\s*(?:(\d{1,2})\s*(?:min\.?|m|mins|minutes|minuten|minut|minuty)?)?",
    re.I,
)
QUARTERS = re.compile(
    r"(\d{1,2})\s*(?:kwartier|kwartieren|viertelstunden?|quarts d['’]heure|kvarter|quarter hours?)", re.I
)
# Lengths of time in words, folded -> minutes; common practice, from memory.
IN_WORDS = {
    "half an hour": 30, "an hour": 60, "one hour": 60, "an hour and a half": 90, "one and a half hours": 90,
    "halbe stunde": 30, "eine halbe stunde": 30, "eine stunde": 60, "eineinhalb stunden": 90, "anderthalb stunden": 90,
    "une demi heure": 30, "une heure": 60, "une heure et demie": 90, "media hora": 30, "una hora": 60,
    "una hora y media": 90, "hora y media": 90, "mezz ora": 30, "mezzora": 30, "un ora": 60, "unora": 60,
    "un ora e mezza": 90, "unora e mezza": 90, "meia hora": 30, "uma hora": 60, "uma hora e meia": 90,
    "hora e meia": 90, "half uur": 30, "een half uur": 30, "een uur": 60, "anderhalf uur": 90, "pol godziny": 30,
    "godzina": 60, "poltorej godziny": 90, "pul hodiny": 30, "pulhodina": 30, "hodina": 60, "hodina a pul": 90,
    "en halv time": 30, "en time": 60, "halvanden time": 90, "halvannen time": 90, "en halvtimme": 30,
    "en timme": 60, "en och en halv timme": 90, "puoli tuntia": 30, "tunti": 60, "puolitoista tuntia": 90,
}  # fmt: skip
TIMES = ("elapsed_s", "time_s")
BY_HAND = re.compile(r"(\d+(?:[.,]\d+)?)\s*h|(\d+[.,]\d)\s*m\.", re.I)  # '11,8 m.': manuale, manuel, manual
# '1st', '3.', '2e', '4º', '=3rd'; '1Q' and '5q' went on to the next round; '2 (h1)' is of a heat
PLACED = re.compile(r"=?\s*(\d{1,3})\s*(?:st|nd|rd|th|er|e|eme|\.|º|ª|°)?=?\s*(q)?\s*(?:\(([^()]*)\))?", re.I)
WENT_ON = re.compile(r"q\.?", re.I)  # in the column of places: went on to the next round
STONES = re.compile(
    r"(\d{1,2})\s*(?:st|stones?)\.?,?\s*(?:(\d{1,2}(?:[.,]\d+)?)\s*(?:lbs?|pounds?)?\.?)?", re.I
)  # 9st 8lb
FEET = re.compile(r"(\d+)\s*(?:'|’|ft|feet)\s*(?:(\d+(?:[.,]\d+)?)\s*(?:\"|”|''|in|inch|inches)?)?")
WITH_UNIT = re.compile(r"([-+]?[\d.,]*\d)\s*([a-zA-Z%°µ/]{1,12}\.?)")
PLAIN = re.compile(r"[-+]?(?:\d+(?:[.,]\d*)*|[.,]\d+)")
GROUPED = re.compile(r"[-+]?\d{1,3}(?:[.,]\d{3})+")
LOADS = ("load_kg", "resistance_load_kg")  # load besides the body: the words of no load are a load of 0 kg
NO_LOAD = re.compile(
    r"(?:no|without|zero|ohne|kein|keine|geen|uten|utan|uden|ingen|sans|sin|senza|zonder)"
    r"(?: (?:any )?(?:load|weight|extra weight|added weight|last|gewicht|zusatzlast|zusatzgewicht|vekt|vikt|vægt|"
    r"belastning|charge|poids|carga|peso|carico|belasting))|ohne|unloaded|unbelastet|zero|null|"
    r"body ?weight(?: only)?|bw|körpergewicht|eigengewicht|kroppsvekt|kroppsvikt|kropsvægt|lichaamsgewicht"
    r"|eigen gewicht",
    re.I,
)
METRES_AND_CENTIMETRES = re.compile(r"(\d)\s*m\s*(\d{2})", re.I)  # 2m35
POUNDS_IN_A_STONE = 14
KILOGRAMS_IN_A_POUND = 0.45359237  # kg, exact; international pound, 1959 (from memory)
# '% BM', '% of body mass', '% LG', '% KG' (Körpergewicht): a share of body mass, in a heading or behind a number
OF_BODY_MASS = re.compile(
    r"%\s*(?:of\s+|vom\s+|du\s+|del\s+|van\s+)?(?:bm|bw|kg|lg|body\s?(?:mass|weight|wt)|körpergewicht|körpermasse"
    r"|lichaamsgewicht|poids(?: (?:de|du) corps)?|pdc|peso corporal|kroppsvikt|kroppsvekt)(?![^\W_])",
    re.I,
)
# '8-07.5' is 8 feet 7.5 inches, as American results write jumps; a height may be '5-9'. Common practice, no source.
DASHED_FEET = {"jump_length_m": re.compile(r"(\d{1,2})-(0\d(?:[.,]\d{1,2})?|1[01](?:[.,]\d{1,2})?)"),
               "height_m": re.compile(r"([4-7])-(0?\d(?:[.,]\d{1,2})?|1[01](?:[.,]\d{1,2})?)")}  # fmt: skip
METRES_IN_A_FOOT = 0.3048  # m, exact; international foot, 1959 (from memory)
METRES_IN_AN_INCH = 0.0254  # m, exact; international inch, 1959 (from memory)


@dataclass(frozen=True)
class Style:
    """How a column writes numbers."""

    comma_is_decimal: bool
    is_unclear: bool = False  # '1,234' fits both readings


def find_style(texts: Sequence[str], in_range: Callable[[float], bool]) -> Style:
    """Return how the column writes numbers, from all cells that are no plain number.

    A comma followed by other than three digits is a decimal comma; two commas are thousands; where every comma is
    followed by three digits, the reading that lies in the column's range for all of them counts; else it is unclear.
    """
    commas = [SPACES.sub("", text) for text in texts if "," in text]
    if not commas:
        return Style(comma_is_decimal=False)
    bare = [re.sub(r"[^\d.,]", "", text).rstrip(".") for text in commas if ":" not in text]
    for text in bare:
        if "." in text:
            return Style(comma_is_decimal=text.rfind(",") > text.rfind("."))
        if text.count(",") > 1:
            return Style(comma_is_decimal=False)
    if any(len(text) - text.find(",") - 1 != 3 or text.startswith(("0", ",")) for text in bare) or not bare:
        return Style(comma_is_decimal=True)
    as_decimal = all(in_range(float(text.replace(",", "."))) for text in bare)
    as_thousand = all(in_range(float(text.replace(",", ""))) for text in bare)
    if as_decimal != as_thousand:
        return Style(comma_is_decimal=as_decimal)
    return Style(comma_is_decimal=True, is_unclear=as_decimal)


def to_float(text: str, style: Style) -> float | None:
    """Return the number a text of digits, points and commas writes in a style, None where it writes none."""
    plain = SPACES.sub("", text.strip())
    if not PLAIN.fullmatch(plain):
        return None
    if "." in plain and "," in plain:
        decimal = "," if plain.rfind(",") > plain.rfind(".") else "."
    elif "," in plain:
        decimal = "," if style.comma_is_decimal else "."
    elif plain.count(".") > 1:
        decimal = ","
    else:
        decimal = "."
    other = "." if decimal == "," else ","
    if other in plain and not GROUPED.fullmatch(plain.split(decimal)[0]):
        return None
    whole = plain.replace(other, "").replace(decimal, ".")
    return float(whole) if whole.count(".") <= 1 else None


def _feet(plain: str, column: str) -> float | None:
    feet = FEET.fullmatch(plain)
    if feet is None and column in DASHED_FEET:
        feet = DASHED_FEET[column].fullmatch(plain)
    if feet is None:
        return None
    inches = float((feet[2] or "0").replace(",", "."))
    return round(int(feet[1]) * METRES_IN_A_FOOT + inches * METRES_IN_AN_INCH, 9)


def read_number(text: str, shape: ColumnShape, unit: str | None, style: Style) -> tuple[float | None, str]:  # noqa: PLR0911, PLR0912
    """Return the value of a cell in the column's unit and "", or None and why not; (None, "") where it says
    nothing.

    Clock times: min:s (or h:min:s) in seconds; h:min in a column of hours or minutes.
    """
    plain = text.strip()
    if is_missing(plain):
        return None, ""
    scale = conversion(unit, shape.unit) if unit else (1.0, 0.0)
    if scale is None:
        return None, wrong_unit(plain, unit or "", shape)
    if plain.startswith("="):
        return None, (
            f"'{plain}' is a formula without a stored value. {SET_ASIDE} "
            "Open the file in a spreadsheet program and save it."
        )
    if shape.name in TIMES and (by_hand := BY_HAND.fullmatch(plain)):
        is_said = "is" if by_hand[1] else "may be"
        return None, (
            f"'{plain}' {is_said} marked as timed by hand, and times of two ways of timing are never set against each "
            f"other. {SET_ASIDE} Give the runs timed by hand a sheet of their own, or mend the cell to "
            f"{by_hand[1] or by_hand[2]}."
        )
    if shape.name in LOADS and plain.endswith("#"):  # '295#' is pounds, in American gyms
        plain = f"{plain[:-1].strip()} lb"
    if shape.name in LOADS and NO_LOAD.fullmatch(" ".join(plain.replace("-", " ").split())):
        return 0.0, ""
    minutes = MINUTES_POINT.fullmatch(plain) if shape.name in TIMES else None
    if minutes is not None:
        return round(int(minutes[1]) * 60 + float(f"{minutes[2]}.{minutes[3]}"), 6), ""
    number = to_float(plain, style)
    if number is not None:
        if style.is_unclear and "," in plain:
            return None, (
                f"'{plain}' can be read as {plain.replace(',', '.')} or as {plain.replace(',', '')}. {SET_ASIDE} "
                "Write it with a decimal point, or without the thousands sign."
            )
        return round(number * scale[0] + scale[1], 9), ""
    if shape.name == "place" and (placed := PLACED.fullmatch(plain)):
        return float(placed[1]), ""
    clock = CLOCK.fullmatch(plain)
    if clock is not None and shape.unit in ("s", "min", "h"):
        return _clock(clock, shape.unit), ""
    spoken = DURATION.fullmatch(plain) if shape.unit in ("min", "h") else None
    if spoken is not None:
        hours = float(spoken[1].replace(",", ".")) + int(spoken[2] or 0) / 60
        return round(hours * 60 if shape.unit == "min" else hours, 9), ""
    worded = IN_WORDS.get(fold(plain)) if shape.unit in ("min", "h") else None
    if worded is not None:
        return worded / (1 if shape.unit == "min" else 60), ""
    half = hours_with_half(plain) if shape.unit in ("min", "h") else None
    if half is not None and (half[1] or shape.unit == "h"):  # '6 e mezza', '7½'; of minutes only where it says hours
        return half[0] * (60 if shape.unit == "min" else 1), ""
    quarters = QUARTERS.fullmatch(plain) if shape.unit in ("min", "h") else None
    if quarters is not None:  # '5 kwartier'
        return int(quarters[1]) * 15 / (1 if shape.unit == "min" else 60), ""
    primed = re.fullmatch(r"(\d{1,3})\s*['’′]", plain) if shape.unit == "min" else None
    if primed is not None:  # 85', the sign of minutes
        return float(primed[1]), ""
    if shape.unit == "m" and (metres_of_feet := _feet(plain, shape.name)) is not None:
        return metres_of_feet, ""
    metres = METRES_AND_CENTIMETRES.fullmatch(plain) if shape.unit == "m" else None
    if metres is not None:
        return float(f"{metres[1]}.{metres[2]}"), ""
    stones = STONES.fullmatch(plain) if shape.unit == "kg" else None
    pounds = float((stones[2] or "0").replace(",", ".")) if stones is not None else 0.0
    if stones is not None and pounds < POUNDS_IN_A_STONE:
        return round((int(stones[1]) * POUNDS_IN_A_STONE + pounds) * KILOGRAMS_IN_A_POUND, 9), ""
    seconds = re.fullmatch(r"(\d+)(?:\"|''|”)(\d{1,3})", plain) if shape.unit == "s" else None
    if seconds is not None:  # 10"85
        return float(f"{seconds[1]}.{seconds[2]}"), ""
    ended = re.fullmatch(r"(\d+(?:[.,]\d+)?)\s*(?:\"|''|”|″)", plain) if shape.unit == "s" else None
    if ended is not None:  # 41,5"
        return float(ended[1].replace(",", ".")), ""
    written = WITH_UNIT.fullmatch(SPACES.sub("", plain))
    if written is not None:
        number, word = to_float(written[1], style), unit_word(written[2])
        if number is not None and word is not None:
            own = conversion(word, shape.unit)
            if own is None or (not shape.unit and word not in ("percent",)):
                return None, wrong_unit(plain, word, shape)
            return round(number * own[0] + own[1], 9), ""
        if number is not None:
            return (
                None,
                f"'{plain}': '{written[2]}' is no unit that is known. {SET_ASIDE} "
                f"Write {shape.unit or 'the number alone'}.",
            )
    return None, f"'{plain}' is not a number. {SET_ASIDE} Write a number, or leave the cell empty."


def wrong_unit(plain: str, unit: str, shape: ColumnShape) -> str:
    """Return the sentence for a value in a unit that measures something else."""
    takes = f"in {MODEL_UNITS.get(shape.unit, shape.unit)}s" if shape.unit else "without a unit"
    return f"'{plain}' is in {unit}, but {shape.name} is held {takes}. {SET_ASIDE} Check the header and the unit."


def _clock(match: re.Match[str], unit: str) -> float:
    first, second, third = match[1], float(match[2]), float(match[3].replace(",", "."))
    if unit == "s":
        return round(float(first or 0) * 3600 + second * 60 + third, 6)
    hours = float(first) + second / 60 + third / 3600 if first is not None else second + third / 60
    return round(hours * 60, 6) if unit == "min" else round(hours, 9)
