"""The reading of a sheet: what its rows, its columns and the sheet as a whole are taken for. As data, to show and
change.

A reading is proposed by the layouts with its evidence, changed by the coach, kept under the signature of its
headers and
obeyed; nothing else decides what becomes of a cell. ``as_told`` and ``from_told`` are its form as plain data (TOML).
"""

from collections.abc import Mapping
from dataclasses import asdict, dataclass, field, replace
from typing import Any, Literal

NOT_USED = "not_used"  # column of a use that nothing is taken from
ARE_PEOPLE, ARE_DAYS = "people", "days"  # answers of a column: it and those like it are somebody's, or a day's, each
Good = Literal["high", "low"]


@dataclass(frozen=True)
class Scale:
    """A rating scale: its ends as the file writes them, and which of them is good.

    A rating is laid on the record's scale by a straight line, end on end; where the good ends differ, turned round.
    """

    least: float
    most: float
    good: Good = "high"

    @property
    def told(self) -> str:
        """The scale as an answer is written: '1 to 5, 5 is good'."""
        best = self.most if self.good == "high" else self.least
        return f"{self.least:g} to {self.most:g}, {best:g} is good"


@dataclass(frozen=True)
class Use:
    """What one column of a block is taken for."""

    place: int  # its column, from 0
    header: str
    table: str = ""  # record table, "" where nothing is taken from the column
    column: str = NOT_USED  # record column, or the name of a helper (date, set_text, contact_frame ...)
    unit: str | None = None
    unit_is_certain: bool = False
    scale: Scale | None = None
    role: str = "value"  # value, gate, number, run, step, first_name, last_name, name_particle, measure
    gate_m: float | None = None
    from_m: float | None = None
    number: int | None = None  # step, set, trial or run the cells belong to
    run_no: int | None = None
    at: dict[str, str] = field(default_factory=dict)  # key words that hold for its cells: test, side
    why: str = ""  # the evidence, in a coach's words


@dataclass(frozen=True)
class Fact:
    """What holds for all rows of a block, and where it stands."""

    text: str  # as written
    place: str  # "title", "sheet name", "file name", "line above", "answer"


@dataclass(frozen=True)
class Block:
    """One table of a sheet: its lines, its header, what its columns are and what holds for all of it."""

    shape: str  # which way of laying out: own, measures, runs, gates, numbered, long, tests
    table: str  # the main table
    header_lines: tuple[int, ...]
    first_line: int
    last_line: int
    columns: tuple[int, int]  # first and last column of the sheet that belong to it
    uses: tuple[Use, ...]
    facts: dict[str, Fact] = field(default_factory=dict)
    filled_down: tuple[int, ...] = ()  # columns in which an empty cell repeats the one above
    signature: str = ""  # of its own header
    turned: str = ""  # "athletes" or "days" where those stand as columns and were made rows


@dataclass(frozen=True)
class Reading:
    """What one sheet of a file is taken for."""

    source: str
    sheet: str
    signature: str  # of the headers of its first block
    blocks: tuple[Block, ...]

    @property
    def used(self) -> int:
        """How many columns something is taken from."""
        return sum(1 for block in self.blocks for use in block.uses if use.table)


def _plain(told: Any) -> Any:
    if isinstance(told, Mapping):
        return {k: v for k, one in told.items() if not _is_empty(v := _plain(one))}
    if isinstance(told, list | tuple):
        return [_plain(one) for one in told]
    return told


def _is_empty(value: Any) -> bool:
    """Return whether a value says nothing; a nought says something: a scale from 0, a gate at the line."""
    return value is None or value is False or (isinstance(value, str | list | Mapping) and not value)


def block_told(block: Block) -> dict[str, Any]:
    """Return a block as plain data, without what is empty."""
    told = asdict(block)
    columns = [{"place": use["place"], **_plain(use)} for use in told["uses"]]
    return {**_plain({**told, "uses": []}), "columns": list(block.columns), "column": columns}


def block_logged(block: Block) -> dict[str, Any]:
    """Return a block as it is logged: what titles and names say is left out of it, it is read from the source again.

    It may name a person.
    """
    facts = {name: replace(fact, text="") if fact.place != "header" else fact for name, fact in block.facts.items()}
    return block_told(replace(block, facts=facts))


def block_from_told(told: Mapping[str, Any]) -> Block:
    """Return a block from plain data.

    Raises:
        KeyError, TypeError, ValueError: A field is missing or none that a block has.
    """
    uses = []
    for use in told["column"]:
        # Logs of before left an end of 0 out.
        scale = Scale(**{"least": 0.0, "most": 0.0, **use["scale"]}) if "scale" in use else None
        uses.append(Use(**{"header": "", **use, "scale": scale}))
    facts = {name: Fact(**{"text": "", "place": "", **fact}) for name, fact in told.get("facts", {}).items()}
    rest = {k: v for k, v in told.items() if k not in ("column", "facts")}
    for name in ("header_lines", "columns", "filled_down"):
        if name in rest:
            rest[name] = tuple(rest[name])
    return Block(**{"first_line": 0, "last_line": 0, "header_lines": (), **rest, "uses": tuple(uses), "facts": facts})


def reading_key(layout: str, nth: int) -> str:
    """Return what the reading of one of several tables under the same headers is logged by, where they differ."""
    return f"{layout}.{nth}"


def as_told(reading: Reading) -> dict[str, Any]:
    """Return a reading as plain data, without what is empty."""
    told = {"source": reading.source, "sheet": reading.sheet, "signature": reading.signature}
    return {**told, "block": [block_told(block) for block in reading.blocks]}


def from_told(told: Mapping[str, Any]) -> Reading:
    """Return a reading from plain data.

    Raises:
        KeyError, TypeError, ValueError: A field is missing or none that a reading has.
    """
    blocks = tuple(block_from_told(block) for block in told["block"])
    return Reading(told["source"], told.get("sheet", ""), told["signature"], blocks)
