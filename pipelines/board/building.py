"""From the record to the published board: derive, publish, and know whether the board is of now."""

import contextlib
import datetime as dt
from collections.abc import Callable, Mapping
from pathlib import Path

import polars as pl

from pipelines.board import derivation as derive
from pipelines.board import fingerprints, publish
from pipelines.board.computing import DerivationFailed
from pipelines.board.entry_days import entry_days
from pipelines.derived.registry import BY_ATHLETE, Derivation, derivations
from pipelines.errors import ThirdstepError
from pipelines.home.durable import sweep
from pipelines.home.folder import Home, Say, only_publisher, say_nothing
from pipelines.home.settings import read_settings, setting_rows
from pipelines.record import opening, warehouse
from pipelines.record.sources import checksum, journal
from schemas.base import Table
from schemas.derived.registry import derived_models

Tell = Callable[[int, int, str], None]
REACH = {"session": "session_date", "checkin": "checked_on", "force_test": "tested_on", "jump_test": "tested_on"}


def tell_nothing(_done: int, _all: int, _next: str) -> None:
    """Take progress for people and keep quiet."""


def derive_board(home: Home, say: Say = say_nothing, tell: Tell = tell_nothing) -> Path:
    """Compute the derived tables and publish the board. When that fails the last board stays in force.

    Other writers may go on while tables are computed: the record is held only while its tables are copied.
    """
    opening.prepare(home)
    settings = read_settings(home.settings)
    as_of = opening.looking_from(settings)
    with only_publisher(home, say):
        last = publish.current_board(home)
        build = publish.Build(home)
        try:
            with opening.record(home, say) as con:
                frames = {**warehouse.record_frames(con), "entry_day": entry_days(con)}
                event_no = warehouse.last_event(con)
                build.copy_record(con)
            functions, models = _functions_and_models()
            done = derive.derive_all(
                frames, settings, as_of, functions=functions, models=models, by_athlete=BY_ATHLETE,
                earlier=publish.earlier(last), tell=tell,
            )  # fmt: skip
            info = {
                "squad_name": settings.squad_name,
                "as_of": as_of,
                "data_to": _data_to(frames, as_of),
                "built_at": opening.now(),
                "build": build.number,
                "is_demo": str(home.demo_mark.exists()).lower(),
                "last_event": event_no,
                "settings": settings_print(home),
                "code": fingerprints.of_code(),
            }
            build.add({
                "entry_day": frames["entry_day"],
                **done.frames,
                **publish.words(models, functions, settings),
                "setting": setting_rows(settings),
                "board_info": publish.pairs(info),
                "fingerprint": publish.pairs(done.fingerprints),
                "athlete_fingerprint": done.athlete_fingerprints,
                "athlete_content": done.athlete_contents,
            })  # fmt: skip
            return build.publish()
        except BaseException:
            build.abandon()
            raise


def is_stale(home: Home) -> bool:
    """Return whether the board in force was made from other rows, settings, code or another day than now.

    What a stopped erasure or restore left is still to be done, and changes the rows.
    """
    if opening.is_left(home):
        return True
    told = publish.board_info(publish.current_board(home))
    now = {
        "last_event": str(journal.last_event_no(home.sources)),
        "as_of": opening.looking_from(read_settings(home.settings)).isoformat(),
        "settings": settings_print(home),
        "code": fingerprints.of_code(),
    }
    return any(told.get(name) != value for name, value in now.items())


def bring_up_to_date(home: Home, say: Say = say_nothing, tell: Tell = tell_nothing) -> str:
    """Publish a board where the one in force is not of now.

    Returns:
        What went wrong, when an older board is there and stays in force; "" otherwise.

    Raises:
        ThirdstepError: It went wrong and there is no older board.
    """
    if any(home.board.glob("*.part*")):
        with contextlib.suppress(ThirdstepError), only_publisher(home, wait_s=0.0):  # it may be in the making just now
            sweep(home.board, "*.part*")
    try:
        if is_stale(home):
            derive_board(home, say, tell)
    except ThirdstepError as trouble:
        if publish.current_board(home) is None:
            raise
        return trouble.message
    return ""


def board_differs(home: Home, frames: Mapping[str, pl.DataFrame]) -> str:
    """Return in which tables the board differs from what the record's frames give, "" where in none."""
    board = publish.current_board(home)
    if board is None:
        return "nothing has been published; run 'thirdstep derive'"
    settings = read_settings(home.settings)
    functions, models = _functions_and_models()
    as_of = opening.looking_from(settings)
    wanted = {
        **frames,
        **derive.derive_all(frames, settings, as_of, functions=functions, models=models, by_athlete=BY_ATHLETE).frames,
    }
    wrong = publish.differing(board, wanted)
    return f"differs in {', '.join(wrong)}; run 'thirdstep derive'" if wrong else ""


def _functions_and_models() -> tuple[dict[str, Derivation], dict[str, type[Table]]]:
    try:
        return derivations(), derived_models()
    except LookupError as missing:
        raise DerivationFailed(f"The derived tables are not complete: {missing.args[0]}.") from missing


def settings_print(home: Home) -> str:
    """Return a fingerprint of the settings in force."""
    return checksum(repr(read_settings(home.settings)).encode())[:32]


def _data_to(frames: Mapping[str, pl.DataFrame], as_of: dt.date) -> dt.date | str:
    """Return the last day, not after the one looked from, with a session, check-in or test; "" where there is none."""
    days = [frames[name].filter(pl.col(day) <= as_of)[day].max() for name, day in REACH.items()]
    return max((day for day in days if isinstance(day, dt.date)), default="")
