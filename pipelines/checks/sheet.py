"""One table of a file, checked: typed, named, numbered, held against its models and against its own rows."""

from dataclasses import dataclass
from datetime import date

import polars as pl

from pipelines.cells.spoken import is_outcome
from pipelines.checks import chain
from pipelines.checks.asking import Asking
from pipelines.checks.best_marks import far_below_others, too_fast_races, too_fast_runs, too_strong
from pipelines.checks.cells import CellReader
from pipelines.checks.contents import IMPLIED, Contents, no_value, told_runs, values_of
from pipelines.checks.dips import dip_faults
from pipelines.checks.faults import CELL, RECORD, ROW, SET_ASIDE, Faults, as_written, set_aside, told_apart, without
from pipelines.checks.names import Roster
from pipelines.checks.own_total import total_faults
from pipelines.checks.people import People
from pipelines.checks.ranges import range_faults, shown, why_outside
from pipelines.checks.repeats import find_repeats, one_row_a_key
from pipelines.checks.run_numbers import RunNumbers, with_own_numbers
from pipelines.checks.split_times import SUMMED, since_the_start, with_header
from pipelines.checks.stretches import FRAME_COLUMNS, frame_rate_of, times_from_frames, times_from_stretches
from pipelines.checks.swapped import PAIRS, swapped
from pipelines.checks.told import give_families, say_of_runs
from schemas.intake import LaidOut, Part, Question
from schemas.phrase import phrase
from schemas.shape import ColumnShape, table_shape

OF_THE_ROW = ("athlete_id", "session_no", "rep_no")  # key of all that a source row brings, with its day
# Columns that a wide sheet gives once for all steps, sets or trials: alone they are no row.
SHARED = {"frame_rate_hz", "set_effort", "reps_in_reserve", "side", "box_height_m"}


@dataclass(frozen=True)
class SheetResult:
    """What became of one table of a file."""

    rows_read: int
    accepted: dict[str, pl.DataFrame]
    set_aside: pl.DataFrame
    new_athletes: list[tuple[str, str]]
    notes: list[str]
    questions: list[Question]
    made_numbers: bool = False  # the run numbers are ours, not the file's


