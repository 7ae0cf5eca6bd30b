"""The cases planted in the demo: who, what, from when to when. Every module of the simulator reads its dates here."""

import datetime as dt
from dataclasses import dataclass

D = dt.date


@dataclass(frozen=True)
class Case:
    """One planted case; ``athlete_id`` is empty where a whole group is meant."""

    case: str
    athlete_id: str
    what: str
    first_day: dt.date
    last_day: dt.date


LAST_WEEK = D(2026, 11, 16)  # Monday of the last complete week

IMPROVES = "teo-brandmere"
IMPROVES_FROM, IMPROVES_TO = D(2026, 9, 28), D(2026, 11, 22)
IMPROVES_TAU_S = -0.080  # s, about -0.050 s at 10 m together with the next line
IMPROVES_VMAX_MPS = 0.05

STALLS = "jory-threlkeld"
STALLS_FROM, STALLS_TO = D(2026, 8, 31), D(2026, 11, 22)
STALLS_EARLIER_TAU_S = 0.070  # s slower at the start of the 26 weeks, gained until it stalls

CUT_SHORT = "dilys-fernbank"
CUT_SHORT_FROM, CUT_SHORT_TO = D(2026, 11, 2), D(2026, 11, 22)
CUT_SHORT_CONTACT = 0.84  # share of own first three contacts
CUT_SHORT_FLIGHT = 0.88
CUT_SHORT_TAU_S = 0.065

TOO_LONG = "tobiah-greaveslake"
TOO_LONG_FROM, TOO_LONG_TO = D(2026, 10, 5), D(2026, 11, 22)
TOO_LONG_CONTACT = 1.14
TOO_LONG_FLIGHT = 1.10

SHIN_DROPS = "severine-marlowe-quist"
SHIN_DROPS_FROM, SHIN_DROPS_TO = D(2026, 9, 7), D(2026, 11, 22)
SHIN_DROP_DEG = -6.5

RETURNS = "caspian-wray"
STRAIN_ON, RETURNED_ON = D(2026, 9, 12), D(2026, 10, 17)
RETURN_TAU_S = 0.060  # s slower on the day of return, half of it gone after three weeks

CALF = "ismene-castellow"
CALF_ON, CALF_BACK_ON = D(2026, 6, 30), D(2026, 7, 21)
CALF_TAU_S = 0.030  # s slower on the day of return, half of it gone after three weeks

SPIKE = "ines-quarrington"

GAP = "ottilie-marrowby"
GAP_LAST_FAST, GAP_TO = D(2026, 11, 9), D(2026, 11, 22)
GAP_ENDS = D(2026, 11, 23)

EVE = RETURNS  # his second eccentric session stands on the day before full speed: what the plan's caution is for
EVE_ON = D(2026, 11, 27)

TIGHT = "marit-oakhollow"
TIGHT_FROM, TIGHT_TO = D(2026, 11, 20), D(2026, 11, 22)
TIGHT_LEFT = (3, 5, 6)

SIDE_DIFFERENCE = "emeka-sandiforth"
SIDE_DIFFERENCE_FROM, SIDE_DIFFERENCE_TO = D(2026, 9, 7), D(2026, 11, 22)
SIDE_DIFFERENCE_SHARE = 0.85  # right of left

NEVER_CHECKS_IN = "per-ashdown"
SILENT = "noemi-starling-pace"
SILENT_FROM, SILENT_TO = D(2026, 11, 19), D(2026, 11, 22)

HAND_GROUP = "long_sprints"
HAND_FROM, HAND_TO = D(2026, 10, 5), D(2026, 10, 11)

SLED = ("teo-brandmere", "kofi-lindqvale", "bastian-thornlea")
SLED_FROM, SLED_TO = D(2026, 10, 5), D(2026, 11, 8)

HINGE_RISES = "bastian-thornlea"
HINGE_RISES_FROM = D(2026, 9, 28)
HINGE_RISE = 0.14  # share, by the last day; eccentric force stays as it is

JUMP_DROP = "kofi-lindqvale"
JUMP_DROP_SHARE = 0.90

ILL = "maelle-dunmoor"
ILL_FROM, ILL_TO = D(2026, 11, 21), D(2026, 11, 22)

