"""Who may sign in: accounts, sign-ins and the trail of what they did, in one SQLite file of the home folder.

Many small writes from a web server, so SQLite in WAL mode and not the warehouse. Pass-phrases are kept as argon2id
hashes (argon2-cffi's defaults, RFC 9106 low-memory profile); of a sign-in's random token only the SHA-256 is kept.
"""

import datetime as dt
import hashlib
import json
import secrets
import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Literal, get_args

from argon2 import PasswordHasher
from argon2.exceptions import VerificationError

from pipelines.errors import ThirdstepError

Role = Literal["head_coach", "staff", "athlete"]
ROLES: tuple[Role, ...] = get_args(Role)
LEAST_PASSPHRASE_LENGTH = 12  # characters; length over composition, after NIST SP 800-63B (from memory)
FREE_FAILURES = 5  # wrong pass-phrases in a row before the account waits
FIRST_WAIT_S = 30.0  # seconds; doubles with each further failure
LONGEST_WAIT_S = 900.0
SIGN_IN_HOURS = 12

_TABLES = """
create table if not exists account (
    name text primary key, role text not null, passphrase_hash text not null, athlete_id text,
    event_groups text not null, reads_injuries integer not null, failures integer not null default 0,
    wait_until text, closed_at text
);
create table if not exists sign_in (
    token_sha256 text primary key, name text not null, started_at text not null, ends_at text not null, ended_at text
);
create table if not exists trail (at text not null, who text not null, what text not null, about text not null);
"""

_hasher = PasswordHasher()
# Checked for unknown names too, so that a wrong name takes as long as a wrong pass-phrase.
_nobody_hash = _hasher.hash(secrets.token_urlsafe(16))


@dataclass(frozen=True)
class Account:
    """One account. An athlete's account names its athlete; a staff account its event groups."""

    name: str
    role: Role
    athlete_id: str | None = None
    event_groups: tuple[str, ...] = ()
    reads_injuries: bool = False
    closed_at: str | None = None


