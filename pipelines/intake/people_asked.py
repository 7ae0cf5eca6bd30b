"""Names that are of nobody known, asked of as people: spellings of one name as one, the likely person first."""

import dataclasses
from collections.abc import Sequence

from pipelines.checks.names import is_shortened, name_key, new_key
from schemas.intake import NEW_PERSON, NOBODY, Question

PEOPLE = "people"  # asked once for all names that are of nobody known: kept as an answer about each of them
SAME_NAME = "same_name"  # in an answers file: spelling -> the name it is asked as
SLIP_SCORE = 88  # of 100 (weighted ratio): above it a new name may be a slip of another new one; own choice
SHORT_WORD = 2  # letters of an initial
FEWEST_WORDS = 2  # of a name, for a longer one that has all of them to be the same person's


def as_people(every: Sequence[Question]) -> list[Question]:
    """Return questions with those of names that are one person's in other letters or in short as one, and with those
    of new people as one; who may be another of them is asked by itself, that one first.
    """
    names = [one for one in every if one.ask == "athletes"]
    spelled = _spellings(names)
    full = _full_names([one for one, _ in spelled])
    merged = [_with_likely(one, some, full) for one, some in spelled]
    near = _near_each_other([one.about for one in names])
    new = [one for one in merged if _are_same_letters(one) and one.about not in near and _is_new_person(one)]
    rest = [one for one in every if one.ask != "athletes"]
    if len(new) < 2:
        return [*rest, *merged]
    listed = tuple(one.about for one in new)
    people = dataclasses.replace(
        new[0], ask=PEOPLE, about="", rows=sum(one.rows for one in new), cells=listed, is_free=False,
        sentence=f"Nobody of these {len(new)} is known yet: {', '.join(listed)}. Are they new people?",
        answers=((NEW_PERSON, "yes, all of them are new people of the squad"),),
    )  # fmt: skip
    return [people, *rest, *(one for one in merged if one not in new)]


def told_of_spellings(question: Question, answer: str) -> dict[str, str]:
    """Return the answer to a question about a name for each of its spellings: one new person, and not one of each."""
    return {one: as_same(question.about, answer) for one in question.cells} | {question.about: answer}


def as_same(name: str, answer: str) -> str:
    """Return what is answered of another spelling of a name: the same person."""
    return new_key(name) if answer == NEW_PERSON else answer


def _spellings(names: Sequence[Question]) -> list[tuple[Question, list[Question]]]:
    """Return the questions about names, each with those about the same name in other letters, or in short: 'Jo de Haan'
    of 'Jo de Haan-Berg', where one longer name alone has all its words.
    """
    keys = {one.about: name_key(one.about) for one in names}
    words = {name: set(key.split()) for name, key in keys.items()}
    head: dict[str, str] = {}
    for name, own in words.items():
        fuller = {keys[other] for other, more in words.items() if len(own) >= FEWEST_WORDS and own < more}
        longest = {key for key in fuller if not any(set(key.split()) < set(more.split()) for more in fuller)}
        meant = longest.pop() if len(longest) == 1 else keys[name]
        same = [other for other, key in keys.items() if key == meant]
        head[name] = max(same, key=lambda text: (sum(not char.isascii() for char in text), -same.index(text)))
    made: dict[str, list[Question]] = {one.about: [] for one in names if head[one.about] == one.about}
    for one in names:
        if head[one.about] != one.about:
            made[head[one.about]].append(one)
    of = {one.about: one for one in names}
    return [(of[name], some) for name, some in made.items()]


def _full_names(heads: Sequence[Question]) -> list[Question]:
    """Return the questions about names of new people that are short for no other of them."""
    keys = {one.about: name_key(one.about) for one in heads if _is_new_person(one)}
    return [
        one for one in heads
        if one.about in keys and not any(
            is_shortened(keys[one.about], key) for name, key in keys.items() if name != one.about
        )
    ]  # fmt: skip


def _with_likely(one: Question, some: Sequence[Question], full: Sequence[Question]) -> Question:
    """Return a question about a name as that of its other spellings too, with the new person it may be in front."""
    from rapidfuzz import fuzz

    own = name_key(one.about)
    likely = [
        (new_key(other.about), f"the same new person as '{other.about}', once that one is said to be new")
        for other in full
        if (key := name_key(other.about)) != own
        and (is_shortened(own, key) or (fuzz.WRatio(own, key) >= SLIP_SCORE and _is_rarer(one, other)))
    ]  # fmt: skip
    known = {answer: said for question in (one, *some) for answer, said in question.answers}
    last = {answer: known.pop(answer) for answer in (NEW_PERSON, NOBODY) if answer in known}
    answers = tuple(({**known} | dict(likely) | last).items())
    if not some:
        return dataclasses.replace(one, answers=answers) if likely else one
    also = tuple(other.about for other in some)
    said = f"Who is '{one.about.strip()}', also written {', '.join(repr(text.strip()) for text in also)}?"
    rest = one.sentence.partition("?")[2]
    return dataclasses.replace(
        one, answers=answers, cells=also, rows=one.rows + sum(other.rows for other in some), sentence=f"{said}{rest}"
    )


def _is_rarer(one: Question, other: Question) -> bool:
    return (one.rows, one.about) < (other.rows, other.about)


def _is_new_person(one: Question) -> bool:
    """Return whether a name looks like a new person's: like nobody's, of two words or more, the last with a capital."""
    words = one.about.split()
    is_like_nobody = {answer for answer, _ in one.answers} == {NEW_PERSON, NOBODY}
    letters = not any(char.isdigit() for char in one.about)
    return (
        is_like_nobody and len(words) >= FEWEST_WORDS and letters and (words[-1][0].isupper() or words[0][0].islower())
    )


def _are_same_letters(one: Question) -> bool:
    """Return whether the spellings of a name differ in the order of its words and in capitals alone."""
    return len({tuple(sorted(text.casefold().split())) for text in (one.about, *one.cells)}) == 1


def _near_each_other(names: Sequence[str]) -> set[str]:
    """Return names that may be another of them: both where one may be a slip of the other, the short one alone where it
    is short for the other.
    """
    from rapidfuzz import fuzz

    keys = [name_key(one) for one in names]
    found = set()
    for place, one in enumerate(keys):
        for later, other in enumerate(keys[place + 1 :], place + 1):
            if one == other:
                continue
            if _is_short(one, other) or _is_short(other, one):
                found.add(names[place if _is_short(one, other) else later])
            elif fuzz.WRatio(one, other) >= SLIP_SCORE:
                found |= {names[place], names[later]}
    return found


def _is_short(said: str, name: str) -> bool:
    """Return whether a name is short for another by words or initials; one letter less in a word may be a slip."""
    words = said.split()
    is_cut = len(words) < len(name.split()) or any(len(word) <= SHORT_WORD for word in words)
    return is_cut and is_shortened(said, name)
