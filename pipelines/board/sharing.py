"""A whole derivation of a large squad, shared by several processes: each derives some athletes' tables.

Tables of the squad stand between: what they read must be there of everybody, and what reads them waits for them. So the
tables come in stages, in turn of the athletes and of the squad. What is made lies in a spool beside the board; no
process holds more than its share of it.
"""

import datetime as dt
import os
import queue
import threading
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from itertools import pairwise
from pathlib import Path

import polars as pl

from pipelines.board import fingerprints
from pipelines.board.computing import in_order
from pipelines.board.derivation import ATHLETE, PRINTS, Derived, Earlier, inputs_of, named, order_of
from pipelines.board.share import Child, SpooledRun, made_from, prints_of, read_as
from pipelines.board.spool import Spool
from pipelines.derived.registry import Derivation
from schemas.base import Table, table_key
from schemas.settings import SquadSettings

MOST_ROWS = 1_200_000  # of the record in a share, so that little memory holds what is made from them; own choice
MOST_PROCESSES = 4  # more take memory; own choice
FEWEST_ATHLETES = 100  # from whom on it is worth the start of processes; own choice


def processes() -> int:
    """Return how many processes share a derivation on this machine."""
    return max(1, min(os.cpu_count() or 1, MOST_PROCESSES))


def is_worth_sharing(athletes: int) -> bool:
    """Return whether there are athletes enough, and processors."""
    return processes() > 1 and athletes >= FEWEST_ATHLETES


def stages_of(
    order: Sequence[str], functions: Mapping[str, Derivation], of_the_squad: frozenset[str]
) -> list[list[str]]:
    """Return the tables in stages, the athletes' and the squad's in turn; the first is the athletes', if only empty."""
    stage: dict[str, int] = {}
    for name in order:
        is_squad = name in of_the_squad
        before = [
            stage[read] + (is_squad != (read in of_the_squad)) for read in inputs_of(functions[name]) if read in stage
        ]
        stage[name] = max(before, default=int(is_squad))
    return [[name for name in order if stage[name] == number] for number in range(max(stage.values()) + 1)]


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
    count = count or processes()
    spool = Spool(folder, shares)
    for name in records:
        spool.put(name, records[name])
    stages = stages_of(order, functions, of_the_squad)
    steps = _Steps(tell, sum(1 if name in of_the_squad else len(spool.shares) for name in order))
    run = SpooledRun(spool, None, settings, as_of, earlier)
    last = {name: place for place, stage in enumerate(stages) for one in stage for name in inputs_of(functions[one])}
    task = {
        "folder": str(folder), "shares": [*map(list, shares)], "settings": settings.model_dump_json(),
        "as_of": as_of.isoformat(), "board": str(board) if board and earlier.fingerprints else None,
    }  # fmt: skip
    children = [Child(task) for _ in range(min(count, len(spool.shares)))]
    try:
        for place in range(0, len(stages), 2):
            squad = stages[place + 1] if place + 1 < len(stages) else []
            first, rest = _waited_for(stages[place], squad, functions)
            _take_over(run, first, _derive_stage(children, first, len(spool.shares), steps))
            with ThreadPoolExecutor(1) as beside:  # what no table of the squad waits for is made beside these
                later = beside.submit(_derive_stage, children, rest, len(spool.shares), steps)
                try:
                    for name in first:
                        put(name, _whole(spool, name, models[name]))
                    for name in squad:
                        steps.next(name)
                        run.derive(name, functions[name], models[name], apart=False)
                        spool.put(name, run.made[name].frame)
                        put(name, run.made[name].frame)
                except BaseException:
                    for child in children:  # or what they do beside would be waited for
                        child.end()
                    raise
                _take_over(run, rest, later.result())
            for name in rest:
                put(name, _whole(spool, name, models[name]))
            here = [*stages[place], *squad]
            for name in {*here, *(read for one in here for read in inputs_of(functions[one]))}:
                run.made.pop(name, None)
                if last.get(name, place) <= place + 1:
                    spool.drop(name)
    finally:
        for child in children:
            child.end()
    steps.end()
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


class _Steps:
    """Tells how many of how many steps are begun; asked by several threads."""

    def __init__(self, tell: Callable[[int, int, str], None] | None, count: int) -> None:
        self._tell, self._count, self._done, self._lock = tell, count, 0, threading.Lock()

    def next(self, name: str, steps: int = 1) -> None:
        with self._lock:
            if self._tell:
                self._tell(self._done, self._count, name)
            self._done += steps

    def end(self) -> None:
        if self._tell:
            self._tell(self._count, self._count, "")


def _waited_for(
    stage: Sequence[str], squad: Sequence[str], functions: Mapping[str, Derivation]
) -> tuple[list[str], list[str]]:
    """Return the tables of a stage that the squad's tables after it rest on, and the others."""
    wanted, waiting = set[str](), [*squad]
    while waiting:
        for read in inputs_of(functions[waiting.pop()]):
            if read in stage and read not in wanted:
                wanted.add(read)
                waiting.append(read)
    return [name for name in stage if name in wanted], [name for name in stage if name not in wanted]


def _derive_stage(children: Sequence[Child], stage: list[str], shares: int, steps: _Steps) -> dict[str, str]:
    """Let the processes derive tables of every share; return what their fingerprints hold beside the athletes' own."""
    if not stage:
        return {}
    left: queue.SimpleQueue[int] = queue.SimpleQueue()
    for share in range(shares):
        left.put(share)
    told: list[dict[str, str]] = []
    wrong: list[BaseException] = []

    def work(child: Child) -> None:
        while not wrong:
            try:
                share = left.get_nowait()
            except queue.Empty:
                return
            try:
                steps.next(stage[-1], len(stage))
                told.append(child.derive(share, stage))
            except BaseException as trouble:  # raised again by who waits
                wrong.append(trouble)

    threads = [threading.Thread(target=work, args=(child,), name="derive", daemon=True) for child in children]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    if wrong:
        raise wrong[0]
    return told[0]


def _take_over(run: SpooledRun, names: Sequence[str], common: Mapping[str, str]) -> None:
    """Note the fingerprints of tables that the processes made, and how much of each was as last time."""
    for name in names:
        now = run.spool.get(made_from(name)).sort(ATHLETE)
        run.common[name] = common[name]
        run.prints[name] = fingerprints.of_text(common[name], fingerprints.of_table(now))
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
