"""Headings weighed against their cells: a name that the cells contradict is dropped, one that only they tell is
added.
"""

import dataclasses
import datetime as dt
import re
from collections.abc import Sequence

import polars as pl

from pipelines.cells.dates import read_date
from pipelines.cells.phrases import RESISTED, VOCABULARY, word_said
from pipelines.cells.spoken import EVERYBODY_WORDS, HOW_MUCH, is_known_word, rating_of, read_free
from pipelines.layouts.words.codes import is_key, with_codes
from pipelines.layouts.words.evidence import Evidence, look
from pipelines.layouts.words.fitting import HALF, MOST, PEOPLE, fits, kinds, words_of
from pipelines.layouts.words.gates_told import how_of_gates, of_one_how
from pipelines.layouts.words.headings import Heading, read_heading
from pipelines.layouts.words.lengths import is_no_length, without_other_values
from pipelines.layouts.words.match import Match
from pipelines.layouts.words.race_ends import with_race_ends
from pipelines.layouts.words.said import said_by
from pipelines.layouts.words.scales import said_in
from pipelines.layouts.words.sets import is_set_texts
from pipelines.layouts.words.stamps import with_stamps_apart
from pipelines.layouts.words.titled import with_sides
from schemas.intake import TextTable
from schemas.shape import table_shape
from schemas.spelling import fold

START_NUMBERS = ("start", "start no", "start nr", "start num", "start number")  # folded; common practice, no source
MOST_STARTS = 20  # of one athlete on one day; own choice
EFFORT_OF_SETS = (5.0, 10.0)  # its greatest, for a scale of ten that is not named to be believed
OF_RUNS = ("second", "millisecond")  # units in which no session is timed
FEWEST_BORN, YEARS_APART = 3, 2  # people, years between the oldest and the youngest; own choice
PER_KILOGRAM = re.compile(r"(?:(?<![^\W\d_])[nwj]\s*/|\bper|\bpro|\bpar|\bpor)\s*kg\b", re.I)
PHRASED = ("start_kind", "clock_start", "timing_kind", "resistance_kind")


def by_their_cells(
    headings: Sequence[Heading], table: TextTable, known: frozenset[str]
) -> tuple[list[Heading], dict[int, Evidence]]:
    """Return the headings with the names their cells allow, and what the cells are, by place."""
    seen = {one.place: look(table.rows[f"c{one.place}"], known) for one in headings}
    plain = without_other_values(of_one_how(headings), seen)
    made = [_by_their_words(_kinds(_weighed(one, seen[one.place]), seen[one.place]), seen[one.place]) for one in plain]
    made = _rounds(with_race_ends(with_stamps_apart(made, seen), table.rows), seen)
    made = _masses(_events(_starts_as_runs(_sets(made, table.rows), table.rows, seen), seen))
    made = with_codes(made, seen)
    if not any(set(one.names) & set(PEOPLE) for one in made):
        made = _people_by_cells(made, seen, first=min((one.place for one in made), default=0))
    if not any(set(one.names) & {"date", "checked_on", "session_date", "onset_on"} for one in made):
        free = [one for one in made if not one.names and one.gate_m is None and seen[one.place].days >= MOST]
        if len(free) == 1 and _are_birth_dates(seen[free[0].place], made, seen):
            made = [dataclasses.replace(one, names=("birth_date",)) if one is free[0] else one for one in made]
        elif len(free) == 1 and not _is_list_of_people(made, seen):  # there it may be since when
            made = [dataclasses.replace(one, names=("date",)) if one is free[0] else one for one in made]
    made = _efforts_of_sets(made, table.rows, seen)
    is_share = {one: bool(PER_KILOGRAM.search(one.text)) and not one.is_told and not one.is_exact for one in made}
    # What is of a kilogram of body mass is no force.
    shares = [dataclasses.replace(one, names=(), at=(), loose=(), number=None) for one in made if is_share[one]]
    sided = with_sides([one for one in made if not is_share[one]], table, seen)
    return sorted([*sided, *shares], key=lambda one: one.place), seen


