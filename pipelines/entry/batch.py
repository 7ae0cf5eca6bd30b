"""Several sources given together: read first, then put in the order their tables need, then stored one by one."""

import dataclasses
import datetime as dt
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import partial

from pipelines.entry import disputes, together, trail
from pipelines.entry.hurt import note_open_injury
from pipelines.entry.later import note_later
from pipelines.entry.unread import remember_unread
from pipelines.errors import ThirdstepError
from pipelines.home.folder import Home, Say, say_nothing
from pipelines.home.settings import read_settings
from pipelines.home.telling import Tell, tell_nothing
from pipelines.intake import answers
from pipelines.intake.apart import read_apart
from pipelines.intake.files import Found, read_bytes
from pipelines.intake.mending import Correction
from pipelines.intake.passage import Given, read_given
from pipelines.record import loading, opening, warehouse
from pipelines.record.known import athletes, known_names
from pipelines.record.left_rows import base_name, is_correction
from pipelines.record.loading import Outcome
from pipelines.record.rights import as_writer, refuse_undo
from pipelines.record.sources import checksum, heal
from schemas.intake import LayoutOptions
from schemas.records import RECORDS
from schemas.rights import Writer

STAGES = ("reading", "laying out", "checking", "storing")  # of each source, as progress is told
AtStage = Callable[[int, int, str], None]  # how many sources are through before it, which stage, whose
Then = Callable[[warehouse.Connection, Outcome], None]  # what is done while the record is open, once all is stored
TOGETHER_S = 120.0  # s that the files sent at once may take to be read, all together; own choice
HOLD_S = 1.0  # s, how long the record is held before other writers get a turn, own choice


def load_found(
    home: Home,
    found: Sequence[Found],
    by: str | Writer,
    options: LayoutOptions,
    check_only: bool,
    say: Say = say_nothing,
    tell: Tell = tell_nothing,
    then: Then = lambda *_: None,
) -> list[Outcome]:
    """Load sources given together, or try them only; the outcomes come in the order in which they were given.

    A source whose bytes are in already, whole, is not read again. One that cannot be read stops no other.
    Progress is told stage by stage, so that one long file is no standstill. ``then`` is handed the record while it is
    still open, once all is stored.
    """
    stages = len(STAGES) * len(found)

    def at_stage(place: int, stage: int, name: str) -> None:
        """Tell that a source has come to a stage: all are read and laid out first, then each is checked and stored."""
        later = stage >= 2
        tell(2 * place + stage + (2 * len(found) - 2) * later, stages, f"{STAGES[stage]} {name}")

    writer = as_writer(by)
    given_now = bool(loading.options_told(options)) or not writer.writes_all
    options = answers.with_remembered(options, answers.remembered(home))
    options = dataclasses.replace(options, writer=writer.told)
    known, corrections, people = _look(home, say)
    outcomes: dict[int, Outcome] = {}
    given: dict[int, Given] = {}
    spent_s = 0.0  # on reading what was sent: others' files wait meanwhile
    for place, file in enumerate(found):
        at_stage(place, 0, file.name)
        content, problem = read_bytes(file)
        if file.path is None and spent_s > TOGETHER_S:
            problem = f"{file.name} was not read: the files before it took {TOGETHER_S:.0f} s. Send it by itself."
        whole = known.get(checksum(content))
        if problem:
            outcomes[place] = Outcome(file.name, problem=problem)
        elif whole and not given_now:
            outcomes[place] = dataclasses.replace(whole, file=file.name)
            if not check_only and heal(home.sources, content):
                note = "Its kept bytes were damaged and are right again."
                outcomes[place] = dataclasses.replace(outcomes[place], notes=[*whole.notes, note])
        else:
            own = dataclasses.replace(options, corrections=corrections.get(file.name.lower(), []))
            if file.path is None:  # sent by somebody: a file that hangs or floods must not stop the dashboard
                begun = time.monotonic()
                read = read_apart(file.name, content, own, people)
                spent_s += time.monotonic() - begun
                at_stage(place, 1, file.name)
            else:
                when_read = partial(at_stage, place, 1, file.name)
                read = read_given(file.name, content, own, when_read=when_read, known=people)
            given[place] = dataclasses.replace(read, options=own)
    given = together.settled(given, people)
    order = sorted(given, key=lambda place: (*_rank(given[place]), *_name_rank(given[place].name), place))
    held, checked = disputes.held_of(home, given, order, say)
    given = {place: dataclasses.replace(one, checked_as=checked.get(place)) for place, one in given.items()}
    for place, cells in held.items():
        given[place] = disputes.with_held(given[place], cells)
    if check_only:
        outcomes |= _try_all(home, {place: given[place] for place in order}, say)
    else:
        stored = dict(_store_all(home, given, order, writer.name, say, at_stage, then))
        outcomes |= stored
        told = [outcome for place, outcome in outcomes.items() if place in stored or outcome.problem]
        remember_unread(home, told, writer.name, opening.now())
    tell(stages, stages, "")
    return [outcomes[place] for place in range(len(found))]


def _rank(given: Given) -> tuple[int, int]:
    """Return where a source stands among those given together: after the ones that bring what its rows belong to."""
    places = [list(RECORDS).index(table) for table in given.tables] or [len(RECORDS)]
    return min(places), max(places)


