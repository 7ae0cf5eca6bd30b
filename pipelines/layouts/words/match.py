"""Which record table the headings of a file fill, and which column each heading names."""

import re
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from pipelines.layouts.words.headings import Heading
from pipelines.layouts.words.other_values import OF_A_DAY_BEFORE, OF_AIMS, is_aim, is_of_yesterday
from pipelines.layouts.words.plan_words import names_plan
from schemas.checkin import BY_NAME, of_scale
from schemas.shape import NUMBERED, TableShape, all_shapes, table_shape
from schemas.spelling import fold

HELPERS = {
    "lift_set": ("set_count", "set_text"),
    "step": ("contact_frame", "toeoff_frame"),
    "split": ("from_m",),
    "checkin": ("pain_side",),
}
OF_A_DAY = ("body_measure", "checkin", "session")  # tables whose values may stand in any sheet of athletes and days
# What of a companion table may stand beside another: in a gym log or a sheet of runs 'effort' is of the set or the run.
BESIDE = {
    "checkin": {*BY_NAME, "pain_site", "ill"},
    "session": {"kind", "duration_min", "effort_0_10", "planned_min", "surface", "footwear", "indoor",
    "air_temperature_c",
                "air_pressure_torr"},
}  # fmt: skip
PLANNED = {"duration_min": "planned_min", "effort_0_10": "planned_effort_0_10"}
NOT_OF_A_SESSION = {"kind", "duration_min", "effort_0_10", "planned_min"}  # ... beside runs, lifts and tests
# What a helper column gives, so that the column it makes need not be there.
HELPER_GIVES = {"set_text": "reps", "contact_frame": "contact_s"}
RUN_TABLES = ("rep", "session", "set_position", "body_measure")
NO_ROSTER = {
    "elapsed_s",
    "time_s",
    "distance_m",
    "duration_min",
    "effort_0_10",
    "reps",
    "load_kg",
    "peak_force_n",
    "flight_s",
    "contact_s",
    "jump_height_m",
    "jump_length_m",
    "set_text",
    "exercise",
    "kind",
    *(item.name for item in (*of_scale("five"), *of_scale("hours"))),
}  # names of measures: a sheet with one of them is no roster
# What a question of a form may ask in its own words, by the table its answers are for.
LOOSE = {
    "checkin": set(BESIDE["checkin"]) | {"athlete_id", "date", "body_mass_kg"},
    "session": {"athlete_id", "date", "duration_min", "effort_0_10"},
}
KEYS = ("athlete_id", "date")
# Columns that say nothing where they stand alone, by table.
REMARKS = {
    "step": {"side", "note"}, "checkin": {"note", "pain_side"}, "set_position": {"note"},
    "rep": {"note", "run_in_m", "resistance_load_kg", "resistance_percent"},
    "lift_set": {"side", "note"},
    "force_test": {"side", "note"}, "jump_test": {"note"},
}  # fmt: skip
CALLED = {  # what people call a file or tab of a table, folded; common practice, no source
    "injury": ("injuries", "niggle", "training room", "blessure", "blessures", "verletzung", "verletzungen",
               "lesion", "lesione", "lesioni", "infortuni", "skada", "skador", "skade", "skader",
               "uraz", "urazy", "kontuzje",
               "zraneni", "vammat", "vamma",
               "lesao", "lesoes", "lesiones"),
}  # fmt: skip
PROVENANCE = {"load_no", "source_sha256", "source_name", "source_sheet", "source_line", "entered_at"}


