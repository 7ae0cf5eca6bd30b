"""Sheets with several runs side by side in a row, and sheets with a row for each measure of a step."""

from collections.abc import Callable
from dataclasses import dataclass, field

import polars as pl

from pipelines.layouts.rows.parts import PartMaker, Source
from pipelines.layouts.rows.wide import beside, outcome_of, shared_of_steps, split_part
from pipelines.layouts.words.headings import Heading, read_heading
from pipelines.layouts.words.match import RUN_TABLES, Match, assign
from schemas.intake import Cells, Part
from schemas.outcome_words import NOT_FINISHED
from schemas.shape import table_shape

MEASURES = ("contact_s", "flight_s", "step_length_m", "side", "shin_touchdown_deg", "shin_toeoff_deg",
            "knee_toeoff_deg", "contact_frame", "toeoff_frame")  # fmt: skip
SAMPLE = 200  # rows in which the measures are looked for
FEWEST_STEPS = 2
FEWEST = 2  # runs in a row
OF_ONE_RUN = ("wind_ms", "reaction_s")  # measured anew for each run


@dataclass(frozen=True)
class Runs:
    """Gates of several runs in one row: run -> its gates; a run of one distance has a heading without one."""

    match: Match
    runs: dict[int, list[Heading]]
    distance: Heading | None = None
    beside: dict[int, dict[str, Heading]] = field(default_factory=dict)  # run -> what stands there once for each run


@dataclass(frozen=True)
class Measures:
    """A row for each measure of the steps of a run: the column that names the measure, and a column for each step."""

    match: Match
    named_by: Heading
    measures: dict[str, Heading]  # text in the column -> what it names, with its unit
    steps: dict[int, Heading]


def match_runs(headings: list[Heading], *, given: frozenset[str]) -> Runs | None:
    """Return how a sheet with several runs in a row is read; None where it is none.

    The runs are told by their numbers ('Run 2 10 m', '10 m (2)'), or by a gate that stands there once more.
    """
    numbered = [heading for heading in headings if heading.run_no is not None]
    gates = [heading for heading in headings if heading.gate_m is not None]
    others = [heading for heading in headings if heading.run_no is None and heading.gate_m is None]
    if any(heading.gate_m is not None for heading in numbered):
        runs: dict[int, list[Heading]] = {}
        for gate in gates:
            runs.setdefault(gate.run_no or 1, []).append(gate)
    elif numbered:
        distance = next((heading for heading in others if "distance_m" in heading.names), None)
        names = {name for heading in others for name in heading.names}
        if (distance is None and "distance_m" not in given) or gates or names & {"exercise", "test"}:
            return None
        counted = {heading.run_no or 0: [heading] for heading in numbered}
        apart, unclear = _once_a_run([one for one in others if one is not distance], counted)
        taken = [*unclear, *(one for some in apart.values() for one in some.values())]
        match = assign("rep", RUN_TABLES, [one for one in others if one not in taken], given=given)
        match.ignored += unclear
        return Runs(match, counted, distance, beside=apart)
    else:
        runs = _once_more(gates)
    if len(runs) < 2 and not numbered:
        return None
    apart, unclear = _once_a_run(others, runs)
    of_runs = [one for some in apart.values() for one in some.values()]
    rest = [one for one in others if one not in of_runs and one not in unclear]
    match = assign("rep", RUN_TABLES, [one for one in rest if one.number is None], given=given)
    match.ignored += [*unclear, *(one for one in rest if one.number is not None)]
    for run, own in runs.items():
        runs[run], seen = [], set()
        for gate in own:
            place = (gate.from_m, gate.gate_m)
            (match.ignored if place in seen else runs[run]).append(gate)
            seen.add(place)
    return Runs(match, dict(sorted(runs.items())), beside=apart)


def _once_a_run(
    others: list[Heading], runs: dict[int, list[Heading]]
) -> tuple[dict[int, dict[str, Heading]], list[Heading]]:
    """Return what stands once for each run ('Wind' beside each, 'Wind 2'), and what stands there more than once and
    cannot be told to be of which.

    One that stands behind the first gate of its run and before the next run's is of that run; else, one before each.
    """
    groups: dict[str, list[Heading]] = {}
    for one in others:
        column = next((name for name in one.names if name in table_shape("rep").values), None)
        if column is not None:
            groups.setdefault(column, []).append(one)
    found: dict[int, dict[str, Heading]] = {run: {} for run in runs}
    unclear: list[Heading] = []
    starts = sorted((min(gate.place for gate in gates), run) for run, gates in runs.items())
    for column, some in groups.items():
        if len(some) < 2 and some[0].number is None:
            if column in OF_ONE_RUN and len(runs) >= FEWEST and not some[0].is_told:
                unclear += some  # of which of them it is, or whether of all, nobody says
            continue
        said = {one.number: one for one in some}
        behind = [max((run for place, run in starts if place < one.place), default=None, key=_place_of(starts))
                  for one in some]  # fmt: skip
        before = [min((run for place, run in starts if place > one.place), default=None, key=_place_of(starts))
                  for one in some]  # fmt: skip
        if None not in said and len(said) == len(some) and set(said) <= set(runs):
            told = {number: one for number, one in said.items() if number is not None}
        elif len(some) == len(runs) and set(behind) == set(runs):
            told = {run: one for run, one in zip(behind, some, strict=True) if run is not None}
        elif len(some) == len(runs) and set(before) == set(runs):
            told = {run: one for run, one in zip(before, some, strict=True) if run is not None}
        else:
            unclear += some
            continue
        for run, one in told.items():
            found[run][column] = one
    return {run: own for run, own in found.items() if own}, unclear


