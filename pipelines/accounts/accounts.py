"""Who may sign in: accounts, sign-ins and the trail of what they did, in one SQLite file of the home folder."""

import json
import sqlite3
from collections.abc import Sequence

from pipelines.accounts import chain, limits, second
from pipelines.accounts.devices import Devices
from pipelines.accounts.emails import SOMEBODY, ByEmail
from pipelines.accounts.file import (
    ERASED,
    PAST_ERASED,
    PERSON_ERASED,
    ROLES,
    SIGN_IN_HOURS,
    SYSTEM,
    TIED,
    Account,
    Role,
    account_of_row,
    add_note,
    end_sign_ins,
    must_exist,
    now,
    start_sign_in,
    tidy,
    token_sha256,
)
from pipelines.accounts.invitations import Joining
from pipelines.accounts.limits import Try
from pipelines.accounts.phrases import LEAST_PASSPHRASE_LENGTH, hashed, matches
from pipelines.accounts.second import Begun, SecondFactor
from pipelines.errors import ThirdstepError
from schemas.rights import Writer

__all__ = [
    "LEAST_PASSPHRASE_LENGTH", "ROLES", "SIGN_IN_HOURS", "WRONG", "Account", "Accounts", "Role", "token_sha256",
]  # fmt: skip

WRONG = "That name and pass-phrase do not go together. Try again, or ask your head coach to reset it."


