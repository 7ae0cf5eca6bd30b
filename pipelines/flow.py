"""The whole flow, from files to the published board, as a table of contents. Every room is entered from here.

Home folder -> sources kept -> read -> laid out -> checked -> stored -> derived -> published.
A room is imported when it is first asked for: a command that only looks must not wait for those that compute.
"""

from __future__ import annotations

import importlib
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from pipelines.errors import ThirdstepError
from pipelines.home.folder import Home, Say, find_demo_home, find_home, only_writer, say_nothing
from pipelines.home.telling import Tell, tell_nothing

if TYPE_CHECKING:
    from pipelines.accounts.accounts import Accounts
    from pipelines.board.building import bring_up_to_date, is_stale
    from pipelines.board.following import Reach, follow
    from pipelines.board.glance import look
    from pipelines.board.looking import loads, rejected, table, table_names
    from pipelines.board.squad_following import bring_news, follow_squad, is_long
    from pipelines.demo import build_demo, sample
    from pipelines.entry import film, track
    from pipelines.entry.bringing import enter, load, load_bytes, load_files, preview, redo, undo
    from pipelines.entry.by_hand import check_entry, entry_columns, frame_error_s, mend, settle, waiting_row
    from pipelines.entry.grouping import needs_nothing, reason_groups
    from pipelines.entry.inbox import watch as watch_inbox
    from pipelines.entry.reference import take as take_reference
    from pipelines.entry.unread import unread_files
    from pipelines.federation.command import build_demo as build_federation_demo
    from pipelines.federation.command import run as run_federation
    from pipelines.federation.export import join as join_federation
    from pipelines.federation.running import Report
    from pipelines.home.machine import Machine, machine_state
    from pipelines.home.rules import rule_history
    from pipelines.home.sealing import is_sealed
    from pipelines.home.settings import write_settings
    from pipelines.intake.answers import as_toml, forget, gathered, of_questions, read_answers
    from pipelines.intake.answers import listed as list_answers
    from pipelines.intake.readings import read_readings, write_readings
    from pipelines.outputs.dictionary import dictionary, template
    from pipelines.outputs.tables import rows_file, write_file
    from pipelines.person.erasure import Erased
    from pipelines.person.keeping import past_keeping
    from pipelines.questions.due import answers_due
    from pipelines.questions.flags import flags_under as flags_under_rule
    from pipelines.questions.lots import draw_lots, lots_as_sheet
    from pipelines.questions.plan import effect_of as plan_effect
    from pipelines.questions.plan import needed_for as plan_needs
    from pipelines.questions.runs import Explored, compare_starts, run_curves, what_if
    from pipelines.questions.week import lede_of as week_lede
    from pipelines.questions.week import since_closing
    from pipelines.record.backup import Agree
    from pipelines.record.loading import Outcome
    from schemas.intake import LayoutOptions
    from schemas.rights import Writer
    from schemas.settings import SquadSettings

