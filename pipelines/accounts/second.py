"""A second factor: codes of a phone (TOTP, RFC 6238, through pyotp), and recovery codes for when it is lost.

It can be asked of some roles: who has none then comes in with the pass-phrase and finds nothing open but setting one
up, so that nobody is locked out by it. Who comes in through a club's own sign-in is asked by the club and not again
here.
"""

import datetime as dt
import hmac
import secrets
import sqlite3
from typing import NamedTuple

import pyotp

from pipelines.accounts import at_rest, limits
from pipelines.accounts.file import (
    SYSTEM,
    AccountFile,
    Role,
    add_note,
    must_exist,
    now,
    start_sign_in,
    tidy,
    token_sha256,
)
from pipelines.errors import ThirdstepError

ISSUER = "thirdstep"
STEP_S = 30  # s that a code is good for (RFC 6238)
STEPS_AROUND = 1  # steps a phone's clock may be off
DUE_MIN = 5  # minutes to give the code in, after the pass-phrase
MOST_WRONG = 5  # codes, after which the pass-phrase is asked again; own choice
RECOVERY_CODES = 10
LETTERS = "abcdefghjkmnpqrstuvwxyz23456789"  # without what is misread
RULE = "second_factor_for"
NOBODY = "nobody"
# Of whom a second factor may be asked, and the roles that are meant.
ASKED: dict[str, tuple[Role, ...]] = {
    NOBODY: (),
    "head_coach": ("head_coach",),
    "coaches": ("head_coach", "staff"),
    "everybody": ("head_coach", "staff", "athlete", "guardian"),
}
NO_CODE = "That code is not right, or it was used already. Wait for the next one on your phone and try again."
TOO_LATE = "That took too long, or too many codes were wrong. Give your name and pass-phrase again."


class Begun(NamedTuple):
    """What a right pass-phrase gives: a sign-in and the browser's token, or the token under which the code is due."""

    token: str
    known: str
    due: str = ""


class SecondFactor(AccountFile):
    """The second factors of the accounts."""

    def begin_second(self, name: str) -> tuple[str, str]:
        """Make a new secret; return it, and the address that an authenticator reads. It counts once it is confirmed."""
        name, secret = tidy(name), pyotp.random_base32()
        with self.opened() as db:
            must_exist(db, name)
            if is_on(db, name):
                raise ThirdstepError("There is a second factor already. Take it off first.")
            sealed = at_rest.seal(self.path, name, secret)
            db.execute("insert or replace into second_factor (name, secret) values (?, ?)", (name, sealed))
        return secret, address_of(name, secret)

    def second_begun(self, name: str) -> str:
        """Return the secret of a second factor that waits to be confirmed; "" where none does."""
        with self.opened() as db:
            row = db.execute(
                "select secret from second_factor where name = ? and confirmed_at is null", (tidy(name),)
            ).fetchone()
        return at_rest.unseal(self.path, tidy(name), row["secret"]) or "" if row else ""

    def confirm_second(self, name: str, code: str) -> list[str]:
        """Turn a second factor on with its first code; return the recovery codes, of which only hashes are kept.

        Raises:
            ThirdstepError: None was begun, or the code is not right.
        """
        name = tidy(name)
        with self.opened() as db:
            db.execute("begin immediate")
            row = db.execute("select * from second_factor where name = ?", (name,)).fetchone()
            if row is None or row["confirmed_at"]:
                raise ThirdstepError("No second factor was begun.")
            step = _step_of(at_rest.unseal(self.path, name, row["secret"]), code, row["last_step"])
            if step is None:
                raise ThirdstepError(NO_CODE)
            db.execute(
                "update second_factor set confirmed_at = ?, last_step = ? where name = ?",
                (now().isoformat(), step, name),
            )
            add_note(db, name, "second factor turned on", "")
            return _new_codes(db, name)

    def has_second(self, name: str) -> bool:
        """Return whether an account has a second factor in force."""
        with self.opened() as db:
            return is_on(db, tidy(name))

    def remove_second(self, name: str, by: str = "") -> None:
        """Take a second factor off, with its recovery codes.

        Raises:
            ThirdstepError: There is no such account, or it has none.
        """
        name = tidy(name)
        with self.opened() as db:
            must_exist(db, name)
            if not is_on(db, name):
                raise ThirdstepError(f"'{name}' has no second factor.")
            forget(db, name)
            add_note(db, by or name, "second factor taken off", name)

    def finish_second(self, due: str, code: str, browser: str = "", device: str = "") -> Begun:
        """Finish a sign-in with a code of the phone or a recovery code.

        Args:
            due: The token that the right pass-phrase gave.
            code: Six digits, or a recovery code, which then is used up.
            browser: The token by which the browser is known, if it is.
            device: What the browser calls itself.

        Raises:
            ThirdstepError: The code is not right; or it is too late, and the pass-phrase is asked again.
        """
        with self.opened() as db:
            db.execute("begin immediate")
            db.execute("delete from second_due where ends_at < ? or wrong >= ?", (now().isoformat(), MOST_WRONG))
            row = db.execute("select * from second_due where token_sha256 = ?", (token_sha256(due),)).fetchone()
            if row is not None:
                # counted before it is looked at, in the same transaction
                db.execute("update second_due set wrong = wrong + 1 where token_sha256 = ?", (token_sha256(due),))
                if self._is_right(db, row["name"], code):
                    db.execute("delete from second_due where token_sha256 = ?", (token_sha256(due),))
                    one = limits.Try(row["name"], row["address"])
                    known = limits.was_right(db, one, browser, now())
                    return Begun(start_sign_in(db, row["name"], device=device), known)
                add_note(db, row["name"], "sign-in refused: second factor", "")
        if row is None:
            raise ThirdstepError(TOO_LATE)
        raise ThirdstepError(NO_CODE)

    def _is_right(self, db: sqlite3.Connection, name: str, code: str) -> bool:
        row = db.execute("select * from second_factor where name = ? and confirmed_at is not null", (name,)).fetchone()
        if row is None:
            return False
        step = _step_of(at_rest.unseal(self.path, name, row["secret"]), code, row["last_step"])
        if step is not None:  # a code seen over a shoulder is good for nothing once it was used
            db.execute("update second_factor set last_step = ? where name = ?", (step, name))
            return True
        kept = token_sha256(_plain(code))
        used = db.execute("delete from recovery_code where name = ? and code_sha256 = ?", (name, kept)).rowcount == 1
        if used:
            left = _codes_left(db, name)
            add_note(db, name, f"recovery code used, {left} left", "")
        return used

    # --- asked of some ------------------------------------------------------------------------------------------

    def second_asked(self) -> str:
        """Return of whom a second factor is asked: a key of ``ASKED``."""
        with self.opened() as db:
            return asked_of(db)

    def ask_second(self, whom: str, by: str = "") -> None:
        """Ask some roles for a second factor, from their next click on.

        Who asks it of themselves must have one first, so that who decides knows what it is and holds the codes.

        Raises:
            ThirdstepError: There is no such choice, or who asks has none themselves.
        """
        if whom not in ASKED:
            raise ThirdstepError(f"A second factor can be asked of: {', '.join(ASKED)}. Not of '{whom}'.")
        with self.opened() as db:
            db.execute("begin immediate")
            row = db.execute("select role from account where name = ?", (by.strip().lower(),)).fetchone()
            if row is not None and row["role"] in ASKED[whom] and not is_on(db, by.strip().lower()):
                raise ThirdstepError("Set up your own second factor first; then ask it of others. Nothing was changed.")
            before = asked_of(db)
            db.execute("insert or replace into rule (name, value) values (?, ?)", (RULE, whom))
            add_note(db, by or SYSTEM, f"second factor asked of {whom}, before of {before}", "")

    def renew_codes(self, name: str) -> list[str]:
        """Make new recovery codes; the former ones are worth nothing from then on.

        Raises:
            ThirdstepError: The account has no second factor.
        """
        name = tidy(name)
        with self.opened() as db:
            if not is_on(db, name):
                raise ThirdstepError(f"'{name}' has no second factor.")
            add_note(db, name, "second factor: new recovery codes", "")
            return _new_codes(db, name)

    def codes_left(self, name: str) -> int:
        """Return how many recovery codes an account has left."""
        with self.opened() as db:
            return _codes_left(db, tidy(name))

    def second_is_readable(self, name: str) -> bool:
        """Return whether a second factor's secret can be opened: not where a backup came without its key."""
        with self.opened() as db:
            row = db.execute("select secret from second_factor where name = ?", (tidy(name),)).fetchone()
        return row is None or at_rest.unseal(self.path, tidy(name), row["secret"]) is not None


