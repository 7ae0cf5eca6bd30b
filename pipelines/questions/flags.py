"""The look back at the flags under the rules as they stood after an earlier change; nothing is published."""

import polars as pl

from pipelines.board import derivation as derive
from pipelines.board.entry_days import entry_days
from pipelines.derived.registry import BY_ATHLETE, derivations
from pipelines.home.folder import Home, Say, say_nothing
from pipelines.home.rules import settings_of
from pipelines.record import opening, warehouse
from schemas.derived.registry import DERIVED

TABLE = "flag_backtest"


def flags_under(home: Home, change_no: int, say: Say = say_nothing) -> pl.DataFrame:
    """Return ``flag_backtest`` of today's record under the rules after a change; 0: under the rules as they came.

    Raises:
        ThirdstepError: There is no such change, or a table cannot be derived.
    """
    settings = settings_of(home, change_no)
    with opening.record(home, say, to_look=True) as con:
        frames = {**warehouse.record_frames(con), "entry_day": entry_days(con)}
    every = derivations()
    needed, waiting = set(), [TABLE]
    while waiting:
        name = waiting.pop()
        if name in every and name not in needed:
            needed.add(name)
            waiting += derive.inputs_of(every[name])
    done = derive.derive_all(
        frames,
        settings,
        opening.looking_from(settings),
        functions={name: every[name] for name in needed},
        models={name: DERIVED[name] for name in needed},
        by_athlete=BY_ATHLETE,
    )
    return done.frames[TABLE]
