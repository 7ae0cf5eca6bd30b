"""Athletes: a name or key in a file matched to the roster, never guessed."""

from collections.abc import Iterable

import polars as pl

from pipelines.checks.faults import SET_ASIDE, listed
from schemas.spelling import fold, slug

NEAR_SCORE = 60  # of 100: below it a name is not worth naming
NEAR_NAMES = 3


def name_key(text: str) -> str:
    """Return a name in the form in which names are compared: accents, case, order and hyphens do not count."""
    return " ".join(sorted(fold(text).split()))


class Roster:
    """The athletes that are known: by key, and by display name in any order and spelling of its letters."""

    def __init__(self, athletes: pl.DataFrame) -> None:
        self.names: dict[str, str] = dict(athletes.select("athlete_id", "display_name").iter_rows())
        self._by_key: dict[str, set[str]] = {}
        for athlete_id, name in self.names.items():
            for text in (athlete_id, name or athlete_id):
                self._by_key.setdefault(name_key(text), set()).add(athlete_id)

    def find(self, text: str) -> tuple[str | None, str]:
        """Return the key of the athlete a text names and "", or None and why not, with the nearest names."""
        plain = text.strip()
        if plain in self.names:
            return plain, ""
        found = self._by_key.get(name_key(plain), set())
        if len(found) == 1:
            return next(iter(found)), ""
        if found:
            return (
                None,
                f"'{plain}' may be {listed(sorted(found))}. {SET_ASIDE} Write the athlete_id instead of the name.",
            )
        if not fold(plain):
            return None, f"the athlete is missing. {SET_ASIDE} Write the name or the athlete_id."
        near = self._near(plain)
        hint = f" The nearest names are {listed(near)}." if near else ""
        return None, (f"'{plain}' is not on the roster.{hint} {SET_ASIDE} Mend the name, or load the athlete first.")

    def _near(self, text: str) -> list[str]:
        from rapidfuzz import fuzz, process

        keys = {athlete_id: name_key(name or athlete_id) for athlete_id, name in self.names.items()}
        best = process.extract(name_key(text), keys, scorer=fuzz.WRatio, limit=NEAR_NAMES, score_cutoff=NEAR_SCORE)
        return [self.names[athlete_id] or athlete_id for _, _, athlete_id in best]

    def with_new(self, athletes: Iterable[tuple[str, str]]) -> "Roster":
        """Return a roster that also holds the athletes given as (athlete_id, display_name)."""
        names = self.names | dict(athletes)
        return Roster(
            pl.DataFrame(
                {"athlete_id": list(names), "display_name": list(names.values())},
                schema={"athlete_id": pl.String, "display_name": pl.String},
            )
        )


def new_key(name: str) -> str:
    """Return the athlete_id made of a name."""
    return slug(name)
