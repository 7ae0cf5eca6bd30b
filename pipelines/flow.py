"""The whole flow, from files to the published board, as a table of contents. Every room is entered from here.

Home folder -> sources kept -> read -> laid out -> checked -> stored -> derived -> published.
"""

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import polars as pl

from pipelines.board import building, publish
from pipelines.board import verification as verifying
from pipelines.board.building import Tell, is_stale, tell_nothing
from pipelines.entry import batch, by_hand, film, track, trail
from pipelines.entry.by_hand import check_entry, entry_columns, frame_error_s, mend, settle, waiting_row
from pipelines.entry.grouping import reason_groups
from pipelines.entry.inbox import watch as watch_inbox
from pipelines.errors import ThirdstepError
from pipelines.home import rules as ruling
from pipelines.home.durable import write_durably
from pipelines.home.folder import Home, Say, find_demo_home, find_home, only_writer, say_nothing
from pipelines.home.settings import read_settings, write_settings
from pipelines.home.trouble import plain_words
from pipelines.intake import answers
from pipelines.intake.answers import as_toml, forget, gathered, of_questions, read_answers
from pipelines.intake.answers import listed as list_answers
from pipelines.intake.files import Found, gather, unpacked
from pipelines.intake.readings import read_readings, write_readings
from pipelines.outputs import dictionary as describing
from pipelines.record import backup as backup_room
from pipelines.record import opening, warehouse
from pipelines.record import unusual as marking
from pipelines.record.loading import Outcome
from pipelines.record.rights import as_writer
from schemas.derived.registry import DERIVED
from schemas.intake import LayoutOptions
from schemas.records import RECORDS
from schemas.rights import Writer
from schemas.settings import SquadSettings

if TYPE_CHECKING:
    from pipelines.accounts.accounts import Accounts
    from pipelines.demo import Built
    from pipelines.derived.start.base_run import Explored
    from pipelines.person.erasure import Erased

__all__ = [
    "Home", "LayoutOptions", "Outcome", "ThirdstepError", "Writer", "accounts", "answers_due", "as_toml", "backup",
    "bring_up_to_date", "build_demo", "change_rule", "check_entry", "compare_starts", "derive_board", "dictionary",
    "enter", "entry_columns", "erase_person", "export_person", "film", "find_demo_home", "find_home",
    "flags_under_rule", "forget", "frame_error_s", "gathered", "is_stale", "list_answers", "load", "load_bytes",
    "load_files", "loads", "mend", "of_questions", "past_keeping", "plan_effect", "plan_needs", "preview",
    "read_answers", "read_readings", "reason_groups", "rebuild", "redo", "rejected", "restore", "rows_file",
    "rule_history", "run_curves", "sample", "serve", "settings", "settle", "sheet", "table", "table_names",
    "template", "track", "undo", "verify", "waiting_row", "watch_inbox", "what_if", "write_file", "write_readings",
    "write_settings",
]  # fmt: skip

# --- loading ---------------------------------------------------------------------------------------------------------


def load(
    home: Home,
    paths: Iterable[Path],
    *,
    by: str | Writer,
    options: LayoutOptions | None = None,
    check_only: bool = False,
    derive_after: bool = True,
    say: Say = say_nothing,
    tell: Tell = tell_nothing,
) -> list[Outcome]:
    """Load files, and folders of files, in the order their tables need; one that cannot be read stops no other.

    Answers for a layout are remembered, unless it is only tried.
    """
    found = gather(paths)
    if options and options.layouts and not check_only:
        answers.remember(home, options.layouts, as_writer(by).name, opening.now())
    outcomes = batch.load_found(home, found, by, options or LayoutOptions(), check_only, say, tell)
    if derive_after and not check_only and any(outcome.load_no for outcome in outcomes):
        derive_board(home, say=say, tell=tell)
    return outcomes


def load_bytes(
    home: Home,
    name: str,
    content: bytes,
    by: str | Writer,
    options: LayoutOptions | None = None,
    *,
    derive_after: bool = True,
) -> Outcome:
    """Load one file whose bytes are at hand (an upload). Answers for a layout are remembered."""
    if options and options.layouts:
        answers.remember(home, options.layouts, as_writer(by).name, opening.now())
    [outcome] = batch.load_found(home, [Found(name, content=content)], by, options or LayoutOptions(), False)
    if derive_after and outcome.load_no:
        derive_board(home)
    return outcome


