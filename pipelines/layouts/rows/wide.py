"""Wide sheets: a column for each gate, each step, each set or each trial; a row for each run or exercise."""

import dataclasses
import re

import polars as pl

from pipelines.layouts.rows.parts import PartMaker, Source
from pipelines.layouts.words.by_hand import is_short_for_hand, time_by_hand
from pipelines.layouts.words.headings import Heading
from pipelines.layouts.words.match import HELPERS, RUN_TABLES, Match, assign, targets_of
from pipelines.layouts.words.sets import parse_sets
from schemas.intake import Cells, Part
from schemas.outcome_words import ENDED_RACE, NOT_FINISHED
from schemas.shape import table_shape
from schemas.spelling import fold

MARK = re.compile(r"(\d{1,3}(?:[.,:]\d{1,2})*)\s*([hwiaHWIA]{1,3}|[Ff][Aa][Tt])")
# Behind a time or its mark: '11.04q', '6.87 PR', '12.8h (SB)'. Common practice, no source.
REMARK = re.compile(r"\s*\(?(q|PB|PR|SB|SR|CR|MR|NR|WL|personal best|season'?s? best)\)?\s*$", re.I)
REMARK_WORDS = {"q": "went on to the next round", "pb": "personal best", "pr": "personal best", "sb": "season's best"}
BEHIND = r"\s*\([^()]*\)\s*$"  # brackets at the end of a cell
MARK_WORDS = {"h": "hand timed", "w": "wind above 2.0 m/s", "i": "indoors", "a": "at altitude"}
Numbered = dict[int, dict[str, Heading]]  # step, set or trial -> column -> heading


def match_gates(headings: list[Heading], *, given: frozenset[str]) -> tuple[Match, list[Heading], Numbered] | None:
    """Return how a sheet with gate columns is read: other columns, gates by distance, steps; None where none is."""
    gates = [heading for heading in headings if heading.gate_m is not None and not heading.is_fly]
    if not gates or (len(gates) == 1 and gates[0].is_bare_number):
        return None
    seen: dict[tuple[float | None, float], Heading] = {}
    for gate in gates:
        seen.setdefault((gate.from_m, gate.gate_m or 0.0), gate)
    numbered = [heading for heading in headings if heading.number is not None]
    others = [one for one in headings if (one.gate_m is None or one.is_fly) and one.number is None]
    match = assign("rep", (*RUN_TABLES, "step"), others, given=given)
    match.ignored.extend(gate for gate in gates if gate not in seen.values())
    steps = _by_number("step", numbered)
    return match, sorted(seen.values(), key=lambda gate: (gate.gate_m or 0.0, gate.from_m or 0.0)), steps


def match_numbered(headings: list[Heading], *, given: frozenset[str]) -> tuple[Match, str, Numbered] | None:
    """Return how a sheet with numbered columns is read: a column for each step, set or trial; None where none is."""
    numbered = [heading for heading in headings if heading.number is not None]
    others = [heading for heading in headings if heading.number is None and heading.gate_m is None]
    names = {name for heading in others for name in heading.names}
    if not numbered:
        return None
    if "exercise" in names:
        table, main = "lift_set", "lift_set"
    elif "test" in names:
        columns = {name for heading in numbered for name in heading.names}
        table = main = "force_test" if "peak_force_n" in columns else "jump_test"
    else:
        table, main = "step", "rep"
    groups = _by_number(table, numbered)
    if not groups:
        return None
    targets = (*RUN_TABLES, "step") if main == "rep" else targets_of(table_shape(main))
    match = assign(main, targets, others, given=given)
    first = next(iter(groups.values()))
    for column, heading in first.items():  # the first of them stands for all: it is there
        match.columns.setdefault((main, column), heading) if main != "rep" else None
    return match, table, groups


def _by_number(table: str, headings: list[Heading]) -> Numbered:
    shape = table_shape(table)
    groups: Numbered = {}
    for heading in headings:
        names = heading.names
        if table == "lift_set" and names[:1] == ("set_no",):
            names = ("set_text",)
        column = next(
            (name for name in names if name in shape.values or name in HELPERS.get(table, ()) or name == "side"), None
        )
        if column is not None and (column in shape.columns or column in HELPERS.get(table, ())):
            groups.setdefault(heading.number or 0, {}).setdefault(column, heading)
    return dict(sorted(groups.items()))


def wide_parts(maker: PartMaker, gates: list[Heading], steps: Numbered) -> list[Part]:
    """Return the parts of a sheet with a column for each gate: runs, their splits, and what stands beside them."""
    ended = outcome_of(maker, [f"c{gate.place}" for gate in gates])
    return [*(split_part(maker, gate, {}) for gate in gates), *_step_parts(maker, steps), *beside(maker, ended)]


