"""The squad's settings: one table of everything a head coach may change. Kept in the home's settings.toml.

An entry here is all that a setting needs: its kind, its value until it is changed, its words, its unit, the range it
may lie in and what it bears on. The file, the rule editor, the Methods page and the docstrings (which write a number as
``settings.<name>``) read it from here.
"""

import datetime as dt
import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal, Self, TypeVar, cast

from pydantic import BaseModel, ConfigDict, Field, model_validator

Bearing = Literal["readiness", "hamstring"]
Kept = TypeVar("Kept", bound="int | float | str | dt.date | None")

CALL: tuple[Bearing, ...] = ("readiness",)
FLAG: tuple[Bearing, ...] = ("hamstring",)
BOTH: tuple[Bearing, ...] = ("readiness", "hamstring")

# Settings of earlier versions that no rule reads any more: a file or a kept change that holds one is still read.
DROPPED: dict[str, str] = {
    "hinge_outgrown_kg": "hip-hinge lift beyond which it works back and grip more than hamstring",
}

# The first may not lie above the second; the words complete "... may not lie above ...".
ORDERED: tuple[tuple[str, str], ...] = (
    ("tight_adapt_level", "tight_talk_level"),
    ("baseline_least_days", "baseline_days"),
    ("eccentric_note_days", "eccentric_flag_days"),
    ("own_range_low", "own_range_high"),
)


def number(
    value: Kept, words: str, *, unit: str = "", low: float, high: float, bears_on: tuple[Bearing, ...] = ()
) -> Kept:
    """Declare a number. ``low`` and ``high`` bound what makes sense, not what is usual: common practice, no source.

    ``bears_on`` is empty where it changes neither call nor flag: no version of theirs depends on it.
    """
    extra: dict[str, Any] = {"unit": unit, "low": low, "high": high, "bears_on": list(bears_on)}
    declared: Kept = Field(value, description=words, ge=low, le=high, json_schema_extra=extra)
    return declared


def words(value: Kept, meaning: str, *, longest: int | None = None) -> Kept:
    """Declare a text of one line and at most so many characters, or a day."""
    pattern = None if longest is None else r"^[^\x00-\x1f\x7f]*$"
    declared: Kept = Field(value, description=meaning, max_length=longest, pattern=pattern)
    return declared


class SquadSettings(BaseModel):
    """Settings in force, each with its unit in its name."""

    model_config = ConfigDict(frozen=True, strict=True, extra="forbid")

    squad_name: str = words("Your squad", "what the squad is called", longest=80)
    as_of: dt.date | None = words(None, "the day the tool looks from; without one: today (the demo is frozen)")

    # Review
    review_days: int = number(56, "days back for which calls and flags are computed", unit="days", low=7, high=730)
    checkin_stale_days: int = number(2, "days a check-in stays good for", unit="days", low=0, high=7, bears_on=BOTH)

    # Attention: how much the rules may ask for where nothing is wrong; their thresholds follow from it
    attention_athletes: float = number(
        2.0, "athletes a week, of 24 with nothing wrong, that may be brought up for the hamstring", unit="athletes",
        low=0.5, high=6, bears_on=BOTH,
    )  # fmt: skip
    adapt_by_chance: float = number(
        1.0, "calls 'adapt' a day, of 24 athletes with nothing wrong, that chance may give", unit="calls", low=0.25,
        high=4, bears_on=CALL,
    )  # fmt: skip

    # Own baseline
    baseline_days: int = number(
        42, "days that make an athlete's own usual", unit="days", low=14, high=180, bears_on=BOTH
    )
    baseline_least_days: int = number(
        14, "answers needed before one is called unusual", unit="answers", low=5, high=90, bears_on=BOTH
    )
    unusual_z: float = number(
        2.0, "robust z from which an answer is unusual for the athlete", low=1, high=4, bears_on=BOTH
    )

    # Readiness: levels of the rule
    pain_talk_level: float = number(
        3.0, "pain from which the call is 'talk first'", unit="of 10", low=1, high=10, bears_on=CALL
    )
    tight_talk_level: float = number(
        5.0, "hamstring tightness from which the call is 'talk first'", unit="of 10", low=1, high=10, bears_on=BOTH
    )
    tight_adapt_level: float = number(
        3.0, "least tightness at which 'tighter than usual' counts", unit="of 10", low=1, high=10, bears_on=BOTH
    )
    tight_running_days: int = number(
        3, "check-ins running tighter than usual that make it 'talk first'", unit="check-ins", low=2, high=14,
        bears_on=CALL,
    )  # fmt: skip
    return_adapt_weeks: int = number(
        4, "weeks after a return that ask to adapt", unit="weeks", low=0, high=26, bears_on=CALL
    )
    jump_drop_probability: float = number(
        0.80, "how sure a drop of the jump must be", low=0.5, high=0.99, bears_on=CALL
    )

    # Progress
    progress_probability: float = number(
        0.80, "how sure a change of the start must be to be worthwhile, or a drop in strength to count",
        low=0.5, high=0.99, bears_on=FLAG,
    )  # fmt: skip
    see_change_ms: float = number(
        20.0, "change of a start's time that the runs it takes to see it are worked out for", unit="ms", low=5, high=100
    )
    progress_weeks: int = number(6, "weeks back that the start is set against", unit="weeks", low=2, high=26)
    swc_share: float = number(
        0.2, "smallest worthwhile change, as a share of the spread between athletes", low=0.05, high=1
    )

    # Load and exposure
    percentile_least_weeks: int = number(
        8, "complete weeks needed before a place among own weeks is shown", unit="weeks", low=4, high=52
    )
    own_range_low: float = number(
        0.10, "lower end of the own range of a week, as a quantile", low=0, high=0.45, bears_on=BOTH
    )
    own_range_high: float = number(
        0.90, "upper end of the own range of a week, as a quantile", low=0.55, high=1, bears_on=BOTH
    )

    # Strength and hamstring
    eccentric_note_days: int = number(
        14, "days without isolated eccentric work: a note", unit="days", low=3, high=90, bears_on=FLAG
    )
    eccentric_flag_days: int = number(
        28, "days without isolated eccentric work: it speaks", unit="days", low=7, high=180, bears_on=FLAG
    )
    test_overdue_days: int = number(
        42, "days after which a test is overdue", unit="days", low=7, high=365, bears_on=FLAG
    )
    exposure_gap_days: int = number(
        10, "days without a run at 95 % of own best that are a long gap", unit="days", low=3, high=60, bears_on=FLAG
    )
    return_marked_weeks: int = number(
        8, "weeks after a return that are marked", unit="weeks", low=1, high=52, bears_on=FLAG
    )

    # Privacy
    welfare_contact: str = words(
        "", "whom an athlete can turn to beside the coach; shown on the check-in page", longest=300
    )
    keep_health_days: int = number(
        1095, "days after which health rows are listed as past their keeping; 0: never", unit="days", low=0, high=36_525
    )
    keep_left_days: int = number(
        365, "days after an athlete left, or was last heard of, until the same; 0: never", unit="days", low=0,
        high=36_525,
    )  # fmt: skip

    # Air, where a session does not say
    air_temperature_c: float = number(20.0, "air temperature where a session does not say", unit="°C", low=-30, high=50)
    air_pressure_torr: float = number(
        760.0, "air pressure where a session does not say", unit="torr", low=400, high=820
    )

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        for low, high in ORDERED:
            lower, upper = getattr(self, low), getattr(self, high)
            if lower > upper:
                raise ValueError(
                    f"{capital(setting(low).words)} ({lower:g}) may not lie above {setting(high).words} ({upper:g}). "
                    "Change the other one first."
                )
        return self

    def changed(self, values: Mapping[str, object]) -> "SquadSettings":
        """Return the settings with some changed.

        Raises:
            pydantic.ValidationError: A name is not known, a value of the wrong kind, out of its range or out of order.
        """
        return SquadSettings.model_validate({**self.model_dump(), **values})


