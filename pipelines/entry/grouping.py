"""What was set aside, grouped by reason: never one line a row."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from pipelines.record.loading import Outcome

LINES_SHOWN = 8
VALUES_SHOWN = 4
NEEDS_NOTHING = ("Nothing to do.", "Nothing to do if that is right.")
SAME_AGAIN = "the same row stands at"
QUOTED = re.compile(r"'[^']*'")
NUMBER = re.compile(r"\d+(?:[.,:]\d+)*")


def kind_of_reason(reason: str) -> str:
    """Return a reason without the values of its row: rows set aside for the same reason are then one group."""
    return NUMBER.sub("#", QUOTED.sub("'…'", reason))


def needs_nothing(reason: str) -> bool:
    """Return whether a cell set aside waits for nobody: a mean, a remark, an outcome, a row that stands there twice."""
    return reason.endswith(NEEDS_NOTHING) or reason.startswith(SAME_AGAIN)


def reason_groups(outcomes: Iterable[Outcome]) -> list[dict[str, Any]]:
    """Return the groups of cells set aside, the largest first: file, sheet, column, reason, rows, lines, values.

    ``reason`` is that of the first row; ``lines`` and ``values`` are the first few, as a sentence would list them.
    """
    groups: dict[tuple[str, str, str], dict[str, Any]] = {}
    for one in outcomes:
        for cell in one.reasons:
            key = (one.file, cell["column"] or "", kind_of_reason(cell["reason"]))
            group = groups.setdefault(
                key,
                {"file": one.file, "sheet": cell["sheet"] or "", "column": cell["column"] or "",
                 "reason": cell["reason"], "rows": 0, "lines": [], "values": [], "all": set()},
            )  # fmt: skip
            group["rows"] += 1
            group["all"].add((cell["sheet"], cell["line"]))
            if len(group["lines"]) < LINES_SHOWN and cell["line"] not in group["lines"]:
                group["lines"].append(cell["line"])
            value = cell["value"]
            if value is not None and value not in group["values"] and len(group["values"]) < VALUES_SHOWN:
                group["values"].append(value)
    made = sorted(groups.values(), key=lambda group: -group["rows"])
    for group in made:
        left = len(group.pop("all")) - len(group["lines"])
        more = f" and {left} more" if left > 0 else ""
        group["lines"] = ", ".join(str(line) for line in group["lines"] if line is not None) + more
        group["values"] = ", ".join(str(value) for value in group["values"])
    return made
