"""Several sources given together: read first, then put in the order their tables need, then stored one by one."""

import dataclasses
import time
from collections.abc import Iterator, Mapping, Sequence

from pipelines import answers, loading, opening, warehouse
from pipelines.building import Tell, tell_nothing
from pipelines.files import Found, read_bytes
from pipelines.home import Home, Say, say_nothing
from pipelines.intake import Given, read_given
from pipelines.loading import Outcome
from pipelines.mending import Correction
from pipelines.sources import checksum
from schemas.intake import LayoutOptions
from schemas.records import RECORDS

HOLD_S = 1.0  # s, how long the record is held before other writers get a turn, own choice


def load_found(
    home: Home,
    found: Sequence[Found],
    by: str,
    options: LayoutOptions,
    check_only: bool,
    say: Say = say_nothing,
    tell: Tell = tell_nothing,
) -> list[Outcome]:
    """Load sources given together, or try them only; the outcomes come in the order in which they were given.

    A source whose bytes are in already, whole, is not read again. One that cannot be read stops no other.
    """
    given_now = bool(loading.options_told(options))
    options = answers.with_remembered(options, answers.remembered(home))
    known, corrections = _look(home, say)
    outcomes: dict[int, Outcome] = {}
    given: dict[int, Given] = {}
    for place, file in enumerate(found):
        tell(place, 2 * len(found), file.name)
        content, problem = read_bytes(file)
        whole = known.get(checksum(content))
        if problem:
            outcomes[place] = Outcome(file.name, problem=problem)
        elif whole and not given_now:
            outcomes[place] = dataclasses.replace(whole, file=file.name)
        else:
            own = dataclasses.replace(options, corrections=corrections.get(file.name.lower(), []))
            given[place] = dataclasses.replace(read_given(file.name, content, own), options=own)
    order = sorted(given, key=lambda place: (_rank(given[place]), place))
    if check_only:
        outcomes |= _try_all(home, {place: given[place] for place in order}, say)
    else:
        for done, (place, outcome) in enumerate(_store_all(home, given, order, by, say), len(found) + 1):
            outcomes[place] = outcome
            tell(done, 2 * len(found), outcome.file)
    tell(2 * len(found), 2 * len(found), "")
    return [outcomes[place] for place in range(len(found))]


def _rank(given: Given) -> tuple[int, int]:
    """Return where a source stands among those given together: after the ones that bring what its rows belong to."""
    places = [list(RECORDS).index(table) for table in given.tables] or [len(RECORDS)]
    return min(places), max(places)


def _store_all(
    home: Home, given: dict[int, Given], order: Sequence[int], by: str, say: Say
) -> Iterator[tuple[int, Outcome]]:
    """Store sources one by one; the record is closed every second or so, so that other writers come between."""
    left = [place for place in order if not given[place].problem]
    yield from (
        (place, Outcome(given[place].name, problem=given[place].problem)) for place in order if place not in left
    )
    while left:
        with opening.record(home, say) as con:
            until = time.monotonic() + HOLD_S
            while left and time.monotonic() < until:
                place = left.pop(0)
                options = given[place].options
                ready = loading.make_ready(con, given.pop(place), opening.last_possible_day(home), options)
                outcome = loading.store_ready(con, home, ready, by=by, at=opening.now())
                del ready
                yield place, outcome


def store_one(home: Home, given: Given, by: str, say: Say) -> Outcome:
    """Store one source."""
    [(_, outcome)] = _store_all(home, {0: given}, [0], by, say)
    return outcome


def try_one(home: Home, given: Given, say: Say = say_nothing) -> Outcome:
    """Say what storing one source would do, and store nothing."""
    return _try_all(home, {0: given}, say)[0]


def _try_all(home: Home, given: Mapping[int, Given], say: Say) -> dict[int, Outcome]:
    """Load into the record as it is, look at what happened, and take it all back."""
    outcomes = {}
    with opening.record(home, say, to_look=True) as con:
        con.execute("begin")
        try:
            for place, one in given.items():
                as_of = opening.last_possible_day(home)
                outcome = loading.load_given(con, None, one, by="", at=opening.now(), as_of=as_of, options=one.options)
                outcomes[place] = dataclasses.replace(outcome, load_no=None)
        finally:
            con.execute("rollback")
    return outcomes


def _look(home: Home, say: Say) -> tuple[dict[str, Outcome], dict[str, list[Correction]]]:
    """Return which sources are in whole, and which cells of which sources were mended by hand."""
    with opening.record(home, say, to_look=True) as con:
        return loading.loaded_whole(con, answers.last_changed(home)), warehouse.corrections(con)
