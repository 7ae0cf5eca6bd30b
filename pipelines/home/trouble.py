"""What the machine may do to us, said in one sentence with a way out: disk full, no permission, a damaged record."""

import errno
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import duckdb

from pipelines.errors import ThirdstepError

_DAMAGED = (
    "not a valid DuckDB database", "checksum", "corrupt", "deserializ", "unexpected end of file",
    "Could not read enough bytes", "read beyond", "WAL",
)  # fmt: skip


@contextmanager
def plain_words(path: Path) -> Iterator[None]:
    """Turn what the system says about a file into one sentence and a way out."""
    try:
        yield
    except OSError as trouble:
        raise ThirdstepError(said_of_system(trouble, path)) from trouble
    except duckdb.Error as trouble:
        raise ThirdstepError(_of_database(trouble, path)) from trouble


def said_of_system(trouble: OSError, path: Path) -> str:
    """Return what the system says of a file as one sentence with a way out."""
    where = Path(trouble.filename) if isinstance(trouble.filename, str) else path
    if trouble.errno in (errno.ENOSPC, errno.EDQUOT, errno.EFBIG):
        return f"The disk is full: '{where}' could not be written. Nothing was half-stored. Make room and run it again."
    if trouble.errno in (errno.EACCES, errno.EPERM, errno.EROFS):
        return (
            f"'{where}' may not be read or written by this user. Nothing was stored. "
            "Change the folder's permissions, or give another folder with --home DIR."
        )
    if trouble.errno in (errno.ENOTDIR, errno.EEXIST):
        return f"'{where}' is a file where a folder should be. Give another folder with --home DIR."
    return f"'{where}': {trouble.strerror or trouble}. Nothing was stored. Mend that and run it again."


def _of_database(trouble: duckdb.Error, path: Path) -> str:
    text = str(trouble)
    if "No space left" in text or "File too large" in text or isinstance(trouble, duckdb.OutOfMemoryException):
        return f"There is no room left while writing '{path}'. Nothing was half-stored. Make room and run it again."
    if "Conflicting lock" in text or "being used by another process" in text:
        return f"'{path}' is open in another program. Close it there and run the command again."
    if "Permission denied" in text or "Read-only file system" in text:
        return (
            f"'{path}' may not be opened for writing by this user. Nothing was stored. "
            "Change the folder's permissions, or give another folder with --home DIR."
        )
    if "storage version" in text or "newer version" in text:
        return f"'{path}' was written by another version of DuckDB. Install that version, or run 'thirdstep rebuild'."
    if isinstance(trouble, duckdb.SerializationException) or any(word in text for word in _DAMAGED):
        return (
            f"The file '{path}' is damaged and was not opened. Every loaded file is still kept under sources/: "
            "'thirdstep rebuild' makes the record again from them ('thirdstep restore FILE' brings back a backup)."
        )
    first = text.strip().splitlines()[0]
    return f"'{path}': {first}. Nothing was stored. 'thirdstep verify' checks the whole home folder."