def _name_rank(name: str) -> tuple[str, bool, str]:
    """Return where a file stands among others like it: by its name, the corrected one after the one it corrects."""
    return base_name(name), is_correction(name), name


def _store_all(
    home: Home,
    given: dict[int, Given],
    order: Sequence[int],
    by: str,
    say: Say,
    at_stage: AtStage = lambda *_: None,
    then: Then = lambda *_: None,
) -> Iterator[tuple[int, Outcome]]:
    """Store sources one by one; the record is closed every second or so, so that other writers come between."""
    left = [place for place in order if not given[place].problem]
    told = len(order) - len(left)
    yield from (
        (place, Outcome(given[place].name, problem=given[place].problem)) for place in order if place not in left
    )
    looks_from = read_settings(home.settings).as_of
    while left:
        with opening.record(home, say) as con:
            until = time.monotonic() + HOLD_S
            while left and time.monotonic() < until:
                place = left.pop(0)
                name, options = given[place].name, given[place].options
                at_stage(told, 2, name)
                source = _with_names(con, given.pop(place))
                ready = loading.make_ready(con, source, opening.last_possible_day(home), options)
                at_stage(told, 3, name)
                outcome = loading.store_ready(con, home, ready, by=by, at=opening.now())
                outcome = _with_later(_without_earlier(con, home, ready, outcome, by), ready, looks_from)
                trail.note_consent(home, by, ready, outcome)
                if not left:
                    then(con, outcome)
                del ready
                told += 1
                yield place, outcome


def _with_names(con: warehouse.Connection, given: Given) -> Given:
    """Return a source as it reads by who is known now, where files before it brought people and that may change it:
    the record made again from its sources reads it so.
    """
    if given.kind != "file" or not given.waits_for_names:
        return given
    names = known_names(athletes(con))
    if tuple(sorted(names)) == given.known:
        return given
    again = read_given(given.name, given.content, given.options, given.kind, known=names)
    return given if again.problem else dataclasses.replace(again, options=given.options)


def _without_earlier(con: warehouse.Connection, home: Home, ready: loading.Ready, outcome: Outcome, by: str) -> Outcome:
    """Take earlier readings of the same bytes out of force, once the new one is in their place; say which are not."""
    notes = list(outcome.notes)
    for load_no in ready.left.loads if outcome.load_no is not None else ():
        try:
            loading.set_undone(con, home, load_no, "undo", by, opening.now())
        except ThirdstepError as trouble:  # athletes it brought are leant on: told, and left as it is
            notes.append(trouble.message)
    return dataclasses.replace(outcome, notes=notes)


def store_one(home: Home, given: Given, writer: Writer, say: Say, then: Then = lambda *_: None) -> Outcome:
    """Store one source; ``then`` is handed the record while it is still open, once all is stored."""
    [(_, outcome)] = _store_all(home, {0: brought_by(given, writer)}, [0], writer.name, say, then=then)
    return outcome


def try_one(home: Home, given: Given, writer: Writer, say: Say = say_nothing) -> Outcome:
    """Say what storing one source would do, and store nothing."""
    return _try_all(home, {0: brought_by(given, writer)}, say)[0]


def undo_or_redo(home: Home, load_no: int, what: str, writer: Writer, say: Say) -> None:
    """Take one load out of force or put it back, where the writer may."""
    with opening.record(home, say) as con:
        refuse_undo(con, load_no, what, writer)
        loading.set_undone(con, home, load_no, what, writer.name, opening.now())
        trail.note_consent_undone(con, home, writer.name, what, load_no)


def brought_by(given: Given, writer: Writer) -> Given:
    """Return a source with who brings it, so that its rows are asked for what this person may write."""
    return dataclasses.replace(given, options=dataclasses.replace(given.options, writer=writer.told))


def _try_all(home: Home, given: Mapping[int, Given], say: Say) -> dict[int, Outcome]:
    """Load into the record as it is, look at what happened, and take it all back."""
    outcomes, looks_from = {}, read_settings(home.settings).as_of
    with opening.record(home, say, to_look=True) as con:
        con.execute("begin")
        try:
            for place, one in given.items():
                ready = loading.make_ready(con, one, opening.last_possible_day(home), one.options)
                outcome = loading.store_ready(con, None, ready, by="", at=opening.now())
                outcomes[place] = dataclasses.replace(_with_later(outcome, ready, looks_from), load_no=None)
        finally:
            con.execute("rollback")
    return outcomes


def _with_later(outcome: Outcome, ready: loading.Ready, looks_from: dt.date | None) -> Outcome:
    """Return an outcome that says where rows lie after the day a frozen squad looks from."""
    accepted = ready.checked.accepted if ready.checked else {}
    notes = [*note_later(accepted, looks_from), *note_open_injury(accepted)]
    return dataclasses.replace(outcome, notes=[*outcome.notes, *notes])


def _look(home: Home, say: Say) -> tuple[dict[str, Outcome], dict[str, list[Correction]], frozenset[str]]:
    """Return which sources are in whole, which cells of which sources were mended by hand, and who is known."""
    with opening.record(home, say, to_look=True) as con:
        whole = loading.loaded_whole(con, answers.last_changed(home))
        return whole, warehouse.corrections(con), known_names(athletes(con))