def _events(headings: list[Heading], seen: dict[int, Evidence]) -> list[Heading]:
    """Take, where two columns may name the event of a race, the one whose cells are events: 'gara' over the name of a
    meeting beside 'disciplina' over '60 m'.
    """
    event = table_shape("race_result").columns["event"]
    said = {
        one.place: sum(1 for text in seen[one.place].texts if read_free(text, event)[0]) / len(seen[one.place].texts)
        for one in headings if "event" in one.names and not one.is_told and seen[one.place].texts
    }  # fmt: skip
    found = [place for place, share in said.items() if share >= MOST]
    others = {one.place for one in headings if one.names[:1] == ("event",) and said.get(one.place, 1.0) < HALF}
    if len(found) != 1 or not others:
        return headings
    made = []
    for one in headings:
        rest = tuple(name for name in one.names if name != "event")
        if one.place == found[0]:
            made.append(dataclasses.replace(one, names=("event", *rest)))
        elif one.place in others:
            made.append(dataclasses.replace(one, names=rest, is_exact=False))
        else:
            made.append(one)
    return made


def _rounds(headings: list[Heading], seen: dict[int, Evidence]) -> list[Heading]:
    """Take, where two columns may be the round of a race, the one of words ('P', 'F') and not the number of a heat."""
    either = [
        one for one in headings if one.names[:1] == ("round",) and not one.is_told and not seen[one.place].is_empty
    ]
    worded = [one for one in either if seen[one.place].words >= HALF]
    if len(either) < 2 or not worded or len(worded) == len(either):
        return headings
    return [
        dataclasses.replace(one, names=one.names[1:], is_exact=False) if one in either and one not in worded else one
        for one in headings
    ]  # fmt: skip


def _masses(headings: list[Heading]) -> list[Heading]:
    """Tell a load from a body mass where 'Wt' may be either: it is the load beside exercises, unless another column
    is that.
    """
    either = [one for one in headings if {"load_kg", "body_mass_kg"} <= set(one.names) and not one.is_told]
    loads = [one for one in headings if "load_kg" in one.names and one.names[0] not in PEOPLE]  # 'Last' is a load too
    has_load = any("body_mass_kg" not in one.names for one in loads)
    has_exercise = any(one.names[:1] in (("exercise",), ("set_text",)) for one in headings)
    if not has_load and not has_exercise:
        return headings
    other = "load_kg" if has_load else "body_mass_kg"
    return [
        dataclasses.replace(one, names=tuple(name for name in one.names if name != other)) if one in either else one
        for one in headings
    ]  # fmt: skip


def _efforts_of_sets(headings: list[Heading], rows: pl.DataFrame, seen: dict[int, Evidence]) -> list[Heading]:
    """Take an effort beside sets for that of the sets where it differs between the exercises of one day.

    Where it is the same for all exercises of a day it may be the session's: that is asked.
    """
    names = {name for one in headings for name in one.names[:1]}
    effort = [one for one in headings if one.names[:1] == ("effort_0_10",) and not one.is_told and not one.is_exact]
    whose = [f"c{one.place}" for one in headings if set(one.names) & {*PEOPLE, "date"}]
    if len(effort) != 1 or len(whose) < 2 or "exercise" not in names or not names & {"set_text", "reps", "set_count"}:
        return headings
    one, place = effort[0], f"c{effort[0].place}"
    ends = said_in(one.text, "high")
    if ends.most not in (None, 10.0) or not EFFORT_OF_SETS[0] < seen[one.place].most <= EFFORT_OF_SETS[1]:
        return headings
    many = rows.drop_nulls([place, *whose]).group_by(whose).agg(pl.len().alias("rows"), pl.col(place).n_unique())
    many = many.filter(pl.col("rows") > 1)
    if many.height < 2 or (many[place] > 1).mean() < HALF:  # type: ignore[operator]
        return headings
    return [dataclasses.replace(other, names=("set_effort",)) if other is one else other for other in headings]


