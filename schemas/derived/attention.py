"""What alarms cost where nothing is wrong, and what they find where something is; on simulated squads."""

from typing import Any

from schemas.base import DerivedTable, column
from schemas.vocabulary import ATTENTION_ITEMS, ATTENTION_KINDS

SOURCE = "clean_squads"


def _number(what: str, label: str, *, most: float | None = None, nullable: bool = True) -> Any:
    return column(what, source=SOURCE, ge=0, le=most, nullable=nullable, label=label)


class AttentionRate(DerivedTable):
    """Each family of the flag and each reason to adapt: how often it speaks on squads with nothing wrong.

    Beside it what the same rules find of four things planted in such squads, and how late. The rule in force is the one
    at the budgets the settings come with; the rule without a budget is the one before it, in which every sign spoke for
    itself. All of it is from a simulator: a squad that answers, plans or tests in another way has other rates.
    """

    item: str = column("What speaks, or what was planted.", source=SOURCE, isin=ATTENTION_ITEMS, label="What")
    kind: str = column(
        "Family of the flag (a week), reason to adapt (a day), or something planted.",
        source="definition",
        isin=ATTENTION_KINDS,
        label="Kind",
    )
    clean_of_24: float = _number(
        "Of 24 athletes with nothing wrong, how many are brought up: in a week for a family, on a day for a reason.",
        "With nothing wrong",
    )
    clean_error_of_24: float = _number(
        "Simulation error of that: its standard error over the squads it was judged on.", "Its error"
    )
    clean_of_24_without_budget: float = _number("The same under the rule without a budget.", "Without a budget")
    found_share: float = _number("Share of what was planted that was found in time.", "Found", most=1)
    missed_share: float = _number("Share that was not: what the budget costs.", "Missed", most=1)
    found_by_chance_share: float = _number(
        "Share that the same days bring up in the same squads with nothing planted.", "By chance alone", most=1
    )
    late_days: float = column(
        "Median days from its first day to the first that it is brought up, among those found.",
        unit="d",
        source=SOURCE,
        ge=0,
        nullable=True,
        label="Days late",
    )
    found_share_without_budget: float = _number("Share found by the rule without a budget.", "Found without", most=1)
    late_days_without_budget: float = column(
        "Its median days late.", unit="d", source=SOURCE, ge=0, nullable=True, label="Days late without"
    )
    sentence: str = column("What it is, in words.", source=SOURCE, label="In words")

    class Config(DerivedTable.Config):
        """Key."""

        metadata = {"key": ["item"], "title": "What alarms cost and find"}


class AttentionBudget(DerivedTable):
    """Each budget simulated: from where the families speak under it, and what it costs in missed complaints.

    The line in force is the highest budget not above the setting. A smaller budget brings up fewer athletes with
    nothing wrong, and finds fewer with something.
    """

    budget_of_24: float = _number("Athletes of 24 a week that may be brought up.", "Budget", nullable=False)
    clean_of_24: float = _number("Of 24 athletes with nothing wrong, brought up in a week.", "Brought up")
    strain_found_share: float = _number("Share found of tightness building over five days.", "Strain found", most=1)
    drop_found_share: float = _number("Share found of force fallen by 15 %.", "Drop found", most=1)
    growth_found_share: float = _number("Share found of fast metres growing too fast.", "Growth found", most=1)
    tightness_sum: float = _number("Tightness above own usual, added up, from which it speaks.", "Tightness from")
    force_p: float = _number("How sure one test alone must be.", "One test from", most=1)
    metres_z: float = _number("Fast metres above what was expected, in own scatters.", "Fast metres from")
    is_in_force: bool = column("Whether this is the budget in force.", source="definition", label="In force")

    class Config(DerivedTable.Config):
        """Key."""

        metadata = {"key": ["budget_of_24"], "title": "Budgets of attention"}
