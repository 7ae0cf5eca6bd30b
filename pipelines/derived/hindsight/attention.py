"""The table of what alarms cost and find, as simulated, beside the budget in force."""

import polars as pl

from schemas.knowledge import clean_rates
from schemas.knowledge.attention import HAMSTRING, hamstring_thresholds
from schemas.settings import SquadSettings

FAMILIES = {
    "capacity": "strength: eccentric force, sides, work left out",
    "exposure": "fast running: metres above plan and own growth, a long gap",
    "state": "tightness: above own usual over days, pain told there",
    "any_family": "any of the three: brought up for the hamstring",
}
REASONS = {
    "answers": "an answer worse than own usual",
    "load": "week load above plan and own growth",
    "jump": "jump under own usual",
    "any_adapt": "any of them: 'adapt' by chance",
}
PLANTED = {
    "strain": "tightness of one side building over five days, found within them",
    "drop": "force of one side fallen by 15 %, tested every four weeks, found within nine weeks",
    "growth": "metres at ≥ 90 % growing by 40 % a week for three weeks, unplanned, found within four",
    "fatigue": "freshness, muscles and mood two spreads worse for four days, found within them",
}
KINDS = {"family": FAMILIES, "reason": REASONS, "planted": PLANTED}
IN_FORCE, BEFORE = "budget", "without_budget"


def attention_rate(*, settings: SquadSettings) -> pl.DataFrame:
    """Say how often each family and reason speaks where nothing is wrong, and what is found of what was planted.

    Read from the simulation (knowledge, clean rates): thresholds set on one set of squads, judged on another, through
    the project's own functions, with room of two simulation errors below the budget. clean_error = SD between the
    squads judged / sqrt(squads). Of the budgets the settings come with, 2 athletes of 24 a week and 1 call of 24 a day;
    for other budgets of the flag see ``attention_budget``.

    Source: "clean_squads". Null where it does not apply: a family is not found, what is planted has no clean rate.
    """
    rates = {row[:2]: row[2:] for row in clean_rates.RATES}
    rows = []
    for kind, items in KINDS.items():
        for item, words in items.items():
            now, before = rates.get((IN_FORCE, item)), rates.get((BEFORE, item))
            if now is None or before is None:
                continue
            is_planted = kind == "planted"
            share, error, by_chance, late = now
            rows.append(
                {
                    "item": item,
                    "kind": kind,
                    "clean_of_24": None if is_planted else share,
                    "clean_error_of_24": None if is_planted else error,
                    "clean_of_24_without_budget": None if is_planted else before[0],
                    "found_share": share if is_planted else None,
                    "missed_share": 1 - share if is_planted else None,
                    "found_by_chance_share": by_chance if is_planted else None,
                    "late_days": late,
                    "found_share_without_budget": before[0] if is_planted else None,
                    "late_days_without_budget": before[3],
                    "sentence": words,
                }
            )
    numbers = [name for name in _RATE if name not in ("item", "kind", "sentence")]
    return pl.DataFrame(rows, schema=_RATE).with_columns(pl.col(numbers).cast(pl.Float64))


_RATE = {
    "item": pl.String, "kind": pl.String, "clean_of_24": pl.Float64, "clean_error_of_24": pl.Float64,
    "clean_of_24_without_budget": pl.Float64, "found_share": pl.Float64, "missed_share": pl.Float64,
    "found_by_chance_share": pl.Float64, "late_days": pl.Float64, "found_share_without_budget": pl.Float64,
    "late_days_without_budget": pl.Float64, "sentence": pl.String,
}  # fmt: skip


def attention_budget(*, settings: SquadSettings) -> pl.DataFrame:
    """Say for each budget simulated what it brings up, what it finds, and from where the families speak.

    In force: the highest not above ``settings.attention_athletes``. Source: "clean_squads".
    """
    chosen = hamstring_thresholds(settings)
    lines = {line.of_24: line for line in HAMSTRING}
    names = ("budget_of_24", "clean_of_24", "strain_found_share", "drop_found_share", "growth_found_share")
    cost = pl.DataFrame(clean_rates.COST, schema=dict.fromkeys(names, pl.Float64), orient="row")
    return cost.with_columns(
        *(
            pl.col("budget_of_24")
            .replace_strict({of: getattr(line, name) for of, line in lines.items()}, return_dtype=pl.Float64)
            .alias(name)
            for name in ("tightness_sum", "force_p", "metres_z")
        ),
        is_in_force=pl.col("budget_of_24") == chosen.of_24,
    )
