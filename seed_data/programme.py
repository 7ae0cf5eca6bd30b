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
NEXT_RACE = dt.date(2026, 12, 12)
# The indoor season: its races are entered, its weeks are not planned day by day yet.
INDOOR_RACES = {
    NEXT_RACE: "Fenmouth, indoors", dt.date(2027, 1, 16): "Saltmarsh, indoors",
    dt.date(2027, 1, 30): "Oldhythe, indoors", dt.date(2027, 2, 13): "Westering, indoor championships",
}  # fmt: skip
PLANNED_WEEKS = 29  # of the season that are planned: the 26 of the record, and three on to the next race


@dataclass(frozen=True)
class Block:
    """Some weeks with one aim; ``last`` is the last of them, weeks counted from 0."""

    name: str
    phase: str
    first: int
    last: int
    aim: str


BLOCKS = (
    Block("sharpening", "pre_competition", 0, 1, "speed for the first race"),
    Block("season", "competition", 2, 10, "a race every other Saturday, little but fast in between"),
    Block("rest", "transition", 11, 13, "out of the season: light, two weeks with a touch of speed"),
    Block("general", "general_preparation", 14, 18, "volume, strength, first steps"),
    Block("speed", "special_preparation", 19, 26, "full speed twice a week, starts; sled for three"),
    Block("to_the_race", "pre_competition", 27, 28, "one sharp week, then the week of the race"),
    Block("indoors", "competition", 29, 37, "three more races under a roof, the last one counts"),
)
# Share of the usual minutes: common practice, no source. In the season the week of a race is light; from September on
# three weeks load, each a little more than the one before, and the fourth is easier; from four to four the volume goes
# down as the speed goes up.
SHARES = (
    1.00, 1.02, 0.70, 1.00, 0.70, 1.02, 0.70, 0.98, 0.70, 1.00, 0.70, 0.80, 0.60, 0.60,
    0.80, 1.02, 1.10, 1.18, 0.76, 0.98, 1.06, 1.14, 0.74, 0.90, 0.96, 1.01, 0.70, 0.90, 0.62,
)  # fmt: skip
EASIER_WEEKS = frozenset({18, 22, 26})  # the fourth of each four
LIGHT_WEEKS = EASIER_WEEKS | {11, 12, 13, 28} | {week_number(day) for day in RACE_DAYS}
HEAVIEST_WEEKS = frozenset({17, 21, 25})  # the third of each four

# Monday to Sunday, by event group: common practice, no source. The gym, hamstrings with it, comes after the day's fast
# running or two days before the next, never on the day before.
USUAL: dict[str, Week] = {
    "short_sprints": (
        (("acceleration", 90, 6), ("strength", 70, 6)),
        (("recovery", 30, 2),),
        (("top_speed", 80, 7), ("plyometric", 35, 4)),
        (("strength", 75, 6),),
        REST,
        (("acceleration", 85, 7),),
        REST,
    ),
    "long_sprints": (
        (("top_speed", 80, 6),),
        (("strength", 70, 6),),
        (("tempo", 60, 5),),
        (("acceleration", 75, 6), ("strength", 60, 5)),
        REST,
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
        (("strength", 70, 6),),
        REST,
        (("top_speed", 85, 7),),
        REST,
    ),
    "combined_events": (
        (("technique", 90, 5),),
        (("acceleration", 80, 6), ("strength", 80, 6)),
        REST,
        (("top_speed", 75, 7),),
        (("technique", 100, 6),),
        (("strength", 75, 6),),
        REST,
    ),
}
# The week of a race: fast early with the gym after it, off on Thursday, a few drills on Friday, the race on Saturday.
_RACE_WEEK: Week = (
    (("acceleration", 75, 6), ("strength", 60, 5)),
    REST,
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
# What is not timed, in an easier week, as a rule, and in the heaviest of four.
OTHER_WORDS = {
    "strength": ("squat, hinge, hamstrings: 2 sets each", "squat, hinge, hamstrings: 3 sets, then the short ones",
                 "squat, hinge, hamstrings: 3 sets, the last with one in reserve"),
    "tempo": ("6 x 100 m on grass, walk back", "8 x 100 m on grass, walk back", "10 x 100 m on grass, walk back"),
    "speed_endurance": ("2 x 150 m at 90 %, 8 min between", "3 x 150 m at 90 %, 8 min between",
                        "3 x 150 m at 95 %, 10 min between"),
    "plyometric": ("pogo hops, hurdle hops, bounds: a set less of each", "pogo hops, hurdle hops, bounds",
                   "pogo hops, hurdle hops, bounds"),
    "recovery": ("20 min easy, then mobility",) * 3, "technique": ("drills of the event",) * 3,
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
    elif day in RACE_DAYS or day in INDOOR_RACES:
        return [("race", 120, 8.0)]
    elif week >= PLANNED_WEEKS:
        return []
    else:
        slots = list(_template(athlete.event_group, week)[day.weekday()])
        if day.weekday() == 1 and athlete.event_group == "short_sprints" and week % 2:
            slots = []
    if athlete.athlete_id == cases.EVE and day == cases.EVE_ON:
        slots.append(("strength", 40, 5))
    if _goes_easy(athlete, day):  # nothing near full speed, and nothing of which nobody knows how fast it was
        slots = [("tempo", 60, 5) if slot[0] == "speed_endurance" else slot for slot in slots]
    return [(kind, int(5 * round(minutes * SHARES[week] / 5)), float(effort)) for kind, minutes, effort in slots]


def _template(group: str, week: int) -> Week:
    is_race_week = any(week_number(day) == week for day in (*RACE_DAYS, *INDOOR_RACES))
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
        runs = [Work("blocks", 3 if is_light(week) else 5 if week in HEAVIEST_WEEKS else 4, 30, 10)]
        if week % 4 == (2 if week < 14 else 0) and not is_light(week):
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
        if day in INDOOR_RACES:
            return f"{INDOOR_RACES[day]}: " + ", ".join(_indoor_words(athlete))
        return f"{RACE_DAYS[day]}: " + ", ".join(_event_words(event) for event in athlete.events)
    if athlete.athlete_id == cases.EVE and day == cases.EVE_ON:
        return "Nordic lowering 3 x 4: eccentric work for the hamstrings, the second time this week"
    runs = runs_of(athlete, day, kind)
    if runs:
        return ", ".join(run.words for run in runs)
    week = week_number(day)
    return OTHER_WORDS[kind][0 if is_light(week) else 2 if week in HEAVIEST_WEEKS else 1]


def _indoor_words(athlete: Athlete) -> list[str]:
    """Return what is raced under a roof instead of the athlete's events: common practice, no source."""
    short = {"100": "60 m", "100h": "60 m hurdles", "110h": "60 m hurdles", "400h": "400 m"}
    return list(dict.fromkeys(short.get(event, f"{event} m") for event in athlete.events))


def _event_words(event: str) -> str:
    return f"{event[:-1]} m hurdles" if event.endswith("h") else f"{event} m"


def fast_metres_of(athlete: Athlete, day: dt.date, kind: str) -> int:
    """Return the metres of a session planned at 95 % of own best or more, counted as a run's gates show them."""
    return sum(run.count * run.fast_each_m for run in runs_of(athlete, day, kind))
