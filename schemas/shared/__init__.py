"""What a squad gives to its federation: the allow-list, as models. A column that stands in none of them stays."""

from schemas.shared.tables import SharedFlagWeek, SharedRun, SharedTable

SHARED: dict[str, type[SharedTable]] = {"shared_run": SharedRun, "shared_flag_week": SharedFlagWeek}

__all__ = ["SHARED", "SharedFlagWeek", "SharedRun", "SharedTable"]