class Accounts:
    """The accounts of one home folder. Every method opens the file, does one thing in a transaction and closes it."""

    def __init__(self, path: Path) -> None:
        self.path = path

    # --- keeping accounts ---------------------------------------------------------------------------------------

    def add(
        self,
        name: str,
        role: str,
        passphrase: str,
        athlete_id: str | None = None,
        groups: Sequence[str] = (),
        reads_injuries: bool | None = None,
    ) -> Account:
        """Add an account.

        Args:
            name: Sign-in name; case does not matter.
            role: "head_coach", "staff" or "athlete".
            passphrase: At least 12 characters.
            athlete_id: For an athlete's account, whose page it opens.
            groups: For a staff account, the event groups it may read.
            reads_injuries: Whether injury detail may be read; by default only by a head coach.

        Raises:
            ThirdstepError: The name is taken, the role is unknown, the pass-phrase is short, an athlete's account names
                no athlete, or a staff account names no group.
        """
        name = _tidy(name)
        if role not in ROLES:
            raise ThirdstepError(f"There is no role '{role}'. The roles are: {', '.join(ROLES)}.")
        if role == "athlete" and not athlete_id:
            raise ThirdstepError(
                f"An athlete's account needs its athlete. Say whose page '{name}' may read: --athlete ID."
            )
        if role == "staff" and not groups:
            raise ThirdstepError(f"A staff account needs its event groups. Say which '{name}' may read: --group NAME.")
        _check_passphrase(name, passphrase)
        detail = role == "head_coach" if reads_injuries is None else reads_injuries
        row = (name, role, _hasher.hash(passphrase), athlete_id, json.dumps(list(groups)), int(detail))
        with self._open() as db:
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
            _note(db, name, "account added", role)
        return Account(name, role, athlete_id, tuple(groups), detail)

    def list(self) -> list[Account]:
        """Return all accounts by name, closed ones too."""
        with self._open() as db:
            return [_account(row) for row in db.execute("select * from account order by name")]

    def reset(self, name: str, passphrase: str) -> None:
        """Give an account a new pass-phrase, end its sign-ins and open it again if it waits or was closed."""
        name = _tidy(name)
        _check_passphrase(name, passphrase)
        with self._open() as db:
            self._must_exist(db, name)
            db.execute(
                "update account set passphrase_hash = ?, failures = 0, wait_until = null, closed_at = null"
                " where name = ?",
                (_hasher.hash(passphrase), name),
            )
            _end_sign_ins(db, name)
            _note(db, name, "pass-phrase reset", "")

    def close(self, name: str) -> None:
        """Close an account: nobody can sign in with it, and who is signed in is signed out."""
        name = _tidy(name)
        with self._open() as db:
            self._must_exist(db, name)
            db.execute("update account set closed_at = ? where name = ?", (_now().isoformat(), name))
            _end_sign_ins(db, name)
            _note(db, name, "account closed", "")

    # --- signing in ---------------------------------------------------------------------------------------------

    def sign_in(self, name: str, passphrase: str) -> str:
        """Check a pass-phrase and return a fresh sign-in token.

        Raises:
            ThirdstepError: Wrong name or pass-phrase (the sentence does not say which), or the account waits after too
                many wrong ones. A right pass-phrase is refused too while it waits.
        """
        name, now = _tidy(name), _now()
        wrong = ThirdstepError(
            "That name and pass-phrase do not go together. Try again, or ask your head coach to reset it."
        )
        with self._open() as db:
            row = db.execute("select * from account where name = ? and closed_at is null", (name,)).fetchone()
        if row is not None and row["wait_until"] and dt.datetime.fromisoformat(row["wait_until"]) > now:
            wait_s = (dt.datetime.fromisoformat(row["wait_until"]) - now).total_seconds()
            raise ThirdstepError(f"Too many wrong pass-phrases. Wait {int(wait_s) + 1} seconds, then try again.")
        matches = _matches(row["passphrase_hash"] if row is not None else _nobody_hash, passphrase)
        if row is None:
            raise wrong
        if not matches:
            with self._open() as db:
                failures = db.execute(
                    "update account set failures = failures + 1 where name = ? returning failures", (name,)
                ).fetchone()[0]
                if failures >= FREE_FAILURES:
                    wait_s = min(FIRST_WAIT_S * 2 ** (failures - FREE_FAILURES), LONGEST_WAIT_S)
                    until = (now + dt.timedelta(seconds=wait_s)).isoformat()
                    db.execute("update account set wait_until = ? where name = ?", (until, name))
                _note(db, name, "sign-in refused", "")
            raise wrong
        token = secrets.token_urlsafe(32)
        ends = now + dt.timedelta(hours=SIGN_IN_HOURS)
        with self._open() as db:
            db.execute("update account set failures = 0, wait_until = null where name = ?", (name,))
            db.execute(
                "insert into sign_in (token_sha256, name, started_at, ends_at) values (?, ?, ?, ?)",
                (token_sha256(token), name, now.isoformat(), ends.isoformat()),
            )
            _note(db, name, "signed in", "")
        return token

    def account_of(self, token_hash: str) -> Account | None:
        """Return whose sign-in this is, or None where it has ended or its account is closed."""
        with self._open() as db:
            row = db.execute(
                "select account.* from sign_in join account using (name)"
                " where token_sha256 = ? and ended_at is null and ends_at > ? and closed_at is null",
                (token_hash, _now().isoformat()),
            ).fetchone()
        return _account(row) if row is not None else None

    def sign_out(self, token_hash: str) -> None:
        """End one sign-in."""
        with self._open() as db:
            db.execute(
                "update sign_in set ended_at = ? where token_sha256 = ? and ended_at is null",
                (_now().isoformat(), token_hash),
            )

    def trail(self) -> Sequence[tuple[str, str, str, str]]:
        """Return what was done with accounts: (at, who, what, about), newest first."""
        with self._open() as db:
            return [
                tuple(row) for row in db.execute("select at, who, what, about from trail order by at desc, rowid desc")
            ]

    # --- within -------------------------------------------------------------------------------------------------

    @contextmanager
    def _open(self) -> Iterator[sqlite3.Connection]:
        self.path.parent.mkdir(parents=True, exist_ok=True)
        fresh = not self.path.exists()
        db = sqlite3.connect(self.path, timeout=10)
        try:
            if fresh:
                self.path.chmod(0o600)
                db.execute("pragma journal_mode = wal")
                db.executescript(_TABLES)
            db.row_factory = sqlite3.Row
            with db:
                yield db
        finally:
            db.close()

    @staticmethod
    def _must_exist(db: sqlite3.Connection, name: str) -> None:
        if db.execute("select 1 from account where name = ?", (name,)).fetchone() is None:
            raise ThirdstepError(f"There is no account '{name}'. See which there are: thirdstep account list.")


def token_sha256(token: str) -> str:
    """Return what is kept of a sign-in token."""
    return hashlib.sha256(token.encode()).hexdigest()


def _now() -> dt.datetime:
    return dt.datetime.now(dt.UTC)


def _tidy(name: str) -> str:
    tidy = name.strip().lower()
    if not tidy or "|" in tidy or len(tidy) > 60:
        raise ThirdstepError("A sign-in name has 1 to 60 characters and no '|'.")
    return tidy


def _check_passphrase(name: str, passphrase: str) -> None:
    if len(passphrase) < LEAST_PASSPHRASE_LENGTH:
        raise ThirdstepError(
            f"A pass-phrase has at least {LEAST_PASSPHRASE_LENGTH} characters. Three or four words do well."
        )
    if passphrase.strip().lower() == name or len(set(passphrase)) < 4:
        raise ThirdstepError("That pass-phrase is too easy to guess. Three or four words of your own do well.")


def _matches(passphrase_hash: str, passphrase: str) -> bool:
    try:
        return _hasher.verify(passphrase_hash, passphrase)
    except VerificationError:
        return False


def _end_sign_ins(db: sqlite3.Connection, name: str) -> None:
    db.execute("update sign_in set ended_at = ? where name = ? and ended_at is null", (_now().isoformat(), name))


def _note(db: sqlite3.Connection, who: str, what: str, about: str) -> None:
    db.execute("insert into trail values (?, ?, ?, ?)", (_now().isoformat(), who, what, about))


def _account(row: sqlite3.Row) -> Account:
    return Account(
        name=row["name"],
        role=row["role"],
        athlete_id=row["athlete_id"],
        event_groups=tuple(json.loads(row["event_groups"])),
        reads_injuries=bool(row["reads_injuries"]),
        closed_at=row["closed_at"],
    )