def load_files(
    home: Home,
    files: Iterable[tuple[str, bytes]],
    by: str | Writer,
    options: LayoutOptions | None = None,
    *,
    check_only: bool = False,
    derive_after: bool = True,
) -> list[Outcome]:
    """Load files given together whose bytes are at hand, a zip archive as what is in it; or say what it would do.

    Answers are remembered, unless it is only tried.
    """
    found = [one for name, content in files for one in unpacked(name, content)]
    options = options or LayoutOptions()
    if options.layouts and not check_only:
        answers.remember(home, options.layouts, as_writer(by).name, opening.now())
    outcomes = batch.load_found(home, found, by, options, check_only)
    if derive_after and not check_only and any(outcome.load_no for outcome in outcomes):
        derive_board(home)
    return outcomes


def preview(
    home: Home, name: str, content: bytes, options: LayoutOptions | None = None, *, by: str | Writer = "preview"
) -> Outcome:
    """Say what loading a file would do, and store nothing."""
    [outcome] = batch.load_found(home, [Found(name, content=content)], by, options or LayoutOptions(), True)
    return outcome


def enter(
    home: Home,
    table_name: str,
    rows: Sequence[Mapping[str, Any]],
    by: str | Writer,
    *,
    resolves: Sequence[int] = (),
    derive_after: bool = True,
) -> Outcome:
    """Store rows typed by hand: kept as a source, checked like a file. ``resolves`` names set-aside rows they mend."""
    outcome = by_hand.enter(home, table_name, rows, by, resolves)
    if derive_after and outcome.load_no:
        derive_board(home)
    return outcome


def plan_effect(
    frames: Mapping[str, pl.DataFrame], rows: Sequence[Mapping[str, Any]], *, settings: SquadSettings, as_of: dt.date
) -> pl.DataFrame:
    """Say what planned sessions would mean, from tables as their reader may see them; nothing is stored."""
    from pipelines.questions.plan import effect_of

    return effect_of(frames, rows, settings, as_of)


def week_lede(rows: Sequence[Mapping[str, Any]]) -> str:
    """Return the sentences over some lines of the weekly sheet; nothing is stored."""
    from pipelines.questions.week import lede_of

    return lede_of(rows)


def since_closing(changed: Sequence[tuple[str, str]]) -> str:
    """Say on top of a closed review what has changed since: pairs of name and what."""
    from pipelines.derived.week.squad_words import say_since_closing

    return say_since_closing(changed)


def plan_needs(rows: Sequence[Mapping[str, Any]]) -> dict[str, dict[str, Any]]:
    """Return which rows and columns of which tables the effect of planned sessions rests on."""
    from pipelines.questions.plan import needed_for

    return needed_for(rows)


# --- the record: looking into it, undoing, making it again -----------------------------------------------------------


def undo(home: Home, load_no: int, by: str | Writer, *, derive_after: bool = True, say: Say = say_nothing) -> None:
    """Take one load out of force, as one step. It stays in the log and can be redone."""
    _undo_or_redo(home, load_no, "undo", by, derive_after, say)


def redo(home: Home, load_no: int, by: str | Writer, *, derive_after: bool = True, say: Say = say_nothing) -> None:
    """Put an undone load back in force."""
    _undo_or_redo(home, load_no, "redo", by, derive_after, say)


def _undo_or_redo(home: Home, load_no: int, what: str, by: str | Writer, derive_after: bool, say: Say) -> None:
    batch.undo_or_redo(home, load_no, what, as_writer(by), say)
    if derive_after:
        derive_board(home, say=say)


def rejected(home: Home, say: Say = say_nothing) -> pl.DataFrame:
    """Return the cells that keep a row out and wait to be mended."""
    with opening.record(home, say, to_look=True) as con:
        return warehouse.waiting(con)


def loads(home: Home, say: Say = say_nothing) -> pl.DataFrame:
    """Return the log of loads."""
    return table(home, "load", say)


def answers_due(home: Home, say: Say = say_nothing) -> pl.DataFrame:
    """Return who has not answered yet: check-ins of today, minutes and effort of the last days' sessions."""
    from pipelines.questions.due import answers_due as waited_for

    return waited_for(home, say)


def table_names() -> list[str]:
    """Return the names of all tables that can be printed."""
    return [*RECORDS, *DERIVED, *warehouse.LOG_TABLES, "marked"]


def table(home: Home, name: str, say: Say = say_nothing) -> pl.DataFrame:
    """Return a record table with where each row came from, a derived table of the board, or a log table."""
    if name in RECORDS or name in warehouse.LOG_TABLES:
        with opening.record(home, say, to_look=True) as con:
            return warehouse.table(con, name)
    if name == "marked":
        with opening.record(home, say, to_look=True) as con:
            return marking.marked(con)
    if name not in DERIVED:
        raise ThirdstepError(f"There is no table '{name}'. The tables are: {', '.join(table_names())}.")
    board = publish.current_board(home)
    if board is None:
        raise ThirdstepError("Nothing has been derived in this home yet. Run 'thirdstep derive'.")
    return publish.read_board(board, name)


