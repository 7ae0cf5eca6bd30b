"""The demo home: an invented squad, loaded from the files that come with the program, the way a club loads its own."""

import dataclasses
from pathlib import Path

import seed_data
from pipelines.accounts.accounts import Accounts
from pipelines.board import building
from pipelines.board.building import Tell, tell_nothing
from pipelines.entry import batch
from pipelines.errors import ThirdstepError
from pipelines.home.folder import Home, Say, say_nothing
from pipelines.home.settings import read_settings, write_settings
from pipelines.intake.files import gather
from pipelines.record import opening
from pipelines.record.known import athletes
from pipelines.record.loading import Outcome
from schemas.intake import LayoutOptions
from schemas.rights import Writer
from seed_data.film import FILM

DEMO_WORDS = "Everything in this folder is invented: the squad, its people and their numbers. It may be deleted.\n"
HEAD_COACH = Writer("coach", "head_coach")  # of the invented squad, who brings its files
MINOR = "zofia-hartslow"  # 16 on the day the demo stands at, with a guardian's consent
STAFF_GROUPS = ("short_sprints", "hurdles")


@dataclasses.dataclass(frozen=True)
class SignIn:
    """A sign-in of the demo. Its pass-phrase is public, and the demo holds invented people only."""

    name: str
    passphrase: str
    role: str
    reads: str


# One file of the invented squad for each table that a club begins with, as such files look.
SAMPLES = {
    "athlete": "roster.csv",
    "checkin": "checkins_autumn.csv",
    "session": "sessions_2026_w47.csv",
    "split": "starts_2026_w47.csv",
    "step": "steps_2026_autumn.csv",
    "lift_set": "gym_2026-11.xlsx",
    "force_test": "eccentric_force_2026.csv",
    "jump_test": "jumps_2026.xlsx",
    "injury": "injuries.csv",
}
Built = tuple[list[Outcome], list[SignIn]]


def sample(table: str) -> tuple[str, bytes]:
    """Return the name and bytes of a file of the invented squad; of 'film', a drawn start whose marks are in the demo.

    Raises:
        ThirdstepError: There is none for this table, or the files are not there.
    """
    path = Path(FILM) if table == "film" else Path(seed_data.FILES) / SAMPLES.get(table, "")
    if not path.is_file():
        raise ThirdstepError(f"There is no sample file for '{table}'. There are some for: {', '.join(SAMPLES)}.")
    return path.name, path.read_bytes()


def build_demo(home: Home, say: Say = say_nothing, tell: Tell = tell_nothing) -> Built:
    """Fill a demo home and publish its board. Building it again changes nothing.

    Raises:
        ThirdstepError: The home holds a club's own record, or the demo's files are not there.
    """
    if home.record.exists() and not home.demo_mark.exists():
        raise ThirdstepError(
            f"'{home.root}' holds a record of its own; the demo is never mixed into it. "
            "Give an empty folder with --home DIR."
        )
    files = Path(seed_data.FILES)
    found = gather([files]) if files.is_dir() else []
    if not found:
        raise ThirdstepError("The demo's files are not there. Install thirdstep again.")
    opening.prepare(home)
    home.demo_mark.write_text(DEMO_WORDS, encoding="utf-8")
    wanted = read_settings(home.settings).changed(seed_data.DEMO_SETTINGS)
    if not home.settings.exists() or read_settings(home.settings) != wanted:
        write_settings(home.settings, wanted)
    outcomes = batch.load_found(home, found, HEAD_COACH, LayoutOptions(), False, say, tell)
    if building.is_stale(home):
        building.derive_board(home, say, tell)
    return outcomes, add_sign_ins(home, say)


def add_sign_ins(home: Home, say: Say) -> list[SignIn]:
    """Make the demo's accounts where they are not there, and return them."""
    with opening.record(home, say, to_look=True) as con:
        who = athletes(con)["athlete_id"].to_list()
    if not who:
        raise ThirdstepError("The demo's files hold no athletes. Install thirdstep again.")
    athlete = who[0]
    sign_ins = [
        SignIn("coach", "three-steps-first", "head_coach", "the whole squad"),
        SignIn("staff", "cones-on-marsh-lane", "staff", " and ".join(g.replace("_", " ") for g in STAFF_GROUPS)),
        SignIn(athlete, "one-step-at-a-time", "athlete", "their own page only"),
    ]
    tied = {athlete: athlete}
    if MINOR in who:
        sign_ins.append(SignIn(MINOR, "sixteen-and-springing", "athlete", "their own page only; 16 years old"))
        sign_ins.append(SignIn(f"parent-of-{MINOR}", "beside-the-long-track", "guardian", "the page of that minor"))
        tied |= dict.fromkeys((MINOR, f"parent-of-{MINOR}"), MINOR)
    accounts = Accounts(home.access)
    there = {account.name for account in accounts.list()}
    for one in sign_ins:
        if one.name not in there:
            accounts.add(
                one.name, one.role, one.passphrase, athlete_id=tied.get(one.name),
                groups=STAFF_GROUPS if one.role == "staff" else (),
            )  # fmt: skip
    return sign_ins