@dataclass(frozen=True)
class Setting:
    """One entry of the table. A text or a day has no range."""

    name: str
    words: str
    kind: type
    unit: str = ""
    low: float | None = None
    high: float | None = None
    bears_on: tuple[Bearing, ...] = ()

    @property
    def range_text(self) -> str:
        """Return what it may be, with its unit; empty for a text or a day."""
        return "" if self.low is None else f"{self.low:g} to {self.high:g}{self.unit_text}"

    @property
    def unit_text(self) -> str:
        """Return the unit as it follows a number."""
        return f" {self.unit}" if self.unit else ""

    def value_text(self, value: object) -> str:
        """Return a value as people write it, with its unit; empty for none."""
        if value is None:
            return ""
        return f"{value:g}{self.unit_text}" if isinstance(value, (int, float)) else str(value)


def _read(name: str) -> Setting:
    field = SquadSettings.model_fields[name]
    extra: Any = field.json_schema_extra or {}
    kind = dt.date if name == "as_of" else cast("type", field.annotation)
    bears_on = tuple(extra.get("bears_on", ()))
    return Setting(
        name, field.description or "", kind, extra.get("unit", ""), extra.get("low"), extra.get("high"), bears_on
    )


SETTINGS: dict[str, Setting] = {name: _read(name) for name in SquadSettings.model_fields}
NUMBERS: tuple[Setting, ...] = tuple(one for one in SETTINGS.values() if one.low is not None)


def setting(name: str) -> Setting:
    """Return one entry of the table.

    Raises:
        KeyError: There is none of that name.
    """
    return SETTINGS[name]


def version_of(settings: SquadSettings, bears_on: Bearing) -> str:
    """Return the name of a rule's version: six letters and digits, the same for the same numbers."""
    numbers = [(one.name, float(getattr(settings, one.name))) for one in NUMBERS if bears_on in one.bears_on]
    return hashlib.blake2b(repr(sorted(numbers)).encode(), digest_size=3).hexdigest()


def in_force(text: str, settings: SquadSettings) -> str:
    """Return a text with every ``settings.<name>`` in it written as the value in force, with its unit."""
    for one in SETTINGS.values():
        text = text.replace(f"``settings.{one.name}``", one.value_text(getattr(settings, one.name)) or one.words)
    return text


def capital(sentence: str) -> str:
    """Return a sentence with a capital at its beginning."""
    return sentence[:1].upper() + sentence[1:]
