"""The sentence over the sheet: whole, and counting nobody unjudged as planned."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipelines.derived.week.squad_words import (
    SheetCounts,
    say_hamstrings,
    say_many,
    say_since_closing,
    say_starts,
    say_training,
)
from pipelines.questions.week import lede_of

CALLS = ("as_planned", "adapt", "talk_first", "cannot_say", "no_call")


def training(*counts: int) -> str:
    return say_training(SheetCounts(athletes=sum(counts), **dict(zip(CALLS, counts, strict=True))))


@pytest.mark.parametrize(
    ("counts", "words"),
    [
        ((0, 0, 0, 0, 0), "Nobody is on the sheet."),
        ((1, 0, 0, 0, 0), "The one athlete on the sheet is as planned."),
        ((0, 1, 0, 0, 0), "The one athlete on the sheet wants a change."),
        ((0, 0, 1, 0, 0), "The one athlete on the sheet wants a talk before they run."),
        ((0, 0, 0, 1, 0), "The one athlete on the sheet has too few check-ins to compare with."),
        ((0, 0, 0, 0, 1), "The one athlete on the sheet has not reported."),
        ((2, 0, 0, 0, 0), "Both are as planned."),
        ((24, 0, 0, 0, 0), "All 24 are as planned."),
        ((20, 0, 0, 0, 0), "All twenty are as planned."),
        ((1, 1, 0, 0, 0), "One of two is as planned. One wants a change."),
        ((1, 0, 1, 0, 0), "One of two is as planned. One wants a talk before they run."),
        ((0, 0, 2, 0, 0), "None of two is as planned. Two want a talk before they run."),
        ((0, 0, 0, 2, 0), "None of two can be judged. Two have too few check-ins to compare with."),
        ((0, 0, 0, 0, 22), "None of 22 can be judged. 22 have not reported."),
        (
            (0, 0, 0, 1, 1),
            "None of two can be judged. One has too few check-ins to compare with and one has not reported.",
        ),
        ((0, 3, 1, 0, 0), "None of four is as planned. Three want a change and one a talk before they run."),
        (
            (2, 0, 1, 0, 2),
            "Two of five are as planned. One wants a talk before they run and two have not reported.",
        ),
        (
            (17, 4, 2, 0, 1),
            "Seventeen of 24 are as planned. Four want a change, two a talk before they run, and one has not reported.",
        ),
        (
            (21, 1, 1, 1, 1),
            "21 of 25 are as planned. One wants a change, one a talk before they run, one has too few check-ins "
            "to compare with, and one has not reported.",
        ),
    ],
)
def test_calls_in_words_for_none_one_two_and_many(counts: tuple[int, ...], words: str):
    assert training(*counts) == words


@pytest.mark.parametrize(
    ("athletes_", "watch", "unknown", "words"),
    [
        (1, 0, 0, "No hamstring asks for watching."),
        (1, 1, 0, "One has a hamstring to watch."),
        (1, 0, 1, "No hamstring can be judged."),
        (2, 2, 0, "Two have a hamstring to watch."),
        (5, 0, 2, "No hamstring asks for watching; of two nothing can be said."),
        (24, 6, 1, "Six have a hamstring to watch; of one nothing can be said."),
        (24, 0, 24, "No hamstring can be judged."),
    ],
)
def test_hamstrings_in_words_for_none_one_two_and_many(athletes_: int, watch: int, unknown: int, words: str):
    assert say_hamstrings(athletes=athletes_, watch=watch, unknown=unknown) == words


@pytest.mark.parametrize(
    ("judged", "improving", "slipping", "words"),
    [
        (0, 0, 0, "No start can be judged yet."),
        (
            1,
            0,
            0,
            "The one start that can be judged is neither faster nor slower than measurement noise can explain.",
        ),
        (2, 0, 0, "None of the two starts that can be judged is faster or slower than measurement noise can explain."),
        (1, 1, 0, "One start is faster than measurement noise can explain."),
        (9, 0, 2, "Two starts are slower than measurement noise can explain."),
        (9, 3, 1, "Three starts are faster than measurement noise can explain, and one is slower."),
        (9, 1, 2, "One start is faster than measurement noise can explain, and two are slower."),
    ],
)
def test_starts_in_words_for_none_one_two_and_many(judged: int, improving: int, slipping: int, words: str):
    assert say_starts(judged=judged, improving=improving, slipping=slipping) == words


@given(
    st.lists(
        st.tuples(
            st.sampled_from(CALLS),
            st.sampled_from(["none", "one_family", "several_families", "cannot_say"]),
            st.sampled_from(["improving", "holding", "slipping", "not_clear", None]),
            st.booleans(),
            st.booleans(),
        ),
        max_size=40,
    )
)
def test_every_lede_is_whole_sentences_and_counts_nobody_unjudged_as_planned(
    lines: list[tuple[str, str, str | None, bool, bool]],
):
    names = ("training_call", "hamstring_level", "progress_word", "checkin_missing", "is_coming_back")
    text = lede_of([dict(zip(names, line, strict=True)) for line in lines])
    assert text.endswith(".")
    assert "  " not in text
    assert all(part[0].isupper() or part[0].isdigit() for part in text.rstrip(".").split(". "))
    called = [(is_missing, is_back) for call, _, _, is_missing, is_back in lines if call == "as_planned"]
    planned = sum(not is_missing and not is_back for is_missing, is_back in called)  # nobody else is counted as such
    assert ("a test alone" in text) == any(is_missing and not is_back for is_missing, is_back in called)
    assert ("coming back from an injury" in text) == any(is_back for _, is_back in called)
    if lines and not planned:
        assert "None of" in text or "The one athlete on the sheet" in text
    if len(lines) > 1 and 0 < planned < len(lines):
        be = "are" if planned > 1 else "is"
        assert text.lower().startswith(f"{say_many(planned)} of {say_many(len(lines))} {be} as planned")


def test_who_never_answered_and_who_comes_back_are_counted_apart_from_those_as_planned():
    lines = [
        {"training_call": "as_planned", "checkin_missing": who == 0, "is_coming_back": who == 1} for who in range(24)
    ]
    assert lede_of(lines).startswith(
        "22 of 24 are as planned. One has a test alone, without a check-in and one is coming back from an injury."
    )
    assert lede_of(lines[:1]).startswith("The one athlete on the sheet has a test alone, without a check-in.")
    assert lede_of(lines[1:2]).startswith("The one athlete on the sheet is coming back from an injury.")
    assert lede_of([lines[1] | {"checkin_missing": True}]).count("one") == 1  # nobody is counted twice


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ([], "Nothing has changed since closing."),
        ([("Åsa", "now talk first")], "1 changed since closing: Åsa, now talk first."),
        ([("Åsa", "now talk first"), ("Per", "now adapt, start now slipping")],
         "2 changed since closing: Åsa, now talk first; Per, now adapt, start now slipping."),
    ],
)  # fmt: skip
def test_what_changed_since_closing_is_counted_and_named(changed: list[tuple[str, str]], words: str):
    assert say_since_closing(changed) == words