def split_part(maker: PartMaker, gate: Heading, more: dict[str, Source]) -> Part:
    """Return the part of one gate's column."""
    sources = {
        "distance_m": Source(pl.lit(f"{gate.gate_m:g}"), Cells(gate.text, "", "meter", True)),
        "elapsed_s": Source(
            pl.col(f"c{gate.place}"), Cells(gate.text, f"c{gate.place}", gate.unit, gate.unit is not None)
        ),
    }
    return maker.make("split", {**more, **sources}, is_main=False, stretch_from_m=gate.from_m)


def numbered_parts(maker: PartMaker, match: Match, table: str, groups: Numbered) -> list[Part]:
    """Return the parts of a sheet with a column for each step, set or trial."""
    if table == "step":
        return [*_step_parts(maker, groups), *beside(maker)]
    number_column = "set_no" if table == "lift_set" else "trial_no"
    shared = {
        name: source
        for name, source in maker.values(table).items()
        if not any(name in group for group in groups.values())
    }
    parts = []
    for number, group in groups.items():
        said = {number_column: Source(pl.lit(str(number)), Cells(number_column, "", None, True))}
        if "set_text" in group:
            said |= _one_set(maker, group.pop("set_text"))
        said |= {name: maker.of(heading, name) for name, heading in group.items()}
        if table == "lift_set" and "load_kg" in group and "reps" in shared and "reps" not in said:
            said["reps"] = _where_lifted(shared["reps"], group["load_kg"], groups)
        parts.append(maker.make(table, {**shared, **said}, is_main=False))
    return [*parts, *maker.implied(targets_of(table_shape(table))[1:])]


def _where_lifted(reps: Source, load: Heading, groups: Numbered) -> Source:
    """Return the reps that a row says of all of its sets for one of them: none where that set alone has no load."""
    loads = [pl.col(f"c{group['load_kg'].place}").is_not_null() for group in groups.values() if "load_kg" in group]
    own = pl.col(f"c{load.place}").is_not_null()
    return Source(pl.when(own | ~pl.any_horizontal(loads)).then(reps.expr), dataclasses.replace(reps.cells, origin=""))


def _one_set(maker: PartMaker, heading: Heading) -> dict[str, Source]:
    """Take '5x100' in a column of one set apart; a cell that is no such text stays whole, and is set aside."""
    reps: list[str | None] = []
    loads: list[str | None] = []
    for text in maker.rows[f"c{heading.place}"].to_list():
        one = parse_sets(text, is_one_set=True) if text is not None else None
        reps.append(one[0][0] if one else text)
        loads.append(one[0][1] if one else None)
    cells = Cells(heading.text, "", heading.unit)
    return {
        "reps": Source(pl.lit(pl.Series("reps", reps, dtype=pl.String)), Cells(heading.text, "")),
        "load_kg": Source(pl.lit(pl.Series("loads", loads, dtype=pl.String)), cells),
    }


def outcome_of(maker: PartMaker, columns: list[str]) -> dict[str, Source]:
    """Return how runs ended where a cell for a time says that they were not finished, and no column tells."""
    if "outcome" in maker.match.of("rep"):
        return {}
    said = {text for name in columns for text in _words(maker.rows[name]) if fold(text) in NOT_FINISHED}
    if not said:
        return {}
    some = pl.any_horizontal(pl.col(name).is_in(list(said)).fill_null(False) for name in columns)
    return {"outcome": Source(pl.when(some).then(pl.lit("stopped")), Cells("outcome", ""))}


def _words(column: pl.Series) -> pl.Series:
    """Return the different texts of a column in which no digit stands but in brackets at the end: a long file has few,
    beside its many times.
    """
    texts = column.unique()
    return texts.filter(~texts.str.replace(BEHIND, "").str.contains(r"\d"))


def race_outcome_of(maker: PartMaker) -> dict[str, Source]:
    """Return how races ended where the cell for the time says it (DNS, DNF, DQ), and no column tells.

    What the cell says is then said; no time is left in it.
    """
    said = maker.match.of("race_result")
    if "time_s" not in said:
        return {}
    marks = _marks_of(maker, said["time_s"])
    if "race_outcome" in said:
        return marks
    time = f"c{said['time_s'].place}"
    ended = {text: word for text in _words(maker.rows[time]) if (word := ENDED_RACE.get(fold(_bare(text))))}
    if not ended:
        return marks
    outcome = pl.col(time).replace_strict(ended, default=None, return_dtype=pl.String)
    timed = marks.get("time_s", maker.of(said["time_s"], "time_s"))
    why = [text for text in ended if _bare(text) != text]
    if why:  # 'DQ (FS)': the reason is kept as it stands there
        told = pl.when(pl.col(time).is_in(why)).then(pl.col(time))
        own = [pl.col(f"c{said['note'].place}")] if "note" in said else []
        cells = Cells(said["note"].text if own else said["time_s"].text, "")
        note = pl.concat_str([told, *own], separator="; ", ignore_nulls=True)
        marks = {**marks, "note": Source(pl.when(note != "").then(note), cells)}
    return {
        **marks,
        "race_outcome": Source(outcome, Cells("race_outcome", "")),
        "time_s": Source(pl.when(outcome.is_null()).then(timed.expr), timed.cells),
    }