@dataclass
class Match:
    """Headings given to columns: (table, column) -> heading."""

    main: str
    columns: dict[tuple[str, str], Heading] = field(default_factory=dict)
    first_name: Heading | None = None
    last_name: Heading | None = None
    name_particle: Heading | None = None  # 'van der', between them
    ignored: list[Heading] = field(default_factory=list)
    given: frozenset[str] = frozenset()  # what titles and names of the file say: 'date', record columns

    def of(self, table: str) -> dict[str, Heading]:
        """Return the headings given to the columns of one table."""
        return {column: heading for (name, column), heading in self.columns.items() if name == table}

    @property
    def has_athlete(self) -> bool:
        """Whether a heading says whose row it is."""
        return (self.main, "athlete_id") in self.columns or self.first_name is not None or "athlete_id" in self.given

    def missing(self) -> list[str]:
        """Return the columns the main table cannot do without and no heading names."""
        shape = table_shape(self.main)
        given = set(self.of(self.main))
        given |= {HELPER_GIVES[name] for name in given if name in HELPER_GIVES}
        if self.has_athlete:
            given.add("athlete_id")
        if self.main == "athlete":  # either will do: the key is made from the name, the name is the key until told
            given |= {"athlete_id", "display_name"} if given & {"athlete_id", "display_name"} else set()
        if "date" in self.given and shape.date is not None:
            given.add(shape.date)
        given |= self.given & {"test", "distance_m", "event", "site", "side"}
        return [name for name in shape.columns if name in shape.must_have and name not in given]

    @property
    def own_values(self) -> int:
        """How many headings name a column of the main table beyond its key."""
        key = table_shape(self.main).key
        return sum(1 for table, column in self.columns if table == self.main and column not in key)

    def says_something(self, *, is_named: bool) -> bool:
        """Return whether a row would say anything: a value that is no remark beside values, or where somebody is hurt.

        A side of a step without its times, a remark of a morning without answers are no rows of these tables. A list
        named after injuries needs no more than who, when and where.
        """
        shape = table_shape(self.main)
        own = [column for table, column in self.columns if table == self.main and column not in shape.key]
        if self.main == "injury" and is_named and ("site" in self.of("injury") or "site" in self.given):
            return True
        if self.main == "race_result":  # an event and a day are a birthday as well as a race
            return bool({"time_s", "outcome"} & set(own))
        remarks = REMARKS.get(self.main, ())
        told = [name for name in own if name not in remarks or self.columns[self.main, name].told_table == self.main]
        return bool(told)

    @property
    def unsaid_numbers(self) -> int:
        """How many running numbers of the key no heading gives."""
        given = self.of(self.main)
        return sum(1 for name in table_shape(self.main).key if name in NUMBERED and name not in given)


def targets_of(shape: TableShape) -> list[str]:
    """Return the tables a file of one table may fill as well: those its rows belong to, and body measures."""
    parents = [name for name in shape.parents if name != "athlete"]
    companions = []
    if shape.name == "athlete":
        companions = ["body_measure"]
    elif shape.date is not None:
        companions = ["body_measure"] if shape.name != "body_measure" else []
        companions += ["checkin"] if shape.name == "session" else []
    return [shape.name, *parents, *companions]


def assign(
    main: str,
    targets: Sequence[str],
    headings: Iterable[Heading],
    *,
    loose: bool = False,
    given: frozenset[str] = frozenset(),
    any_beside: bool = False,
) -> Match:
    """Give each heading to the first free column it may name, the main table first, exact names before free ones.

    ``any_beside`` lets a sheet of the record's own column names bring any column of the tables its rows belong to.
    """
    match = Match(main, given=given)
    free = sorted(headings, key=lambda heading: (not heading.is_exact, bool(not heading.names), heading.place))
    _give_names(match, free)
    asked = Counter(name for one in free if loose and not one.names for name in _asked(one, main)[:1])
    for heading in free:
        if heading in (match.first_name, match.last_name, match.name_particle):
            continue
        names = list(heading.names or (_asked(heading, main) if loose else ()))
        if not heading.names and names and asked[names[0]] > 1 and names[0] not in KEYS:
            names = []  # 'Fatigue yesterday', 'Fatigue today': which of them it is, is asked
        if main == "athlete" and "display_name" in names and not heading.is_exact:
            names = ["display_name", *(name for name in names if name != "display_name")]
        if main != "athlete" and "display_name" in names:
            names.append("athlete_id")
        found = next(
            (
                (table, name)
                for table in targets
                for name in _own(names, table, main, any_beside=any_beside or heading.is_told)
                if (table, name) not in match.columns and _is_where_told(heading, table, name)
            ),
            None,
        )
        is_second = found is not None and found[1] == "distance_m" and any(
            fold(one.text) == fold(heading.text) for one in match.columns.values()
        )  # fmt: skip
        is_double_name = found is not None and found[1] == "athlete_id" and match.first_name is not None
        if found is None or is_double_name or is_second:
            match.ignored.append(heading)
        else:
            match.columns[found] = heading
    return match


