"""A whole derivation of a large squad, shared by several processes: each derives some athletes' tables.

Tables of the squad stand between: what they read must be there of everybody, and what reads them waits for them. So the
tables of athletes are parted into blocks (``blocks.py``), which are begun as soon as what they read is there; this
process makes the squad's tables beside. What is made lies in a spool beside the board; no process holds more than its
share of it.
"""

import datetime as dt
import os
import threading
from collections.abc import Callable, Iterable, Mapping, Sequence
from itertools import pairwise
from pathlib import Path

import polars as pl

from pipelines.board import fingerprints
from pipelines.board.blocks import Blocks, Unit
from pipelines.board.computing import in_order
from pipelines.board.derivation import ATHLETE, PRINTS, WORDS, Derived, Earlier, inputs_of, named, order_of
from pipelines.board.share import Child, SpooledRun, made_from, prints_of, read_as
from pipelines.board.spool import Spool
from pipelines.derived.registry import Derivation, in_parts
from schemas.base import Table, table_key
from schemas.settings import SquadSettings

MOST_ROWS = 1_800_000  # of the record in a share, so that little memory holds what is made from them; own choice
MOST_PROCESSES = 4  # more take memory; own choice
FEWEST_ATHLETES = 100  # from whom on it is worth the start of processes; own choice


def processes() -> int:
    """Return how many processes share a derivation on this machine."""
    return max(1, min(os.cpu_count() or 1, MOST_PROCESSES))


def is_worth_sharing(athletes: int) -> bool:
    """Return whether there are athletes enough, and processors."""
    return processes() > 1 and athletes >= FEWEST_ATHLETES


