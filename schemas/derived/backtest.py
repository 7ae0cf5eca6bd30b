"""How the flags did: each past week as it stood, and the rule beside its comparisons."""

from typing import Any

import polars as pl

from schemas.base import DerivedTable, column
from schemas.records.keys import athlete_key
from schemas.vocabulary import BACKTEST_OUTCOMES, BACKTEST_RULES, HAMSTRING_LEVELS


class FlagBacktestWeek(DerivedTable):
    """Each athlete and past week: the hamstring flag as it stood the evening before, and what came in the week.

    Asked on the Sunday before, with the rows entered by then; the outcome is the first hamstring injury that stopped
    training in the seven days after. A look back at a rule, never a judgement of an athlete or of a coach.
    """

    athlete_id: str = athlete_key()
    week_of: pl.Date = column("Monday of the week.", source="definition", label="Week of")
    judged_on: pl.Date = column("Evening on which the flag was asked.", source="definition", label="Asked on")
    level: str = column(
        "Level of the flag on that evening; null in a week left out.",
        source="definition",
        isin=HAMSTRING_LEVELS,
        nullable=True,
        label="Level",
    )
    families: str = column(
        "Families that spoke; null when none did.", source="definition", nullable=True, label="Families"
    )
    flagged: bool = column(
        "Whether at least one family spoke; null when that could not be said, or the week is left out.",
        source="definition",
        nullable=True,
        label="Flagged",
    )
    flagged_without_budget: bool = column(
        "Whether the rule without a budget, where every sign speaks for itself, would have flagged; null as flagged.",
        source="definition",
        nullable=True,
        label="Without a budget",
    )
    history_flagged: bool = column(
        "Whether a hamstring injury of the last twelve months was known.", source="green_2020", label="History alone"
    )
    injured_on: pl.Date = column(
        "Onset of the first hamstring injury of the week that stopped training, or may have; null when none came.",
        source="definition",
        nullable=True,
        label="Injured on",
    )
    acted: bool = column(
        "Whether something was decided other than as planned, this week or the one before, before any onset.",
        source="definition",
        label="Acted",
    )
    outcome: str = column("How the week counts.", source="definition", isin=BACKTEST_OUTCOMES, label="Counts as")
    reason: str = column(
        "Coded caveat: why the week is not judged; null when it is.", source="definition", nullable=True, label="Caveat"
    )

    class Config(DerivedTable.Config):
        """Key."""

        metadata = {"key": ["athlete_id", "week_of"], "title": "Flags in hindsight, week by week"}


def _count(what: str, label: str, *, nullable: bool = False) -> Any:
    return column(what, source="definition", ge=0, nullable=nullable, label=label)


def _share(what: str, label: str, source: str = "definition") -> Any:
    return column(what, source=source, ge=0, le=1, nullable=True, label=label)


