"""The sign-ins of one person: on which devices, until when, and when the pass-phrase was last given on each."""

import datetime as dt
from dataclasses import dataclass, replace

from pipelines.accounts import limits
from pipelines.accounts.file import Account, AccountFile, CannotWrite, account_of_row, add_note, now, tidy
from pipelines.accounts.phrases import matches
from pipelines.accounts.second import ASKED, NOBODY, RULE
from pipelines.errors import ThirdstepError

IDLE_MIN = {
    "head_coach": 60,
    "staff": 60,
    "athlete": 12 * 60,
    "guardian": 12 * 60,
}  # minutes without a click; own choice
SEEN_EVERY_S = 60  # s between two notes that somebody is there
FRESH_MIN = 10  # minutes that a pass-phrase given again is good for; own choice
SHORT = 16  # characters of a sign-in's hash by which it is named
WRONG_AGAIN = "That is not your pass-phrase."
BY_CLUB = "You came in through your club: sign out and in again, and it counts for ten minutes."


@dataclass(frozen=True)
class Device:
    """One sign-in in force."""

    short: str
    device: str
    started_at: str
    seen_at: str


class Devices(AccountFile):
    """Sign-ins by person."""

    def account_of(self, token_hash: str) -> Account | None:
        """Return whose sign-in this is, or None where it has ended, was left idle or its account is closed."""
        at = now()
        with self.opened() as db:
            row = db.execute(
                "select account.*, seen_at, started_at, by_club, exists (select 1 from second_factor s"
                " where s.name = account.name and s.confirmed_at is not null) as has_second,"
                " (select value from rule where rule.name = ?) as asked from sign_in join account using (name)"
                " where token_sha256 = ? and ended_at is null and ends_at > ? and closed_at is null",
                (RULE, token_hash, at.isoformat()),
            ).fetchone()
        if row is None:
            return None
        seen = dt.datetime.fromisoformat(row["seen_at"] or row["started_at"])
        idle = at - (seen if seen.tzinfo else seen.replace(tzinfo=dt.UTC))
        if idle > dt.timedelta(minutes=IDLE_MIN[row["role"]]):
            return None
        if idle > dt.timedelta(seconds=SEEN_EVERY_S):
            self._seen(token_hash, at)
        found = account_of_row(row)
        is_asked = found.role in ASKED.get(row["asked"] or NOBODY, ())
        return replace(found, owes_second=is_asked and not found.has_second and not row["by_club"])

    def _seen(self, token_hash: str, at: dt.datetime) -> None:
        try:
            with self.opened() as db:
                db.execute("update sign_in set seen_at = ? where token_sha256 = ?", (at.isoformat(), token_hash))
        except CannotWrite:
            pass  # a full disk shows nobody out before the hour is over

    def devices_of(self, name: str) -> list[Device]:
        """Return the sign-ins of an account that are in force, the latest seen first."""
        with self.opened() as db:
            role = db.execute("select role from account where name = ?", (tidy(name),)).fetchone()
            since = now() - dt.timedelta(minutes=IDLE_MIN[role["role"]] if role else 0)
            rows = db.execute(
                "select token_sha256, device, started_at, coalesce(seen_at, started_at) as seen from sign_in"
                " where name = ? and ended_at is null and ends_at > ? and coalesce(seen_at, started_at) > ?"
                " order by seen desc",
                (tidy(name), now().isoformat(), since.isoformat()),
            ).fetchall()
        return [Device(row["token_sha256"][:SHORT], row["device"], row["started_at"], row["seen"]) for row in rows]

    def end_one(self, name: str, short: str) -> bool:
        """End one sign-in of an account by its short name; return whether there was one."""
        with self.opened() as db:
            ended = db.execute(
                "update sign_in set ended_at = ? where name = ? and substr(token_sha256, 1, ?) = ?"
                " and ended_at is null",
                (now().isoformat(), tidy(name), SHORT, short),
            ).rowcount
            if ended:
                add_note(db, tidy(name), "signed out on one device", "")
        return bool(ended)

    def is_fresh(self, token_hash: str) -> bool:
        """Return whether the pass-phrase of a sign-in was given within the last minutes."""
        since = (now() - dt.timedelta(minutes=FRESH_MIN)).isoformat()
        with self.opened() as db:
            query = "select 1 from sign_in where token_sha256 = ? and ended_at is null and proved_at > ?"
            return db.execute(query, (token_hash, since)).fetchone() is not None

    def prove_again(self, token_hash: str, passphrase: str) -> None:
        """Take a pass-phrase again, before what cannot be undone. Tries are counted as those to sign in are.

        Raises:
            ThirdstepError: It is another one, too many were tried, or this sign-in came through the club.
        """
        account = self.account_of(token_hash)
        if account is None:
            raise ThirdstepError("Your sign-in has ended. Sign in again.")
        with self.opened() as db:
            row = db.execute("select by_club from sign_in where token_sha256 = ?", (token_hash,)).fetchone()
            if row["by_club"]:
                raise ThirdstepError(BY_CLUB)
            limits.count(db, f"{account.name}|again", token_hash[:SHORT], "", now())  # strangers' tries are not these
            kept = db.execute("select passphrase_hash from account where name = ?", (account.name,)).fetchone()[0]
        if not matches(kept, passphrase):
            self.note(account.name, "pass-phrase refused")
            raise ThirdstepError(WRONG_AGAIN)
        with self.opened() as db:
            db.execute("update sign_in set proved_at = ? where token_sha256 = ?", (now().isoformat(), token_hash))
