"""Invitations: a link that works once, for some days, and lets its owner set a pass-phrase of their own."""

import datetime as dt
import secrets

from pipelines.accounts import second
from pipelines.accounts.file import (
    Account,
    AccountFile,
    account_of_row,
    add_note,
    end_sign_ins,
    must_exist,
    now,
    start_sign_in,
    tidy,
    token_sha256,
)
from pipelines.accounts.phrases import hashed
from pipelines.errors import ThirdstepError

INVITATION_DAYS = 7
SPENT = "This invitation has been used, has run out, or was never made. Ask your head coach for a new one."


class SignInNow(ThirdstepError):  # noqa: N818 - reads as a sentence where it is raised
    """The pass-phrase is set; signing in still asks for it and for the second factor."""


class Joining(AccountFile):
    """Invitations to accounts that are there already; an invitation also serves who has lost the pass-phrase."""

    def invite(self, name: str, by: str = "") -> str:
        """Return the token of a new invitation to an account. Earlier ones of the same account stop working."""
        name, token, made = tidy(name), secrets.token_urlsafe(32), now()
        with self.opened() as db:
            if must_exist(db, name)["closed_at"]:
                raise ThirdstepError(f"The account '{name}' is closed. Open it with 'account reset' first.")
            db.execute("delete from invitation where name = ? or ends_at < ?", (name, made.isoformat()))
            ends = made + dt.timedelta(days=INVITATION_DAYS)
            db.execute(
                "insert into invitation (token_sha256, name, made_at, ends_at) values (?, ?, ?, ?)",
                (token_sha256(token), name, made.isoformat(), ends.isoformat()),
            )
            add_note(db, by or name, "invited", name)
        return token

    def invited(self, token: str) -> Account | None:
        """Return whose invitation this is; null where it has been used, has run out or was never made."""
        with self.opened() as db:
            row = db.execute(
                "select account.* from invitation join account using (name)"
                " where token_sha256 = ? and used_at is null and ends_at > ? and closed_at is null",
                (token_sha256(token), now().isoformat()),
            ).fetchone()
        return account_of_row(row) if row is not None else None

    def join(self, token: str, passphrase: str, device: str = "") -> str:
        """Set the pass-phrase of an invited account, use the invitation up, and return a sign-in token.

        Raises:
            ThirdstepError: The invitation is not good any more, or the pass-phrase is not good enough.
            SignInNow: The pass-phrase is set, and the account has a second factor: an invitation does not go round it.
        """
        account = self.invited(token)
        if account is None:
            raise ThirdstepError(SPENT)
        kept = hashed(account.name, passphrase)  # slow on purpose, so before the file is held
        with self.opened() as db:
            used = db.execute(
                "update invitation set used_at = ? where token_sha256 = ? and used_at is null and ends_at > ?",
                (now().isoformat(), token_sha256(token), now().isoformat()),
            ).rowcount
            if used != 1:  # somebody was quicker with the same link
                raise ThirdstepError(SPENT)
            db.execute("update account set passphrase_hash = ? where name = ?", (kept, account.name))
            end_sign_ins(db, account.name)
            add_note(db, account.name, "joined by invitation", "")
            if not second.is_on(db, account.name):
                return start_sign_in(db, account.name, device=device)
        raise SignInNow("Your pass-phrase is set. Sign in with it and the code of your phone.")
