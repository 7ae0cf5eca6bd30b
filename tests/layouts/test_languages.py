"""The words of each language: what a language lacks is named, and months and weekdays are those of the Unicode CLDR."""

import pytest

from pipelines.cells.languages import headers, languages
from pipelines.cells.months import month_of
from pipelines.cells.weekdays import weekdays_named
from pipelines.layouts.words.fitting import kinds
from pipelines.layouts.words.headings import spellings
from schemas.spelling import fold

LANGUAGES = ("cs", "da", "de", "en", "es", "fi", "fr", "it", "nb", "nl", "pl", "pt", "sv")
HELPERS = {"date", "first_name", "last_name", "name_particle", "set_count", "set_text"}
NOT_EVERYWHERE = {"name_particle"}  # a language whose names have none has no word for it
# Words of the trade or of every sentence that would be months: 'set' is a set of lifts, 'pro' is for, 'sie' is she.
NO_MONTHS = {"set", "pro", "sie", "elo", "led"}


def test_all_languages_are_here():
    assert tuple(languages()) == LANGUAGES


def test_no_language_lacks_a_column():
    every = set(headers()) - NOT_EVERYWHERE
    lacking = {code: sorted(every - set(own["headers"])) for code, own in languages().items()}
    assert {code: columns for code, columns in lacking.items() if columns} == {}


def test_no_language_lacks_a_word_for_what_stands_in_cells():
    every = {(column, word) for own in languages().values() for column, words in own["cells"].items() for word in words}
    for code, own in languages().items():
        here = {(column, word) for column, words in own["cells"].items() for word in words}
        assert every - here - {(c, w) for c, w in every if c == "site"} == set(), code
        for part, names in (("scale", 6), ("felt", 2), ("force", 2), ("ratings", 5)):
            assert len(own[part]) == names, (code, part)
            assert all(own[part].values()), (code, part)


def test_headers_name_columns_of_the_record():
    assert set(headers()) <= set(kinds()) | HELPERS
    unread = [(code, word) for code, own in languages().items() for column, words in own["headers"].items()
              for word in words if column not in spellings().get(fold(word), ())]  # fmt: skip
    assert unread == []


def test_every_header_is_written_as_it_is_compared():
    wrong = [(code, word) for code, own in languages().items() for words in own["headers"].values() for word in words
             if fold(word) != word]  # fmt: skip
    assert wrong == []


@pytest.mark.parametrize("code", LANGUAGES)
def test_months_are_those_of_the_cldr(code):
    from babel import Locale

    names = Locale.parse(code).months
    said = [(number, name) for context in names.values() for width in ("wide", "abbreviated") if width in context
            for number, name in context[width].items()]  # fmt: skip
    meant = {fold(name): number for number, name in said if fold(name).isalpha() and len(fold(name)) > 2}
    assert {word: month_of(word) for word in meant if word not in NO_MONTHS} == {
        word: number for word, number in meant.items() if word not in NO_MONTHS
    }


@pytest.mark.parametrize("code", LANGUAGES)
def test_weekdays_are_those_of_the_cldr(code):
    from babel import Locale

    names = Locale.parse(code).days
    for width in ("wide", "abbreviated", "short"):
        week = names["format"].get(width) or names["stand-alone"][width]
        said = {week[number]: number for number in range(7)}
        if all(fold(word).replace(" ", "").isalpha() for word in said):
            assert weekdays_named(said) in (said, None), (code, width)
    assert weekdays_named(names["stand-alone"]["wide"].values()) == {
        name: number for number, name in names["stand-alone"]["wide"].items()
    }


def test_a_word_that_is_two_months_in_two_languages_is_none():
    assert month_of("maart") == month_of("marca") == month_of("maaliskuuta") == 3
    assert month_of("marathon") is month_of("set") is month_of("pro") is month_of("") is None


def test_plain_words_and_others_are_folded_alike():
    told = {
        "Größe (m)": "grosse m",
        "L'élève-n° 3": "leleve n° 3",
        "Athlete's no. #3": "athletes no #3",
        "\u212a 5": "k 5",
    }
    assert {text: fold(text) for text in told} == told