# What a room does as it stands there: name -> module, and its name in it where that is another one.
ELSEWHERE = {
    "Explored": "pipelines.questions.runs", "LayoutOptions": "schemas.intake", "Machine": "pipelines.home.machine",
    "Outcome": "pipelines.record.loading", "Reach": "pipelines.board.following", "Writer": "schemas.rights",
    "answers_due": "pipelines.questions.due", "as_toml": "pipelines.intake.answers",
    "Report": "pipelines.federation.running", "build_federation_demo": "pipelines.federation.command:build_demo",
    "run_federation": "pipelines.federation.command:run",
    "bring_news": "pipelines.board.squad_following", "follow_squad": "pipelines.board.squad_following",
    "is_long": "pipelines.board.squad_following",
    "bring_up_to_date": "pipelines.board.building", "build_demo": "pipelines.demo",
    "check_entry": "pipelines.entry.by_hand", "compare_starts": "pipelines.questions.runs",
    "dictionary": "pipelines.outputs.dictionary", "draw_lots": "pipelines.questions.lots",
    "enter": "pipelines.entry.bringing", "entry_columns": "pipelines.entry.by_hand", "film": "pipelines.entry",
    "flags_under_rule": "pipelines.questions.flags:flags_under", "follow": "pipelines.board.following",
    "forget": "pipelines.intake.answers", "frame_error_s": "pipelines.entry.by_hand",
    "gathered": "pipelines.intake.answers", "is_sealed": "pipelines.home.sealing",
    "is_stale": "pipelines.board.building", "join_federation": "pipelines.federation.export:join",
    "list_answers": "pipelines.intake.answers:listed", "load": "pipelines.entry.bringing",
    "load_bytes": "pipelines.entry.bringing", "load_files": "pipelines.entry.bringing",
    "loads": "pipelines.board.looking", "look": "pipelines.board.glance", "lots_as_sheet": "pipelines.questions.lots",
    "machine_state": "pipelines.home.machine", "mend": "pipelines.entry.by_hand",
    "needs_nothing": "pipelines.entry.grouping", "of_questions": "pipelines.intake.answers",
    "past_keeping": "pipelines.person.keeping", "plan_effect": "pipelines.questions.plan:effect_of",
    "plan_needs": "pipelines.questions.plan:needed_for", "preview": "pipelines.entry.bringing",
    "read_answers": "pipelines.intake.answers", "read_readings": "pipelines.intake.readings",
    "reason_groups": "pipelines.entry.grouping", "redo": "pipelines.entry.bringing",
    "rejected": "pipelines.board.looking", "rows_file": "pipelines.outputs.tables",
    "rule_history": "pipelines.home.rules", "run_curves": "pipelines.questions.runs", "sample": "pipelines.demo",
    "settle": "pipelines.entry.by_hand", "since_closing": "pipelines.questions.week",
    "table": "pipelines.board.looking", "table_names": "pipelines.board.looking",
    "take_reference": "pipelines.entry.reference:take", "template": "pipelines.outputs.dictionary",
    "track": "pipelines.entry", "undo": "pipelines.entry.bringing", "unread_files": "pipelines.entry.unread",
    "waiting_row": "pipelines.entry.by_hand", "watch_inbox": "pipelines.entry.inbox:watch",
    "week_lede": "pipelines.questions.week:lede_of", "what_if": "pipelines.questions.runs",
    "write_file": "pipelines.outputs.tables", "write_readings": "pipelines.intake.readings",
    "write_settings": "pipelines.home.settings",
}  # fmt: skip

__all__ = [
    "Explored", "Home", "LayoutOptions", "Machine", "Outcome", "Reach", "Report", "ThirdstepError", "Writer",
    "accounts", "answers_due", "as_toml", "backup", "bring_news", "bring_up_to_date", "build_demo",
    "build_federation_demo",
    "change_rule", "check_entry", "compare_starts", "derive_board", "dictionary", "draw_lots", "enter",
    "entry_columns", "erase_past_keeping", "erase_person", "export_person", "film", "find_demo_home", "find_home",
    "flags_under_rule", "follow", "follow_squad", "forget", "frame_error_s", "gathered", "heads_of", "is_long",
    "is_sealed", "is_stale",
    "join_federation", "list_answers", "load", "load_bytes", "load_files", "loads", "look", "lots_as_sheet",
    "machine_state", "mend", "needs_nothing", "note_taken", "of_questions", "past_keeping", "plan_effect",
    "plan_needs", "preview", "read_answers", "read_readings", "reason_groups", "rebuild", "redo", "rejected",
    "restore", "rows_file", "rule_history", "run_curves", "run_federation", "sample", "serve", "settings", "settle",
    "sheet", "since_closing", "table", "table_names", "take_reference", "template", "track", "undo", "unread_files",
    "verify", "waiting_row", "watch_inbox", "week_lede", "what_if", "write_file", "write_readings", "write_settings",
]  # fmt: skip


