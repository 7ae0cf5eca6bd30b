"""Which shape a plain table has: runs side by side, gates, steps, tests, results of a race, or a row a thing."""

import dataclasses
from collections.abc import Sequence

from pipelines.layouts.rows.sheet_shape import SheetShape
from pipelines.layouts.rows.side_by_side import match_measures, match_runs
from pipelines.layouts.rows.wide import match_gates, match_numbered
from pipelines.layouts.words.by_cells import is_of_empty_sessions
from pipelines.layouts.words.evidence import Evidence
from pipelines.layouts.words.headings import Heading
from pipelines.layouts.words.match import RUN_TABLES, Match, assign, match_long, named_after
from schemas.intake import TextTable
from schemas.shape import table_shape
from schemas.spelling import fold

RACE_WORDS = {"champs", "championship", "championships", "race", "races", "results", "result", "meet", "competition",
              "wettkampf", "meisterschaft", "meisterschaften", "bestenliste", "resultats", "competicion",
              "resultados", "gara",
              "gare", "tavling", "wedstrijd", "wedstrijden", "uitslag", "uitslagen", "comp", "pbs", "pb"}  # fmt: skip
# Headers over what was done, in a file that may be called a plan; folded, common practice, no source
DONE_WORDS = {"done", "done y n", "completed", "actual", "actual session", "attended", "ist", "erledigt", "gemacht",
              "absolviert", "realise", "effectue", "fait", "hecho", "realizado", "fatto", "svolto", "feito", "gedaan",
              "uitgevoerd", "gjort"}  # fmt: skip
RACES_M = {60.0, 80.0, 100.0, 150.0, 200.0, 300.0, 400.0}


def has_day(match: Match) -> bool:
    """Return whether a heading says the day of a row."""
    date = table_shape(match.main).date
    return date is not None and (match.main, date) in match.columns


def shape_of(  # noqa: PLR0911, PLR0912 - one for each shape
    headings: Sequence[Heading], table: TextTable, seen: dict[int, Evidence], given: frozenset[str], kept: str = ""
) -> SheetShape | None:
    """Return how a table is laid out, given what its titles say; None where something is missing.

    ``kept`` is the table it was of before something was answered of its columns.
    """
    tests = [one for one in headings if one.at and one.names]  # a test whose cells are days or words measures nothing
    plain = [one for one in headings if not one.at]
    phrased = {name: one for one in plain for name in one.phrases}
    flies = [one for one in plain if one.is_fly]
    spoken = [one for one in plain if not one.phrases or one.names]
    measures = match_measures(spoken, table.rows, given=given)
    if measures is not None and not measures.match.missing():
        return SheetShape("measures", measures.match, named_by=measures.named_by, steps=measures.steps, phrased=phrased)
    if flies:
        spoken = _flies_as_runs(spoken)
    if table.turned == "athletes":  # a wind beside people is of one of their runs, or of several that nobody names
        spoken = [_of_no_run(one) for one in spoken]
    runs = match_runs(spoken, given=given)
    if runs is not None and not runs.match.missing():
        return SheetShape("runs", runs.match, runs=runs.runs, distance=runs.distance, tests=tests,
                          phrased=phrased, beside=runs.beside)  # fmt: skip
    race = _as_race(spoken, table, seen, given)
    if race is not None:
        return race
    gates = match_gates(spoken, given=given - {"distance_m"})
    if gates is not None and not gates[0].missing():
        steps = {number: columns for number, columns in gates[2].items() if columns}
        return SheetShape("gates", gates[0], gates=gates[1], numbered=steps, numbered_table="step", tests=tests,
                          phrased=phrased)  # fmt: skip
    numbered = match_numbered(spoken, given=given)
    if numbered is not None and not numbered[0].missing():
        return SheetShape("numbered", numbered[0], numbered=numbered[2], numbered_table=numbered[1], tests=tests,
                          phrased=phrased)  # fmt: skip
    rest = [one for one in spoken if one.gate_m is None and one.number is None and one.run_no is None]
    given = given | (set(phrased) & {"site", "side"})
    if tests:
        main = "jump_test" if tests[0].names[0] != "peak_force_n" else "force_test"
        match = assign(main, (main, *RUN_TABLES[3:]), rest, given=given | {"test"})
        lacks = [name for name in match.missing() if name not in ("test", "side", "peak_force_n", "trial_no")]
        if not lacks:
            return SheetShape("tests", match, tests=tests, phrased=phrased)
    used = rest if gates is None else [*rest, *(one for one in spoken if one.gate_m is not None)]
    hurt = next((one for name, one in phrased.items() if name == "site"), None)
    is_of_injuries = hurt is not None and (hurt.told_table == "injury" or named_after("injury", hurt.text))
    named = "injury" if is_of_injuries else ""
    used = used if gates is not None else rest
    long = match_long(used, table.source, table.sheet, given=given, kept=kept, named=named,
                      is_log=_is_log(headings, seen))  # fmt: skip
    if isinstance(long, Match) and is_of_empty_sessions(long, table, seen):
        return None
    if isinstance(long, Match) and long.main == "athlete" and any(one.run_no is not None for one in spoken):
        return None  # runs over a distance that nothing says are no roster
    if isinstance(long, Match) and long.main == "step" and _is_of_unsaid_steps(long, spoken):
        return None
    if isinstance(long, Match) and not (gates is not None and long.main in ("athlete", "body_measure", "checkin")):
        return SheetShape("long", long, phrased=phrased)
    return None