class Accounts(Joining, ByEmail, SecondFactor, Devices):
    """The accounts of one home folder. Every method opens the file, does one thing in a transaction and closes it."""

    # --- keeping accounts ---------------------------------------------------------------------------------------

    def add(
        self,
        name: str,
        role: str,
        passphrase: str | None,
        athlete_id: str | None = None,
        groups: Sequence[str] = (),
        reads_injuries: bool | None = None,
        by: str = "",
    ) -> Account:
        """Add an account.

        Args:
            name: Sign-in name; case does not matter.
            role: "head_coach", "staff", "athlete" or "guardian".
            passphrase: At least 12 characters; null for one who will set it by an invitation.
            athlete_id: For an athlete's or a guardian's account, whose page it opens.
            groups: For a staff account, the event groups it may read.
            reads_injuries: Whether a staff account may read injury detail.
            by: Who adds it, for the trail.

        Raises:
            ThirdstepError: The name is taken, the role is unknown, the pass-phrase is short, an athlete's account names
                no athlete, or a staff account names no group.
        """
        name = tidy(name)
        if role not in ROLES:
            raise ThirdstepError(f"There is no role '{role}'. The roles are: {', '.join(ROLES)}.")
        if role in TIED and not athlete_id:
            raise ThirdstepError(
                f"An account of this role needs its athlete. Say whose page '{name}' may read: --athlete ID."
            )
        if role == "staff" and not groups:
            raise ThirdstepError(f"A staff account needs its event groups. Say which '{name}' may read: --group NAME.")
        detail = role == "head_coach" if reads_injuries is None else bool(reads_injuries) and role not in TIED
        kept = "" if passphrase is None else hashed(name, passphrase)
        row = (name, role, kept, athlete_id, json.dumps(list(groups)), int(detail))
        with self.opened() as db:
            try:
                db.execute(
                    "insert into account (name, role, passphrase_hash, athlete_id, event_groups, reads_injuries)"
                    " values (?, ?, ?, ?, ?, ?)",
                    row,
                )
            except sqlite3.IntegrityError:
                raise ThirdstepError(
                    f"There is an account '{name}' already. Choose another name, or reset that one."
                ) from None
            add_note(db, by or name, f"account added: {role}", name)
            return account_of_row(must_exist(db, name))

    def list(self) -> list[Account]:
        """Return all accounts by name, closed ones too."""
        with self.opened() as db:
            query = (
                "select *, exists (select 1 from second_factor s where s.name = account.name"
                " and s.confirmed_at is not null) as has_second from account order by name"
            )
            return [account_of_row(row) for row in db.execute(query)]

    def change(self, name: str, *, groups: Sequence[str], reads_injuries: bool, by: str = "") -> None:
        """Change what a staff account may read. It takes effect at its next click."""
        name = tidy(name)
        if not groups:
            raise ThirdstepError("A staff account needs at least one event group.")
        with self.opened() as db:
            if must_exist(db, name)["role"] != "staff":
                raise ThirdstepError(f"'{name}' is no staff account: only those have event groups.")
            db.execute(
                "update account set event_groups = ?, reads_injuries = ? where name = ?",
                (json.dumps(list(groups)), int(reads_injuries), name),
            )
            told = f"reads {', '.join(groups)}{' and injury detail' if reads_injuries else ''}"
            add_note(db, by or name, f"account changed: {told}", name)

    def reset(self, name: str, passphrase: str, by: str = "") -> None:
        """Give an account a new pass-phrase, end its sign-ins, forget its tries and open it again if it was closed."""
        name = tidy(name)
        kept = hashed(name, passphrase)
        with self.opened() as db:
            must_exist(db, name)
            db.execute(
                "update account set passphrase_hash = ?, closed_at = null where name = ?",
                (kept, name),
            )
            limits.forget(db, name)
            end_sign_ins(db, name)
            add_note(db, by or name, "pass-phrase reset", name)

    def close(self, name: str, by: str = "") -> None:
        """Close an account: nobody can sign in with it, and who is signed in is signed out.

        Raises:
            ThirdstepError: There is no such account, or it is the last head coach's.
        """
        name = tidy(name)
        with self.opened() as db:
            role = must_exist(db, name)["role"]
            others = db.execute(
                "select count(*) from account where role = 'head_coach' and closed_at is null and name <> ?", (name,)
            ).fetchone()[0]
            if role == "head_coach" and not others:
                raise ThirdstepError(f"'{name}' is the last head coach. Add another before closing this account.")
            db.execute("update account set closed_at = ? where name = ?", (now().isoformat(), name))
            db.execute("delete from invitation where name = ?", (name,))
            end_sign_ins(db, name)
            add_note(db, by or name, "account closed", name)

    def writer(self, name: str) -> Writer:
        """Return an open account as one who writes.

        Raises:
            ThirdstepError: There is no such account, or it is closed.
        """
        with self.opened() as db:
            one = account_of_row(must_exist(db, tidy(name)))
        if one.closed_at:
            raise ThirdstepError(f"The account '{one.name}' is closed.")
        return Writer(one.name, one.role, one.athlete_id, one.event_groups, one.reads_injuries)

    # --- signing in ---------------------------------------------------------------------------------------------

    def sign_in(self, name: str, passphrase: str, address: str = "", browser: str = "") -> str:
        """Check a pass-phrase and return a fresh sign-in token: ``count_try``, then ``look_at_try``."""
        begun = self.look_at_try(self.count_try(name, address, browser), passphrase)
        if begun.due:
            raise ThirdstepError("The code of the second factor is due.")
        return begun.token

    def count_try(self, name: str, address: str = "", browser: str = "") -> Try:
        """Count a try to sign in, before its pass-phrase is looked at.

        Args:
            name: Whose name was given.
            address: Where the request comes from.
            browser: The token that a browser was given when somebody signed in with it before.

        Raises:
            ThirdstepError: Too many were made. Which names there are is not told by it.
        """
        with self.opened() as db:
            return limits.count(db, tidy(name), address, browser, now())

    def look_at_try(self, one: Try, passphrase: str, browser: str = "", device: str = "") -> Begun:
        """Check the pass-phrase of a counted try; return a sign-in token and the token the browser is known by.

        Where the account has a second factor, what is returned is the token under which its code is due.

        Slow on purpose, and takes some 64 MB while it runs: the caller sees to it that few run at once.

        Raises:
            ThirdstepError: Wrong name or pass-phrase; the sentence does not say which.
        """
        with self.opened() as db:
            row = db.execute("select * from account where name = ? and closed_at is null", (one.name,)).fetchone()
        if matches(row["passphrase_hash"] if row is not None else None, passphrase):
            with self.opened() as db:
                if second.is_on(db, one.name):
                    return Begun("", "", second.put_off(db, one))
                known = limits.was_right(db, one, browser or one.browser, now())
                return Begun(start_sign_in(db, one.name, device=device), known)
        # A line either way: one that is written for names there are, alone, would tell them by the time it takes. What
        # was typed for a name that nobody has may be a pass-phrase, and stands nowhere.
        self.note(one.name if row is not None else SOMEBODY, "sign-in refused")
        raise ThirdstepError(WRONG)

    def sign_out(self, token_hash: str) -> bool:
        """End one sign-in; return whether it was one through the club's own sign-in."""
        with self.opened() as db:
            row = db.execute(
                "update sign_in set ended_at = ? where token_sha256 = ? and ended_at is null returning by_club",
                (now().isoformat(), token_hash),
            ).fetchone()
        return bool(row and row["by_club"])

    def sign_out_everywhere(self, name: str, by: str = "", but: str = "") -> None:
        """End every sign-in of an account, on all its devices; ``but`` is the hash of one that is left."""
        name = tidy(name)
        with self.opened() as db:
            must_exist(db, name)
            end_sign_ins(db, name, but)
            add_note(db, by or name, "signed out everywhere", name)

    def end_everything(self, why: str) -> None:
        """End every sign-in, and forget invitations and known browsers: they were of another time or machine."""
        with self.opened() as db:
            db.execute("update sign_in set ended_at = ? where ended_at is null", (now().isoformat(),))
            db.execute("delete from invitation")
            db.execute("delete from known_browser")
            add_note(db, SYSTEM, f"every sign-in ended: {why}", "")

    def last_erasure(self) -> str:
        """Return when somebody, or rows past their keeping, were last erased; "" where nothing was."""
        with self.opened() as db:
            row = db.execute("select max(at) from trail where what in (?, ?)", (PERSON_ERASED, PAST_ERASED)).fetchone()
        return str(row[0] or "")

    def taken_away(self) -> int:
        """Return how many files, tables and printed sheets the trail says left the home."""
        with self.opened() as db:
            row = db.execute(
                "select count(*) from trail where what like 'file taken away%' or what like 'table taken away%'"
                " or what like 'sheet printed%' or what = 'person exported'"
            ).fetchone()
        return int(row[0])

    # --- erasing ------------------------------------------------------------------------------------------------

    def names_of(self, athlete_id: str) -> Sequence[str]:
        """Return the sign-in names that are tied to an athlete: their own and guardians'."""
        with self.opened() as db:
            rows = db.execute("select name from account where athlete_id = ?", (athlete_id,)).fetchall()
        return [row["name"] for row in rows]

    def forget(self, athlete_id: str) -> int:
        """Take out every account tied to an athlete and their name from the trail; return how many there were.

        The freed pages are overwritten and the file is written anew, so that nothing of them stays in it.
        """
        if not self.path.exists():
            return 0
        names = self.names_of(athlete_id)
        with self.opened() as db:
            db.execute("pragma secure_delete = on")
            for name in names:
                for table in ("account", "sign_in", "invitation"):
                    db.execute(f"delete from {table} where name = ?", (name,))
                limits.forget(db, name)
                second.forget(db, name)
            before = chain.head(db)
            for name in {*names, athlete_id}:
                db.execute("update trail set who = ? where who = ?", (ERASED, name))
                db.execute("update trail set about = ? where about = ?", (ERASED, name))
            db.execute("update trail set what = replace(what, ?, ?)", (athlete_id, ERASED))
            chain.relink(db)
            if before != chain.head(db):
                add_note(db, SYSTEM, f"{chain.STARTS_ANEW}{before}", "")
        with self.opened() as db:
            db.commit()
            db.execute("vacuum")
            db.execute("pragma wal_checkpoint(truncate)")
        return len(names)
