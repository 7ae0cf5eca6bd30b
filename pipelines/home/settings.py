"""The squad's settings as a file that a coach can read and edit: settings.toml."""

import datetime as dt
import difflib
import time
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import polars as pl
import pydantic
import tomli_w

from pipelines.errors import ThirdstepError
from pipelines.home.durable import write_durably
from pipelines.home.folder import DEMO_MARK
from schemas.settings import DROPPED, SETTINGS, Setting, SquadSettings, capital

WANTED = {"int": "a whole number", "float": "a number", "str": "a text in quotes", "date": "a date (2026-11-17)"}
EARLIEST, FURTHEST_DAYS = dt.date(1990, 1, 1), 366  # for as_of; own choice
SETTLED_S = 2.0  # s a file has to stand unchanged before it counts as known; own choice
HOMES_KNOWN = 8
BEARS_ON = {"readiness": "the readiness call", "hamstring": "the hamstring flag"}

_known: dict[Path, tuple[tuple[int, int, int], SquadSettings]] = {}  # a page asks several times in a turn


def read_settings(path: Path) -> SquadSettings:
    """Return the settings in force: those of the file, the values they came with where it is silent or absent.

    Raises:
        ThirdstepError: The file is not TOML, names no known setting, or a value is of the wrong kind or out of range.
    """
    if not path.exists():
        return SquadSettings()
    read = _read_once(path)
    if read.as_of and not (path.parent / DEMO_MARK).exists():  # the demo is frozen on a day of its own
        _must_be_near(path, read.as_of, dt.date.today())
    return read


def _read_once(path: Path) -> SquadSettings:
    """Return the settings as the file has them, read anew where it is another file than before."""
    try:
        told = path.stat()
    except OSError:
        return _parsed(path)
    state = told.st_mtime_ns, told.st_size, told.st_ino
    known = _known.get(path)
    if known is not None and known[0] == state:
        return known[1]
    read = _parsed(path)
    if time.time() - told.st_mtime > SETTLED_S:  # what is written within one step of the clock looks the same
        if len(_known) >= HOMES_KNOWN:
            _known.clear()
        _known[path] = state, read
    return read


def _parsed(path: Path) -> SquadSettings:
    """Return the settings as the file has them."""
    try:
        values = tomllib.loads(path.read_text(encoding="utf-8"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError, RecursionError, OSError) as trouble:
        raise ThirdstepError(f"{path.name} cannot be read: {trouble}. Mend the line, or delete the file.") from trouble
    try:
        read = SquadSettings.model_validate({name: value for name, value in values.items() if name not in DROPPED})
    except pydantic.ValidationError as trouble:
        raise ThirdstepError(f"{path.name}: {' '.join(said_of(trouble))}") from trouble
    return read


def _must_be_near(path: Path, as_of: dt.date, today: dt.date) -> None:
    """Refuse a day so far away that it can only be a slip: every call, flag and check-in would be of it."""
    if not EARLIEST <= as_of <= today + dt.timedelta(days=FURTHEST_DAYS):
        raise ThirdstepError(
            f"{path.name}: 'as_of' is {as_of:%d %B %Y}, and may lie between {EARLIEST:%d %B %Y} and "
            f"{FURTHEST_DAYS} days from today (the day the tool looks from). Mend the year, or take the line out to "
            "look from today."
        )


def said_of(trouble: pydantic.ValidationError) -> list[str]:
    """Return a sentence for each setting that may not be so."""
    return [_sentence(error) for error in trouble.errors()]


def _sentence(error: Mapping[str, Any]) -> str:
    if not error["loc"]:
        return str(error["ctx"]["error"])  # settings out of order say so themselves
    name = str(error["loc"][0])
    if name not in SETTINGS:
        near = difflib.get_close_matches(name, SETTINGS, n=1)
        return f"there is no setting '{name}'.{f' Did you mean {near[0]!r}?' if near else ''}"
    one, value = SETTINGS[name], error["input"]
    if error["type"] == "string_too_long":
        return f"'{name}' has at most {error['ctx']['max_length']} characters, not {len(value)} ({one.words})."
    if error["type"] == "string_pattern_mismatch":
        return f"'{name}' is one line of text ({one.words})."
    if error["type"] in ("greater_than_equal", "less_than_equal"):
        return f"'{name}' may be {one.range_text}, not {value:g} ({one.words})."
    return f"'{name}' should be {WANTED[one.kind.__name__]}, not {str(value)[:60]!r} ({one.words})."


def write_settings(path: Path, settings: SquadSettings) -> None:
    """Write every setting with its words; a setting without a value stands as a comment."""
    lines = ["# Settings of this squad. Change a number and run 'thirdstep derive'.", ""]
    for name, value in settings.model_dump().items():
        lines.append(f"# {_comment(SETTINGS[name])}")
        lines.append(tomli_w.dumps({name: value}).strip() if value is not None else f"# {name} =")
        lines.append("")
    write_durably(path, "\n".join(lines).encode("utf-8"))


def _comment(one: Setting) -> str:
    bears_on = f" Bears on {' and '.join(BEARS_ON[rule] for rule in one.bears_on)}." if one.bears_on else ""
    limits = f" ({one.range_text})" if one.range_text else ""
    return f"{capital(one.words)}{limits}.{bears_on}"


def setting_rows(settings: SquadSettings) -> pl.DataFrame:
    """Return the settings in force as a table of the board: name, words, value and range as text, what they bear on."""
    return pl.DataFrame(
        [
            {
                "name": name,
                "words": capital(one.words),
                "value": one.value_text(getattr(settings, name)) or None,
                "may_be": one.range_text or None,
                "bears_on": ", ".join(BEARS_ON[rule] for rule in one.bears_on) or None,
                "number": float(getattr(settings, name)) if one.low is not None else None,
            }
            for name, one in SETTINGS.items()
        ],
        schema={
            "name": pl.String, "words": pl.String, "value": pl.String, "may_be": pl.String, "bears_on": pl.String,
            "number": pl.Float64,
        },
    )  # fmt: skip
