"""Words of the fourteen-day strip of check-ins, of raw bests and of jumps and force in plain units."""

import datetime as dt

from dashboard.wording.forms import long_day
from schemas.checkin import of_scale

STRIP_TITLE = "Fourteen days of check-ins"
STRIP_CAPTION = (
    "One column a day, the newest on the right; a dot is a day without an answer. Bold: worse than own usual by "
    "more than usual. 1 to 5: 5 is the best answer; tightness and pain 0 to 10: 0 is none."
)
STRIP_NONE = "No check-in in the last fourteen days."
STRIP_USUAL = "own usual"
STRIP_ITEM = "Answer"
STRIP_WORDS = "In their own words"
STRIP_WORDS_OWN = "In your own words"
REMARKS_TITLE = "Remarks of the last fourteen days"
REMARKS_CAPTION = "As written beside sessions. What a remark means is for the reader: it changes no call."
STRIP_ITEMS = {item.name: item.heading for item in (*of_scale("hours"), *of_scale("five"), *of_scale("ten"))}
BESTS_TITLE = "Raw bests, as timed"
BESTS_CAPTION = (
    "No model and no correction. Each start, clock and way of timing stands by itself: they are not to be compared."
)
BESTS_OLDER = "Ways of starting and timing not used for longer stand in the rows behind it."
NO_BESTS = "No gate time is on record yet."
BEST_COLUMNS = (
    ("distance_m", "Gate"),
    ("best_s", "Best"),
    ("best_on", "on"),
    ("last_s", "Last day’s best"),
    ("last_on", "on"),
    ("days", "Days"),
)
TRIALS_TITLE = "Jumps and force, as measured"
TRIALS_CAPTION = "Single trials, the newest first, in the units of the test."
JUMP_TRIAL_COLUMNS = (
    ("test", "Jump"),
    ("tested_on", "Day"),
    ("trial_no", "Trial"),
    ("jump_height_m", "Height, m"),
    ("jump_length_m", "Length, m"),
    ("flight_s", "In the air, s"),
    ("contact_s", "Contact, s"),
    ("box_height_m", "Box, m"),
)
FORCE_TRIAL_COLUMNS = (
    ("test", "Force test"),
    ("tested_on", "Day"),
    ("side", "Side"),
    ("trial_no", "Trial"),
    ("peak_force_n", "Peak force, N"),
)
UNKNOWN_WAY = "not said"
MY_WORK_PARTS = {"next": "Next, load", "running": "Running, by kind", "strength": "Strength, body", "races": "Races"}
ATHLETE_PARTS = {
    "now": "Now",
    "start": "Start",
    "steps": "Steps",
    "work": "Work",
    "strength": "Strength",
    "record": "Races, return, decided",
}
SET_TITLE = "Set position, beside what came of the run"
SET_CAPTION = (
    "One run a line, the newest first. What stands side by side is no cause: other things differ between runs too."
)
NO_SET = "No set position is on record yet: feet, weight and shin of a run come from tape and film."
SET_COLUMNS = (
    ("session_date", "Day"),
    ("rep_no", "Run"),
    ("front_foot_m", "Front foot, m"),
    ("rear_foot_m", "Rear foot, m"),
    ("front_weight_percent", "Weight in front, %"),
    ("front_shin_set_deg", "Shin, set, °"),
    ("front_shin_push_deg", "Shin, push, °"),
    ("contact_1_s", "First contact, s"),
    ("speed_after_3_mps", "After 3 steps, m/s"),
    ("t_10_s", "10 m, s"),
)
IMPULSE_TITLE = "Push of each contact"
IMPULSE_COLUMNS = (
    ("step_no", "Step"),
    ("side", "Foot"),
    ("contact_s", "Contact, s"),
    ("speed_gain_mps", "Gain in speed, m/s"),
    ("impulse_ns_per_kg", "Impulse, N s/kg"),
    ("impulse_ns_per_kg_se", "Standard error"),
)


def impulse_caption(on: dt.date, rep_no: int) -> str:
    """Say what the pushes of a run are and where they come from."""
    return (
        f"Forward impulse for each kilogram, from the gains in speed beside a contact: {long_day(on)}, run {rep_no}. "
        "Worked out from steps, not measured by a plate; the first contact and the last two have no step on one side."
    )
