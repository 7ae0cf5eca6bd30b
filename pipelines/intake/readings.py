"""Readings as files: one TOML file for each sheet, to read, change and obey."""

import re
import tomllib
from collections.abc import Iterable
from pathlib import Path
from typing import Any

import tomli_w

from pipelines.errors import ThirdstepError
from pipelines.home.durable import write_durably
from pipelines.home.trouble import plain_words
from schemas.intake import LaidOut
from schemas.reading import Block, Reading, as_told, from_told
from schemas.spelling import slug

HEAD = (
    "# What this sheet is taken for. Change a line and load with --readings: it is obeyed to the letter.\n"
    '# A column nothing is taken from has no table. A scale: least, most, and which end is good ("high" or "low").\n\n'
)


def readings_of(source: str, laid: Iterable[LaidOut]) -> list[Reading]:
    """Return what the sheets of a file are taken for, one reading a sheet."""
    sheets: dict[str, dict[str, Block]] = {}
    for one in laid:
        if one.block is not None:
            sheets.setdefault(one.sheet, {}).setdefault(one.layout, one.block)
    return [
        Reading(source, sheet, next(iter(blocks)), tuple(blocks.values())) for sheet, blocks in sheets.items() if blocks
    ]


def write_readings(folder: Path, readings: Iterable[Reading]) -> list[Path]:
    """Write readings into a folder, one file each, named after file and sheet; return their paths."""
    with plain_words(folder):
        folder.mkdir(parents=True, exist_ok=True)
    written: list[Path] = []
    for reading in readings:
        stem = slug(re.sub(r"\.[A-Za-z0-9]{1,5}$", "", reading.source), "_") or "file"
        sheet = slug(reading.sheet, "_")
        path = folder / f"{stem}{f'--{sheet}' if sheet else ''}.toml"
        number = 2
        while path in written:
            path, number = folder / f"{stem}--{sheet or 'sheet'}-{number}.toml", number + 1
        write_durably(path, (HEAD + tomli_w.dumps(as_told(reading))).encode("utf-8"))
        written.append(path)
    return written


def read_readings(folder: Path) -> dict[str, Any]:
    """Return the blocks of the readings in a folder, by the signature of their headers.

    Raises:
        ThirdstepError: A file is no reading.
    """
    found: dict[str, Any] = {}
    for path in sorted(folder.glob("*.toml")):
        try:
            reading = from_told(tomllib.loads(path.read_text(encoding="utf-8")))
        except (tomllib.TOMLDecodeError, UnicodeDecodeError, KeyError, TypeError, ValueError) as trouble:
            raise ThirdstepError(f"{path.name} is no reading: {trouble}. Mend the line, or write it anew.") from trouble
        for block in reading.blocks:
            found[block.signature or reading.signature] = block
    return found
