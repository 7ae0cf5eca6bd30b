"""The season: blocks of work that lead to races, what a day of each holds, and the runs and words of each session."""

import datetime as dt
from dataclasses import dataclass

from seed_data import cases
from seed_data.squad import Athlete, week_number

Slot = tuple[str, int, float]  # kind, minutes, effort 0 to 10
Week = tuple[tuple[Slot, ...], ...]  # Monday to Sunday
REST: tuple[Slot, ...] = ()

RACE_DAYS = {
    dt.date(2026, 6, 13): "Fenmouth", dt.date(2026, 6, 27): "Saltmarsh", dt.date(2026, 7, 11): "Oldhythe",
    dt.date(2026, 7, 25): "Saltmarsh", dt.date(2026, 8, 8): "Westering",
}  # fmt: skip
NEXT_RACE, NEXT_PLACE = dt.date(2026, 12, 12), "Fenmouth, indoors"
PLANNED_WEEKS = 29  # of the season that are planned: the 26 of the record, and three on to the next race


@dataclass(frozen=True)
class Block:
    """Some weeks with one aim; ``last`` is the last of them, weeks counted from 0."""

    name: str
    first: int
    last: int
    aim: str


BLOCKS = (
    Block("sharpening", 0, 1, "speed for the first race"),
    Block("season", 2, 10, "a race every other Saturday, little but fast in between"),
    Block("rest", 11, 13, "out of the season: light, then two weeks of rest with a touch of speed"),
    Block("general", 14, 19, "volume, strength, first steps; sled from October for three"),
    Block("speed", 20, 25, "full speed twice a week, starts"),
    Block("to_the_race", 26, 28, "one light week, one sharp week, the week of the indoor race"),
)
# Share of the usual minutes: common practice, no source. Every fourth week of a block of work is lighter; the two weeks
# before a race week carry the work, the week of a race does not.
SHARES = (
    1.00, 1.02, 0.70, 1.00, 0.70, 1.02, 0.70, 0.98, 0.70, 1.00, 0.70, 0.80, 0.60, 0.60,
    0.90, 0.98, 1.04, 0.80, 1.02, 1.06, 1.02, 0.80, 1.00, 1.04, 1.06, 1.02, 0.82, 0.92, 0.62,
)  # fmt: skip
LIGHT_WEEKS = frozenset({11, 12, 13, 17, 21, 26, 28}) | {week_number(day) for day in RACE_DAYS}

# Monday to Sunday, by event group: common practice, no source.
USUAL: dict[str, Week] = {
    "short_sprints": (
        (("acceleration", 90, 6),),
        (("strength", 75, 6),),
        (("top_speed", 80, 7), ("plyometric", 35, 4)),
        (("recovery", 30, 2),),
        (("strength", 70, 6),),
        (("acceleration", 85, 7),),
        REST,
    ),
    "long_sprints": (
        (("top_speed", 80, 6),),
        (("strength", 70, 6),),
        (("tempo", 60, 5),),
        (("acceleration", 75, 6),),
        (("strength", 60, 5),),
        (("speed_endurance", 80, 8),),
        REST,
    ),
    "hurdles": (
        (("acceleration", 85, 6),),
        (("strength", 70, 6),),
        (("technique", 80, 5),),
        (("top_speed", 75, 7),),
        (("strength", 65, 6),),
        (("technique", 90, 7),),
        REST,
    ),
    "horizontal_jumps": (
        (("acceleration", 80, 6),),
        (("strength", 75, 6),),
        (("plyometric", 70, 6),),
        REST,
        (("strength", 70, 6),),
        (("top_speed", 85, 7),),
        REST,
    ),
    "combined_events": (
        (("technique", 90, 5),),
        (("acceleration", 80, 6),),
        (("strength", 80, 6),),
        (("top_speed", 75, 7),),
        (("technique", 100, 6),),
        (("strength", 75, 6),),
        REST,
    ),
}
# The week of a race: fast early, off on Thursday, a few drills on Friday, the race on Saturday.
_RACE_WEEK: Week = (
    (("acceleration", 75, 6),),
    (("strength", 60, 5),),
    (("top_speed", 70, 6),),
    REST,
    (("technique", 40, 3),),
    REST,
    REST,
)
TO_RACE: dict[str, Week] = dict.fromkeys(USUAL, _RACE_WEEK)
OUT_OF_SEASON: Week = (
    (("recovery", 50, 2),),
    (("strength", 60, 4),),
    (("tempo", 55, 4),),
    REST,
    (("top_speed", 60, 4),),
    (("recovery", 50, 3),),
    REST,
)


@dataclass(frozen=True)
class Work:
    """Runs of one sort in a session, and how many metres of each lie at 95 % of own best or more."""

    sort: str
    count: int
    metres: int
    fast_each_m: int = 0

    @property
    def words(self) -> str:
        """Return the runs as they stand in the plan."""
        return f"{self.count} x " + SORT_WORDS[self.sort].format(self.metres)


SORT_WORDS = {
    "blocks": "{} m from blocks", "standing": "{} m standing", "flying": "flying {} m",
    "build_up": "flying {} m at 90 %", "video": "{} m from blocks, filmed", "sled": "{} m sled, light to heavy",
    "heavy_sled": "{} m heavy sled",
}  # fmt: skip
OTHER_WORDS = {
    "strength": "squat, hinge, hamstrings, then the short ones", "tempo": "8 x 100 m on grass, walk back",
    "speed_endurance": "3 x 150 m at 90 %, 8 min between", "plyometric": "pogo hops, hurdle hops, bounds",
    "recovery": "20 min easy, then mobility", "technique": "drills of the event",
}  # fmt: skip


