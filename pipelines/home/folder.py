"""The home folder: where everything of one squad or club lies, and the lock that lets one writer in at a time."""

import os
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import filelock
import platformdirs

from pipelines.errors import ThirdstepError
from pipelines.home.durable import make_folder
from pipelines.home.permissions import close_to_others

HOME_VARIABLE = "THIRDSTEP_HOME"
DEMO_MARK = "DEMO.txt"  # beside the settings of a home where everything is invented
LOCK_WAIT_S = 60.0  # s, how long a writer waits for another one, common practice, no source
LOCK_SAY_S = 1.0  # s of waiting after which the writer says what it waits for

Say = Callable[[str], None]


def say_nothing(_sentence: str) -> None:
    """Take a sentence for people and keep quiet."""


@dataclass(frozen=True)
class Home:
    """The folder of one squad or club. Nothing outside it is ever written."""

    root: Path

    @property
    def sources(self) -> Path:
        """Every file and hand entry as it came, by checksum, and the log of loads."""
        return self.root / "sources"

    @property
    def record(self) -> Path:
        """The record: log, set-aside rows, record tables and their history."""
        return self.root / "record.duckdb"

    @property
    def board(self) -> Path:
        """The published boards and the pointer to the current one."""
        return self.root / "board"

    @property
    def access(self) -> Path:
        """Accounts and sign-ins."""
        return self.root / "access.sqlite"

    @property
    def settings(self) -> Path:
        """The squad's settings."""
        return self.root / "settings.toml"

    @property
    def answers(self) -> Path:
        """What was asked of a layout and answered."""
        return self.root / "answers.toml"

    @property
    def unread(self) -> Path:
        """A note of what was given and not read, until it is."""
        return self.root / "unread.json"

    @property
    def backups(self) -> Path:
        """Where backups and replaced record files go."""
        return self.root / "backups"

    @property
    def federation(self) -> Path:
        """What is made for a federation: the export its task reads, and the rows that are shared."""
        return self.root / "federation"

    @property
    def dashboard_log(self) -> Path:
        """What the dashboard said while it ran, faults with all that is known of them."""
        return self.root / "dashboard.log"

    @property
    def demo_mark(self) -> Path:
        """The file that says that everything here is invented."""
        return self.root / DEMO_MARK

    def prepare(self) -> None:
        """Make the folder and those inside it, for this user alone: it will hold health data.

        Raises:
            ThirdstepError: The folder is there, others can read it, and that cannot be mended.
        """
        if not self.root.exists():
            make_folder(self.root)
            self.root.chmod(0o700)
        close_to_others(self.root)
        for folder in (self.sources, self.board, self.backups):
            make_folder(folder)


def find_home(given: Path | str | None = None) -> Home:
    """Return the home folder: the one given, else the one of THIRDSTEP_HOME, else the platform's user-data folder."""
    named = given or os.environ.get(HOME_VARIABLE) or platformdirs.user_data_path("thirdstep", appauthor=False)
    return Home(Path(named).expanduser().absolute())


def find_demo_home(given: Path | str | None = None) -> Home:
    """Return the home folder of the demo, which is never the club's own."""
    named = given or platformdirs.user_data_path("thirdstep-demo", appauthor=False)
    return Home(Path(named).expanduser().absolute())


@contextmanager
def only_writer(home: Home, say: Say = say_nothing, *, wait_s: float = LOCK_WAIT_S) -> Iterator[None]:
    """Be the only writer of the record while the block runs."""
    with _locked(home.root / "record.lock", "The record is being written by another thirdstep", say, wait_s):
        yield


@contextmanager
def only_publisher(home: Home, say: Say = say_nothing, *, wait_s: float = 10 * LOCK_WAIT_S) -> Iterator[None]:
    """Be the only one that builds a board while the block runs, so that an older record never replaces a newer one."""
    with _locked(home.root / "publish.lock", "The board is being built by another thirdstep", say, wait_s):
        yield


def _in_words(trouble: OSError, path: Path) -> ThirdstepError:
    from pipelines.home.trouble import said_of_system  # brings the database along

    return ThirdstepError(said_of_system(trouble, path))


@contextmanager
def only_follower(home: Home, say: Say = say_nothing, *, wait_s: float = LOCK_WAIT_S) -> Iterator[None]:
    """Be the only one that puts single athletes' rows on the board while the block runs."""
    with _locked(home.root / "follow.lock", "The board is being written by another thirdstep", say, wait_s):
        yield


@contextmanager
def only_federation(folder: Path, say: Say = say_nothing, *, wait_s: float = LOCK_WAIT_S) -> Iterator[None]:
    """Be the only one that writes the lake of a federation while the block runs."""
    with _locked(folder / "run.lock", "The federation is being run by another thirdstep", say, wait_s):
        yield


@contextmanager
def _locked(path: Path, what: str, say: Say, wait_s: float) -> Iterator[None]:
    lock = filelock.FileLock(path)
    started = time.monotonic()
    try:
        lock.acquire(timeout=min(LOCK_SAY_S, wait_s), poll_interval=0.02)
    except filelock.Timeout:
        say(f"{what}; waiting up to {wait_s:.0f} s for it to finish.")
        left = max(0.0, wait_s - (time.monotonic() - started))
        try:
            lock.acquire(timeout=left, poll_interval=0.05)
        except filelock.Timeout:
            raise ThirdstepError(
                f"{what}, and it had not finished after {wait_s:.0f} s. Nothing was changed here. "
                "Run the command again when the other one has ended."
            ) from None
    except OSError as trouble:
        raise _in_words(trouble, path) from trouble
    try:
        yield
    finally:
        lock.release()