SHORT_SLEEP = "yusuf-carrowmere"
SHORT_SLEEP_ON = D(2026, 11, 22)

# A little better over eight weeks, beside the one who improves clearly: change of tau, s.
SMALL_GAINS = {"rune-halvard-okoro": -0.058, "asa-lindenmoor": -0.056}

MINORS = ("luca-pemberwick", "maelle-dunmoor", "zofia-hartslow")

FIRST, LAST = D(2026, 5, 25), D(2026, 11, 22)

CASES: tuple[Case, ...] = (
    Case("improves", IMPROVES, "10 m time about 0.05 s faster in eight weeks", IMPROVES_FROM, IMPROVES_TO),
    Case("stalls", STALLS, "gained until the end of August, level since", STALLS_FROM, STALLS_TO),
    Case(
        "push_cut_short",
        CUT_SHORT,
        "first contacts short, steps fast, slow after three steps",
        CUT_SHORT_FROM,
        CUT_SHORT_TO,
    ),
    Case(
        "pushes_too_long",
        TOO_LONG,
        "first contacts long; knee locked and leg behind in the notes",
        TOO_LONG_FROM,
        TOO_LONG_TO,
    ),
    Case("shin_drops", SHIN_DROPS, "front shin sinks about 6 degrees before the push", SHIN_DROPS_FROM, SHIN_DROPS_TO),
    Case("returns_from_strain", RETURNS, "right hamstring strain, back about five weeks ago", STRAIN_ON, RETURNED_ON),
    Case("returns_from_calf", CALF, "left calf strain in the season, back after three weeks", CALF_ON, CALF_BACK_ON),
    Case("load_spike", SPIKE, "load of the last complete week above own range", LAST_WEEK, LAST),
    Case("long_gap", GAP, "no run at 95 % of own best; a maximal session is planned", GAP_LAST_FAST, GAP_TO),
    Case("hamstrings_on_the_eve", EVE, "eccentric work planned on the day before full speed", EVE_ON, EVE_ON),
    Case(
        "left_tightness", TIGHT, "left hamstring tightness rising; fast metres doubled that week", TIGHT_FROM, TIGHT_TO
    ),
    Case(
        "side_difference",
        SIDE_DIFFERENCE,
        "right eccentric force about 15 % under left in three tests",
        SIDE_DIFFERENCE_FROM,
        SIDE_DIFFERENCE_TO,
    ),
    Case("never_checks_in", NEVER_CHECKS_IN, "no check-in at all", FIRST, LAST),
    Case("silent", SILENT, "no check-in for four days", SILENT_FROM, SILENT_TO),
    Case("hand_times", "", "long sprints timed by hand for a week", HAND_FROM, HAND_TO),
    *(Case("sled_block", one, "resisted runs at several loads, heavy ones too", SLED_FROM, SLED_TO) for one in SLED),
    Case(
        "hinge_rises",
        HINGE_RISES,
        "Romanian deadlift up by 14 %, eccentric hamstring force as it was",
        HINGE_RISES_FROM,
        LAST,
    ),
    Case("jump_drop", JUMP_DROP, "countermovement jump about 10 % under own usual in the last test", LAST_WEEK, LAST),
    Case("short_sleep", SHORT_SLEEP, "slept far less than usual in the last night", SHORT_SLEEP_ON, SHORT_SLEEP_ON),
    Case("ill", ILL, "ill, said so in the check-in", ILL_FROM, ILL_TO),
    *(
        Case("small_gain", one, "10 m time about 0.03 s faster in eight weeks", IMPROVES_FROM, LAST)
        for one in SMALL_GAINS
    ),
    *(Case("minor", one, "under 18 on the last day", FIRST, LAST) for one in MINORS),
)

# Those whose last day is not an ordinary one. The other 17 are simulated quiet.
LOUD = frozenset({TIGHT, ILL, SPIKE, JUMP_DROP, SHORT_SLEEP, SILENT, NEVER_CHECKS_IN})


def share_done(day: dt.date, first_day: dt.date, last_day: dt.date) -> float:
    """Return how much of a planned change has happened by a day: 0 before, 1 after, a straight line between."""
    if day <= first_day:
        return 0.0
    return min(1.0, (day - first_day).days / (last_day - first_day).days)