if not TYPE_CHECKING:  # who checks types reads the imports above, and knows a name that is not there

    def __getattr__(name: str) -> object:
        """Return what stands elsewhere, imported when it is first asked for."""
        if name not in ELSEWHERE:
            raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
        module, _, there = ELSEWHERE[name].partition(":")
        if module == "pipelines.entry":
            found = importlib.import_module(f"{module}.{name}")
        else:
            found = getattr(importlib.import_module(module), there or name)
        globals()[name] = found
        return found


# --- the record: looking into it, undoing, making it again -----------------------------------------------------------


def rebuild(home: Home, *, dropping: bool = False, say: Say = say_nothing, tell: Tell = tell_nothing) -> list[str]:
    """Make the record again from its sources alone; return what did not come out as it was logged.

    Where there is such, record and board stay as they were, unless it is said to go on without those rows.
    """
    from pipelines.board import verification as verifying

    oddities = verifying.rebuild_record(home, say, tell, dropping=dropping)
    if dropping or not oddities:
        derive_board(home, say=say, tell=tell)
    return oddities


def verify(
    home: Home, *, heads: Iterable[str] = (), say: Say = say_nothing, tell: Tell = tell_nothing
) -> list[tuple[str, str]]:
    """Check sources, record, board, log and trail; return what was checked and what is wrong ("" where nothing is).

    ``heads``: those of log or trail that were kept elsewhere (``heads_of``), each must still stand in one of them.
    """
    from pipelines.board import verification as verifying
    from pipelines.record.sources import journal

    found = verifying.verify(home, say, tell)
    kept = accounts(home) if home.access.exists() else None
    if kept:
        found.append(("every line of the trail follows the one before it", kept.first_that_does_not_follow()))
    for told in heads:
        place = journal.place_of_head(home.sources, told) or (kept.place_of_head(told) if kept else "")
        lost = f"{told[:12]}… stands in neither: what it was the head of was changed or taken away"
        found.append((place or "a head kept elsewhere stands in the log or the trail", "" if place else lost))
    return found


def heads_of(home: Home, *, say: Say = say_nothing) -> tuple[str, str]:
    """Return the heads of the log and of the trail, to be kept elsewhere; "" of one that holds nothing."""
    from pipelines.record import opening
    from pipelines.record.sources import journal

    with opening.record(home, say, to_look=True):
        log = journal.head(home.sources)
    return log, accounts(home).head() if home.access.exists() else ""


# --- the board -------------------------------------------------------------------------------------------------------


def derive_board(home: Home, *, say: Say = say_nothing, tell: Tell = tell_nothing) -> Path:
    """Compute the derived tables and publish the board; when that fails the last board stays in force."""
    from pipelines.board import building

    return building.derive_board(home, say, tell)


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
    from pipelines.outputs.network import listen_on

    here, certificate, announce_all = listen_on(home, address, announce, guide)
    run(home, port, open_browser, announce_all, names, here, certificate)


# --- settings, backups, accounts -------------------------------------------------------------------------------------


def settings(home: Home) -> SquadSettings:
    """Return the squad's settings in force."""
    from pipelines.home.settings import read_settings

    return read_settings(home.settings)


def change_rule(
    home: Home, name: str, value: float, by: str, why: str, *, derive_after: bool = True, say: Say = say_nothing
) -> None:
    """Change one number of the readiness or hamstring rule, kept with who, when and why; all is derived anew."""
    from pipelines.entry import trail
    from pipelines.home import rules as ruling
    from pipelines.home.trouble import plain_words
    from pipelines.record import opening

    opening.prepare(home)
    with only_writer(home, say), plain_words(home.settings):
        ruling.change_rule(home, name, value, by, why, opening.now())
        trail.note(home, by, f"rule changed: {name} to {value:g}")
    if derive_after:
        derive_board(home, say=say)


def backup(home: Home, target: Path, *, phrase: str = "", say: Say = say_nothing) -> tuple[int, str]:
    """Write sources, record, settings and accounts to one file, signed, and sealed where a phrase is given.

    Returns:
        How many files it holds, and the fingerprint of the key it is signed with.
    """
    from pipelines.record import backup as backup_room
    from pipelines.record import opening

    with opening.closed(home, say):
        if not home.record.exists():
            raise ThirdstepError(f"There is nothing to back up in '{home.root}' yet.")
        return backup_room.write_backup(home, target, opening.now(), phrase)


