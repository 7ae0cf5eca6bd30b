"""Is everything still what it came from? Sources against their checksums, the record against its sources, the board
against the record; and the record made again from its sources alone.
"""

from collections.abc import Callable
from contextlib import closing

import polars as pl

from pipelines.board import building
from pipelines.board.entry_days import entry_days
from pipelines.errors import Older, ThirdstepError
from pipelines.home.folder import Home, Say
from pipelines.home.permissions import open_to_others, unchecked
from pipelines.record import backup_index, opening, replaying, warehouse
from pipelines.record.reading_code import loads_of_other_code
from pipelines.record.sources import journal, read_source

Tell = Callable[[int, int, str], None]
SHOWN = 3  # loads that are named


def rebuild_record(home: Home, say: Say, tell: Tell, *, dropping: bool = False) -> list[str]:
    """Make the record again from its sources and put it in place of the old one, which moves to the backups.

    Where something does not come out as it was logged, the old one stays, unless ``dropping`` says to go on without it.

    Returns:
        What did not come out as it was logged; empty when all did.
    """
    with opening.alone(home, say):
        return opening.make_again(home, tell, whole_only=not dropping)


def verify(home: Home, say: Say, tell: Tell) -> list[tuple[str, str]]:
    """Check the whole home; return pairs of what was checked and what is wrong with it ("" where nothing is)."""
    found = [("every kept source has the bytes it came with", "; ".join(_damaged_sources(home)))]
    with opening.record(home, say) as con, closing(warehouse.in_memory()) as again:
        unfollowed = journal.first_that_does_not_follow(home.sources)
        try:
            oddities = replaying.replay(again, home, tell)
            differing = [f"table '{name}' differs" for name in replaying.differing_tables(con, again)]
            older = "" if oddities or not differing else _of_earlier_checks(con, again, home)
        except ThirdstepError as trouble:
            oddities, differing, older = [trouble.message], [], ""
        wrong = Older(older) if older else "; ".join([*oddities, *differing])
        found.append(("the record is what its sources give when loaded again", wrong))
        frames = {**warehouse.record_frames(con), "entry_day": entry_days(con)}
    found.append(("the board is what the record gives when derived again", building.board_differs(home, frames)))
    held = "; ".join(f"'{path}' does: delete it and make a new one" for path in backup_index.holding_the_erased(home))
    found.append(("no backup made here still holds somebody who was erased since", held))
    others = "; ".join(
        f"others can read {what}: let its owner alone in (chmod 700)" for what in open_to_others(home.root)
    )
    found.append(("every event of the log follows the one before it", unfollowed))
    found.append((f"nobody else on this machine can read the home folder{unchecked(home.root)}", others))
    return found


def _of_earlier_checks(con: warehouse.Connection, again: warehouse.Connection, home: Home) -> str:
    """Say which loads the checks in force would read otherwise than those they were stored by; "" where something
    differs that no newer check explains: the first load of what differs was read by this code.
    """
    rows = replaying.differing_rows(con, again)
    older = loads_of_other_code(con, home.sources)
    numbers = {number for part in rows.values() for number in part["load_no"].drop_nulls()}
    if set(replaying.differing_tables(con, again)) != set(rows) or not numbers or min(numbers) not in older:
        return ""
    named = [f"{number} ({older[number]})" for number in sorted(numbers) if number in older]
    what = [
        f"{part.filter(is_new).height} {word} in '{name}'"
        for name, part in rows.items() if name != "load"
        for is_new, word in ((pl.col("is_new"), "other or further rows"), (~pl.col("is_new"), "rows no more so"))
        if part.filter(is_new).height
    ]  # fmt: skip
    loads = f"load {named[0]}" if len(named) == 1 else f"loads {', '.join(named[:SHOWN])}"
    more = f" and {len(named) - SHOWN} more" if len(named) > SHOWN else ""
    would = f"; read again today there would be {', '.join(what)}" if what else ""
    return (
        f"the checks are newer than {loads}{more}{would}. Nothing is damaged: what is stored stands as it was checked "
        "then. 'thirdstep rebuild' reads every source again by the checks of today, and keeps the record of now beside."
    )


def _damaged_sources(home: Home) -> list[str]:
    wrong = []
    for event in journal.read_events(home.sources):
        if event.what == "load":
            try:
                read_source(home.sources, event.sha256)
            except ThirdstepError as trouble:
                wrong.append(f"{event.name}: {trouble.message}")
    return wrong