def _place_of(starts: list[tuple[int, int]]) -> Callable[[int], int]:
    places = {run: place for place, run in starts}
    return lambda run: places[run]


def _once_more(gates: list[Heading]) -> dict[int, list[Heading]]:
    """Return gates by run, a gate that was there before beginning the next one: 10 m, 20 m, 10 m, 20 m."""
    runs: dict[int, list[Heading]] = {}
    seen: dict[tuple[float | None, float | None], int] = {}
    for gate in gates:
        place = (gate.from_m, gate.gate_m)
        seen[place] = seen.get(place, 0) + 1
        runs.setdefault(seen[place], []).append(gate)
    return runs


def run_parts(maker: PartMaker, sheet: Runs) -> list[Part]:
    """Return the parts of a sheet with several runs in a row.

    A run's number is the one of its heading; where an athlete has several rows on a day, the rows below count on.
    """
    first = _runs_before(maker, max(sheet.runs))
    has_flown = any(gate.is_fly for gates in sheet.runs.values() for gate in gates)
    parts = []
    for run, gates in sheet.runs.items():
        number = Source((first + run).cast(pl.String), Cells("run", "", None, True))
        for gate in gates:
            if sheet.distance is None and gate.gate_m is None:
                cells = Cells(gate.text, f"c{gate.place}", gate.unit, gate.unit is not None)
                told = {"distance_m": maker.of_fact("distance_m"), "elapsed_s": Source(pl.col(cells.origin), cells)}
                part = maker.make("split", {"rep_no": number, **told}, is_main=False)
            elif sheet.distance is None:
                part = split_part(maker, gate, {"rep_no": number})
            else:
                far = maker.of(sheet.distance, "distance_m")
                cells = Cells(gate.text, f"c{gate.place}", gate.unit, gate.unit is not None)
                told = {"distance_m": far, "elapsed_s": Source(pl.col(cells.origin), cells)}
                part = maker.make("split", {"rep_no": number, **told}, is_main=False)
            parts.append(part)
        some = pl.any_horizontal(_is_run(pl.col(f"c{gate.place}")) for gate in gates)
        of_run = {"rep_no": Source(pl.when(some).then((first + run).cast(pl.String)), number.cells)}
        shared = maker.values("rep")
        shared.pop("distance_m", None) if sheet.distance is not None else None
        if len(gates) == 1 and gates[0].is_fly:  # a flying run has its own start, whatever the others of the row had
            shared = {k: v for k, v in shared.items() if k not in ("start_kind", "clock_start", "gate_offset_m")}
            of_run["start_kind"] = Source(pl.when(some).then(pl.lit("rolling")), Cells(gates[0].text, ""))
        elif has_flown:  # and the run-in is its alone
            shared.pop("run_in_m", None)
        for column, one in sheet.beside.get(run, {}).items():
            source = maker.of(one, column)
            of_run[column] = Source(pl.when(some).then(source.expr), source.cells)
        of_run |= outcome_of(maker, [f"c{gate.place}" for gate in gates])
        parts.append(maker.make("rep", {**shared, **of_run}, is_main=False))
    return [*parts, *(part for part in beside(maker) if part.table != "rep")]


def _is_run(cell: pl.Expr) -> pl.Expr:
    """Return whether a cell for a time says that a run was begun: a time, or a word for one not finished."""
    words = "|".join(word.replace(" ", "[^0-9a-z]+") for word in NOT_FINISHED)  # as folding would leave them
    return cell.str.contains(rf"(?i)\d|^[^0-9a-z]*({words})[^0-9a-z]*$").fill_null(False)


def _runs_before(maker: PartMaker, most: int) -> pl.Expr:
    """Return how many runs the rows of the same athlete and day above a row take up."""
    key = [source.expr for name, source in maker.key("session").items() if name in ("athlete_id", "session_date")]
    return pl.int_range(pl.len()).over(key) * most if key else pl.lit(0)


