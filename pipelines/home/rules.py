"""Changing a number of the rules: checked, kept with who, when and why, and put into the settings in force.

Each change is a small file of its own among the sources, written once and never changed, so a backup holds it and a
rebuild leaves it alone.
"""

import datetime as dt
import json
import math
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import polars as pl
import pydantic

from pipelines.errors import ThirdstepError
from pipelines.home.durable import write_durably
from pipelines.home.folder import Home
from pipelines.home.settings import read_settings, said_of, write_settings
from schemas.settings import DROPPED, NUMBERS, SETTINGS, Setting, SquadSettings, capital, version_of

LEAST_WHY = 4  # characters of a reason that can mean something
BY_HAND = "changed in settings.toml by hand: who and why are not known"
HISTORY: dict[str, Any] = {
    "change_no": pl.Int64,
    "name": pl.String,
    "before": pl.Float64,
    "after": pl.Float64,
    "by": pl.String,
    "at": pl.Datetime("us"),
    "why": pl.String,
    "readiness_version": pl.String,
    "hamstring_version": pl.String,
}


def change_rule(home: Home, name: str, value: float, by: str, why: str, at: dt.datetime) -> SquadSettings:
    """Change one number of the rules and return the settings then in force. The writer lock is held.

    Raises:
        ThirdstepError: There is no such number, the value is out of its range or changes nothing, or who or why is not
            said. Nothing is changed then.
    """
    one = SETTINGS.get(name)
    if one is None or one.low is None:
        raise ThirdstepError(f"There is no rule setting '{name}'. They are: {', '.join(n.name for n in NUMBERS)}.")
    before = read_settings(home.settings)
    after = checked_change(one, value, before)
    if not by.strip():
        raise ThirdstepError("Who changes the rule is not said. Nothing was changed.")
    if len(why.strip()) < LEAST_WHY:
        raise ThirdstepError("Say in a few words why the rule is changed: it is kept beside the change.")
    change = {
        "name": name,
        "before": getattr(before, name),
        "after": getattr(after, name),
        "by": by.strip(),
        "at": at.isoformat(),
        "why": why.strip(),
    }
    # The change is kept first: a stop in between leaves one that is not in force, and the history says so.
    content = json.dumps(change, ensure_ascii=False, indent=1, sort_keys=True)
    write_durably(_folder(home) / f"{_last_no(home) + 1:08d}.json", content.encode())
    write_settings(home.settings, after)
    return after


def checked_change(one: Setting, value: float, before: SquadSettings) -> SquadSettings:
    """Return the settings with one number changed to a value that it may take, whole where it counts days.

    Raises:
        ThirdstepError: It may not, with what it may be.
    """
    words = capital(one.words)
    if isinstance(value, bool) or not isinstance(value, (int, float)) or not math.isfinite(value):
        raise ThirdstepError(f"'{value}' is not a number. Nothing was changed.")
    if one.kind is int and value != int(value):
        raise ThirdstepError(f"{words} is counted in whole {one.unit}, not {value:g}. Nothing was changed.")
    wanted = one.kind(value)
    if wanted == getattr(before, one.name):
        raise ThirdstepError(f"{words} is {one.value_text(wanted)} already. Nothing was changed.")
    try:
        return before.changed({one.name: wanted})
    except pydantic.ValidationError as trouble:
        if any(error["loc"] for error in trouble.errors()):
            raise ThirdstepError(f"{words} may be {one.range_text}, not {value:g}. Nothing was changed.") from trouble
        raise ThirdstepError(" ".join(said_of(trouble))) from trouble


def rule_history(home: Home) -> pl.DataFrame:
    """Return every change of the rules, oldest first, and after them what settings.toml holds that no change explains.

    The versions are those in force after the change. A row without number and day is a value found in settings.toml
    that was not put there by a change.

    Raises:
        ThirdstepError: A change is missing from the middle or cannot be read.
    """
    now = read_settings(home.settings)
    standing = SquadSettings()
    rows = []
    for change_no, change in _read(home):
        if change["name"] not in DROPPED:
            standing = _with(standing, {change["name"]: change["after"]})
        rows.append({"change_no": change_no, **change, **_versions(standing)})
    for one in NUMBERS:
        before, after = getattr(standing, one.name), getattr(now, one.name)
        if before != after:
            standing = _with(standing, {one.name: after})
            rows.append({"name": one.name, "before": before, "after": after, "why": BY_HAND, **_versions(standing)})
    return pl.DataFrame([{name: row.get(name) for name in HISTORY} for row in rows], schema=HISTORY)


def settings_of(home: Home, change_no: int) -> SquadSettings:
    """Return the settings in force now with the rules as they stood after a change; 0: as they came.

    Raises:
        ThirdstepError: There is no such change.
    """
    then = SquadSettings()
    if not 0 <= change_no <= _last_no(home):
        raise ThirdstepError(f"There is no change {change_no} of the rules; the last one is {_last_no(home)}.")
    for number, change in _read(home):
        if number <= change_no and change["name"] not in DROPPED:
            then = _with(then, {change["name"]: change["after"]})
    return _with(read_settings(home.settings), {one.name: getattr(then, one.name) for one in NUMBERS})


def _with(settings: SquadSettings, values: dict[str, Any]) -> SquadSettings:
    # Not held against ranges and order: what was in force once is taken as it was.
    return settings.model_copy(update=values)


def _versions(settings: SquadSettings) -> dict[str, str]:
    return {
        "readiness_version": version_of(settings, "readiness"),
        "hamstring_version": version_of(settings, "hamstring"),
    }


def _folder(home: Home) -> Path:
    return home.sources / "rules"


def _last_no(home: Home) -> int:
    return max((int(path.stem) for path in _folder(home).glob("[0-9]*.json")), default=0)


def _read(home: Home) -> Iterator[tuple[int, dict[str, Any]]]:
    for change_no in range(1, _last_no(home) + 1):
        path = _folder(home) / f"{change_no:08d}.json"
        try:
            change = json.loads(path.read_text(encoding="utf-8"))
            for key in ("before", "after"):
                kind = float if change["name"] in DROPPED else SETTINGS[change["name"]].kind
                change[key] = kind(change[key])
            change["at"] = dt.datetime.fromisoformat(change["at"])
        except (OSError, ValueError, KeyError, TypeError) as trouble:
            raise ThirdstepError(
                f"Change {change_no} of the rules in '{path.parent}' is missing or damaged. Take it from a backup."
            ) from trouble
        yield change_no, change