def restore(
    home: Home,
    source: Path,
    *,
    phrase: str = "",
    agree: Agree | None = None,
    with_access: bool = True,
    signed_by: str = "",
    say: Say = say_nothing,
) -> int:
    """Fill an empty home from a backup file and build its board; return how many files were taken.

    ``agree`` is told what it would bring before any of it is taken. Every sign-in that came along has ended.
    """
    from pipelines.record import backup as backup_room
    from pipelines.record import opening

    with opening.alone(home, say):
        count = backup_room.read_backup(
            home, source, phrase=phrase, agree=agree, with_access=with_access, signed_by=signed_by
        )
    if home.access.exists():
        accounts(home).end_everything("a backup was restored")
    derive_board(home, say=say)
    return count


def accounts(home: Home) -> Accounts:
    """Return the accounts of a home."""
    from pipelines.accounts.accounts import Accounts  # hashing makes it slow to import
    from pipelines.record import opening

    opening.prepare(home)
    return Accounts(home.access)


# --- one person's data -----------------------------------------------------------------------------------------------


def export_person(home: Home, athlete_id: str, by: str, *, notes: bool = True, say: Say = say_nothing) -> bytes:
    """Return all data of one person as a zip file, and note in the trail that it was made; for a guardian no notes."""
    from pipelines.person.export import export_person as export
    from pipelines.record import opening

    content = export(home, athlete_id, opening.now(), say, notes=notes)
    accounts(home).note(by, "person exported", athlete_id)
    return content


def erase_person(home: Home, athlete_id: str, by: str, *, say: Say = say_nothing, tell: Tell = tell_nothing) -> Erased:
    """Erase one person everywhere in a home and publish a board without them; return the receipt, which names nobody.

    Raises:
        ThirdstepError: There is no such athlete, or the rows of others would not come out as before. Nothing is erased
            then.
    """
    from pipelines.entry import film
    from pipelines.person import erasure as erasing

    erasing.who_is(home, athlete_id, say)
    film.forget_person(home, athlete_id)
    receipt = erasing.erase(home, athlete_id, by, say, tell)
    derive_board(home, say=say, tell=tell)
    return receipt


def erase_past_keeping(
    home: Home, by: str, *, say: Say = say_nothing, tell: Tell = tell_nothing
) -> tuple[dict[str, int], dict[str, int], int]:
    """Erase what ``past_keeping`` lists: people who left long ago, then health rows that are too old.

    Returns:
        Rows erased by table, rows that stay because their line of a source says something else too, people erased.
    """
    from pipelines.person.keeping import erase_past, past_keeping

    gone = [row["athlete_id"] for row in past_keeping(home, say).to_dicts() if row["what"] == "athlete"]
    for athlete_id in gone:
        erase_person(home, athlete_id, by, say=say, tell=tell)
    done = erase_past(home, by, settings(home), say, tell)
    if done.rows:
        derive_board(home, say=say, tell=tell)
    return done.rows, done.left, len(gone)


def note_taken(home: Home, by: str, what: str, about: str = "") -> None:
    """Note in the trail that rows or a sheet left the home as a file."""
    from pipelines.entry import trail

    trail.note(home, by, what, [about])


def sheet(home: Home, kind: str, by: str, *, athlete: str = "", week: str = "", own_words: bool = False) -> bytes:
    """Return the printed sheet of a week or of an athlete as PDF, typeset by the dashboard in a process of its own.

    An athlete may be named by key or by name. It stands in the trail.
    """
    from pipelines.board.looking import table
    from pipelines.outputs.sheets import print_sheet
    from pipelines.record.known import athlete_meant

    athlete = athlete_meant(table(home, "athlete"), athlete) if athlete else ""
    content = print_sheet(home, kind, athlete=athlete, week=week, own_words=own_words)
    note_taken(home, by, f"sheet printed: {kind}", athlete)
    return content