def _asked(heading: Heading, main: str) -> list[str]:
    """Return what a question of a form may ask in its own words."""
    aims = OF_AIMS if is_aim(heading.text) else frozenset()
    if is_of_yesterday(heading.text):
        aims = aims | OF_A_DAY_BEFORE
    return [name for name in heading.loose if name in LOOSE.get(main, ()) and name not in aims]


def _is_where_told(heading: Heading, table: str, name: str) -> bool:
    """Return whether a column is of the table that was answered; a key belongs to all of them."""
    return heading.told_table in ("", table) or name in table_shape(table).key


def _own(names: list[str], table: str, main: str, *, any_beside: bool = False) -> list[str]:
    """Return the columns of a table that the names mean; in a companion table only those beyond the key.

    What was answered may stand beside anything: a remark beside runs is one of their session where that was said.
    """
    shape = table_shape(table)
    listed = [shape.date if name == "date" and shape.date else name for name in names]
    if table == "plan":  # a plan's minutes and effort are planned ones
        listed = [PLANNED.get(name, name) for name in listed]
    own = [name for name in listed if name in shape.columns or name in HELPERS.get(table, ())]
    if table != main and table in BESIDE and not any_beside:
        allowed = BESIDE[table] - (NOT_OF_A_SESSION if table == "session" else set())
        own = [name for name in own if name in allowed]
    return [name for name in own if table == main or name not in shape.key]


def _give_names(match: Match, headings: list[Heading]) -> None:
    """Take a first and a last name as one name when a file has both."""
    firsts = [h for h in headings if "first_name" in h.names]
    lasts = [h for h in headings if "last_name" in h.names]
    if firsts and not lasts and "athlete_id" not in firsts[0].names:  # 'Name; Vorname'
        lasts = [h for h in headings if fold(h.text) in {"name", "nom"}]
    if firsts and lasts:
        match.first_name, match.last_name = firsts[0], lasts[0]
        match.name_particle = next((one for one in headings if "name_particle" in one.names), None)
    elif firsts and "athlete_id" not in firsts[0].names:
        match.first_name = firsts[0]


def named_after(table: str, *places: str) -> bool:
    """Return whether a file or sheet is named after a table."""
    words = [fold(re.sub(r"\.[a-z0-9]+$", "", place.lower()).replace("_", " ")) for place in places]
    if table == "plan" and names_plan(places):
        return True
    plain = "|".join((table.replace("_", " "), *CALLED.get(table, ())))
    return any(re.search(rf"(?:^| |\d)(?:{plain})s?(?: |\d|$)", text) for text in words)


def match_canonical(headings: list[Heading], source: str, sheet: str) -> Match | None:
    """Return the table whose own column names all the headings are; None where there is none.

    Where several fit: the one that needs no other table's columns, then the one the sheet or file is named after, then
    the one whose running numbers are all given, then the first in the order of the record.
    """
    if not headings or not all(heading.is_exact for heading in headings):
        return None
    names = [heading.names[0] for heading in headings]
    if len(set(names)) < len(names):
        return None
    fits: list[tuple[tuple[int, bool, int], Match]] = []
    for shape in all_shapes().values():
        exact = [Heading(h.place, h.text, (_as_athlete(h.names[0], names, shape),), is_exact=True) for h in headings]
        match = assign(shape.name, targets_of(shape), exact, any_beside=True)
        if match.ignored or match.missing():
            continue
        borrowed = sum(1 for table, _ in match.columns if table != shape.name)
        fits.append(((borrowed, not named_after(shape.name, sheet, source), match.unsaid_numbers), match))
    return min(fits, key=lambda fit: fit[0])[1] if fits else None


def _as_athlete(name: str, names: list[str], shape: TableShape) -> str:
    is_name = name == "display_name" and "athlete_id" not in names and "display_name" not in shape.columns
    return "athlete_id" if is_name and "athlete_id" in shape.columns else name