def _is_list_of_people(headings: Sequence[Heading], seen: dict[int, Evidence]) -> bool:
    people = next((seen[one.place] for one in headings if set(one.names) & set(PEOPLE)), None)
    is_listed = any(set(one.names[:1]) & {"sex", "event_group"} for one in headings)
    return people is not None and is_listed and people.distinct == people.filled


def _are_birth_dates(days: Evidence, headings: Sequence[Heading], seen: dict[int, Evidence]) -> bool:
    """Return whether days are when people were born: each person and nearly each day stands there once, years apart."""
    people = next((seen[one.place] for one in headings if set(one.names) & set(PEOPLE)), None)
    years = [day.year for text in days.texts if (day := read_date(text, "day", dt.date(2100, 1, 1))[0]) is not None]
    if people is None or len(years) < FEWEST_BORN or people.distinct < people.filled:
        return False
    return max(years) - min(years) >= YEARS_APART and days.distinct >= MOST * days.filled


def _by_their_words(one: Heading, seen: Evidence) -> Heading:
    """Name a column that no spelling names by its cells: places on the body, or sides."""
    is_open = not one.is_told and one.gate_m is None and one.run_no is None and one.names[:1] in ((), ("kind",))
    if is_open and _are_held_back(seen):
        return dataclasses.replace(one, names=("resistance_kind",), phrases=(), loose=())
    is_named = one.is_told or one.names or one.phrases or one.loose or one.gate_m is not None
    if is_named or seen.filled < 2 or seen.words < MOST:
        return one
    many = len(seen.texts)
    if sum(1 for text in seen.texts if is_known_word(text, "side", words_of("side"))) >= MOST * many and many <= 3:
        return dataclasses.replace(one, names=("side",))
    if sum(1 for text in seen.texts if is_known_word(text, "site", words_of("site"))) >= MOST * many:
        return dataclasses.replace(one, names=("site", "pain_site"))
    if sum(1 for text in seen.texts if word_said(text, VOCABULARY["site"])) >= MOST * many:
        return dataclasses.replace(one, phrases=("site", "side"))
    return one


def _kinds(one: Heading, seen: Evidence) -> Heading:
    """Take a column that names nothing else, 'What', for the kind of sessions where all its cells are words of it."""
    is_open = (
        not one.is_told
        and one.gate_m is None
        and not any(char.isdigit() for char in one.text)
        and one.names[-1:] in ((), ("what",))
        and len(seen.texts) > 1
    )
    are_kinds = is_open and all(is_known_word(text, "kind", words_of("kind")) for text in seen.texts)
    return dataclasses.replace(one, names=("kind",)) if are_kinds else one


def _are_held_back(seen: Evidence) -> bool:
    """Return whether every cell says what held a run back, or that nothing did: 'sled', 'hill 8%', 'free'."""
    words = words_of("resistance_kind")
    said = [
        is_known_word(HOW_MUCH.sub("", text), "resistance_kind", words) or word_said(text, RESISTED) is not None
        for text in seen.texts
    ]
    return len(said) > 1 and all(said)