def match_measures(headings: list[Heading], rows: pl.DataFrame, *, given: frozenset[str]) -> Measures | None:
    """Return how a sheet with a column for each step and a row for each measure is read; None where it is none."""
    steps = {h.number: h for h in headings if h.number is not None and not set(h.names) - {"step_no"}}
    steps = {number: heading for number, heading in steps.items() if number}
    if len(steps) < FEWEST_STEPS:
        return None
    others = [heading for heading in headings if heading not in steps.values()]
    if any(heading.number is not None or heading.gate_m is not None for heading in others):
        return None
    places = {heading.place for heading in steps.values()}
    for number in (int(name[1:]) for name in rows.columns if name != "_line"):
        if number in places:
            continue
        said = rows[f"c{number}"].head(SAMPLE).drop_nulls().unique(maintain_order=True).to_list()
        read = {text: read_heading(number, text) for text in said}
        if said and all(set(one.names) & set(MEASURES) for one in read.values()):
            every = {text: read_heading(number, text) for text in rows[f"c{number}"].drop_nulls().unique().to_list()}
            named_by = next((h for h in others if h.place == number), Heading(number, ""))
            rest = [heading for heading in others if heading.place != number]
            match = assign("rep", (*RUN_TABLES, "step"), rest, given=given)
            known = {text: one for text, one in every.items() if set(one.names) & set(MEASURES)}
            return Measures(match, named_by, known, dict(sorted(steps.items())))
    return None


def with_steps_counted(headings: list[Heading], rows: pl.DataFrame) -> list[Heading]:
    """Take numbers that count from one for steps, where each row names what is measured of a step.

    'Contact' and 'Flight' alone may be of jumps and their trials: the corner says steps ('Step no.'), or a row gives
    their length.
    """
    counted = [one for one in headings if one.is_bare_number and one.gate_m is not None]
    if len(counted) < FEWEST_STEPS or [one.gate_m for one in counted] != [float(n + 1) for n in range(len(counted))]:
        return headings
    others = [one for one in headings if one not in counted]
    if any(one.gate_m is not None or one.number is not None or one.run_no is not None for one in others):
        return headings
    places = {one.place for one in counted}
    for name in rows.columns:
        if name == "_line" or int(name[1:]) in places:
            continue
        said = [set(read_heading(0, text).names) & set(MEASURES) for text in rows[name].head(SAMPLE).drop_nulls()]
        corner = next((one for one in others if one.place == int(name[1:])), None)
        is_of_steps = corner is not None and "step_no" in (*corner.names, *corner.loose)
        if said and all(said) and (is_of_steps or any("step_length_m" in names for names in said)):
            return [
                Heading(one.place, one.text, ("step_no",), one.unit, number=int(one.gate_m or 0))
                if one in counted else one
                for one in headings
            ]  # fmt: skip
    return headings


def measure_parts(maker: PartMaker, sheet: Measures) -> list[Part]:
    """Return the parts of a sheet with a row for each measure: the rows of one run are put together.

    Where the sheet gives no run number, a measure that comes once more for an athlete and a day begins the next run.
    """
    own = {name: source for name, source in maker.key("step").items() if name != "step_no"}
    measure = pl.col(f"c{sheet.named_by.place}")
    if "rep_no" not in own:
        key = [source.expr for name, source in own.items() if name in ("athlete_id", "session_date")]
        count = pl.int_range(1, pl.len() + 1).over([*key, measure])
        own["rep_no"] = Source(count.cast(pl.String), Cells("run", "", None, True))
    shared = shared_of_steps(maker)
    parts = []
    shape = table_shape("step")
    for number, step in sheet.steps.items():
        values: dict[str, list[tuple[pl.Expr, Cells]]] = {}
        for text, said in sheet.measures.items():
            column = next(name for name in said.names if name in MEASURES)
            cell: pl.Expr = pl.when(measure == text).then(pl.col(f"c{step.place}"))
            if column == "side":  # the foot of a step, told beside each of its measures
                whose = [source.expr for name, source in own.items() if source.cells.origin and name != "rep_no"]
                cell = cell.drop_nulls().first().over(whose) if whose else cell.drop_nulls().first()
            unit = said.unit or step.unit
            values.setdefault(column, []).append((cell, Cells(f"{text}, {step.text}", "", unit, False)))
        told = {
            name: Source(pl.coalesce(cell for cell, _ in cells), cells[0][1])
            for name, cells in values.items()
            if name in shape.columns or name in ("contact_frame", "toeoff_frame")
        }
        step_no = Source(pl.lit(str(number)), Cells("step_no", "", None, True))
        parts.append(maker.make("step", {**own, **shared, "step_no": step_no, **told}, is_main=False))
    runs = maker.make("rep", {**own, **maker.values("rep")}, is_main=False)
    return [*parts, runs, *(part for part in beside(maker) if part.table != "rep")]
