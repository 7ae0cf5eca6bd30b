"""The sentences over the weekly sheet: functions of counts, for the whole squad as for any choice of it."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass

import polars as pl

from pipelines.derived.week.never_entered import say_basis
from schemas.vocabulary import TRAINING_CALLS

NUMBER_WORDS = (
    "none", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve",
    "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen", "twenty",
)  # fmt: skip
WATCHED = ("one_family", "several_families")
JUDGED = ("improving", "holding", "slipping")  # words of progress that say something of the start
NOISE = "than measurement noise can explain"


@dataclass(frozen=True)
class SheetCounts:
    """How many athletes of a sheet, each counted by the expression of its name in ``count_sheet``; unit: athletes."""

    athletes: int = 0
    as_planned: int = 0
    adapt: int = 0
    talk_first: int = 0
    cannot_say: int = 0
    no_call: int = 0
    coming_back: int = 0  # of 'as planned' those on the way back from an injury
    by_test_alone: int = 0  # of the others 'as planned' those who have not checked in
    hamstring_watch: int = 0
    hamstring_unknown: int = 0
    starts_judged: int = 0
    improving: int = 0
    slipping: int = 0


def count_sheet() -> dict[str, pl.Expr]:
    """Return the counts that the sentences are made from, as expressions over lines of the weekly sheet.

    athletes; by training call, and how many of 'as planned' are on the way back from an injury, or have not checked
    in, so that a test alone stands for them; hamstring_watch and hamstring_unknown by level; starts that can be
    judged, that improve and that slip. Unit: athletes.
    """

    def count(column: str, *words: str) -> pl.Expr:
        return pl.col(column).is_in(words).sum().cast(pl.Int64)

    as_planned = pl.col("training_call") == "as_planned"
    coming_back = as_planned & pl.col("is_coming_back").fill_null(value=False)
    return {
        "athletes": pl.len().cast(pl.Int64),
        **{call: count("training_call", call) for call in TRAINING_CALLS},
        "coming_back": coming_back.sum().cast(pl.Int64),
        "by_test_alone": (as_planned & ~coming_back & pl.col("checkin_missing")).sum().cast(pl.Int64),
        "hamstring_watch": count("hamstring_level", *WATCHED),
        "hamstring_unknown": count("hamstring_level", "cannot_say"),
        "starts_judged": count("progress_word", *JUDGED),
        "improving": count("progress_word", "improving"),
        "slipping": count("progress_word", "slipping"),
    }


def say_many(count: int) -> str:
    """Write a count: in words up to twenty, in digits from 21."""
    return NUMBER_WORDS[count] if count < len(NUMBER_WORDS) else str(count)


def _start_sentence(text: str) -> str:
    return text[:1].upper() + text[1:] + "."


def _join(parts: Sequence[str]) -> str:
    return " and ".join(parts) if len(parts) < 3 else f"{', '.join(parts[:-1])}, and {parts[-1]}"


def _exceptions(told: SheetCounts) -> list[str]:
    parts = []
    if told.adapt:
        parts.append(f"{say_many(told.adapt)} {'wants' if told.adapt == 1 else 'want'} a change")
    if told.talk_first:
        verb = "" if told.adapt else " wants" if told.talk_first == 1 else " want"
        parts.append(f"{say_many(told.talk_first)}{verb} a talk before they run")
    if told.cannot_say:
        has = "has" if told.cannot_say == 1 else "have"
        parts.append(f"{say_many(told.cannot_say)} {has} too few check-ins to compare with")
    if told.no_call:
        parts.append(f"{say_many(told.no_call)} {'has' if told.no_call == 1 else 'have'} not reported")
    if told.by_test_alone:
        has = "has" if told.by_test_alone == 1 else "have"
        parts.append(f"{say_many(told.by_test_alone)} {has} a test alone, without a check-in")
    if told.coming_back:
        parts.append(
            f"{say_many(told.coming_back)} {'is' if told.coming_back == 1 else 'are'} coming back from an injury"
        )
    return parts


def say_training(told: SheetCounts, basis: str = "") -> str:
    """Say of how many the call is as planned, and how it stands with the others. Who cannot be judged is never among
    them, nor who has not checked in, nor who comes back from an injury. It is the word of the call, not a leave to
    train: nobody is cleared.

    The counts by call add up to ``athletes``. ``basis``: what the call rests on, where part of it was never entered.
    """
    so_far = f", {basis}" if basis else ""
    if told.athletes == 0:
        return "Nobody is on the sheet."
    others = _exceptions(told)
    if told.athletes == 1:
        rest = others[0].removeprefix("one ") if others else "is as planned"
        return f"The one athlete on the sheet {rest}{'' if others else so_far}."
    if not others:
        return f"{'Both' if told.athletes == 2 else f'All {say_many(told.athletes)}'} are as planned{so_far}."
    if told.cannot_say + told.no_call == told.athletes:
        first = f"None of {say_many(told.athletes)} can be judged"
    else:
        planned = told.as_planned - told.by_test_alone - told.coming_back
        first = f"{say_many(planned)} of {say_many(told.athletes)} {'are' if planned > 1 else 'is'} as planned"
        first += so_far if planned else ""
    return f"{_start_sentence(first)} {_start_sentence(_join(others))}"


def say_hamstrings(*, athletes: int, watch: int, unknown: int) -> str:
    """Say how many have a hamstring to watch, and of how many nothing can be said."""
    if unknown == athletes:
        return "No hamstring can be judged."
    of = f"; of {say_many(unknown)} nothing can be said" if unknown else ""
    if not watch:
        return f"No hamstring asks for watching{of}."
    return _start_sentence(f"{say_many(watch)} {'has' if watch == 1 else 'have'} a hamstring to watch{of}")


def say_starts(*, judged: int, improving: int, slipping: int) -> str:
    """Say how many starts changed beyond noise, of those that can be judged."""
    if not judged:
        return "No start can be judged yet."
    if not improving and not slipping:
        if judged == 1:
            return f"The one start that can be judged is neither faster nor slower {NOISE}."
        return f"None of the {say_many(judged)} starts that can be judged is faster or slower {NOISE}."
    count, way, rest = (improving, "faster", slipping) if improving else (slipping, "slower", 0)
    said = f"{say_many(count)} {'start is' if count == 1 else 'starts are'} {way} {NOISE}"
    if rest:
        said += f", and {say_many(rest)} {'is' if rest == 1 else 'are'} slower"
    return _start_sentence(said)


def say_lede(told: SheetCounts, missing: Collection[str] = ()) -> str:
    """Put the sentences together: who can train, whose hamstring to watch, whose start has changed.

    ``missing``: kinds of evidence never entered for anybody (``never_entered``).
    """
    said = [say_training(told, say_basis(missing))]
    if told.athletes:
        said.append(say_hamstrings(athletes=told.athletes, watch=told.hamstring_watch, unknown=told.hamstring_unknown))
        said.append(say_starts(judged=told.starts_judged, improving=told.improving, slipping=told.slipping))
    return " ".join(said)


def say_since_closing(changed: Sequence[tuple[str, str]]) -> str:
    """Say on top of a closed review what has changed since; ``changed``: pairs of name and what."""
    if not changed:
        return "Nothing has changed since closing."
    return f"{len(changed)} changed since closing: {'; '.join(f'{name}, {what}' for name, what in changed)}."
