"""The file that says who may sign in: its tables, its accounts, its trail. SQLite in WAL mode: many small writes.

Of a random token, a sign-in's or an invitation's, only the SHA-256 is kept.
"""

import datetime as dt
import errno
import hashlib
import json
import re
import secrets
import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Literal, get_args

from pipelines.accounts import at_rest, chain, limits
from pipelines.errors import ThirdstepError

Role = Literal["head_coach", "staff", "athlete", "guardian"]
ROLES: tuple[Role, ...] = get_args(Role)
TIED: tuple[Role, ...] = ("athlete", "guardian")  # roles that read one athlete's page
SIGN_IN_HOURS = 12
ERASED = "an erased person"
PERSON_ERASED = "person erased"
PAST_ERASED = "rows past their keeping erased"
SYSTEM = "thirdstep"  # who stands in the trail where no person did it

_TABLES = """
create table if not exists account (
    name text primary key, role text not null, passphrase_hash text not null, athlete_id text,
    event_groups text not null, reads_injuries integer not null, closed_at text, email text
);
create table if not exists sign_in (
    token_sha256 text primary key, name text not null, started_at text not null, ends_at text not null, ended_at text,
    by_club integer not null default 0, seen_at text, proved_at text, device text not null default ''
);
create table if not exists second_factor (
    name text primary key, secret text not null, confirmed_at text, last_step integer not null default 0
);
create table if not exists recovery_code (name text not null, code_sha256 text not null,
    primary key (name, code_sha256));
create table if not exists second_due (
    token_sha256 text primary key, name text not null, ends_at text not null, address text not null,
    wrong integer not null default 0
);
create table if not exists trail (at text not null, who text not null, what text not null, about text not null,
    link text not null default '');
create table if not exists rule (name text primary key, value text not null);
create table if not exists invitation (
    token_sha256 text primary key, name text not null, made_at text not null, ends_at text not null, used_at text
);
"""

VERSION = 7
# What older files lack, and what they hold that is counted elsewhere now; and one index that holds for all.
_ADDED = (("account", "email text"), ("sign_in", "by_club integer not null default 0"),
          ("trail", "link text not null default ''"), ("sign_in", "seen_at text"), ("sign_in", "proved_at text"),
          ("sign_in", "device text not null default ''"))  # fmt: skip
_TAKEN_OFF = (("account", "failures"), ("account", "wait_until"))
_ONE_EACH = "create unique index if not exists one_email on account (email) where email is not null"


@dataclass(frozen=True)
class Account:
    """One account. An athlete's or a guardian's names its athlete; a staff account its event groups."""

    name: str
    role: Role
    athlete_id: str | None = None
    event_groups: tuple[str, ...] = ()
    reads_injuries: bool = False
    closed_at: str | None = None
    has_joined: bool = True
    email: str | None = None  # the address that the club's own sign-in knows this person by
    has_second: bool = False
    owes_second: bool = False  # asked for a second factor and without one: only setting it up is open


class AccountFile:
    """The file of accounts of one home folder, opened for one transaction at a time."""

    def __init__(self, path: Path) -> None:
        self.path = path

    def note(self, who: str, what: str, about: str = "") -> None:
        """Add a line to the trail."""
        with self.opened() as db:
            add_note(db, who, what, about)

    def trail(self, limit: int | None = None) -> Sequence[tuple[str, str, str, str]]:
        """Return what was done: (at, who, what, about), newest first."""
        query = "select at, who, what, about from trail order by at desc, rowid desc limit ?"
        with self.opened() as db:
            return [tuple(row) for row in db.execute(query, (-1 if limit is None else limit,))]

    def head(self) -> str:
        """Return the trail's head: to be kept elsewhere."""
        with self.opened() as db:
            return chain.head(db)

    def first_that_does_not_follow(self) -> str:
        """Name the first line of the trail that does not follow the one before it; "" where all do."""
        with self.opened() as db:
            return chain.first_that_does_not_follow(db)

    def place_of_head(self, told: str) -> str:
        """Say where a head kept elsewhere stands in the trail; "" where nowhere."""
        with self.opened() as db:
            return chain.place_of_head(db, told)

    @contextmanager
    def opened(self) -> Iterator[sqlite3.Connection]:
        """Open the file, commit when the block ends well, and close it. A new file is its owner's alone."""
        with _in_words(self.path), self._connected() as db:
            yield db

    @contextmanager
    def _connected(self) -> Iterator[sqlite3.Connection]:
        self.path.parent.mkdir(parents=True, exist_ok=True)
        if not self.path.exists():
            self.path.touch(mode=0o600)
        db = sqlite3.connect(self.path, timeout=10)
        db.create_function("link_of", 5, chain.link_of, deterministic=True)
        try:
            if db.execute("pragma user_version").fetchone()[0] < VERSION:
                _bring_up(db, self.path)
            db.row_factory = sqlite3.Row
            with db:
                yield db
        finally:
            db.close()


