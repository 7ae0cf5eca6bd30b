"""What the People page does: accounts, consent, one person's data. Every step asks again who asks for it."""

import json
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

from dashboard import wording
from dashboard.access.viewer import Viewer
from dashboard.home import home_folder
from dashboard.writes import NotKept, enter, run_command

if TYPE_CHECKING:
    from pipelines.accounts.accounts import Account, Accounts

TRAIL_LINES = 300


@contextmanager
def keeper(viewer: Viewer, *, again: bool = False) -> Iterator["Accounts"]:
    """Open the accounts for the head coach; what they refuse becomes a sentence for the page.

    Where ``again`` is asked, the pass-phrase must have been given within the last minutes: who finds an open laptop
    exports and erases nobody, and lets nobody in.
    """
    from pipelines import flow

    if viewer.role != "head_coach":
        raise NotKept(wording.PEOPLE_REFUSED)
    if again and not viewer.is_fresh:
        raise NotKept(wording.ASK_AGAIN)
    try:
        yield flow.accounts(flow.Home(home_folder()))
    except flow.ThirdstepError as wrong:
        raise NotKept(str(wrong)) from wrong


def accounts_of(viewer: Viewer) -> list["Account"]:
    """Return all accounts."""
    with keeper(viewer) as accounts:
        return accounts.list()


def trail_of(viewer: Viewer) -> Sequence[tuple[str, str, str, str]]:
    """Return the last lines of the trail: at, who, what, about."""
    with keeper(viewer) as accounts:
        return accounts.trail(TRAIL_LINES)


def add_account(
    viewer: Viewer, name: str, role: str, athlete_id: str | None, groups: Sequence[str], *, grant: bool
) -> str:
    """Add an account that is opened by an invitation; return the invitation's token."""
    with keeper(viewer, again=True) as accounts:
        detail = grant if role == "staff" else None
        accounts.add(name, role, None, athlete_id=athlete_id, groups=groups, reads_injuries=detail, by=viewer.name)
        return accounts.invite(name, by=viewer.name)


def invite(viewer: Viewer, name: str) -> str:
    """Make a new invitation and return its token."""
    with keeper(viewer, again=True) as accounts:
        return accounts.invite(name, by=viewer.name)


def change_account(viewer: Viewer, name: str, groups: Sequence[str], *, grant: bool) -> None:
    """Change what a staff account reads."""
    with keeper(viewer, again=True) as accounts:
        accounts.change(name, groups=groups, reads_injuries=grant, by=viewer.name)


def set_email(viewer: Viewer, name: str, email: str) -> None:
    """Tie an account to an address of the club's own sign-in; "" unties it."""
    with keeper(viewer, again=True) as accounts:
        accounts.set_email(name, email, by=viewer.name)


def second_asked(viewer: Viewer) -> str:
    """Return of whom a second factor is asked."""
    with keeper(viewer) as accounts:
        return accounts.second_asked()


def ask_second(viewer: Viewer, whom: str) -> None:
    """Ask some roles for a second factor."""
    with keeper(viewer, again=True) as accounts:
        accounts.ask_second(whom, by=viewer.name)


def sign_out_everywhere(viewer: Viewer, name: str) -> None:
    """End every sign-in of an account."""
    with keeper(viewer) as accounts:
        accounts.sign_out_everywhere(name, by=viewer.name)


def close_account(viewer: Viewer, name: str) -> None:
    """Close an account."""
    with keeper(viewer, again=True) as accounts:
        accounts.close(name, by=viewer.name)


def keep_consent(viewer: Viewer, row: dict[str, Any]) -> None:
    """Keep who agreed to what, or that it was withdrawn."""
    with keeper(viewer):
        enter([{name: value for name, value in row.items() if value is not None}], "consent", viewer)


def export_person(viewer: Viewer, athlete_id: str) -> bytes:
    """Return all data of one person as a zip file. The board is read in a process of its own, as for publishing."""
    with keeper(viewer, again=True):
        return run_command(["person", "export", athlete_id, "--out", "-", "--by", viewer.name])


def erase_person(viewer: Viewer, athlete_id: str, typed: str) -> dict[str, Any]:
    """Erase one person and return the receipt."""
    if typed.strip() != athlete_id:
        raise NotKept(wording.ERASE_MISTYPED)
    with keeper(viewer, again=True):
        said = run_command(["person", "erase", athlete_id, "--yes", athlete_id, "--by", viewer.name, "--json"], (0, 1))
    receipt: dict[str, Any] = json.loads(said)
    return receipt


def erase_past(viewer: Viewer) -> dict[str, Any]:
    """Erase everything that is past its keeping and return what went and what stays."""
    with keeper(viewer, again=True):
        said = run_command(["person", "past-keeping", "--erase", "--yes", "--by", viewer.name, "--json"])
    receipt: dict[str, Any] = json.loads(said.splitlines()[-1])
    return receipt


def past_keeping(viewer: Viewer) -> list[dict[str, Any]]:
    """Return what is older than the squad's settings say it is kept."""
    from pipelines import flow

    with keeper(viewer):
        return flow.past_keeping(flow.Home(home_folder())).to_dicts()