class FlagBacktest(DerivedTable):
    """The flag in force beside never, always, random at the same rate, and history alone; and flags acted on or not.

    One row per rule compared, all over the same weeks. Under ten injuries nothing can be concluded, whatever the
    figures. Where coaches act on flags, an injury prevented looks like a false flag: that cannot be settled without
    drawing lots.
    """

    rule: str = column("Rule compared.", source="definition", isin=BACKTEST_RULES, label="Rule")
    rule_version: str = column(
        "Version of the rule: what counts as a flag, and the short name of its numbers.",
        source="definition",
        label="Version",
    )
    first_week_of: pl.Date = column("Monday of the first week.", source="definition", nullable=True, label="From")
    last_week_of: pl.Date = column("Monday of the last week.", source="definition", nullable=True, label="To")
    weeks: int = _count("Calendar weeks looked back on.", "Weeks")
    athletes: int = _count("Athletes with a week judged.", "Athletes")
    judged: int = _count("Athlete-weeks judged.", "Weeks judged")
    no_flag_possible: int = _count("Athlete-weeks in which no flag was possible for want of data.", "No flag possible")
    left_out: int = _count("Athlete-weeks left out: injured or returning.", "Left out")
    coverage: float = _share("Judged of all athlete-weeks not left out.", "Coverage")
    injuries: int = _count("Injuries in the weeks judged.", "Injuries")
    injuries_unjudged: int = _count("Injuries in weeks in which no flag was possible.", "Injuries without a flag asked")
    injuries_not_counted: int = _count(
        "Hamstring injuries of the time that came during another one, or outside an athlete's weeks.", "Not counted"
    )
    flags: float = _count("Flagged weeks: hits + false_flags.", "Flags")
    flagged_share: float = _share("flags / judged.", "Weeks flagged")
    hits: float = _count("Flagged weeks with an injury; for random flags, the number to expect.", "Hits")
    false_flags: float = _count("Flagged weeks without an injury.", "False flags")
    missed: float = _count("Weeks with an injury and no flag; null for flags acted on or not.", "Missed", nullable=True)
    quiet: float = _count("Weeks with neither; null for flags acted on or not.", "Quiet", nullable=True)
    without_injury: float = _count(
        "Weeks without an injury: quiet + false_flags; null for flags acted on or not.",
        "Without an injury",
        nullable=True,
    )
    sensitivity: float = _share("hits / injuries.", "Injuries flagged")
    sensitivity_wilson_low: float = _share("Low end, Wilson 95 %.", "Wilson low", "wilson_1927")
    sensitivity_wilson_high: float = _share("High end, Wilson 95 %.", "Wilson high", "wilson_1927")
    sensitivity_exact_low: float = _share("Low end, exact 95 %.", "exact low", "clopper_1934")
    sensitivity_exact_high: float = _share("High end, exact 95 %.", "exact high", "clopper_1934")
    sensitivity_athletes_low: float = _share("Low end, athletes drawn anew, 95 %.", "athletes low", "efron_1979")
    sensitivity_athletes_high: float = _share("High end, athletes drawn anew, 95 %.", "athletes high", "efron_1979")
    specificity: float = _share("quiet / weeks without an injury.", "Quiet weeks left unflagged")
    specificity_wilson_low: float = _share("Low end, Wilson 95 %.", "Wilson low", "wilson_1927")
    specificity_wilson_high: float = _share("High end, Wilson 95 %.", "Wilson high", "wilson_1927")
    specificity_exact_low: float = _share("Low end, exact 95 %.", "exact low", "clopper_1934")
    specificity_exact_high: float = _share("High end, exact 95 %.", "exact high", "clopper_1934")
    specificity_athletes_low: float = _share("Low end, athletes drawn anew, 95 %.", "athletes low", "efron_1979")
    specificity_athletes_high: float = _share("High end, athletes drawn anew, 95 %.", "athletes high", "efron_1979")
    ppv: float = _share("hits / flagged: flags followed by an injury.", "Flags followed by an injury")
    ppv_wilson_low: float = _share("Low end, Wilson 95 %.", "Wilson low", "wilson_1927")
    ppv_wilson_high: float = _share("High end, Wilson 95 %.", "Wilson high", "wilson_1927")
    ppv_exact_low: float = _share("Low end, exact 95 %.", "exact low", "clopper_1934")
    ppv_exact_high: float = _share("High end, exact 95 %.", "exact high", "clopper_1934")
    ppv_athletes_low: float = _share("Low end, athletes drawn anew, 95 %.", "athletes low", "efron_1979")
    ppv_athletes_high: float = _share("High end, athletes drawn anew, 95 %.", "athletes high", "efron_1979")
    base_rate: float = _share("injuries / weeks judged.", "Weeks with an injury")
    lift: float = column(
        "ppv / base_rate: how many times as often an injury follows a flag as any week.",
        source="definition",
        ge=0,
        nullable=True,
        label="Times as often",
    )
    lift_athletes_low: float = column(
        "Low end, athletes drawn anew, 95 %.", source="efron_1979", ge=0, nullable=True, label="athletes low"
    )
    lift_athletes_high: float = column(
        "High end, athletes drawn anew, 95 %.", source="efron_1979", ge=0, nullable=True, label="athletes high"
    )
    false_per_hit: float = column(
        "false_flags / hits; null without a hit.",
        source="definition",
        ge=0,
        nullable=True,
        label="False flags per hit",
    )
    flags_a_week: float = column(
        "Flags in a calendar week over the squad; null without a week.",
        source="definition",
        ge=0,
        nullable=True,
        label="Flags a week",
    )
    as_good_by_chance: float = _share(
        "Share of all ways to shuffle the flags within each athlete that find as many injuries or more.",
        "As good by chance",
        "permutation_test",
    )
    entered_sentence: str = column(
        "How far it is told what was known at the time.", source="definition", label="What was known"
    )
    sentence: str = column("What the counts allow to be said.", source="definition", label="In words")
    reason: str = column(
        "Coded caveat: why nothing can be concluded; null when something can.",
        source="definition",
        nullable=True,
        label="Caveat",
    )

    class Config(DerivedTable.Config):
        """Key."""

        metadata = {"key": ["rule"], "title": "Flags in hindsight"}