def match_long(
    headings: list[Heading], source: str, sheet: str, *, given: frozenset[str], kept: str = "", named: str = "",
    is_log: bool = False,
) -> Match | list[Match]:  # fmt: skip
    """Return the table that most headings fit, or the nearest misses where none has all it needs.

    ``kept`` is the table the sheet was before something was answered of its columns: it stays that where it can.
    ``named`` is a table that a column of short texts is named after, 'Injury', or was said to be of. ``is_log`` says
    that a column says what was done.
    """
    near: list[Match] = []
    fits: list[tuple[tuple[int, int, int, bool, int], Match]] = []
    for shape in all_shapes().values():
        match = assign(shape.name, targets_of(shape), headings, loose=shape.name in LOOSE, given=given)
        headed = shape.name == "plan" and any(fold(one.text) == "plan" for one in headings) and not any(
            set(one.names) & set(PLANNED) for one in headings
        )  # fmt: skip
        is_named = headed or shape.name == named or named_after(shape.name, sheet, source)
        known = len(match.columns) + (match.first_name is not None)
        needs_value = any(name in shape.values for name in shape.columns)
        says_nothing = needs_value and not match.says_something(is_named=is_named)
        if shape.name == "athlete" and not may_be_roster(match, headings):
            says_nothing = True
        if shape.name == "plan" and (is_log or not (is_named or _is_planned(headings))):
            says_nothing = True  # whatever the file is called, it says what was done; fast metres alone plan nothing
        if shape.name == "season_phase" and says_work(headings):
            says_nothing = True  # it says of each session in which phase it was
        unread = {one.names[0] for one in match.ignored if one.names}
        if shape.name in ("session", "plan") and {"exercise", "set_text"} <= unread:
            says_nothing = True  # a log of sets: what it says of effort is none of the session's
        if match.missing() or says_nothing:
            if known >= 2:
                near.append(match)
            continue
        lost = len(match.ignored) + (1 if shape.name == "race_result" and not _has_event(match) else 0)
        score = (-lost, match.own_values + _signs(match), known, is_named, -match.unsaid_numbers)
        fits.append((score, match))
    fits = [fit for fit in fits if fit[1].main == (kept or named)] or fits
    if fits:
        return max(fits, key=lambda fit: fit[0])[1]
    return sorted(near, key=lambda match: (max(len(match.missing()), 1), -len(match.columns)))[:1]


def _is_planned(headings: Sequence[Heading]) -> bool:
    """Return whether a heading says of something that it was planned."""
    return any(one.is_told or set(one.names) & {*PLANNED.values(), "planned_on"} for one in headings)


def says_work(headings: Sequence[Heading]) -> bool:
    """Return whether a heading is of a measure, or of a session and its work; 'Hasta' may be how far or until when."""
    return any(one.gate_m is not None or set(one.names) & NO_ROSTER - {"distance_m"} for one in headings)


def may_be_roster(match: Match, headings: Sequence[Heading]) -> bool:
    """Return whether headings may be those of a list of people: they name people and what does not change from day
    to day.
    """
    names = {heading.names[0] for heading in headings if heading.names}
    if names & NO_ROSTER or any(one.gate_m is not None or one.run_no is not None or one.at for one in headings):
        return False
    if "date" in names and not names & {"birth_date"}:
        return False
    own = set(match.of("athlete")) - {"athlete_id", "display_name"}
    return bool(own) or not match.ignored or bool(set(match.of("body_measure")))


def _has_event(match: Match) -> bool:
    event = match.of("race_result").get("event")
    return "event" in match.given or (event is not None and event.names[:1] == ("event",))


def _signs(match: Match) -> int:
    """Return extra weight for key columns that no other table has: an exercise, a gate, a step number, an event."""
    telling = {"exercise", "distance_m", "step_no", "test", "event", "site", "item", "topic"}
    own = telling & set(table_shape(match.main).key)
    told = 1 if match.main == "race_result" and "event" in match.given else 0  # a title names the race
    time = match.of("split").get("elapsed_s") if match.main == "split" and "distance_m" in match.given else None
    told += 1 if time is not None and "duration_min" not in time.names else 0  # or how far was run
    return told + sum(1 for table, column in match.columns if table == match.main and column in own)
