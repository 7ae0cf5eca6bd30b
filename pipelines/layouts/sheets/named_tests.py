"""Lists of tests with a row for each result: 'CMJ | 41', 'Nordic | L | 310', '30 m | 4,21'. Made columns of tests."""

import dataclasses
import re

import polars as pl

from pipelines.layouts.words.evidence import look
from pipelines.layouts.words.headings import Heading, read_heading, read_test
from pipelines.layouts.words.run_words import ORDINAL
from schemas.intake import TextTable
from schemas.spelling import fold
from schemas.unit_words import unit_word

TEST_WORDS = {"test", "test name", "prueba", "epreuve", "was", "what", "item", "discipline", "onderdeel", "toets",
              "prova", "testi", "testovning"}  # fmt: skip
PLAIN_WORDS = {"test", "test name", "toets", "testi"}
RESULT_WORDS = {"result", "results", "score", "value", "best", "mark", "wert", "ergebnis", "resultat", "resultado",
                "valeur", "performance", "resultaat", "uitslag", "waarde", "risultato", "valore", "valor",
                "varde", "verdi", "tulos", "arvo"}  # fmt: skip
UNIT_HEADS = {"unit", "units", "einheit", "unite", "unidad", "eenheid", "unita", "enhet", "yksikko", "enhed"}
TRIAL_WORDS = {
    "trial",
    "attempt",
    "versuch",
    "essai",
    "intento",
    "poging",
    "prova",
    "forsok",
    "yritys",
    "no",
    "nr",
    "rep",
}
# What the one column of results may be called that says what was measured; folded
MEASURED = {"force", "kraft", "fuerza", "forza", "kracht"}
MOST_ROWS, MOST_TESTS, NEARLY_ALL, FEWEST_LETTERS = 20_000, 24, 0.8, 3


def tests_across(table: TextTable) -> TextTable:
    """Return a table with a column for each test that a column names, where its result stands beside it.

    Side, trial and unit beside the test are part of the new heading, so that none of them is lost. A name that is no
    test stays a column of its own, which is asked about.
    """
    if not 0 < table.rows.height <= MOST_ROWS:
        return table
    place = {fold(text): f"c{n}" for n, text in enumerate(table.header) if text and f"c{n}" in table.rows.columns}
    test = next((place[word] for word in place if word in TEST_WORDS), None)
    tries = {fold(text) for text in table.header if ORDINAL.fullmatch(text.lower().strip())}  # '1.', '2nd'
    counted = {str(n) for n in range(1, 10)} if {"1", "2"} <= set(place) else set()  # 'Test | Unit | 1 | 2 | 3'
    results = [
        word for word in place
        if (word in counted or re.sub(r" ?\d$", "", word) in RESULT_WORDS or _try_no(word) or word in tries)
        and table.rows[place[word]].count()
    ]  # fmt: skip
    measured = [word for word in place if word in MEASURED]
    if not results and len(measured) == 1:
        results = measured
    if test is None or not results or any(not look(table.rows[place[word]]).is_numeric for word in results):
        return table
    named = table.rows[test].drop_nulls()
    known = {text for text in named.unique().to_list() if _is_test(text)}
    word = next(word for word in place if place[word] == test)
    if word not in PLAIN_WORDS and not any(read_test(0, text) is not None for text in known):
        return table  # distances under 'discipline' are races
    mostly = bool(known) and named.is_in(list(known)).mean() >= NEARLY_ALL  # type: ignore[operator]
    if not (mostly or (word in PLAIN_WORDS and _are_names(named))) or named.n_unique() > MOST_TESTS:
        return table
    side = next((name for word, name in place.items() if read_heading(0, word).names[:1] == ("side",)), None)
    trial = next((place[word] for word in place if word in TRIAL_WORDS), None)
    unit = next((place[word] for word in place if word in UNIT_HEADS), None)
    taken = {name for name in (test, side, trial, unit, *(place[word] for word in results)) if name is not None}
    others = [f"c{n}" for n in range(len(table.header)) if f"c{n}" in table.rows.columns and f"c{n}" not in taken]
    header = [table.header[int(name[1:])] for name in others]
    columns = [pl.col(name).alias(f"c{n}") for n, name in enumerate(others)]
    keys = [name for name in (test, side, trial, unit) if name is not None]
    for word in results:
        count = re.search(r"\d$", word) or re.search(r"\d+", _try_no(word) or word)
        said_unit = read_heading(0, table.header[int(place[word][1:])]).unit
        for cells in table.rows.select(keys).unique(maintain_order=True).iter_rows(named=True):
            if cells[test] is None:
                continue
            here = pl.all_horizontal(pl.col(name).eq_missing(pl.lit(cells[name], pl.String)) for name in keys)
            number = count[0] if count else cells.get(trial or "") or ""
            heading = _heading(cells[test], cells.get(side or ""), number, cells.get(unit or "") or said_unit)
            columns.append(pl.when(here).then(pl.col(place[word])).alias(f"c{len(header)}"))
            header.append(heading)
    return dataclasses.replace(
        table, header=header, rows=table.rows.select(*columns, "_line"), above=[], turned="tests"
    )


def _try_no(word: str) -> str:
    """Return which try a column is of, "" where its heading says none or more: 'Try 2', '2. Versuch'."""
    one = read_heading(0, word)
    return str(one.run_no) if one.run_no is not None and one.gate_m is None and not one.names else ""


def _are_names(named: pl.Series) -> bool:
    """Return whether cells under 'Test' name what was done, known or not: 'Overhead shot 4 kg', '30 m'; no 'B'."""
    said = named.unique().to_list()
    return all(len(re.sub(r"[^A-Za-z]", "", fold(text))) >= FEWEST_LETTERS or _is_test(text) for text in said)


def _is_test(text: str) -> bool:
    one: Heading = read_test(0, text) or read_heading(0, text)
    return bool(one.at) or (one.gate_m is not None and not one.is_bare_number)


def _heading(test: str, side: str | None, number: str, unit: str | None) -> str:
    """Return the heading of one test's column: 'Nordic L 2 (N)'; a test's own unit in brackets counts."""
    bare = re.sub(r"\s*[\(\[][^)\]]*[\)\]]\s*", " ", test).strip()
    own = next((inside for inside in re.findall(r"[\(\[]([^)\]]*)[\)\]]", test) if unit_word(inside)), None)
    plain = re.sub(r"\.0$", "", number.strip())
    plain = plain if re.fullmatch(r"\d", plain) else ""
    is_gate = read_heading(0, bare).gate_m is not None
    words = [bare, "" if is_gate else side or "", f"({plain})" if is_gate and plain else plain]
    told = " ".join(word for word in words if word)
    said = own or unit
    return f"{told} ({said})" if said and not (is_gate and plain) else told