def shares_of(athletes: Sequence[str], rows: int, count: int = 0) -> list[list[str]]:
    """Return the athletes in their order, in shares of as many: one for each process at least, of not too many rows.

    Args:
        athletes: All of whom the record holds rows.
        rows: How many rows it holds of them.
        count: How many processes; 0 for as many as suit the machine.
    """
    ordered = sorted(athletes)
    parts = max(1, min(len(ordered), max(count or processes(), -(-rows // MOST_ROWS))))
    ends = [len(ordered) * number // parts for number in range(parts + 1)]
    return [ordered[first:end] for first, end in pairwise(ends)]


def derive_shared(
    records: Mapping[str, pl.DataFrame],
    shares: Sequence[Sequence[str]],
    settings: SquadSettings,
    as_of: dt.date,
    *,
    functions: Mapping[str, Derivation],
    models: Mapping[str, type[Table]],
    of_the_squad: frozenset[str],
    folder: Path,
    put: Callable[[str, pl.DataFrame], None],
    earlier: Earlier,
    board: Path | None = None,
    tell: Callable[[int, int, str], None] | None = None,
    count: int = 0,
) -> Derived:
    """Compute every derived table as ``derive_all`` does, in several processes.

    Args:
        records: Record tables. Each is asked for once and let go of.
        shares: The athletes, as ``shares_of`` parts them.
        settings: The squad's settings.
        as_of: The day the tool looks from.
        functions: The derivations by table: those of the registry, which the processes go by.
        models: Their models.
        of_the_squad: The tables that are computed whole.
        folder: Where the spool is made; whoever calls takes it away.
        put: Is handed each table as soon as it is there.
        earlier: What was derived last time.
        board: The board file that tells it.
        tell: Is told how far it is.
        count: How many processes; 0 for as many as suit the machine.

    Raises:
        DerivationFailed: A table fails or does not fit its model, or a process ended.
    """
    order = order_of(functions, records)
    count = min(count or processes(), len(shares))
    spool = Spool(folder, shares)
    every = with_parts(order, functions)
    work = _Work(Blocks.of([*every], every, of_the_squad, len(shares)), _Steps(tell, every, of_the_squad, len(shares)))
    run = SpooledRun(spool, None, settings, as_of, earlier)
    task = {
        "folder": str(folder), "shares": [*map(list, shares)], "settings": settings.model_dump_json(),
        "as_of": as_of.isoformat(), "board": str(board) if board and earlier.fingerprints else None,
    }  # fmt: skip
    children = [Child(task) for _ in range(count)]
    threads = [threading.Thread(target=work.through, args=(child,), name="derive", daemon=True) for child in children]
    try:
        for thread in threads:
            thread.start()
        for name in work.blocks.records:  # what waits for these alone is begun while others are still laid down
            spool.put(name, records[name])
            work.note([name])
        waiting, kept = [*order], {*work.blocks.records, *every}
        while work.goes_on(waiting):
            squads = work.take_of_the_squad()
            if squads:
                run.derive(squads, functions[squads], models[squads], apart=False)
                spool.put(squads, run.made[squads].frame)
                run.made.clear()
                work.note([squads])
                continue
            name = next(name for name in waiting if work.is_whole(name))
            waiting.remove(name)
            if name not in of_the_squad:
                _take_over(run, name, work.common[name])
            put(name, _whole(spool, name, models[name]))
            for read in [read for read in kept if read not in waiting and work.is_read_no_more(read)]:
                spool.drop(read)
                kept.remove(read)
    except BaseException:
        work.stop()
        raise
    finally:
        for child in children:
            child.end()
        for thread in threads:
            thread.join()
    work.steps.end()
    contents = [
        named(run.label_of(parameter), spool.get(prints_of(parameter)))
        for ways in read_as(functions).values()
        for parameter in ways
        if spool.holds(prints_of(parameter))
    ]
    nothing = pl.DataFrame(schema=PRINTS)
    return Derived(
        {}, run.prints, pl.concat([nothing, *run.athlete_prints]), pl.concat([nothing, *contents]),
        run.reused, run.recomputed,
    )  # fmt: skip


def with_parts(order: Sequence[str], functions: Mapping[str, Derivation]) -> dict[str, list[str]]:
    """Return, in order, what each table reads, and each part that processes make of a table of the squad."""
    parts = {name: made.part for name, made in in_parts().items() if name in functions}
    every: dict[str, list[str]] = {}
    for name in order:
        reads = [read for read in inputs_of(functions[name]) if read not in WORDS]
        if name in parts:
            part = parts[name].__name__
            every[part] = inputs_of(parts[name])
            reads.append(part)
        every[name] = reads
    return every


class _Steps:
    """Tells how many of how many steps are begun."""

    def __init__(
        self, tell: Callable[[int, int, str], None] | None, order: Iterable[str], squad: frozenset[str], shares: int
    ) -> None:
        self._tell, self._done = tell, 0
        self._count = sum(1 if name in squad else shares for name in order)

    def next(self, name: str, steps: int = 1) -> None:
        if self._tell:
            self._tell(self._done, self._count, name)
        self._done += steps

    def end(self) -> None:
        if self._tell:
            self._tell(self._count, self._count, "")


class _Work:
    """What is left to be done, handed to the threads that ask: one for each process, and one for the squad's tables."""

    def __init__(self, blocks: Blocks, steps: _Steps) -> None:
        self.blocks, self.steps = blocks, steps
        self.common: dict[str, str] = {}  # what the fingerprints of athletes' tables hold beside the athletes' own
        self._wrong: list[BaseException] = []
        self._change = threading.Condition()

    def through(self, child: Child) -> None:
        """Let a process derive blocks until none is left, or something goes wrong."""
        while (found := self._take_block()) is not None:
            unit, share = found
            try:
                told = child.derive(share, unit.names)
            except BaseException as trouble:  # raised again by who waits
                with self._change:
                    self._wrong.append(trouble)
                    self._change.notify_all()
                return
            self.common.update(told)
            self.note(unit.names, share)

    def note(self, names: Sequence[str], share: int | None = None) -> None:
        """Note that tables are there, whole or of a share."""
        with self._change:
            self.blocks.note(names, share)
            self._change.notify_all()

    def stop(self) -> None:
        """Let nobody begin anything more."""
        with self._change:
            self._wrong.append(InterruptedError())
            self._change.notify_all()

    def goes_on(self, waiting: Sequence[str]) -> bool:
        """Return whether any table is waited for, once a table of the squad can be begun or one of them is there.

        Raises:
            DerivationFailed: A process could not do its part.
        """
        with self._change:
            self._change.wait_for(
                lambda: (
                    self._wrong
                    or not waiting
                    or self.blocks.next_of_the_squad(begin=False)
                    or any(map(self.blocks.is_whole, waiting))
                )
            )
            if self._wrong:
                raise self._wrong[0]
            return bool(waiting)

    def take_of_the_squad(self) -> str | None:
        """Return a table of the squad to be computed now, if there is one."""
        with self._change:
            name = self.blocks.next_of_the_squad()
            if name:
                self.steps.next(name)
            return name

    def is_whole(self, name: str) -> bool:
        """Return whether a table is there of all athletes."""
        with self._change:
            return self.blocks.is_whole(name)

    def is_read_no_more(self, name: str) -> bool:
        """Return whether all that read a table are done."""
        with self._change:
            return self.blocks.is_read_no_more(name)

    def _take_block(self) -> tuple[Unit, int] | None:
        with self._change:
            while not self._wrong and not self.blocks.are_begun():
                found = self.blocks.next_block()
                if found is not None:
                    self.steps.next(found[0].names[-1], len(found[0].names))
                    return found
                self._change.wait()
            return None


def _take_over(run: SpooledRun, name: str, common: str) -> None:
    """Note the fingerprints of a table that the processes made, and how much of it was as last time."""
    now = run.spool.get(made_from(name)).sort(ATHLETE)
    run.common[name] = common
    run.prints[name] = fingerprints.of_text(common, fingerprints.of_table(now))
    run.athlete_prints.append(named(name, now))
    then = run.earlier.athlete_fingerprints.filter(table_name=name)
    same = now.join(then, on=[ATHLETE, "value"], how="semi").height
    if same and run.earlier.fingerprints.get(name) == run.prints[name]:
        run.reused.append(name)
    elif same:
        run.recomputed[name] = now.height - same


def _whole(spool: Spool, name: str, model: type[Table]) -> pl.DataFrame:
    rows = spool.get(name)
    return rows if table_key(model)[:1] == [ATHLETE] else in_order(name, rows, model)
