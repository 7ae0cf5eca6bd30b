"""Accounts by e-mail address: the way in through a club's own sign-in (OpenID Connect)."""

import sqlite3

from pipelines.accounts.file import AccountFile, add_note, must_exist, now, start_sign_in, tidy, tidy_email
from pipelines.errors import ThirdstepError

SOMEBODY = "somebody"  # who stands in the trail where no account was found: a stranger's address is not kept


class ByEmail(AccountFile):
    """The addresses that accounts are tied to. An address belongs to one account; without one no club opens it."""

    def set_email(self, name: str, email: str | None, by: str = "") -> None:
        """Tie an account to an address of the club's sign-in, or to none. Who came in by the old one is signed out.

        Raises:
            ThirdstepError: There is no such account, or the address is another account's.
        """
        name, kept = tidy(name), tidy_email(email) if email and email.strip() else None
        with self.opened() as db:
            before = must_exist(db, name)["email"]
            if before == kept:
                return
            try:
                db.execute("update account set email = ? where name = ?", (kept, name))
            except sqlite3.IntegrityError:
                raise ThirdstepError(f"'{kept}' is another account's address. Each account has its own.") from None
            db.execute(
                "update sign_in set ended_at = ? where name = ? and by_club = 1 and ended_at is null",
                (now().isoformat(), name),
            )
            add_note(db, by or name, "account changed: club address " + ("set" if kept else "taken off"), name)

    def sign_in_by_email(self, email: str, verified: bool, device: str = "") -> str:
        """Return a fresh sign-in token for the account of an address that the club's provider vouches for.

        Raises:
            ThirdstepError: The provider does not say that the address is verified, or no open account has it.
        """
        try:
            kept = tidy_email(email)
        except ThirdstepError:
            kept = ""
        with self.opened() as db:
            row = db.execute("select name from account where email = ? and closed_at is null", (kept,)).fetchone()
            if verified and kept and row is not None:
                return start_sign_in(db, row["name"], by_club=True, device=device)
            if not kept:
                why, said = "no address", "Your club’s sign-in told no e-mail address, so it opens no account here."
            elif not verified:
                why = "address not verified"
                said = (
                    f"Your club’s sign-in does not say that {kept} is verified. Have it verified there, or sign in "
                    "with your name and pass-phrase."
                )
            else:
                why, said = "unknown address", f"No account here has the address {kept}. Ask your head coach to add it."
            add_note(db, row["name"] if row is not None else SOMEBODY, f"sign-in refused: {why}", "")
        raise ThirdstepError(said)