class SheetCheck:
    """Checks one table of a file; ``run`` does it, step after step."""

    def __init__(
        self, laid: LaidOut, roster: Roster, as_of: date, known_exercises: frozenset[str] = frozenset()
    ) -> None:
        self.laid = laid
        self.known_exercises = known_exercises
        self.roster = roster
        self.faults = Faults(laid.named)
        every = pl.int_range(0, laid.rows.height, dtype=pl.UInt32, eager=True)
        named = laid.named["_row"]
        self.mask = ~every.is_in(named.implode()) if len(named) else None
        self.rows = every if self.mask is None else every.filter(self.mask)
        self.asking = Asking(laid)
        self.cells = CellReader(
            self.rows, self.faults, laid.options, as_of, self.asking, laid.day_zero, laid.year, frame_rate_of(laid)
        )
        self.cells.days_differ = laid.days_differ
        self.contents = Contents(laid, self.rows, self.faults)
        self.numbers = RunNumbers(laid, self.rows, self.mask, self.faults, self.cells.notes)
        self.made_numbers = False  # run numbers are ours, not the file's
        self.people = People(self.rows, self.faults, roster, laid.options, self.asking)
        self.lines = laid.rows["_line"]
        self.whose = pl.DataFrame(schema={"_row": pl.UInt32, "athlete_id": pl.String})
        self._again = False  # a row says again what another said
        self._single: set[str] = set()  # tables found to have one row for each key

    def run(self) -> SheetResult:
        """Check the table and return its accepted rows and those set aside; together they are all rows read."""
        typed = [self._typed(part) for part in self.laid.parts]
        self.whose = next((f.select("_row", "athlete_id") for f in typed if "athlete_id" in f.columns), self.whose)
        times_from_stretches(self.laid.parts, typed)
        self.made_numbers = self.numbers.give(typed)
        tables = self._gather(typed)
        typed.clear()  # a long file would stand in memory twice
        if "step" in tables:
            tables["step"] = times_from_frames(tables["step"], self.faults, frame_rate_of(self.laid), self.asking)
        if "split" in tables:
            tables["split"] = since_the_start(tables["split"], self.laid, self.faults, self.cells.notes, self.asking)
        self._part_swapped(tables)
        self._require(tables)
        self.contents.require(tables)
        for name, frame in list(tables.items()):
            if name not in IMPLIED or self.contents.is_main(name) or len(values_of(name, frame)):
                tables[name] = self._in_range(name, without(frame, self.faults.bad), frame)
        self.contents.leave_out_empty(tables)
        tables = self.contents.only_with_content(tables)
        say_of_runs(self.laid, self.asking, tables)
        self._repeats(tables)
        if "split" in tables:
            self._chain(tables["split"])
            if {"distance_m", "elapsed_s"} <= set(tables["split"].columns):
                self.faults.add_frame(self._of_main(too_fast_runs(without(tables["split"], self.faults.bad))))
        if "race_result" in tables and {"event", "time_s"} <= set(tables["race_result"].columns):
            self.faults.add_frame(self._of_main(too_fast_races(without(tables["race_result"], self.faults.bad))))
        if "force_test" in tables and {"test", "peak_force_n"} <= set(tables["force_test"].columns):
            for look in (too_strong, far_below_others):
                self.faults.add_frame(self._of_main(look(without(tables["force_test"], self.faults.bad))))
        return self._result(tables)

    def _chain(self, split: pl.DataFrame) -> None:
        split = with_header(without(split, self.faults.bad), self.laid)
        if self._again:
            split = split.unique([*table_shape("split").key], keep="first", maintain_order=True)
        self.faults.add_frame(self._of_main(chain.chain_faults(split)))
        sound = without(split, self.faults.bad)
        self.faults.add_frame(self._of_main(dip_faults(sound, self.cells.notes)))
        whole = sound.join(self.faults.frame.select("_row").unique(), on="_row", how="anti")
        stretches = any(part.stretch_from_m is not None for part in self.laid.parts)
        self.faults.add_frame(total_faults(whole, self.laid, is_summed=stretches or SUMMED in self.cells.notes))

    def _of_main(self, faults: pl.DataFrame) -> pl.DataFrame:
        """Let a fault of a record hold back its whole source row where that is the record."""
        main = [n for n, part in enumerate(self.laid.parts) if part.is_main]
        if faults.is_empty() or not main:
            return faults
        return faults.with_columns(holds=pl.when(pl.col("_part").is_in(main)).then(pl.lit(ROW)).otherwise("holds"))

    # Typing

    def _typed(self, part: Part) -> pl.DataFrame:
        shape = table_shape(part.table)
        frame = part.frame if self.mask is None else part.frame.filter(self.mask)
        columns: dict[str, pl.Series] = {"_row": self.rows}
        number = next(n for n, one in enumerate(self.laid.parts) if one is part)
        if part.table == "athlete":
            self.faults.at(CELL, number)
            made = self.people.rows_of_roster(part, frame, self.cells)
            named = made.drop_nulls(["athlete_id", "display_name"]).select("athlete_id", "display_name")
            self.people.roster = self.roster.with_new(named.iter_rows())
            return made
        for name, cells in part.cells.items():
            self.faults.at(self._holds(part, name), number)
            if name == "athlete_id":
                columns[name] = self.people.read(frame[name], cells)
            elif name in FRAME_COLUMNS:
                whole = ColumnShape(name, pl.Int64(), "", True, (), None, None, "")
                columns[name] = self.cells.read(frame[name], whole, cells)
            else:
                columns[name] = self.cells.read(frame[name], shape.columns[name], cells)
        self.faults.at(ROW, number)
        return pl.DataFrame(columns)

    def _holds(self, part: Part, column: str) -> str:
        """Return what a fault in a column of a part holds back."""
        shape = table_shape(part.table)
        if column == shape.date and self.contents.is_main("athlete"):
            return RECORD
        if column in (*OF_THE_ROW, shape.date):
            return ROW
        if column in shape.key or column in shape.must_have:
            return ROW if part.is_main else RECORD
        return CELL

    # Tables

    def _gather(self, typed: list[pl.DataFrame]) -> dict[str, pl.DataFrame]:
        """Return one frame for each record table: rows that say something, missing key numbers filled in."""
        tables: dict[str, list[pl.DataFrame]] = {}
        for n, part in enumerate(self.laid.parts):
            shape, frame = table_shape(part.table), typed[n].with_columns(_part=pl.lit(n, dtype=pl.UInt32))
            values = [name for name in frame.columns if name in (*shape.values, *FRAME_COLUMNS)]
            if not part.is_main and part.table not in IMPLIED:
                telling = [name for name in values if name not in SHARED] or values
                frame = frame.filter(pl.any_horizontal(pl.lit(False), pl.col(telling).is_not_null()))
            elif part.table == "rep" and "rep_no" in part.cells and not part.cells["rep_no"].origin:
                frame = frame.filter(pl.col("rep_no").is_not_null())  # of runs side by side, those that were run
            tables.setdefault(part.table, []).append(frame)
        return {name: with_own_numbers(table_shape(name), frames) for name, frames in tables.items()}

    # Rules

    def _require(self, tables: dict[str, pl.DataFrame]) -> None:
        """Tell rows whose key, or the value a row means nothing without, is empty."""
        bad = self.faults.bad
        self.contents.leave_out_ended(tables)
        for name, frame in tables.items():
            shape = table_shape(name)
            for column in shape.columns:
                if column not in shape.must_have and column not in shape.key:
                    continue
                empty = frame.filter(pl.col(column).is_null()) if column in frame.columns else frame
                empty = without(empty, bad)
                if empty.height == 0:
                    continue
                for row, part_no in empty.select("_row", "_part").iter_rows():
                    part = self.laid.parts[part_no]
                    self.faults.at(self._holds(part, column), part_no)
                    header = part.cells[column].header if column in part.cells else column
                    text = part.frame[column][row] if column in part.frame.columns else None
                    why = f"{header} is empty, and without it the row says nothing. {SET_ASIDE} Fill in the cell."
                    if text is not None and is_outcome(text):
                        why = no_value(text)
                    self.faults.add(pl.Series([row]), header, text, why)
        self.faults.at(ROW, 0)

    def _part_swapped(self, tables: dict[str, pl.DataFrame]) -> None:
        for name in PAIRS:
            if name not in tables:
                continue
            for part_no in tables[name]["_part"].unique().to_list():
                part = self.laid.parts[part_no]
                found = swapped(name, tables[name].filter(pl.col("_part") == part_no), part)
                if found.height:
                    minutes, places = PAIRS[name][0], [(row, part_no) for row in found["_row"]]
                    header = part.cells[minutes].header
                    self.faults.add(found["_row"], header, found["value"], found["reason"], holds=CELL, part=part_no)
                    tables[name] = self._emptied(tables[name], {minutes: places})

    def _in_range(self, name: str, sound: pl.DataFrame, frame: pl.DataFrame) -> pl.DataFrame:
        """Tell values outside their range; return the frame with those cells empty that hold nothing else back."""
        shape = table_shape(name)
        empty: dict[str, list[tuple[int, int]]] = {}
        for row, part_no, column, value in range_faults(name, sound):
            part = self.laid.parts[part_no]
            header = part.cells[column].header if column in part.cells else column
            text = part.frame[column][row] if column in part.frame.columns else None
            written = text.strip() if text is not None and _differs(text, value) else ""
            why = why_outside(value, shape.columns[column], written)
            holds = self._holds(part, column)
            if holds == CELL:
                empty.setdefault(column, []).append((row, part_no))
            shown_ = text if text is not None else shown(value)
            self.faults.add(pl.Series([row]), header, shown_, why, holds=holds, part=part_no)
        return self._emptied(frame, empty)

    @staticmethod
    def _emptied(frame: pl.DataFrame, cells: dict[str, list[tuple[int, int]]]) -> pl.DataFrame:
        for column, places in cells.items():
            here = pl.DataFrame(places, schema={"_row": pl.UInt32, "_part": pl.UInt32}, orient="row").unique()
            marked = frame.join(here.with_columns(_bad=True), on=["_row", "_part"], how="left", maintain_order="left")
            frame = frame.with_columns(
                pl.when(marked["_bad"].fill_null(value=False)).then(None).otherwise(pl.col(column)).alias(column)
            )
        return frame

    def _repeats(self, tables: dict[str, pl.DataFrame]) -> None:
        bad = self.faults.bad
        again: list[pl.DataFrame] = []
        part_rows: list[pl.Series] = []
        for name, frame in tables.items():
            is_implied = name in IMPLIED and not self.contents.is_main(name)
            if is_implied and not values_of(name, frame):
                continue
            sound = without(frame, bad)
            found = find_repeats(sound, table_shape(name), self.lines)
            self._add_conflicts(name, found.conflicts, tables)
            self._again = self._again or found.again.height > 0
            if found.is_single:
                self._single.add(name)
            counts_as_part = pl.lit(not is_implied)
            if is_implied and name == "rep" and (ended := told_runs(tables)):
                # A run that says how it ended is a row of its own: a false start beside the body mass said before.
                counts_as_part = pl.col("_row").is_in(pl.concat(ended).implode())
            again.append(found.again.filter(counts_as_part))
            part_rows.append(sound.filter(counts_as_part)["_row"])
        twice = pl.concat(again) if again else pl.DataFrame()
        if twice.height == 0:
            return
        counts = pl.concat(part_rows).value_counts(name="parts").rename({part_rows[0].name: "_row"})
        whole = (
            twice.group_by("_row")
            .agg(pl.len().alias("again"), pl.col("first_row").min())
            .join(counts, on="_row")
            .filter(pl.col("again") == pl.col("parts"))
            .filter(pl.col("first_row") != pl.col("_row"))
            .sort("_row")
        )
        lines = self.lines.gather(whole["first_row"])
        why = pl.select(phrase("the same row stands at line {}. {}", lines, pl.lit(SET_ASIDE))).to_series()
        self.faults.add(whole["_row"], "", None, why)

    def _add_conflicts(self, name: str, conflicts: pl.DataFrame, tables: dict[str, pl.DataFrame]) -> None:
        """Hold back what two rows say differently: the cells alone, or the records that mean nothing without them."""
        empty: dict[str, list[tuple[int, int]]] = {}
        for (part_no, column), some in conflicts.group_by("_part", "column", maintain_order=True):
            holds = self._holds(self.laid.parts[int(part_no)], str(column))
            if holds == CELL:
                empty.setdefault(str(column), []).extend(some.select("_row", "_part").iter_rows())
            self.faults.add(some["_row"], str(column), some["value"], some["reason"], holds=holds, part=int(part_no))
        tables[name] = self._emptied(tables[name], empty)

    # Result

    def _result(self, tables: dict[str, pl.DataFrame]) -> SheetResult:
        bad = self.faults.bad
        accepted: dict[str, pl.DataFrame] = {}
        tables = self.contents.only_with_content({name: without(frame, bad) for name, frame in tables.items()})
        for name, sound in tables.items():
            shape = table_shape(name)
            columns = [column for column in shape.columns if column in sound.columns]
            made = sound.select("_row", *columns)
            made = made if name in self._single else one_row_a_key(made, shape)
            if made.height:
                accepted[name] = made.select(
                    *columns, source_sheet=pl.lit(self.laid.sheet), source_line=self.lines.gather(made["_row"])
                )
        new = []
        if self.people.new and "athlete" not in accepted:
            kept = [frame["_row"] for frame in tables.values()]
            here = self.whose.filter(pl.col("_row").is_in(pl.concat(kept).unique().implode())) if kept else self.whose
            made = self.people.rows_of_new(without(here, bad))
            if made.height:
                accepted["athlete"] = made.select(
                    "athlete_id", "display_name", source_sheet=pl.lit(self.laid.sheet),
                    source_line=self.lines.gather(made["_row"]),
                )  # fmt: skip
        if "athlete" in accepted:
            new = list(accepted["athlete"].select("athlete_id", "display_name").iter_rows())
        give_families(accepted, self.laid, self.asking, self.known_exercises)
        told = as_written(told_apart(self.faults.frame, self.laid), self.laid.rows, self.laid.header, self._headers())
        aside = set_aside(told, self.laid.rows, self.laid.header, self.laid.sheet, self.whose)
        questions = [*self.laid.asked, *self.asking.questions]
        return SheetResult(self.laid.rows.height, accepted, aside, new, self.cells.notes, questions, self.made_numbers)

    def _headers(self) -> dict[str, str]:
        """Return the header of each record column whose cells all stand under one."""
        found: dict[str, set[str]] = {}
        for part in self.laid.parts:
            for name, cells in part.cells.items():
                found.setdefault(name, set()).add(cells.header if cells.origin else "")
        own = {name: headers.pop() for name, headers in found.items() if len(headers) == 1}
        return {name: header for name, header in own.items() if header and name not in self.laid.header}


def _differs(text: str, value: object) -> bool:
    """Return whether a cell as written is not the number it was read as."""
    try:
        return not isinstance(value, float | int) or float(text.replace(",", ".")) != float(value)
    except ValueError:
        return True
