"""Athletes: a name or key in a file matched to the roster, never guessed."""

import re
from collections.abc import Collection, Iterable
from datetime import date

import polars as pl

from pipelines.checks.faults import SET_ASIDE, listed
from schemas.spelling import fold, slug

NEAR_SCORE = 60  # of 100: below it a name is not worth naming
NEAR_NAMES = 4
WHOLE_SCORE = 98.0  # of 100: 'adrian' for Adrian Molt rather than for Adriana Pell; own choice
SHORTENED_SCORE = 95.0  # of 100: 'J. Castell' for Jana Castell; own choice
ABOUT = (
    "call_name",
    "code",
    "event_group",
    "squad",
    "sex",
    "joined_on",
    "left_on",
)  # what is known of people beyond their names
SAME_PERSON_SCORE = 85  # of 100: above it a new name of a roster may be a slip of one that is there; own choice

LONGEST_NAME = 45  # letters; a longer text in a list of names is a remark; own choice
CODE = re.compile(r"[^\W_]+(?:[-_.][^\W_]+)*|[^\W\d_]+(?: [^\W\d_]+)? #?\d{1,4}")  # 'ana-berg', 'A07', 'Athlete 12'
PARTICLES = {"van", "der", "den", "de", "von", "zu", "zum", "da", "das", "do", "dos", "di", "del", "della", "la", "le",
             "du", "af", "av", "ter", "ten", "t", "y", "i"}  # fmt: skip
CUT_PARTICLES = {"vd", "v", "d", "vdr", "vh"}  # van de, van der, van den
NO_NAME = re.compile(r"[\d=:;?!@%<>\[\]{}\\|*+]|[^\W\d_]{4,}\. ")  # a digit, a sign, the end of a sentence


def is_no_name(text: str) -> bool:
    """Return whether a text can be no person's name: it is long, or holds digits, '=', the end of a sentence, or words
    in small letters behind a comma ('Ana ill, not there').

    A code of a person is a name: one word with a number in it ('A07'), or a word and a number ('Athlete 12').
    """
    plain = text.strip()
    if CODE.fullmatch(plain):
        return False
    return len(plain) > LONGEST_NAME or bool(NO_NAME.search(plain)) or goes_on(plain)


def goes_on(text: str) -> bool:
    """Return whether two words in small letters stand behind a comma that are no particles of a name ('van der')."""
    name, comma, rest = text.partition(",")
    words = rest.split()
    small = [word for word in words if word.islower() and fold(word) not in PARTICLES]
    return bool(comma) and name[:1].isupper() and len(words) >= 2 and small == words


def name_key(text: str) -> str:
    """Return a name in the form in which names are compared: accents, case, order and hyphens do not count."""
    return " ".join(sorted(fold(text).split()))


def is_shortened(said: str, name: str) -> bool:
    """Return whether a name is short for another: 'j castell' for 'castell jana', each word of it used once."""
    left = name.split()
    for word in sorted(said.split(), key=len, reverse=True):
        match = next((one for one in left if one == word), None) or next((o for o in left if o.startswith(word)), None)
        if match is None:
            return False
        left.remove(match)
    return any(len(word) > 1 for word in said.split())


