"""The work of a derivation that several processes share, in pieces, and which of them can be begun.

A block is athletes' tables that wait for the same tables of the squad, and that the same tables of the squad wait for:
none of them could be begun or would be asked for without the others. A process derives a block for one share of the
athletes at a time. What the longest chain of the squad's tables hangs on comes first.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field


@dataclass(frozen=True)
class Unit:
    """A block, or one table of the squad by itself."""

    names: tuple[str, ...]  # in the order in which they are computed
    reads: frozenset[str]  # tables that others make, or the record's
    urgency: tuple[int, int]  # tables of the squad one after the other behind it, and all tables behind it


@dataclass
class Blocks:
    """Which unit waits for which. Shares are numbered; a table of the squad and one of the record have none.

    ``block`` and ``squad`` are the units in the order of urgency.
    """

    block: list[Unit]
    squad: list[Unit]
    records: list[str]  # read by anybody, in the order of urgency
    shares: int
    _there: set[tuple[str, int | None]] = field(default_factory=set)  # tables, and shares of tables
    _begun: set[tuple[str, int | None]] = field(default_factory=set)  # first table of a unit, and share

    @classmethod
    def of(
        cls, order: Sequence[str], reads: Mapping[str, Sequence[str]], of_the_squad: frozenset[str], shares: int
    ) -> "Blocks":
        """Return the units of tables given in an order in which each comes after what it reads."""
        before = dict.fromkeys(order, frozenset[str]())  # tables of the squad that a table waits for
        for name in order:
            before[name] = frozenset().union(
                *(before[read] | ({read} & of_the_squad) for read in reads[name] if read in reads)
            )
        records = list(dict.fromkeys(read for name in order for read in reads[name] if read not in reads))
        behind = {name: frozenset[str]() for name in (*order, *records)}
        chain = dict.fromkeys(behind, 0)
        for name in reversed(order):
            for read in reads[name]:
                behind[read] |= behind[name] | {name}
                chain[read] = max(chain[read], chain[name] + (name in of_the_squad))
        urgency = {name: (chain[name], len(behind[name])) for name in behind}
        together: dict[object, list[str]] = {}
        for name in order:
            apart = name if name in of_the_squad else (before[name], behind[name] & of_the_squad)
            together.setdefault(apart, []).append(name)
        units = [
            Unit(
                tuple(names),
                frozenset(read for name in names for read in reads[name]) - {*names},
                max(urgency[name] for name in names),
            )
            for names in together.values()
        ]
        units.sort(key=lambda unit: unit.urgency, reverse=True)
        return cls(
            [unit for unit in units if unit.names[0] not in of_the_squad],
            [unit for unit in units if unit.names[0] in of_the_squad],
            sorted(records, key=lambda name: urgency[name], reverse=True),
            shares,
        )

    def note(self, names: Iterable[str], share: int | None = None) -> None:
        """Note that tables are there, whole or of a share."""
        self._there.update((name, share) for name in names)

    def next_of_the_squad(self, *, begin: bool = True) -> str | None:
        """Return the most urgent table of the squad that can be begun; it counts as begun, where it is to."""
        for unit in self.squad:
            (name,) = unit.names
            if (name, None) not in self._begun and all(self.is_whole(read) for read in unit.reads):
                if begin:
                    self._begun.add((name, None))
                return name
        return None

    def next_block(self) -> tuple[Unit, int] | None:
        """Return the most urgent block that can be begun, and for which share; it counts as begun."""
        for unit in self.block:
            for share in range(self.shares):
                if (unit.names[0], share) in self._begun:
                    continue
                if all((read, share) in self._there or (read, None) in self._there for read in unit.reads):
                    self._begun.add((unit.names[0], share))
                    return unit, share
        return None

    def is_whole(self, name: str) -> bool:
        """Return whether a table is there of all athletes."""
        return (name, None) in self._there or all((name, share) in self._there for share in range(self.shares))

    def is_done(self, unit: Unit) -> bool:
        """Return whether all tables of a unit are there of all athletes."""
        return all(map(self.is_whole, unit.names))

    def are_begun(self) -> bool:
        """Return whether every block is begun for every share."""
        return all((unit.names[0], share) in self._begun for unit in self.block for share in range(self.shares))

    def is_read_no_more(self, name: str) -> bool:
        """Return whether all that read a table are done."""
        return all(self.is_done(unit) for unit in (*self.block, *self.squad) if name in unit.reads)