@contextmanager
def _in_words(path: Path) -> Iterator[None]:
    """Turn what the system says of the file into one sentence with a way out."""
    try:
        yield
    except (OSError, sqlite3.OperationalError, sqlite3.DatabaseError) as trouble:
        told = str(trouble).lower()
        if "full" in told or getattr(trouble, "errno", None) in (errno.ENOSPC, errno.EDQUOT, errno.EFBIG):
            said = "The disk is full: nothing was changed. Make room and try again."
        elif "locked" in told:
            said = "Another program holds it, and nothing was changed. Try again in a moment."
        elif isinstance(trouble, OSError) or any(word in told for word in ("readonly", "unable to open", "disk i/o")):
            said = "It may not be read or written, and nothing was changed. Look at the disk and the permissions."
        else:
            said = f"{trouble}. Nothing was changed. Bring it back from a backup."
        raise CannotWrite(f"The file of accounts and trail, '{path}': {said}") from trouble


class CannotWrite(ThirdstepError):  # noqa: N818 - reads as a sentence where it is raised
    """The file of accounts cannot be read or written: a full disk, one that is read only, a damaged file."""


def _bring_up(db: sqlite3.Connection, path: Path) -> None:
    """Make the tables, or add what an older file lacks. Two that open it at once wait for each other."""
    db.execute("pragma journal_mode = wal")
    db.execute("pragma secure_delete = on")  # what lay open is overwritten where it is sealed
    db.execute("begin immediate")
    for statement in filter(str.strip, (_TABLES + limits.TABLES).split(";")):
        db.execute(statement)
    for table, column in _ADDED:
        if column.split()[0] not in _columns(db, table):
            db.execute(f"alter table {table} add column {column}")
    for table, column in _TAKEN_OFF:
        if column in _columns(db, table):
            db.execute(f"alter table {table} drop column {column}")
    # Who is signed in as it is brought up stays so: nothing was noted of when they were last seen.
    at = now().isoformat()
    db.execute("update sign_in set seen_at = ? where seen_at is null and ended_at is null", (at,))
    db.execute("drop table if exists refused")
    db.execute(_ONE_EACH)
    for name, secret in db.execute("select name, secret from second_factor").fetchall():
        if not secret.startswith(at_rest.MARK):
            sealed = at_rest.seal(path, name, secret)
            db.execute("update second_factor set secret = ? where name = ?", (sealed, name))
    if chain.relink(db):
        add_note(db, SYSTEM, "the trail is chained from here on; the lines above were taken as they were", "")
    db.execute(f"pragma user_version = {VERSION}")
    db.commit()
    db.execute("pragma wal_checkpoint(truncate)")


def _columns(db: sqlite3.Connection, table: str) -> list[str]:
    return [row[1] for row in db.execute(f"pragma table_info({table})")]


def token_sha256(token: str) -> str:
    """Return what is kept of a token."""
    return hashlib.sha256(token.encode()).hexdigest()


def now() -> dt.datetime:
    """Return the time in UTC: sign-ins are compared across a change of the clock."""
    return dt.datetime.now(dt.UTC)


def tidy(name: str) -> str:
    """Return a sign-in name as it is kept."""
    kept = name.strip().lower()
    if not kept or "|" in kept or len(kept) > 60:
        raise ThirdstepError("A sign-in name has 1 to 60 characters and no '|'.")
    return kept


def must_exist(db: sqlite3.Connection, name: str) -> sqlite3.Row:
    """Return the row of an account, or say that there is none."""
    row: sqlite3.Row | None = db.execute("select * from account where name = ?", (name,)).fetchone()
    if row is None:
        raise ThirdstepError(f"There is no account '{name}'. See which there are: thirdstep account list.")
    return row


def tidy_email(email: str) -> str:
    """Return an e-mail address as it is kept: two that differ in case alone are one person's."""
    kept = email.strip().lower()
    if not re.fullmatch(r"[^@\s|]+@[^@\s|]+", kept) or len(kept) > 254:
        raise ThirdstepError(f"'{email.strip()[:60]}' is no e-mail address.")
    return kept


def start_sign_in(db: sqlite3.Connection, name: str, *, by_club: bool = False, device: str = "") -> str:
    """Begin a sign-in and return its token."""
    token, began = secrets.token_urlsafe(32), now()
    at, ends = began.isoformat(), (began + dt.timedelta(hours=SIGN_IN_HOURS)).isoformat()
    db.execute(
        "insert into sign_in (token_sha256, name, started_at, ends_at, by_club, seen_at, proved_at, device)"
        " values (?, ?, ?, ?, ?, ?, ?, ?)",
        (token_sha256(token), name, at, ends, int(by_club), at, at, device[:60]),
    )
    add_note(db, name, "signed in through the club" if by_club else "signed in", "")
    return token


def end_sign_ins(db: sqlite3.Connection, name: str, but: str = "") -> None:
    """End all sign-ins of an account, but for the one of a token's hash."""
    db.execute(
        "update sign_in set ended_at = ? where name = ? and ended_at is null and token_sha256 <> ?",
        (now().isoformat(), name, but),
    )


def add_note(db: sqlite3.Connection, who: str, what: str, about: str) -> None:
    """Add a line to the trail, in the transaction it belongs to."""
    db.execute(chain.ADD, (now().isoformat(), who, what, about))


def account_of_row(row: sqlite3.Row) -> Account:
    """Return a row as an account."""
    return Account(
        name=row["name"],
        role=row["role"],
        athlete_id=row["athlete_id"],
        event_groups=tuple(json.loads(row["event_groups"])),
        reads_injuries=bool(row["reads_injuries"]),
        closed_at=row["closed_at"],
        has_joined=bool(row["passphrase_hash"]),
        email=row["email"],
        has_second=bool(row["has_second"]) if "has_second" in row.keys() else False,  # noqa: SIM118 - no mapping
    )
