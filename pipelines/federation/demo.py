"""Eight invented squads, each in a home of its own, loaded the way a club loads its own files."""

from pathlib import Path

from pipelines.entry.bringing import load_files
from pipelines.errors import ThirdstepError
from pipelines.federation.export import join
from pipelines.home.folder import Home
from pipelines.home.settings import read_settings, write_settings
from pipelines.home.telling import Tell, tell_nothing
from pipelines.record import opening
from schemas.rights import Writer
from seed_data import federation as seed
from seed_data.squad import LAST_DAY

WORDS = "Everything in this folder is invented: the squads, their people and their numbers. It may be deleted.\n"
UNFINISHED = "It is being filled.\n"
COACH = Writer("coach", "head_coach")


def build(folder: Path, squads: int, tell: Tell = tell_nothing, *, athletes: int = 0, weeks: int = 0) -> list[Home]:
    """Fill the homes of so many invented squads; those that are there stay as they are.

    Raises:
        ThirdstepError: A folder holds a record of its own.
    """
    homes = []
    for number in range(1, squads + 1):
        key = seed.squad_key(number)
        tell(number - 1, squads, key)
        home = Home((folder / "homes" / key).absolute())
        if home.record.exists() and not home.demo_mark.exists():
            raise ThirdstepError(f"'{home.root}' holds a record of its own; the demo is never mixed into it.")
        opening.prepare(home)
        join(home, key)
        if not home.demo_mark.exists() or home.demo_mark.read_text(encoding="utf-8") != WORDS:
            home.demo_mark.write_text(WORDS + UNFINISHED, encoding="utf-8")
            named = {"squad_name": f"Squad of {key.capitalize()} (invented)", "as_of": LAST_DAY}
            write_settings(home.settings, read_settings(home.settings).changed(named))
            files = seed.squad_files(number, athletes or seed.ATHLETES, weeks or seed.WEEKS)
            outcomes = load_files(home, files.items(), COACH, derive_after=False)
            wrong = [one.problem for one in outcomes if one.problem]
            if wrong:
                raise ThirdstepError(f"The demo's files could not be loaded: {wrong[0]}")
            home.demo_mark.write_text(WORDS, encoding="utf-8")
        homes.append(home)
    tell(squads, squads, "")
    return homes
