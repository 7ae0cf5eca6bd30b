"""How numbers, days and values are written."""

import datetime as dt
import inspect
import re
from collections.abc import Mapping, Sequence

from schemas.labels import WORDS_OF

FULL_LINE = 72  # characters from which a line of a docstring was broken for width only
_FORMULA = re.compile(r"[A-Za-z_][\w() ]{0,40} = ")
_SLUG = re.compile(r"[a-z0-9]+(?:_[a-z0-9]+)+")
MINUS, NARROW = "−", "\u202f"
_NUMBERS = (
    "none",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
    "thirteen",
    "fourteen",
    "fifteen",
    "sixteen",
    "seventeen",
    "eighteen",
    "nineteen",
    "twenty",
)
WEEKDAYS = ("M", "T", "W", "T", "F", "S", "S")
WEEKDAY_NAMES = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
_MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)
_DAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


def number_word(count: int) -> str:
    """Write a count as a word up to twenty, as figures above."""
    return _NUMBERS[count] if 0 <= count < len(_NUMBERS) else str(count)


def sentence_case(text: str) -> str:
    """Begin a text with a capital."""
    return text[:1].upper() + text[1:]


def day(value: dt.date | None) -> str:
    """Write a day: 22 Nov."""
    return "" if value is None else f"{value.day} {_MONTHS[value.month - 1][:3]}"


def long_day(value: dt.date | None) -> str:
    """Write a day with its weekday: Sunday 22 Nov."""
    return "" if value is None else f"{_DAYS[value.weekday()]} {day(value)}"


def full_day(value: dt.date | None) -> str:
    """Write a day with its year: 22 Nov 2026."""
    return "" if value is None else f"{day(value)} {value.year}"


def week_title(monday: dt.date) -> str:
    """Title of a week: Week of 16 November."""
    return f"Week of {monday.day} {_MONTHS[monday.month - 1]}"


def week_in_line(monday: dt.date) -> str:
    """Write a week inside a line: week of 16 November."""
    title = week_title(monday)
    return title[:1].lower() + title[1:]


QUARTERS = {0.25: "¼", 0.5: "½", 0.75: "¾"}


def shortly(value: float) -> str:
    """Write a value as short as it can be without changing it: 7¾ for 7.75."""
    whole, rest = divmod(value, 1)
    if rest in QUARTERS and value > 0:
        return f"{whole:g}{QUARTERS[rest]}" if whole else QUARTERS[rest]
    return f"{value:g}"


def number(value: float | None, places: int = 2, unit: str = "", signed: bool = False) -> str:
    """Write a number with its unit, with a real minus sign; unknown is a dash."""
    if value is None:
        return "–"
    text = f"{value:+,.{places}f}" if signed else f"{value:,.{places}f}"
    text = text.replace("-", MINUS).replace(",", NARROW)
    if text.strip("+−0. ") == "":
        text = text.lstrip("+−")
    return f"{text}{NARROW}{unit}" if unit else text


def sure(share: float) -> str:
    """Write a probability in whole percent; never 0 or 100, which no estimate can claim."""
    percent = round(100 * share)
    return f"over 99{NARROW}%" if percent >= 100 else f"under 1{NARROW}%" if percent <= 0 else f"{percent}{NARROW}%"


def joined(words: Sequence[str]) -> str:
    """Join words as in speech: a, b and c."""
    return words[0] if len(words) == 1 else ", ".join(words[:-1]) + " and " + words[-1] if words else ""


def clock_stands(day_on: dt.date) -> str:
    """Say which day a squad whose clock stands takes for today, as the demo's does."""
    return f"today is set to {long_day(day_on)}"


def data_reach(iso_day: str | None) -> str:
    """Say how far the data reach: data to Sunday 22 Nov."""
    if not iso_day:
        return ""
    try:
        return f"data to {long_day(dt.date.fromisoformat(iso_day[:10]))}"
    except ValueError:
        return ""


def heading(column: str, doc: dict | None) -> str:
    """Head a column with its label and unit from the dictionary, else with its name in words."""
    label = (doc or {}).get("label") or column.replace("_", " ")
    unit = (doc or {}).get("unit") or ""
    return f"{label}, {unit}" if unit and unit not in label else label


_PLACES = (
    ("_percent", 0),
    ("_au", 0),
    ("_n", 0),
    ("_min", 0),
    ("_kg", 1),
    ("_cm", 1),
    ("_kg_per_kg", 2),
    ("_w_per_kg", 1),
    ("_n_per_kg", 2),
    ("_mps", 2),
    ("_ms", 1),
    ("_s", 3),
    ("_m", 3),
    ("_hz", 2),
    ("_deg", 0),
)


def places_of(column: str) -> int | None:
    """Return how many places a column is written with, by the unit that ends its name; null where it names none."""
    name = column.removesuffix("_se")
    if name.startswith("p_") or name == "probability":
        return 2
    found = [(len(ending), places) for ending, places in _PLACES if name.endswith(ending)]
    return max(found)[1] if found else None


def cell(value: object, column: str = "") -> str:
    """Write a value of a table: days as days, numbers without false precision, slugs as words."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, dt.date):
        return f"{full_day(value)}, {value:%H:%M}" if isinstance(value, dt.datetime) else full_day(value)
    if isinstance(value, (int, float)):
        return _figure(value, column)
    if isinstance(value, list):
        return ", ".join("–" if v is None else cell(v, column) for v in value)
    said = str(value)
    return WORDS_OF.get(said, said.replace("_", " ") if _SLUG.fullmatch(said) else said)


def _figure(value: float, column: str) -> str:
    """Write a number with the places of its column; where the column names none, as many as it has, three at most."""
    places = places_of(column)
    if column.startswith("p_") and not 0.005 <= value < 0.995:  # nothing is certain, as in ``sure``
        return "over 0.99" if value > 0.5 else "under 0.01"
    if isinstance(value, int) or (not value % 1 and places is None):
        return number(value, 0)
    if places is None:
        return number(value, 3).rstrip("0").rstrip(".")
    return number(value, 0 if abs(value) >= 1000 else places)


def place(row: Mapping) -> str:
    """Say where a row came from: gates week 47.csv, line 12."""
    if not row.get("source_name"):
        return ""
    sheet = f", {row['source_sheet']}" if row.get("source_sheet") else ""
    line = f", line {row['source_line']}" if row.get("source_line") is not None else ""
    return f"{row['source_name']}{sheet}{line}"


def more_rows(count: int) -> str:
    """Say that more rows exist than are shown."""
    return f"and {count} more rows"


def unindented(docstring: str) -> str:
    """Take the code's indentation and line breaks off a docstring; formulas and list lines keep a line of their own."""
    said: list[str] = []
    before = 0  # length of the line before as written; a short one ended there on purpose
    for line in inspect.cleandoc(docstring).splitlines():
        if before < FULL_LINE or not line or line[0] in " -*" or _FORMULA.match(line):
            said.append(line)
        else:
            said[-1] += f" {line}"
        before = len(line)
    return "\n".join(said)