def rebuild(home: Home, *, dropping: bool = False, say: Say = say_nothing, tell: Tell = tell_nothing) -> list[str]:
    """Make the record again from its sources alone; return what did not come out as it was logged.

    Where there is such, record and board stay as they were, unless it is said to go on without those rows.
    """
    oddities = verifying.rebuild_record(home, say, tell, dropping=dropping)
    if dropping or not oddities:
        derive_board(home, say=say, tell=tell)
    return oddities


def verify(home: Home, *, say: Say = say_nothing, tell: Tell = tell_nothing) -> list[tuple[str, str]]:
    """Check sources, record and board; return what was checked and what is wrong with it ("" where nothing is)."""
    return verifying.verify(home, say, tell)


# --- the board -------------------------------------------------------------------------------------------------------


def derive_board(home: Home, *, say: Say = say_nothing, tell: Tell = tell_nothing) -> Path:
    """Compute the derived tables and publish the board; when that fails the last board stays in force."""
    return building.derive_board(home, say, tell)


def dictionary(*, as_json: bool = False) -> str:
    """Return what every table and column means, as Markdown or as open Table Schema descriptors."""
    return describing.dictionary(as_json=as_json)


def template(table_name: str, target: Path, ending: str) -> Path:
    """Write an empty file with a record table's headers; into a folder under the table's name, or as the file named."""
    return describing.template(table_name, target, ending)


def sample(table_name: str) -> tuple[str, bytes]:
    """Return the name and bytes of a file of the invented squad, to see how such a file may look."""
    from pipelines.demo import sample as of_demo

    return of_demo(table_name)


def build_demo(home: Home, *, say: Say = say_nothing, tell: Tell = tell_nothing) -> "Built":
    """Fill a home with the invented squad; building it again changes nothing."""
    from pipelines.demo import build_demo as build

    return build(home, say, tell)


def bring_up_to_date(home: Home, *, say: Say = say_nothing, tell: Tell = tell_nothing) -> str:
    """Publish a board where the one in force is not of now; return what went wrong when the old one has to stay."""
    return building.bring_up_to_date(home, say, tell)


def serve(
    home: Home,
    port: int | None,
    *,
    open_browser: bool,
    announce: Say,
    public_names: Sequence[str] = (),
    on_network: bool = False,
    address: str | None = None,
    guide: Say = say_nothing,
) -> None:
    """Run the dashboard until it ends or Ctrl-C is pressed; it answers to the public names given too.

    Where the club has a sign-in of its own, the name it sends people back to is one of them. On the club's own network
    it speaks HTTPS alone, with a certificate made on this machine; ``guide`` is told how a phone gets there.
    """
    from pipelines.accounts.openid import public_name
    from pipelines.outputs.server import serve as run

    names = [*public_names, *public_name(home.root)]
    if not on_network:
        run(home, port, open_browser, announce, names)
        return
    from pipelines.home.certificate import certificate_for
    from pipelines.outputs.network import chosen_address, square

    here = chosen_address(address)
    with plain_words(home.root):
        certificate = certificate_for(home.root, here, opening.now().date())

    def announce_all(link: str) -> None:
        announce(link)
        guide(square(link))
        guide(
            f"A phone on the same network scans this or types {link}\n"
            "It warns once, because the certificate was made on this machine. To trust it for good, open "
            f"{link}/certificate on the phone, and install it only where its SHA-256 is\n  {certificate.fingerprint}"
        )

    run(home, port, open_browser, announce_all, names, here, certificate)


# --- questions a page asks about single runs: pure functions of the rows given ---------------------------------------


def compare_starts(
    one: Mapping[str, Any], other: Mapping[str, Any], steps: tuple[Sequence[Mapping[str, Any]], ...]
) -> tuple[str, list[dict[str, Any]], list[dict[str, Any]]]:
    """Set two starts against each other: sentence, rows of the whole runs, rows step by step."""
    from pipelines.derived.start import compare

    runs, by_step = compare.compare_runs(one, other), compare.compare_steps(*steps)
    return compare.say_differences(by_step, runs), runs, by_step


def run_curves(home: Home, profile: Mapping[str, Any]) -> tuple[list[dict[str, float]], list[dict[str, float]]]:
    """Return a run's speed over distance and its force-velocity line, each with its band; empty where trust forbids."""
    from pipelines.derived.sprint import curve

    return curve.speed_curve(profile), curve.force_line(profile, read_settings(home.settings))