class Roster:
    """The athletes that are known: by key, and by display name in any order and spelling of its letters."""

    def __init__(
        self,
        athletes: pl.DataFrame,
        others: frozenset[str] = frozenset(),
        shown: Collection[str] | None = None,
    ) -> None:
        """Take who is known, and whose names may be told to the one who brings the file; null means everybody's.

        ``others`` are names of the files given together who are nobody on the roster.
        """
        self._shown = shown
        self.names: dict[str, str] = dict(athletes.select("athlete_id", "display_name").iter_rows())
        self.others = others  # names of the files given together who are nobody on the roster
        self._athletes = athletes
        self._about = {row["athlete_id"]: row for row in athletes.iter_rows(named=True)}
        self._by_key: dict[str, set[str]] = {}
        for athlete_id, name in self.names.items():
            for text in (athlete_id, name or athlete_id):
                self._by_key.setdefault(name_key(text), set()).add(athlete_id)
        self._called: dict[str, set[str]] = {}
        self._coded: dict[str, set[str]] = {}
        for athlete_id, row in self._about.items():
            if name_key(row.get("call_name") or ""):
                own = [row["call_name"], " ".join([row["call_name"], *(row["display_name"] or "").split()[1:]])]
                for text in own:  # 'Kai', and 'Kai Marsh' of Malakai Marsh
                    self._called.setdefault(name_key(text), set()).add(athlete_id)

        for athlete_id, row in self._about.items():
            if fold(row.get("code") or ""):
                self._coded.setdefault(fold(row["code"]), set()).add(athlete_id)

    def exact(self, text: str) -> str | None:
        """Return the athlete whose key, name or code a text is, however it is spelled; None where it is nobody's, or
        two's.
        """
        plain = text.strip()
        if plain in self.names:
            return plain
        found = self._by_key.get(name_key(plain), set()) or self._coded.get(fold(plain), set())
        return next(iter(found)) if len(found) == 1 else None

    def find(self, text: str) -> tuple[str | None, str]:
        """Return the key of the athlete a text names and "", or None and why not, with the nearest names."""
        plain = text.strip()
        if plain in self.names:
            return plain, ""
        found = self._by_key.get(name_key(plain), set()) or self._by_call_name(plain) or self._by_particle(plain)
        found = found or self._coded.get(fold(plain), set())
        if len(found) == 1:
            return next(iter(found)), ""
        if found:
            told = sorted(one for one in found if one and self._may_tell(one)) or ["one of several"]
            return (
                None,
                f"'{plain}' may be {listed(told)}. {SET_ASIDE} Write the athlete_id instead of the name.",
            )
        part = self._by_part(plain)
        if part is not None:
            return part, ""
        if not fold(plain):
            return None, f"the athlete is missing. {SET_ASIDE} Write the name or the athlete_id."
        near = [f"{name} (score {score:.0f})" for _, name, score in self.proposals(plain)]
        hint = f" The nearest names are {listed(near, 'and')}." if near else ""
        return None, (
            f"'{plain}' is not on the roster.{hint} {SET_ASIDE} Say who it is, mend the name, "
            "or load the athlete first."
        )

    def _by_call_name(self, text: str) -> set[str]:
        """Return who is called so, with all others whose name has these words: 'Sanne' is certain only where one is."""
        called = self._called.get(name_key(text), set())
        if not called:
            return set()
        words = set(fold(text).split())
        also = {one for one, name in self.names.items() if words <= set(fold(name or "").split())}
        is_others = any(
            words <= set(fold(name).split()) and fold(name) != fold(text) and self._called.get(name_key(name)) != called
            for name in self.others
        )
        return called | also | ({""} if is_others else set())

    def _by_particle(self, text: str) -> set[str]:
        """Return whose name a text is with its particle cut short: 'Ana vd Berg' for Ana van der Berg."""
        words = fold(text).split()
        left = {word for word in words if word not in CUT_PARTICLES}
        if len(left) < 2 or len(left) == len(words):
            return set()

        def fits(name: str) -> bool:
            own = set(fold(name).split())
            return "van" in own and own - PARTICLES == left

        return {one for one, name in self.names.items() if fits(name or "")}

    def _by_part(self, text: str) -> str | None:
        """Return the only athlete whose first or last name a text is, whole, with at most an initial beside it.

        'Ingrid', 'Faulds' and 'Lena H.' are certain where one athlete alone has such a name, and nobody else of the
        files
        given together has; a nickname or a cut name ('Mo') is not, nor is a last name beside another initial.
        """
        said = fold(text).split()
        whole = [word for word in said if len(word) > 2]
        if len(said) >= 2 and whole == said and not any(char.isdigit() or char in "-_" for char in text):
            return self._by_words(set(said))
        if not 1 <= len(said) <= 2 or said[:1] != whole or any(char.isdigit() or char in "-_" for char in text):
            return None

        def fits(name: str) -> bool:
            words = fold(name).split()
            if whole[0] not in words:
                return False
            words.remove(whole[0])
            return all(any(other.startswith(word) for other in words) for word in said if word != whole[0])

        if any(fits(name) for name in self.others if len(fold(name).split()) > 1):
            return None
        near = [one for one, name in self.names.items() if len(fold(name or "").split()) > 1 and fits(name)]
        is_short = [one for one, name in self.names.items() if is_shortened(name_key(text), name_key(name or one))]
        return near[0] if len(near) == 1 and set(is_short) <= set(near) else None

    def _by_words(self, said: set[str]) -> str | None:
        """Return the only athlete whose name has all of some words: 'Iker Zubeldia' for 'Iker Zubeldia Ponce'."""
        if any(said < set(fold(name).split()) for name in self.others):
            return None
        near = [one for one, name in self.names.items() if said <= set(fold(name or "").split())]
        return near[0] if len(near) == 1 else None

    def proposals(self, text: str) -> list[tuple[str, str, float]]:
        """Return who a text may mean, the likeliest first: athlete_id, name, score of 100.

        The score is rapidfuzz's weighted ratio of the names as compared; a name whose every word is a word of the
        athlete's scores 98, one of first letters of them 95. Below 60 nobody is named. Never taken without being asked.
        """
        from rapidfuzz import fuzz, process

        said = name_key(text)
        keys = {one: name_key(name or one) for one, name in self.names.items() if self._may_tell(one)}
        best = {one: score for _, score, one in process.extract(said, keys, scorer=fuzz.WRatio, limit=2 * NEAR_NAMES)}
        best |= {one: SHORTENED_SCORE for one, key in keys.items() if is_shortened(said, key)}
        best |= {one: WHOLE_SCORE for one, key in keys.items() if said and set(said.split()) < set(key.split())}
        named = sorted(best, key=lambda one: (-best[one], keys[one]))
        return [(one, self.names[one] or one, best[one]) for one in named if best[one] >= NEAR_SCORE][:NEAR_NAMES]

    def having(self, column: str, word: str) -> list[str]:
        """Return who has a word in a column of the roster, however it is spelled: an event group, a squad, a sex."""
        return [
            athlete_id
            for athlete_id, row in self._about.items()
            if fold(str(row.get(column) or "")) == fold(word) != ""
        ]

    def words_of(self, column: str) -> dict[str, int]:
        """Return the words of a column of the roster, and how many people have each."""
        found: dict[str, int] = {}
        for row in self._about.values():
            if row.get(column):
                found[row[column]] = found.get(row[column], 0) + 1
        return dict(sorted(found.items()))

    def is_with_squad(self, athlete_id: str | None, on: date | None, until: date | None = None) -> bool:
        """Return whether somebody was with the squad on a day, or on any from it until another; a day of joining or
        leaving that is unknown bounds nothing.
        """
        row = self._about.get(athlete_id or "", {})
        joined, left = row.get("joined_on"), row.get("left_on")
        return on is None or ((joined is None or joined <= (until or on)) and (left is None or on <= left))

    def with_new(self, athletes: Iterable[tuple[str, str]], told: pl.DataFrame | None = None) -> "Roster":
        """Return a roster that also holds the athletes given as (athlete_id, display_name), with what ``told`` says
        of them.
        """
        new = dict(athletes)
        added = pl.DataFrame(
            {"athlete_id": list(new), "display_name": list(new.values())},
            schema={"athlete_id": pl.String, "display_name": pl.String},
        )
        here = [name for name in ABOUT if told is not None and name in told.columns]
        if told is not None and here:
            added = added.join(told.select("athlete_id", *here).unique("athlete_id"), on="athlete_id", how="left")
        rows = pl.concat([self._athletes, added], how="diagonal_relaxed")
        last = [pl.col(name).drop_nulls().last() for name in rows.columns if name != "athlete_id"]
        return Roster(
            rows.group_by("athlete_id", maintain_order=True).agg(last),
            self.others,
            None if self._shown is None else {*self._shown, *new} - (set(self.names) - set(self._shown)),
        )

    def _may_tell(self, athlete_id: str) -> bool:
        return self._shown is None or athlete_id in self._shown


def new_key(name: str) -> str:
    """Return the athlete_id made of a name."""
    return slug(name)
