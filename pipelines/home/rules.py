"""Changing a number of the rules: checked, kept with who, when and why, and put into the settings in force.

Each change is a small file of its own among the sources, written once and never changed, so a backup holds it and a
rebuild leaves it alone.
"""

import dataclasses
import datetime as dt
import json
import math
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import polars as pl

from pipelines.errors import ThirdstepError
from pipelines.home.durable import write_durably
from pipelines.home.folder import Home
from pipelines.home.settings import read_settings, write_settings
from schemas.rules import ORDERED, RULE_SETTINGS, RuleSetting, rule_setting, version_of
from schemas.settings import DROPPED_SETTINGS, SquadSettings

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
    rule = rule_setting(name)
    if rule is None:
        raise ThirdstepError(
            f"There is no rule setting '{name}'. They are: {', '.join(r.name for r in RULE_SETTINGS)}."
        )
    before = read_settings(home.settings)
    wanted = checked_value(rule, value, before)
    if not by.strip():
        raise ThirdstepError("Who changes the rule is not said. Nothing was changed.")
    if len(why.strip()) < LEAST_WHY:
        raise ThirdstepError("Say in a few words why the rule is changed: it is kept beside the change.")
    after = _with(before, {name: wanted})
    told = {
        "name": name,
        "before": getattr(before, name),
        "after": wanted,
        "by": by.strip(),
        "at": at.isoformat(),
        "why": why.strip(),
    }
    # The change is told first: a stop in between leaves a change that is not in force, and the history says so.
    content = json.dumps(told, ensure_ascii=False, indent=1, sort_keys=True)
    write_durably(_folder(home) / f"{_last_no(home) + 1:08d}.json", content.encode())
    write_settings(home.settings, after)
    return after


def checked_value(rule: RuleSetting, value: float, settings: SquadSettings) -> float:
    """Return a value that this number of the rules may take, whole where it counts days.

    Raises:
        ThirdstepError: It may not, with what it may be.
    """
    unit = f" {rule.unit}" if rule.unit else ""
    before = getattr(settings, rule.name)
    is_whole = isinstance(before, int)
    if isinstance(value, bool) or not isinstance(value, (int, float)) or not math.isfinite(value):
        raise ThirdstepError(f"'{value}' is not a number. Nothing was changed.")
    if is_whole and value != int(value):
        raise ThirdstepError(f"{_capital(rule.words)} is counted in whole {rule.unit}, not {value:g}.")
    if not rule.low <= value <= rule.high:
        raise ThirdstepError(
            f"{_capital(rule.words)} may be {rule.low:g} to {rule.high:g}{unit}, not {value:g}. Nothing was changed."
        )
    wanted: float = int(value) if is_whole else float(value)
    if wanted == before:
        raise ThirdstepError(f"{_capital(rule.words)} is {wanted:g}{unit} already. Nothing was changed.")
    after = _with(settings, {rule.name: wanted})
    for low, high in ORDERED:
        lower, upper = getattr(after, low), getattr(after, high)
        if rule.name in (low, high) and lower > upper:
            low_rule, high_rule = rule_setting(low), rule_setting(high)
            if low_rule is not None and high_rule is not None:
                raise ThirdstepError(
                    f"{_capital(low_rule.words)} ({lower:g}) may not lie above {high_rule.words} ({upper:g}). "
                    "Change the other one first."
                )
    return wanted


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
    for change_no, told in _read(home):
        if told["name"] not in DROPPED_SETTINGS:
            standing = _with(standing, {told["name"]: told["after"]})
        rows.append({"change_no": change_no, **told, **_versions(standing)})
    for rule in RULE_SETTINGS:
        before, after = getattr(standing, rule.name), getattr(now, rule.name)
        if before != after:
            standing = _with(standing, {rule.name: after})
            rows.append({"name": rule.name, "before": before, "after": after, "why": BY_HAND, **_versions(standing)})
    return pl.DataFrame([{name: row.get(name) for name in HISTORY} for row in rows], schema=HISTORY)


def settings_of(home: Home, change_no: int) -> SquadSettings:
    """Return the settings in force now with the rules as they stood after a change; 0: as they came.

    Raises:
        ThirdstepError: There is no such change.
    """
    names = [rule.name for rule in RULE_SETTINGS]
    then = SquadSettings()
    if not 0 <= change_no <= _last_no(home):
        raise ThirdstepError(f"There is no change {change_no} of the rules; the last one is {_last_no(home)}.")
    for number, told in _read(home):
        if number <= change_no and told["name"] not in DROPPED_SETTINGS:
            then = _with(then, {told["name"]: told["after"]})
    return _with(read_settings(home.settings), {name: getattr(then, name) for name in names})


def _with(settings: SquadSettings, values: dict[str, Any]) -> SquadSettings:
    return dataclasses.replace(settings, **values)


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
    kinds = {rule.name: type(getattr(SquadSettings(), rule.name)) for rule in RULE_SETTINGS}
    for change_no in range(1, _last_no(home) + 1):
        path = _folder(home) / f"{change_no:08d}.json"
        try:
            told = json.loads(path.read_text(encoding="utf-8"))
            for key in ("before", "after"):
                told[key] = kinds.get(told["name"], float)(told[key])
            if told["name"] not in kinds and told["name"] not in DROPPED_SETTINGS:
                raise KeyError(told["name"])
            told["at"] = dt.datetime.fromisoformat(told["at"])
        except (OSError, ValueError, KeyError, TypeError) as trouble:
            raise ThirdstepError(
                f"Change {change_no} of the rules in '{path.parent}' is missing or damaged. Take it from a backup."
            ) from trouble
        yield change_no, told


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]