def _is_log(headings: Sequence[Heading], seen: dict[int, Evidence]) -> bool:
    """Return whether a column that is filled says what was done, and none says what was planned of it."""
    if any(set(one.names) & {"planned_min", "planned_effort_0_10"} for one in headings):
        return False
    return any(fold(one.text) in DONE_WORDS and not seen[one.place].is_empty for one in headings if one.place in seen)


def _is_of_unsaid_steps(match: Match, headings: Sequence[Heading]) -> bool:
    """Return whether columns are of several steps and do not say each of which: the rows then count no steps.

    So where a heading numbers a step that nothing is taken from, or what is measured of a step stands there twice.
    """
    if "step_no" in match.of("step"):
        return False
    measured = [one.names[0] for one in headings if one.names[:1] and one.names[0] in table_shape("step").values]
    is_numbered = any(one.number is not None and set(one.names) == {"step_no"} for one in headings)
    return is_numbered or len(set(measured)) < len(measured)


def _of_no_run(one: Heading) -> Heading:
    return dataclasses.replace(one, names=()) if one.names[:1] == ("wind_ms",) and not one.is_told else one


def _flies_as_runs(headings: Sequence[Heading]) -> list[Heading]:
    """Return flying runs as runs of their own behind the others: by the numbers of their headings where each has one
    of its own, else in their order.
    """
    plain = [one.run_no or 1 for one in headings if one.gate_m is not None and not one.is_fly]
    before = max(plain, default=0)
    said = [one.run_no for one in headings if one.is_fly]
    is_counted = None not in said and len(set(said)) == len(said)
    made, number = [], before
    for one in headings:
        if one.is_fly:
            number += 1
            made.append(dataclasses.replace(one, run_no=before + (one.run_no or 0) if is_counted else number))
        elif one.gate_m is not None and one.run_no is None:
            made.append(dataclasses.replace(one, run_no=1))
        else:
            made.append(one)
    return made


def _as_race(
    headings: Sequence[Heading], table: TextTable, seen: dict[int, Evidence], given: frozenset[str]
) -> SheetShape | None:
    """Return a sheet with one column '100 m' of a file that is named after a race as its results."""
    gates = [one for one in headings if one.gate_m is not None and one.run_no is None]
    words = set(fold(f"{table.source} {table.sheet} {' '.join(c for _, cells in table.titles for c in cells)}").split())
    if len(gates) != 1 or gates[0].gate_m not in RACES_M or not words & RACE_WORDS:
        return None
    rest = [one for one in headings if one is not gates[0]]
    timed = dataclasses.replace(gates[0], names=("time_s",), at=(("event", f"{gates[0].gate_m:g}"),))
    match = assign("race_result", ("race_result",), [*rest, timed], given=given | {"event"})
    return None if match.missing() else SheetShape("long", match)