def what_if(home: Home, profile: Mapping[str, Any], steps: Sequence[Mapping[str, Any]], **changes: float) -> "Explored":
    """Return what a change of one step or of the whole run would be worth: a range and its assumptions, no promise."""
    from pipelines.derived.start.base_run import what_if as answer

    return answer(profile, steps, read_settings(home.settings), **changes)  # type: ignore[arg-type]


# --- settings, backups, accounts -------------------------------------------------------------------------------------


def settings(home: Home) -> SquadSettings:
    """Return the squad's settings in force."""
    return read_settings(home.settings)


def change_rule(
    home: Home, name: str, value: float, by: str, why: str, *, derive_after: bool = True, say: Say = say_nothing
) -> None:
    """Change one number of the readiness or hamstring rule, kept with who, when and why; all is derived anew."""
    opening.prepare(home)
    with only_writer(home, say), plain_words(home.settings):
        ruling.change_rule(home, name, value, by, why, opening.now())
        trail.note(home, by, f"rule changed: {name} to {value:g}")
    if derive_after:
        derive_board(home, say=say)


def rule_history(home: Home) -> pl.DataFrame:
    """Return every change of the rules: what, from, to, who, when, why, and the versions from then on."""
    return ruling.rule_history(home)


def flags_under_rule(home: Home, change_no: int, *, say: Say = say_nothing) -> pl.DataFrame:
    """Look back at the flags under the rules as they stood after a change (0: as they came); nothing is published."""
    from pipelines.questions.flags import flags_under

    return flags_under(home, change_no, say)


def backup(home: Home, target: Path, *, say: Say = say_nothing) -> int:
    """Write sources, record, settings and accounts to one file; return how many files it holds."""
    with opening.closed(home, say):
        if not home.record.exists():
            raise ThirdstepError(f"There is nothing to back up in '{home.root}' yet.")
        return backup_room.write_backup(home, target, opening.now())


def restore(home: Home, source: Path, *, say: Say = say_nothing) -> int:
    """Fill an empty home from a backup file and build its board; return how many files it held."""
    with opening.alone(home, say):
        count = backup_room.read_backup(home, source)
    derive_board(home, say=say)
    return count


def accounts(home: Home) -> "Accounts":
    """Return the accounts of a home."""
    from pipelines.accounts.accounts import Accounts  # hashing makes it slow to import

    opening.prepare(home)
    return Accounts(home.access)


# --- one person's data -----------------------------------------------------------------------------------------------


def export_person(home: Home, athlete_id: str, by: str, *, say: Say = say_nothing) -> bytes:
    """Return all data of one person as a zip file, and note in the trail that it was made."""
    from pipelines.person.export import export_person as export

    content = export(home, athlete_id, opening.now(), say)
    accounts(home).note(by, "person exported", athlete_id)
    return content


def erase_person(
    home: Home, athlete_id: str, by: str, *, say: Say = say_nothing, tell: Tell = tell_nothing
) -> "Erased":
    """Erase one person everywhere in a home and publish a board without them; return the receipt, which names nobody.

    Raises:
        ThirdstepError: There is no such athlete, or the rows of others would not come out as before. Nothing is erased
            then.
    """
    from pipelines.person import erasure as erasing

    erasing.who_is(home, athlete_id, say)
    film.forget_person(home, athlete_id)
    receipt = erasing.erase(home, athlete_id, by, say, tell)
    derive_board(home, say=say, tell=tell)
    return receipt


def past_keeping(home: Home, *, say: Say = say_nothing) -> pl.DataFrame:
    """List what is older than the squad's settings say it is kept; nothing is erased by itself."""
    from pipelines.person import retention as keeping

    with opening.record(home, say, to_look=True) as con:
        frames = warehouse.record_frames(con)
    squad = read_settings(home.settings)
    return keeping.past_keeping(frames, squad, opening.looking_from(squad))


def write_file(target: Path, content: bytes) -> None:
    """Write an export whole or not at all."""
    with plain_words(target):
        write_durably(target, content)


def rows_file(rows: Sequence[Mapping[str, Any]], ending: str, name: str) -> bytes:
    """Return rows as the bytes of a CSV file or a workbook, no text of which runs as a formula."""
    from pipelines.outputs.tables import rows_file as write

    return write(rows, ending, name)


def sheet(home: Home, kind: str, *, athlete: str = "", week: str = "", own_words: bool = False) -> bytes:
    """Return the printed sheet of a week or of an athlete as PDF, typeset by the dashboard in a process of its own."""
    from pipelines.outputs.sheets import print_sheet

    return print_sheet(home, kind, athlete=athlete, week=week, own_words=own_words)
