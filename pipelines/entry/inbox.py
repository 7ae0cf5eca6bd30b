"""A watched folder: what arrives is loaded as a file is, and a receipt is left beside it."""

import stat
import time
from collections.abc import Callable
from pathlib import Path

from pipelines.entry import batch
from pipelines.entry.report import receipt
from pipelines.home.durable import write_durably
from pipelines.home.folder import Home, Say, say_nothing
from pipelines.intake.files import Found, gather, leads_out, read_bytes
from pipelines.record.loading import Outcome
from pipelines.record.sources import checksum
from schemas.intake import LayoutOptions
from schemas.rights import Writer

RECEIPT = ".receipt.txt"
LOOK_EVERY_S = 2.0  # s between two looks at the folder, own choice
STILL_S = 1.0  # s for which size and time of a file must not change before it is loaded, own choice


def receipt_of(path: Path) -> Path:
    """Return where the receipt of a file lies."""
    return path.with_name(path.name + RECEIPT)


def watch(
    home: Home,
    folder: Path,
    by: str | Writer,
    *,
    once: bool,
    done: Callable[[Outcome, Path], None],
    publish: Callable[[], None],
    say: Say = say_nothing,
) -> None:
    """Load every file of a folder that has no receipt for its bytes, then wait for more until Ctrl-C.

    Args:
        home: Whose record.
        folder: What to watch; folders in it too.
        by: Who brings the files.
        once: End when what is there now is loaded.
        done: Is told what became of a file, and where its receipt is.
        publish: Builds a new board after new rows came in.
        say: Is told when another writer is waited for.
    """
    seen: dict[Path, tuple[int, int]] = {}
    try:
        while True:
            fresh = [one for one in _arrived(folder, seen) if once or _is_still(one)]
            outcomes = _load(home, fresh, by, say) if fresh else []
            for one, outcome in outcomes:
                assert one.path is not None  # gathered from a folder
                # whoever reads the file reads its receipt
                who_reads = 0o600 if leads_out(one) else stat.S_IMODE(one.path.stat().st_mode) & 0o666
                write_durably(receipt_of(one.path), receipt(outcome, _sha(one)).encode("utf-8"), mode=who_reads)
                done(outcome, receipt_of(one.path))
            if any(outcome.load_no for _, outcome in outcomes):
                publish()
            if once:
                return
            time.sleep(LOOK_EVERY_S)
    except KeyboardInterrupt:
        return


def _arrived(folder: Path, seen: dict[Path, tuple[int, int]]) -> list[Found]:
    """Return the files whose receipt is missing or of other bytes; one looked at before and unchanged is left out."""
    fresh = []
    for one in gather([folder]):
        if one.path is None or one.path.name.endswith((RECEIPT, ".part")):
            continue
        try:
            state = one.path.stat()
        except OSError:  # gone again
            continue
        mark = (state.st_size, state.st_mtime_ns)
        if seen.get(one.path) == mark:
            continue
        told = receipt_of(one.path)
        if told.exists() and f"sha-256 {_sha(one)}" in told.read_text(encoding="utf-8", errors="replace"):
            seen[one.path] = mark
            continue
        fresh.append(one)
    return fresh


def _is_still(one: Found) -> bool:
    """Return whether a file has stopped growing."""
    assert one.path is not None  # gathered from a folder
    try:
        before = one.path.stat()
        time.sleep(STILL_S)
        after = one.path.stat()
    except OSError:
        return False
    return (before.st_size, before.st_mtime_ns) == (after.st_size, after.st_mtime_ns)


def _load(home: Home, fresh: list[Found], by: str | Writer, say: Say) -> list[tuple[Found, Outcome]]:
    return list(zip(fresh, batch.load_found(home, fresh, by, LayoutOptions(), False, say), strict=True))


def _sha(one: Found) -> str:
    return checksum(read_bytes(one)[0])
