"""The units a file may be written in: how people spell them, and the name a unit library knows them by."""

# Spelling, folded to lower case without dots and spaces -> unit name.
UNIT_WORDS: dict[str, str] = {
    "s": "second", "sec": "second", "secs": "second", "second": "second", "seconds": "second", "sek": "second",
    "sekunden": "second", "seg": "second", "segundos": "second", "secondes": "second", "seconden": "second",
    "ms": "millisecond", "msec": "millisecond", "millis": "millisecond", "milliseconds": "millisecond",
    "millisekunden": "millisecond", "min:s": "second", "mm:ss": "second", "m:s": "second", "min:sec": "second",
    "min": "minute", "mins": "minute", "minutes": "minute", "minuten": "minute", "minutos": "minute",
    "h": "hour", "hr": "hour", "hrs": "hour", "hours": "hour", "std": "hour", "stunden": "hour", "heures": "hour",
    "horas": "hour", "uur": "hour", "uren": "hour", "u": "hour", "ora": "hour", "ore": "hour", "tim": "hour",
    "timmar": "hour", "timer": "hour", "timers": "hour", "godz": "hour", "godzin": "hour", "godziny": "hour",
    "hod": "hour", "hodin": "hour", "hodiny": "hour", "tuntia": "hour", "tunti": "hour", "tunnit": "hour",
    "minuter": "minute", "minutter": "minute", "minuti": "minute", "minut": "minute", "minuty": "minute",
    "minuuttia": "minute", "minuutit": "minute",
    "m": "meter", "meter": "meter", "metre": "meter", "meters": "meter", "metres": "meter", "metros": "meter",
    "cm": "centimeter", "mm": "millimeter", "km": "kilometer", "ft": "foot", "feet": "foot", "in": "inch",
    "inch": "inch", "inches": "inch", "yd": "yard", "yds": "yard", "yards": "yard",
    "kg": "kilogram", "kgs": "kilogram", "kilo": "kilogram", "kilos": "kilogram", "g": "gram", "gr": "gram",
    "lb": "pound", "lbs": "pound", "pounds": "pound", "st": "stone",
    "n": "newton", "newton": "newton", "newtons": "newton", "kn": "kilonewton", "kgf": "kilogram_force",
    "lbf": "pound_force",
    "libbre": "pound", "livres": "pound", "libras": "pound", "kilograms": "kilogram",
    "kilogramm": "kilogram", "kilogrammes": "kilogram", "kilogramos": "kilogram", "chilogrammi": "kilogram",
    "%": "percent", "percent": "percent", "prozent": "percent",
    "°": "degree", "deg": "degree", "degree": "degree", "degrees": "degree", "grad": "degree",
    "m/s": "meter / second", "mps": "meter / second", "km/h": "kilometer / hour", "kmh": "kilometer / hour",
    "mph": "mile / hour",
    "frames": "frame", "frame": "frame", "fotogramas": "frame", "fotograma": "frame", "cuadros": "frame",
    "pictures": "frame", "bilder": "frame", "einzelbilder": "frame", "images": "frame", "rutor": "frame",
    "bildrutor": "frame", "fotogrammi": "frame", "framer": "frame", "billeder": "frame", "beelden": "frame",
    "hz": "hertz", "fps": "hertz", "frames/s": "hertz",
    "°c": "degree_Celsius", "c": "degree_Celsius", "degc": "degree_Celsius", "°f": "degree_Fahrenheit",
    "f": "degree_Fahrenheit", "degf": "degree_Fahrenheit",
    "torr": "torr", "mmhg": "mmHg", "hpa": "hectopascal", "mbar": "millibar", "kpa": "kilopascal",
}  # fmt: skip

# Unit of a record column, as its model writes it -> unit name.
MODEL_UNITS: dict[str, str] = {
    "s": "second", "min": "minute", "h": "hour", "m": "meter", "kg": "kilogram", "N": "newton", "%": "percent",
    "deg": "degree", "m/s": "meter / second", "Hz": "hertz", "px": "pixel", "°C": "degree_Celsius", "Torr": "torr",
}  # fmt: skip


def unit_word(text: str) -> str | None:
    """Return the unit name of a word a file writes for a unit; None when it is none that is known."""
    return UNIT_WORDS.get(text.strip().lower().rstrip(".").replace(" ", ""))