def _bare(text: str) -> str:
    """Return how a race ended without the reason in brackets behind it: 'DQ (FS)' is 'DQ'."""
    return re.sub(BEHIND, "", text)


def _marks_of(maker: PartMaker, heading: Heading) -> dict[str, Source]:
    """Return race times written with letters: '11.8h' is by hand, '11.52w' with too much wind, '7.31i' indoors, and
    '10.75FAT' is fully automatic. Common practice, no source.

    The letter is kept in the note; how a time was taken stands in its column.
    """
    place = f"c{heading.place}"
    texts = maker.rows[place].drop_nulls().unique().to_list()
    parts = {text: _without_remarks(text.strip()) for text in texts}
    told = [(text, _mark(time, maker) or ((time, "") if words else None)) for text, (time, words) in parts.items()]
    read = {text: mark for text, mark in told if mark is not None}
    if not read:
        return {}
    timed = maker.of(heading, "time_s")
    clean = pl.col(place).replace({text: time for text, (time, _) in read.items()})
    made = {"time_s": Source(clean, timed.cells)}
    given = maker.values("race_result")
    said = {text: word for text, (_, word) in read.items()}
    taken = {
        text: "electronic" if word == "fat" else "hand" for text, word in said.items() if "h" in word or word == "fat"
    }
    if taken and not maker.match.of("race_result").get("timing_kind"):
        kind = pl.col(place).replace_strict(taken, default=None, return_dtype=pl.String)
        if "timing_kind" in given:  # what the title says of all of them, a mark says otherwise of its own
            kind = pl.coalesce(kind, given["timing_kind"].expr)
        made["timing_kind"] = Source(kind, Cells(heading.text, ""))
    letters = {
        text: ", ".join([*(MARK_WORDS[letter] for letter in word if letter in MARK_WORDS), *parts[text][1]])
        for text, word in said.items() if word != "fat" or parts[text][1]
    }  # fmt: skip
    note = pl.col(place).replace_strict(letters, default=None, return_dtype=pl.String)
    if "note" in given:
        note = pl.concat_str([given["note"].expr, note], separator="; ", ignore_nulls=True)
    made["note"] = Source(note, Cells(heading.text, ""))
    return made


def _without_remarks(text: str) -> tuple[str, list[str]]:
    """Return a time without what is remarked behind it, and the remarks in words."""
    words: list[str] = []
    while (found := REMARK.search(text)) is not None and any(char.isdigit() for char in text[: found.start()]):
        said = found[1]
        words.insert(0, REMARK_WORDS.get(said.lower(), said))
        text = text[: found.start()]
    return text, words


def _mark(text: str, maker: PartMaker) -> tuple[str, str] | None:
    """Return a race time and the letters of its mark; a word for timing by hand ('11,5 man.') is the letter h."""
    match = MARK.fullmatch(text)
    if match is not None:
        return match[1], match[2].lower()
    headers = (heading.text for heading in maker.match.columns.values())
    by_hand = time_by_hand(text, is_short=is_short_for_hand(headers))
    return None if by_hand is None else (by_hand, "h")


def shared_of_steps(maker: PartMaker) -> dict[str, Source]:
    """Return what a sheet gives once for all steps of a row."""
    return {name: source for name, source in maker.values("step").items() if name == "frame_rate_hz"}


def _step_parts(maker: PartMaker, steps: Numbered) -> list[Part]:
    shared = shared_of_steps(maker)
    parts = []
    for number, columns in steps.items():
        said = {"step_no": Source(pl.lit(str(number)), Cells("step_no", "", None, True))}
        said |= {name: maker.of(heading, name) for name, heading in columns.items()}
        parts.append(maker.make("step", {**shared, **said}, is_main=False))
    return parts


def beside(maker: PartMaker, ended: dict[str, Source] | None = None) -> list[Part]:
    """Return the parts that stand beside the gates or steps of a run: the run, its session, body measures."""
    parts = []
    for table in RUN_TABLES:
        values = maker.values(table)
        values |= (ended or {}) if table == "rep" else {}
        if values or table in ("rep", "session"):
            parts.append(maker.make(table, values, is_main=False))
    return parts
