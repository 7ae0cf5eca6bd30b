"""What is brought into the record: files, uploads, typed rows; and taking it back. All is derived then, if wanted."""

from collections.abc import Iterable, Mapping, Sequence
from functools import partial
from pathlib import Path
from typing import Any

from pipelines.board import building, following
from pipelines.entry import batch, by_hand
from pipelines.home.folder import Home, Say, say_nothing
from pipelines.home.telling import Tell, tell_nothing
from pipelines.intake import answers
from pipelines.intake.files import MOST_SENT, Found, gather, unpacked
from pipelines.record import opening
from pipelines.record.loading import Outcome
from pipelines.record.rights import as_writer
from schemas.intake import LayoutOptions
from schemas.rights import Writer


def load(
    home: Home,
    paths: Iterable[Path],
    *,
    by: str | Writer,
    options: LayoutOptions | None = None,
    check_only: bool = False,
    derive_after: bool = True,
    follow_next: bool = False,
    say: Say = say_nothing,
    tell: Tell = tell_nothing,
) -> list[Outcome]:
    """Load files, and folders of files, in the order their tables need; one that cannot be read stops no other.

    Answers for a layout are remembered, unless it is only tried. ``follow_next`` as in ``enter``.
    """
    found = gather(paths)
    if options and options.layouts and not check_only:
        answers.remember(home, options.layouts, as_writer(by).name, opening.now())
    then = _before_following(home, follow_next and not derive_after)
    outcomes = batch.load_found(home, found, by, options or LayoutOptions(), check_only, say, tell, then)
    if derive_after and not check_only and any(outcome.load_no for outcome in outcomes):
        building.derive_board(home, say, tell)
    return outcomes


def load_bytes(
    home: Home,
    name: str,
    content: bytes,
    by: str | Writer,
    options: LayoutOptions | None = None,
    *,
    derive_after: bool = True,
) -> Outcome:
    """Load one file whose bytes are at hand (an upload). Answers for a layout are remembered."""
    if options and options.layouts:
        answers.remember(home, options.layouts, as_writer(by).name, opening.now())
    [outcome] = batch.load_found(home, [Found(name, content=content)], by, options or LayoutOptions(), False)
    if derive_after and outcome.load_no:
        building.derive_board(home)
    return outcome


def load_files(
    home: Home,
    files: Iterable[tuple[str, bytes]],
    by: str | Writer,
    options: LayoutOptions | None = None,
    *,
    check_only: bool = False,
    derive_after: bool = True,
) -> list[Outcome]:
    """Load files given together whose bytes are at hand, a zip archive as what is in it; or say what it would do.

    Answers are remembered, unless it is only tried.
    """
    found = [one for name, content in files for one in unpacked(name, content, MOST_SENT)]
    options = options or LayoutOptions()
    if options.layouts and not check_only:
        answers.remember(home, options.layouts, as_writer(by).name, opening.now())
    outcomes = batch.load_found(home, found, by, options, check_only)
    if derive_after and not check_only and any(outcome.load_no for outcome in outcomes):
        building.derive_board(home)
    return outcomes


def preview(
    home: Home, name: str, content: bytes, options: LayoutOptions | None = None, *, by: str | Writer = "preview"
) -> Outcome:
    """Say what loading a file would do, and store nothing."""
    [outcome] = batch.load_found(home, [Found(name, content=content)], by, options or LayoutOptions(), True)
    return outcome


def enter(
    home: Home,
    table_name: str,
    rows: Sequence[Mapping[str, Any]],
    by: str | Writer,
    *,
    resolves: Sequence[int] = (),
    derive_after: bool = True,
    follow_next: bool = False,
) -> Outcome:
    """Store rows typed by hand: kept as a source, checked like a file. ``resolves`` names set-aside rows they mend.

    ``follow_next`` says that ``follow`` comes next: what it needs of the record is read while that is open.
    """
    then = _before_following(home, follow_next and not derive_after)
    outcome = by_hand.enter(home, table_name, rows, by, resolves, then)
    if derive_after and outcome.load_no:
        building.derive_board(home)
    return outcome


def _before_following(home: Home, is_next: bool) -> batch.Then:
    """Return what is done while the record is still open: where ``follow`` comes next, to read what it needs."""
    return partial(following.look_ahead, home) if is_next else lambda *_: None


def undo(home: Home, load_no: int, by: str | Writer, *, derive_after: bool = True, say: Say = say_nothing) -> None:
    """Take one load out of force, as one step. It stays in the log and can be redone."""
    _undo_or_redo(home, load_no, "undo", by, derive_after, say)


def redo(home: Home, load_no: int, by: str | Writer, *, derive_after: bool = True, say: Say = say_nothing) -> None:
    """Put an undone load back in force."""
    _undo_or_redo(home, load_no, "redo", by, derive_after, say)


def _undo_or_redo(home: Home, load_no: int, what: str, by: str | Writer, derive_after: bool, say: Say) -> None:

    batch.undo_or_redo(home, load_no, what, as_writer(by), say)
    if derive_after:
        building.derive_board(home, say)
