"""Who else can read an athlete's answers, by name, so that the check-in can say it beside each question."""

from dataclasses import dataclass

from dashboard.home import home_folder
from pipelines.accounts.accounts import Account, Accounts


@dataclass(frozen=True)
class Readers:
    """Sign-in names of those who read an athlete's answers, of those who read the free text, and guardians."""

    answers: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    has_guardian: bool = False
    heads: tuple[str, ...] = ()  # head coaches, who correct and erase


def readers_of(athlete_id: str, event_group: str | None) -> Readers:
    """Return who reads what one athlete answers; nobody where no account has been made."""
    path = home_folder() / "access.sqlite"
    if not path.exists():
        return Readers()
    open_ones = [one for one in Accounts(path).list() if one.closed_at is None]
    coaches = [one for one in open_ones if _coaches(one, event_group)]
    return Readers(
        answers=tuple(one.name for one in coaches),
        notes=tuple(one.name for one in coaches if one.role == "head_coach" or one.reads_injuries),
        heads=tuple(one.name for one in coaches if one.role == "head_coach"),
        has_guardian=any(one.role == "guardian" and one.athlete_id == athlete_id for one in open_ones),
    )


def _coaches(one: Account, event_group: str | None) -> bool:
    return one.role == "head_coach" or (one.role == "staff" and event_group in one.event_groups)