def _weighed(one: Heading, seen: Evidence) -> Heading:  # noqa: PLR0911, PLR0912 - one for each kind of heading
    if one.is_told and one.told_table != "injury":
        return one
    if (one.is_told or "site" in one.names) and not one.is_exact and not seen.is_empty:
        named = sum(1 for text in seen.texts if word_said(text, VOCABULARY["site"]))
        known = sum(1 for text in seen.texts if is_known_word(text, "site", words_of("site")))
        if set(one.names) & {"site", "kind"} and named >= 0.3 * len(seen.texts) and known < named:
            return dataclasses.replace(one, names=(), loose=(), phrases=("site", "side"))
        if {"site", "kind"} <= set(one.names) and known >= MOST * len(seen.texts):  # places on the body are no training
            one = dataclasses.replace(one, names=tuple(name for name in one.names if name != "kind"))
    if one.is_told:
        return one
    if one.gate_m is not None or one.run_no is not None:
        is_time = seen.is_empty or seen.measures + seen.lists >= 0.3 or seen.filled <= 3
        return one if is_time else dataclasses.replace(one, gate_m=None, from_m=None, run_no=None, names=())
    if one.number is not None and one.names[:1] == ("set_no",):
        return dataclasses.replace(one, names=("set_text",))
    if one.names == ("set_text",):  # 'Sets x reps' says it by itself
        return one
    if "sleep_h" in one.names and not one.is_exact and _is_rated_sleep(one, seen):
        return dataclasses.replace(one, names=("sleep_quality",), loose=())
    if is_key(one.text) and seen.numbers == seen.whole == 1:
        return dataclasses.replace(one, names=("athlete_id",), loose=(), is_exact=False)
    loose = tuple(name for name in one.loose if fits(name, seen))
    if one.is_exact and one.names and fits(one.names[0], seen):
        others = tuple(name for name in one.names[1:] if fits(name, seen))
        return dataclasses.replace(one, names=(one.names[0], *others), loose=loose)
    names = tuple(name for name in one.names if fits(name, seen) and not is_no_length(name, seen))
    if "elapsed_s" in names and (one.unit in OF_RUNS or (seen.numbers >= HALF and seen.whole < HALF)):
        names = tuple(name for name in names if name != "duration_min")  # 'Time' over 4.26 is no length of a session
    phrases = _phrases(seen) if not set(names) & set(PHRASED) or len(names) != 1 else ()
    if phrases and not any(name in PEOPLE or name == "kind" for name in names) and not _are_own_words(names, seen):
        kept = tuple(name for name in names if name in PHRASED and name in phrases)
        return dataclasses.replace(one, names=kept[:1], loose=(), phrases=phrases, is_exact=False)
    return dataclasses.replace(one, names=names, loose=loose, is_exact=one.is_exact and names[:1] == one.names[:1])


def _are_own_words(names: tuple[str, ...], seen: Evidence) -> bool:
    """Return whether all cells are words of what the heading says: 'Man' under 'Sex' is nobody timed by hand."""
    is_word = bool(names) and kinds().get(names[0]) == "words"
    return is_word and all(is_known_word(text, names[0], words_of(names[0])) for text in seen.texts)


def _is_rated_sleep(one: Heading, seen: Evidence) -> bool:
    """Return whether a column 'Sleep' is rated, not counted in hours: it names a scale, or no night is so short."""
    words = set(fold(one.text).split())
    in_hours = {"h", "hours", "hour", "hrs", "stunden", "heures", "horas", "ore", "timmar", "dauer"}
    if one.unit is not None or words & in_hours:
        return False
    said = said_in(one.text, "high")
    if said.most is not None and said.most <= 10:
        return True
    rated = sum(1 for text in seen.texts if rating_of(text) is not None)
    if seen.texts and rated >= HALF * len(seen.texts):
        return True
    return seen.numbers >= MOST and seen.whole == 1.0 and (seen.most <= 5 or seen.least < 3)


def _phrases(seen: Evidence) -> tuple[str, ...]:
    """Return which columns of a run a column of short texts says something of: 'laser, blocks', 'from gun'."""
    if seen.is_empty or seen.distinct > 40:
        return ()
    every = len(seen.texts)
    found = []
    for name in PHRASED:
        said = sum(1 for text in seen.texts if word_said(text, VOCABULARY[name]))
        if said and said >= 0.4 * every:
            found.append(name)
    return tuple(found)


def _sets(headings: list[Heading], rows: pl.DataFrame) -> list[Heading]:
    """Take a column whose cells say '3x5 @ 100 kg' for the sets of a gym log, whatever stands above it."""
    if any("set_text" in one.names for one in headings):
        return headings
    free = [
        one for one in headings
        if one.number is None and one.gate_m is None
        and (not one.names or one.names[0] in ("set_count", "set_no", "round", "kind", "note"))
    ]  # fmt: skip
    found = next((one for one in free if is_set_texts(rows[f"c{one.place}"])), None)
    return [dataclasses.replace(one, names=("set_text",)) if one is found else one for one in headings]