def asked_of(db: sqlite3.Connection) -> str:
    """Return of whom a second factor is asked; of nobody where nothing known was said."""
    row = db.execute("select value from rule where name = ?", (RULE,)).fetchone()
    return str(row["value"]) if row is not None and row["value"] in ASKED else NOBODY


def _codes_left(db: sqlite3.Connection, name: str) -> int:
    return int(db.execute("select count(*) from recovery_code where name = ?", (name,)).fetchone()[0])


def address_of(name: str, secret: str) -> str:
    """Return what an authenticator reads off the square."""
    return pyotp.TOTP(secret).provisioning_uri(name=name, issuer_name=ISSUER)


def is_on(db: sqlite3.Connection, name: str) -> bool:
    """Return whether an account has a second factor in force."""
    query = "select 1 from second_factor where name = ? and confirmed_at is not null"
    return db.execute(query, (name,)).fetchone() is not None


def put_off(db: sqlite3.Connection, one: limits.Try) -> str:
    """Keep that the pass-phrase was right, and return the token under which the code is due."""
    due, until = secrets.token_urlsafe(32), now() + dt.timedelta(minutes=DUE_MIN)
    db.execute(
        "insert into second_due (token_sha256, name, ends_at, address) values (?, ?, ?, ?)",
        (token_sha256(due), one.name, until.isoformat(), one.address),
    )
    return due


def forget(db: sqlite3.Connection, name: str) -> None:
    """Take everything of a second factor away."""
    for table in ("second_factor", "recovery_code", "second_due"):
        db.execute(f"delete from {table} where name = ?", (name,))


def _step_of(secret: str | None, code: str, last_step: int) -> int | None:
    """Return the time step whose code this is, later than the last one used; null where it is none's."""
    if secret is None:
        return None
    told, here = _plain(code), int(now().timestamp()) // STEP_S
    totp = pyotp.TOTP(secret)
    for step in range(here - STEPS_AROUND, here + STEPS_AROUND + 1):
        if step > last_step and hmac.compare_digest(totp.generate_otp(step).encode(), told.encode()):
            return step
    return None


def _new_codes(db: sqlite3.Connection, name: str) -> list[str]:
    db.execute("delete from recovery_code where name = ?", (name,))
    codes = [
        "-".join("".join(secrets.choice(LETTERS) for _ in range(5)) for _ in range(3)) for _ in range(RECOVERY_CODES)
    ]
    rows = [(name, token_sha256(_plain(code))) for code in codes]
    db.executemany("insert into recovery_code (name, code_sha256) values (?, ?)", rows)
    return codes


def _plain(code: str) -> str:
    return "".join(letter for letter in code.lower() if letter.isalnum())
