"""What stands first in a delta's file: which tables it holds and what it says of itself, to be read without Polars."""

import json
from pathlib import Path
from typing import Any

MARK = ".delta-"
ENDING = ".duckdb"
MAGIC = b"thirdstep delta 1\n"
LENGTH_BYTES = 8  # of the number that says how long the header is


def is_delta(path: Path) -> bool:
    """Return whether a name is that of a delta."""
    return MARK in path.name


def base_of(path: Path) -> Path:
    """Return the board file that a board or a delta rests on."""
    return path.with_name(path.name.split(MARK, maxsplit=1)[0] + ENDING) if is_delta(path) else path


def with_header(told: dict[str, Any], blobs: list[bytes]) -> bytes:
    """Return the bytes of a delta: mark, length of the header, header, and what it says is behind it."""
    header = json.dumps(told).encode()
    return b"".join([MAGIC, len(header).to_bytes(LENGTH_BYTES, "little"), header, *blobs])


def read_header(content: bytes) -> tuple[dict[str, Any], int]:
    """Return the header and where what follows it begins.

    Raises:
        OSError: It is damaged, or none of this version.
    """
    begin = len(MAGIC) + LENGTH_BYTES
    end = begin + int.from_bytes(content[len(MAGIC) : begin], "little")
    if not content.startswith(MAGIC) or end > len(content):
        raise OSError("the delta is damaged")
    try:
        return json.loads(content[begin:end]), end
    except ValueError as trouble:
        raise OSError("the delta is damaged") from trouble
