"""Words on what alarms cost and find."""

from collections.abc import Mapping, Sequence
from typing import Any

from dashboard.wording.forms import number

Row = Mapping[str, Any]
ATTENTION = "What alarms cost, and what they find"
ATTENTION_LEDE = (
    "From simulated squads of 24 athletes, not from yours: how many are brought up where nothing is wrong, and how "
    "many of the complaints planted there are found. An alarm made quieter misses more, and this is by how much. A "
    "squad that answers, plans or tests in another way has other figures."
)
CLEAN_COLUMNS = (
    ("sentence", "what speaks"),
    ("per", "per"),
    ("clean", "brought up, of 24 with nothing wrong, ± error of the simulation"),
    ("before", "without a budget"),
)
FOUND_COLUMNS = (
    ("sentence", "what was planted"),
    ("found", "found"),
    ("missed", "missed"),
    ("chance", "by chance alone"),
    ("late", "days until brought up, median"),
    ("before", "found without a budget"),
)
BUDGET_COLUMNS = (
    ("budget", "budget, of 24 a week"),
    ("clean", "brought up"),
    ("strain", "strain found"),
    ("drop", "drop of force found"),
    ("growth", "growth found"),
    ("force", "one test alone from"),
)
PER = {"family": "week", "reason": "day"}
IN_FORCE = "in force"
BUDGETS = "Other budgets for the hamstring"
BUDGETS_LEDE = (
    "Pain told, a strain typed in, a second test that confirms, a long gap and work left out speak whatever the "
    "budget. A budget under what they bring up alone cannot be kept: the first lines show it."
)


def _percent(share: float | None) -> str:
    return "–" if share is None else number(100 * share, 0, "%")


def clean_rows(rates: Sequence[Row]) -> list[Row]:
    """Return the lines of what speaks where nothing is wrong."""
    return [
        {
            **row,
            "per": PER[row["kind"]],
            "clean": f"{number(row['clean_of_24'], 2)} ± {number(row['clean_error_of_24'], 2)}",
            "before": number(row["clean_of_24_without_budget"], 1),
        }
        for row in rates
        if row["kind"] in PER
    ]


def found_rows(rates: Sequence[Row]) -> list[Row]:
    """Return the lines of what was planted."""
    return [
        {
            **row,
            "found": _percent(row["found_share"]),
            "missed": _percent(row["missed_share"]),
            "chance": _percent(row["found_by_chance_share"]),
            "late": "–" if row["late_days"] is None else number(row["late_days"], 0),
            "before": _percent(row["found_share_without_budget"]),
        }
        for row in rates
        if row["kind"] == "planted"
    ]


def budget_rows(budgets: Sequence[Row]) -> list[Row]:
    """Return the lines of the budgets simulated."""
    return [
        {
            "budget": number(row["budget_of_24"], 1) + (f", {IN_FORCE}" if row["is_in_force"] else ""),
            "clean": number(row["clean_of_24"], 1),
            "strain": _percent(row["strain_found_share"]),
            "drop": _percent(row["drop_found_share"]),
            "growth": _percent(row["growth_found_share"]),
            "force": number(100 * row["force_p"], 1, "%"),
        }
        for row in budgets
    ]