def _starts_as_runs(headings: list[Heading], rows: pl.DataFrame, seen: dict[int, Evidence]) -> list[Heading]:
    """Take a column 'Start' or 'Start #' that counts 1, 2, 3 for each athlete and day for the number of the run.

    Where a number stands twice for an athlete and a day, a column has to tell the rows of one run apart.
    """
    found = next(
        (one for one in headings if fold(one.text.replace("#", " ")) in START_NUMBERS and not one.is_told), None
    )
    cells = seen[found.place] if found is not None else None
    if found is None or cells is None or cells.numbers < 1 or cells.whole < 1 or not 2 <= cells.most <= MOST_STARTS:
        return headings
    if any("rep_no" in one.names for one in headings):
        return headings
    whose = [f"c{one.place}" for one in headings if set(one.names) & {*PEOPLE, "date"}]
    if not whose:
        return headings
    place = f"c{found.place}"
    filled = rows.with_columns(pl.col(whose).forward_fill(), pl.col(place).cast(pl.Float64, strict=False).alias("_no"))
    days = filled.drop_nulls("_no").group_by(whose).agg(
        many=pl.col("_no").n_unique(), most=pl.col("_no").max(), least=pl.col("_no").min(), rows=pl.len()
    )  # fmt: skip
    counts = days.select(((pl.col("least") == 1) & (pl.col("most") == pl.col("many"))).mean()).item() or 0.0
    is_once = bool((days["rows"] == days["many"]).all())
    is_long = any(set(one.names) & {"step_no", "distance_m"} for one in headings)
    if counts < MOST or not (is_once or is_long):
        return headings
    return [dataclasses.replace(one, names=("rep_no",), loose=()) if one is found else one for one in headings]


def _people_by_cells(headings: list[Heading], seen: dict[int, Evidence], first: int) -> list[Heading]:
    """Take a column for the athletes whose cells are known people, or the first column where it holds only names."""

    def may_be(one: Heading) -> bool:
        free = not one.names and one.gate_m is None and one.number is None and one.run_no is None
        cells = seen[one.place]
        if sum(1 for text in cells.texts if _is_measure(text)) > HALF * len(cells.texts):
            return False  # 'Contact ms', 'Flight ms': what stands in the row, and nobody's name
        if any(fold(text) in EVERYBODY_WORDS for text in cells.texts):
            return False
        is_led = one.place == first or not set(PEOPLE).isdisjoint(one.loose)  # 'Ton prénom' of a form
        return free and (cells.known >= HALF or (is_led and cells.names >= MOST and cells.days == 0))

    found = max((one for one in headings if may_be(one)), key=lambda one: seen[one.place].known, default=None)
    return [dataclasses.replace(one, names=("athlete_id", "display_name")) if one is found else one for one in headings]


def _is_measure(text: str) -> bool:
    one = read_heading(0, text)
    return one.unit is not None and bool(one.names or one.at)


def is_of_empty_sessions(match: Match, table: TextTable, seen: dict[int, Evidence]) -> bool:
    """Return whether all that sessions would hold is a remark in fewer than half of the rows, while numbers beside it
    are unread: the sheet is about those numbers.
    """
    own = match.of("session")
    if match.main != "session" or set(own) - set(table_shape("session").key) != {"note"}:
        return False
    used = {one.place for one in match.columns.values()}
    is_unread = any(cells.numbers >= HALF for place, cells in seen.items() if place not in used)
    return is_unread and seen[own["note"].place].filled < HALF * table.rows.height


def said_by_headings(headings: Sequence[Heading]) -> dict[str, str]:
    """Return what headings of people or values say besides: a column of names under 'Block' says the start."""
    found: dict[str, str] = {}
    for one in headings:
        if set(one.names) & set(PEOPLE) and fold(one.text) not in ("name", "names"):
            found |= {name: fact.text for name, fact in said_by(one.text, "header").items() if name in PHRASED}
    return found | how_of_gates(headings)
