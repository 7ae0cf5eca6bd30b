"""From the record to the published board: derive, publish, and know whether the board is of now."""

import contextlib
import datetime as dt
from collections.abc import Mapping
from pathlib import Path

import polars as pl

from pipelines.board import derivation as derive
from pipelines.board import fingerprints, publish, sharing
from pipelines.board.computing import DerivationFailed
from pipelines.board.entry_days import entry_days
from pipelines.derived.registry import BY_ATHLETE, OF_THE_SQUAD, WITH_THE_SQUAD, Derivation, derivations
from pipelines.errors import ThirdstepError
from pipelines.home.durable import sweep
from pipelines.home.folder import Home, Say, only_publisher, say_nothing
from pipelines.home.settings import read_settings, setting_rows
from pipelines.home.telling import Tell, tell_nothing
from pipelines.record import opening, warehouse
from pipelines.record.sources import checksum, journal
from schemas.base import Table
from schemas.derived.registry import derived_models
from schemas.settings import SquadSettings


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
                days = entry_days(con)
                event_no = warehouse.last_event(con)
                build.copy_record(con)
                reach = publish.data_to(con, as_of)
            build.add("entry_day", days)
            functions, models = functions_and_models()
            with publish.earlier(last) as before:
                done = _derive(home, settings, as_of, before, last, build, tell)
            info = {
                "squad_name": settings.squad_name,
                "as_of": as_of,
                "data_to": reach,
                "built_at": opening.now(),
                "build": build.number,
                "is_demo": str(home.demo_mark.exists()).lower(),
                "last_event": event_no,
                "settings": settings_print(home),
                "code": fingerprints.of_code(),
            }
            rest = {
                **publish.words(models, functions, settings),
                "setting": setting_rows(settings),
                "board_info": publish.pairs(info),
                "fingerprint": publish.pairs(done.fingerprints),
                "athlete_fingerprint": done.athlete_fingerprints,
                "athlete_content": done.athlete_contents,
            }
            for name, frame in rest.items():
                build.add(name, frame)
            return build.publish(info, behind_the_squad(functions))
        except BaseException:
            build.abandon()
            raise


def _derive(
    home: Home,
    settings: SquadSettings,
    as_of: dt.date,
    before: derive.Earlier,
    last: Path | None,
    build: publish.Build,
    tell: Tell,
) -> derive.Derived:
    """Compute the derived tables into a board in the making; those of a large squad in several processes.

    Where day, settings and code are those of the last board, few athletes' rows are to be computed, and one does that.
    """
    functions, models = functions_and_models()
    base = publish.base_of(last) if last else None
    told = publish.board_info(base)
    is_same = bool(before.fingerprints) and all(told.get(n) == v for n, v in say_state(home, settings).items())
    records = build.copied()
    athletes, rows = records.athletes_and_rows()
    if is_same or not sharing.is_worth_sharing(len(athletes)):
        return derive.derive_all(
            dict(records), settings, as_of, functions=functions, models=models, by_athlete=BY_ATHLETE,
            earlier=before, tell=tell, put=build.add,
        )  # fmt: skip
    return sharing.derive_shared(
        records, sharing.shares_of(athletes, rows), settings, as_of, functions=functions, models=models,
        of_the_squad=OF_THE_SQUAD, folder=build.spool, put=build.add, earlier=before, board=base, tell=tell,
    )  # fmt: skip


def is_stale(home: Home) -> bool:
    """Return whether the board in force was made from other rows, settings, code or another day than now.

    What a stopped erasure or restore left is still to be done, and changes the rows.
    """
    if opening.is_left(home):
        return True
    told = publish.board_info(publish.current_board(home))
    now = {"last_event": str(journal.last_event_no(home.sources)), **say_state(home, read_settings(home.settings))}
    return bool(told.get("older")) or any(told.get(name) != value for name, value in now.items())


def say_state(home: Home, settings: SquadSettings) -> dict[str, str]:
    """Return what a board is made under: day, settings and code, as it says of itself."""
    return {
        "as_of": opening.looking_from(settings).isoformat(),
        "settings": settings_print(home),
        "code": fingerprints.of_code(),
    }


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
    functions, models = functions_and_models()
    as_of = opening.looking_from(settings)
    wanted = {
        **frames,
        **derive.derive_all(frames, settings, as_of, functions=functions, models=models, by_athlete=BY_ATHLETE).frames,
    }
    wrong = publish.differing(board, wanted)
    return f"differs in {', '.join(wrong)}; run 'thirdstep derive'" if wrong else ""


def functions_and_models() -> tuple[dict[str, Derivation], dict[str, type[Table]]]:
    """Return the function and the model of every derived table.

    Raises:
        DerivationFailed: One is missing.
    """
    try:
        return derivations(), derived_models()
    except LookupError as missing:
        raise DerivationFailed(f"The derived tables are not complete: {missing.args[0]}.") from missing


def behind_the_squad(functions: Mapping[str, Derivation]) -> list[str]:
    """Return the tables that are not waited for after a write, and all that rest on one of them."""
    found: list[str] = []
    for name in derive.order_of(functions, {**warehouse.SHAPES, "entry_day": None}):
        if name in WITH_THE_SQUAD or any(read in found for read in derive.inputs_of(functions[name])):
            found.append(name)
    return found


def settings_print(home: Home) -> str:
    """Return a fingerprint of the settings in force."""
    return checksum(repr(read_settings(home.settings)).encode())[:32]