def block_of(week: int) -> Block:
    """Return the block a week lies in."""
    return next(block for block in BLOCKS if block.first <= week <= block.last)


def is_light(week: int) -> bool:
    """Return whether a week is one of the lighter ones."""
    return week in LIGHT_WEEKS


def is_hurt(athlete_id: str, day: dt.date) -> bool:
    """Return whether a day lies between an injury of the season and the return from it."""
    return any(
        who == athlete_id and began < day < back
        for who, began, back in (
            (cases.RETURNS, cases.STRAIN_ON, cases.RETURNED_ON),
            (cases.CALF, cases.CALF_ON, cases.CALF_BACK_ON),
        )
    )


def planned(athlete: Athlete, day: dt.date) -> list[Slot]:
    """Return the sessions planned for a day; none on a rest day."""
    week = week_number(day)
    if is_hurt(athlete.athlete_id, day):
        usual = USUAL[athlete.event_group][day.weekday()]
        slots = [("recovery", 45, 3.0)] if day.weekday() in {0, 2, 5} else list(usual)
        slots = [slot for slot in slots if slot[0] in {"recovery", "strength"}]
    elif day in RACE_DAYS or day == NEXT_RACE:
        return [("race", 120, 8.0)]
    else:
        slots = list(_template(athlete.event_group, week)[day.weekday()])
        if day.weekday() == 3 and athlete.event_group == "short_sprints" and week % 2:
            slots = []
    if _goes_easy(athlete, day):  # nothing near full speed, and nothing of which nobody knows how fast it was
        slots = [("tempo", 60, 5) if slot[0] == "speed_endurance" else slot for slot in slots]
    return [(kind, int(5 * round(minutes * SHARES[week] / 5)), float(effort)) for kind, minutes, effort in slots]


def _template(group: str, week: int) -> Week:
    is_race_week = any(week_number(day) == week for day in (*RACE_DAYS, NEXT_RACE))
    if is_race_week:
        return TO_RACE[group]
    if week in {12, 13}:
        return OUT_OF_SEASON
    days = list(USUAL[group])
    if block_of(week).name == "general" and week % 2 == 1 and group == "short_sprints":
        days[2] = (("tempo", 60, 5), ("plyometric", 35, 4))  # full speed every other week only
    return tuple(days)


def runs_of(athlete: Athlete, day: dt.date, kind: str) -> list[Work]:
    """Return the runs planned for a session, in the order they are run; none where none is timed."""
    week = week_number(day)
    if kind == "top_speed":
        return _full_speed(athlete, day, week)
    if kind != "acceleration":
        return []
    if _goes_easy(athlete, day):
        return [Work("blocks", 4, 10)]
    if athlete.event_group == "horizontal_jumps":
        runs = [Work("standing", 4, 30, 10)]
    elif athlete.event_group == "short_sprints" and day.weekday() == 5:
        runs = [Work("blocks", 2, 40, 20)]
    else:
        runs = [Work("blocks", 3 if is_light(week) else 4, 30, 10)]
        if week % 4 == 2 and not is_light(week):
            runs.append(Work("standing", 2, 30, 10))
    if athlete.event_group != "horizontal_jumps" and day.weekday() != 5 and week % 2 == 1:
        runs.append(Work("video", 1, 10))
    if athlete.athlete_id in cases.SLED and cases.SLED_FROM <= day <= cases.SLED_TO:
        runs.append(Work("sled", 5, 20) if day.weekday() == 0 else Work("heavy_sled", 2, 20))
    return runs


def _goes_easy(athlete: Athlete, day: dt.date) -> bool:
    """Return whether a day lies in the fortnight in which one of them runs nothing at full speed."""
    return athlete.athlete_id == cases.GAP and cases.GAP_LAST_FAST < day <= cases.GAP_TO


def _full_speed(athlete: Athlete, day: dt.date, week: int) -> list[Work]:
    if _goes_easy(athlete, day):
        return [Work("build_up", 3, 30)]
    runs = [Work("build_up", 1, 30)] if week % 3 == 0 else []
    runs.append(Work("flying", 2 if is_light(week) else 3, 30, 30))
    if athlete.event_group in {"long_sprints", "hurdles"} and week % 2 == 0 and not is_light(week):
        runs.append(Work("blocks", 1, 40, 20))
    return runs


def text_of(athlete: Athlete, day: dt.date, kind: str) -> str:
    """Return what a session holds, in the words of a plan on the wall."""
    if kind == "race":
        place = RACE_DAYS.get(day, NEXT_PLACE)
        return f"{place}: " + ", ".join(_event_words(event) for event in athlete.events)
    runs = runs_of(athlete, day, kind)
    return ", ".join(run.words for run in runs) if runs else OTHER_WORDS.get(kind, "")


def _event_words(event: str) -> str:
    return f"{event[:-1]} m hurdles" if event.endswith("h") else f"{event} m"


def fast_metres_of(athlete: Athlete, day: dt.date, kind: str) -> int:
    """Return the metres of a session planned at 95 % of own best or more, counted as a run's gates show them."""
    return sum(run.count * run.fast_each_m for run in runs_of(athlete, day, kind))
