"""One table of a file, checked: typed, named, numbered, held against its models and against its own rows."""

from dataclasses import dataclass
from datetime import date

import polars as pl

from pipelines.cells.spoken import is_outcome
from pipelines.checks import chain
from pipelines.checks.asking import Asking
from pipelines.checks.best_marks import too_fast_races, too_fast_runs
from pipelines.checks.cells import CellReader
from pipelines.checks.faults import CELL, RECORD, ROW, SET_ASIDE, Faults, as_written, set_aside, without
from pipelines.checks.keys import number_in_order, number_runs
from pipelines.checks.names import Roster
from pipelines.checks.people import People
from pipelines.checks.ranges import range_faults, shown, why_outside
from pipelines.checks.repeats import find_repeats, one_row_a_key
from pipelines.checks.split_times import since_the_start, with_header
from pipelines.checks.stretches import FRAME_COLUMNS, elapsed_from_stretches, times_from_frames
from pipelines.checks.told import RUN_CONTENT, give_families, is_said, say_of_runs
from schemas.intake import LaidOut, Part, Question
from schemas.phrase import phrase
from schemas.shape import NUMBERED, ColumnShape, TableShape, table_shape

IMPLIED = {"rep", "session"}
OF_THE_ROW = ("athlete_id", "session_no", "rep_no")  # key of all that a source row brings, with its day
CONTEXT = ("start_kind", "clock_start", "timing_kind", "resistance_kind", "resistance_load_kg", "gate_offset_m")
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
        self.cells = CellReader(self.rows, self.faults, laid.options, as_of, self.asking, laid.day_zero, laid.year)
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
        self._stretches_to_elapsed(typed)
        self._number_sessions_and_reps(typed)
        tables = self._gather(typed)
        typed.clear()  # a long file would stand in memory twice
        if "step" in tables:
            tables["step"] = times_from_frames(tables["step"], self.faults)
        if "split" in tables:
            tables["split"] = since_the_start(tables["split"], self.laid, self.faults, self.cells.notes, self.asking)
        self._require(tables)
        self._require_content(tables)
        for name, frame in list(tables.items()):
            if name not in IMPLIED or self._is_main(name) or len(self._values(name, frame)):
                tables[name] = self._in_range(name, without(frame, self.faults.bad), frame)
        self._leave_out_empty(tables)
        tables = self._only_with_content(tables)
        say_of_runs(self.laid, self.asking, tables)
        self._repeats(tables)
        if "split" in tables:
            self._chain(tables["split"])
            if {"distance_m", "elapsed_s"} <= set(tables["split"].columns):
                self.faults.add_frame(self._of_main(too_fast_runs(without(tables["split"], self.faults.bad))))
        if "race_result" in tables and {"event", "time_s"} <= set(tables["race_result"].columns):
            self.faults.add_frame(self._of_main(too_fast_races(without(tables["race_result"], self.faults.bad))))
        return self._result(tables)

    def _chain(self, split: pl.DataFrame) -> None:
        split = with_header(without(split, self.faults.bad), self.laid)
        if self._again:
            split = split.unique([*table_shape("split").key], keep="first", maintain_order=True)
        self.faults.add_frame(self._of_main(chain.chain_faults(split)))

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
        if column == shape.date and self._is_main("athlete"):
            return RECORD
        if column in (*OF_THE_ROW, shape.date):
            return ROW
        if column in shape.key or column in shape.must_have:
            return ROW if part.is_main else RECORD
        return CELL

    # Keys

    def _stretches_to_elapsed(self, typed: list[pl.DataFrame]) -> None:
        places = [
            n for n, part in enumerate(self.laid.parts) if part.table == "split" and "distance_m" in typed[n].columns
        ]
        if not any(self.laid.parts[n].stretch_from_m is not None for n in places):
            return
        frames = [
            (float(typed[n]["distance_m"][0] or 0), self.laid.parts[n].stretch_from_m, typed[n]["elapsed_s"])
            for n in places
        ]
        for place, times in elapsed_from_stretches(frames).items():
            typed[places[place]] = typed[places[place]].with_columns(elapsed_s=times)

    def _number_sessions_and_reps(self, typed: list[pl.DataFrame]) -> None:
        for n, part in enumerate(self.laid.parts):
            if "session_no" in table_shape(part.table).key:
                given = (
                    pl.col("session_no").fill_null(1) if "session_no" in typed[n].columns else pl.lit(1, dtype=pl.Int64)
                )
                typed[n] = typed[n].with_columns(session_no=given)
        runs = [n for n, part in enumerate(self.laid.parts) if "rep_no" in table_shape(part.table).key]
        if not runs:
            return
        if any(is_said(typed[n], "rep_no") for n in runs):
            told = [n for n in runs if "rep_no" in self.laid.parts[n].cells]
            self.made_numbers = not any(self.laid.parts[n].cells["rep_no"].origin for n in told)
            if not self.made_numbers:
                self._number_on(typed, runs)
            return
        self.made_numbers = True
        again = self._same_rows_again()
        base = typed[runs[0]].filter(~again)
        key = ["athlete_id", "session_date", "session_no"]
        if any(name not in base.columns for name in key):
            return
        rising = {"split": "distance_m", "step": "step_no"}.get(self.laid.parts[runs[0]].table)
        if not self.laid.parts[runs[0]].is_main or rising is None:
            number = number_in_order(base, key)
        elif is_said(base, rising):
            number = number_runs(base, key, rising)
        else:
            number = pl.Series([1] * base.height, dtype=pl.Int64)
        numbers = pl.DataFrame({"_row": base["_row"], "rep_no": number})
        for n in runs:
            frame = typed[n].drop("rep_no", strict=False)
            typed[n] = frame.join(numbers, on="_row", how="left", maintain_order="left")

    def _number_on(self, typed: list[pl.DataFrame], runs: list[int]) -> None:
        """Count runs on where their numbers begin anew for each kind of start (or clock, or resistance) of a day."""
        told = next((n for n in runs if self.laid.parts[n].table == "rep"), None)
        key = ["athlete_id", "session_date", "session_no"]
        if told is None or self.laid.is_canonical or not {*key, "rep_no"} <= set(typed[told].columns):
            return
        context = [name for name in CONTEXT if is_said(typed[told], name) and not typed[told][name].null_count()]
        frame = typed[told].select("_row", *key, "rep_no", *context)
        if not context or frame.select(pl.struct(context).n_unique()).item() < 2:
            return
        rising = {"split": "distance_m", "step": "step_no"}.get(self.laid.parts[runs[0]].table, "")
        place = typed[runs[0]].get_column(rising, default=None) if self.laid.parts[runs[0]].is_main else None
        again = frame if place is None else frame.with_columns(place.alias("_place"))
        if not again.select(pl.struct(again.drop("_row", *context).columns).is_duplicated().any()).item():
            return
        each = frame.group_by([*key, "rep_no", *context], maintain_order=True).agg(first=pl.col("_row").min())
        if not each.select(pl.struct([*key, "rep_no"]).is_duplicated().any()).item():
            return
        each = each.sort("first").with_columns(number=pl.int_range(1, pl.len() + 1, dtype=pl.Int64).over(key))
        numbers = frame.join(each, on=[*key, "rep_no", *context], how="left", nulls_equal=True, maintain_order="left")
        numbers = numbers.select("_row", rep_no=pl.when(pl.col("rep_no").is_not_null()).then("number"))
        for n in runs:
            if "rep_no" in typed[n].columns:
                typed[n] = typed[n].drop("rep_no").join(numbers, on="_row", how="left", maintain_order="left")
        self.cells.notes.append("The run numbers begin anew for each kind of start; the runs of a day were counted on.")

    def _same_rows_again(self) -> pl.Series:
        """Mark rows whose every cell repeats an earlier row: without numbers they would become runs of their own."""
        cells = self.laid.rows.select(pl.col("^c\\d+$"))
        cells = cells if self.mask is None else cells.filter(self.mask)
        numbered = cells.with_row_index("_place")
        first = numbered.select(pl.col("_place").min().over(cells.columns)).to_series()
        again = first != numbered["_place"]
        if again.any():
            lines = self.lines.gather(self.rows.gather(first.filter(again)))
            why = pl.select(phrase("the same row stands at line {}. {}", lines, pl.lit(SET_ASIDE))).to_series()
            self.faults.add(self.rows.filter(again), "", None, why)
        return again

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
        return {name: self._numbered(table_shape(name), frames) for name, frames in tables.items()}

    def _numbered(self, shape: TableShape, frames: list[pl.DataFrame]) -> pl.DataFrame:
        frame = pl.concat(frames, how="diagonal") if len(frames) > 1 else frames[0]
        for name in shape.key:
            unsaid = shape.unsaid(name)
            if unsaid is not None:
                given = pl.col(name).fill_null(unsaid) if name in frame.columns else pl.lit(unsaid)
                frame = frame.with_columns(given.alias(name))
        own = next((name for name in shape.key if name in NUMBERED and name not in ("session_no", "rep_no")), None)
        if own is not None and not is_said(frame, own):
            within = [name for name in shape.key if name != own and name in frame.columns]
            frame = frame.sort("_row", "_part") if len(frames) > 1 else frame
            frame = frame.drop(own, strict=False).with_columns(number_in_order(frame, within).alias(own))
        return frame

    # Rules

    def _require(self, tables: dict[str, pl.DataFrame]) -> None:
        """Tell rows whose key, or the value a row means nothing without, is empty."""
        bad = self.faults.bad
        self._leave_out_ended(tables)
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
                        why = _outcome(text)
                    self.faults.add(pl.Series([row]), header, text, why)
        self.faults.at(ROW, 0)

    def _leave_out_ended(self, tables: dict[str, pl.DataFrame]) -> None:
        """Leave out splits without a time whose run says how it ended: the run is kept."""
        ended = self._told_runs(tables)
        split = tables.get("split")
        if ended and split is not None and "elapsed_s" in split.columns and split["elapsed_s"].null_count():
            rows = ended[0].unique().implode()
            tables["split"] = split.filter(pl.col("elapsed_s").is_not_null() | ~pl.col("_row").is_in(rows))

    def _require_content(self, tables: dict[str, pl.DataFrame]) -> None:
        """Tell rows that name an athlete and a day and say nothing of them."""
        told = [frame["_row"] for name, frame in tables.items() if name not in IMPLIED or self._is_main(name)]
        told += self._told_runs(tables)
        is_run_sheet = any(name in RUN_CONTENT for name in tables)
        if not told or not is_run_sheet:
            told += [frame["_row"] for frame in tables.values()]
        silent = self.rows.filter(~self.rows.is_in(pl.concat([*told, self.faults.told]).unique().implode()))
        silent = self._name_outcomes(silent)
        why = f"there is no value in this row, so nothing to store. {SET_ASIDE} Nothing to do if that is right."
        self.faults.add(silent, "", None, why)

    def _name_outcomes(self, silent: pl.Series) -> pl.Series:
        """Name the rows that say why there is no value (not started, injured); return the others."""
        cells = self.laid.rows[silent.to_list()] if len(silent) else self.laid.rows.head(0)
        left = []
        for row, one in zip(silent.to_list(), cells.drop("_line").iter_rows(), strict=True):
            words = [text for text in one if text is not None and is_outcome(text)]
            if words:
                self.faults.add(pl.Series([row]), "", words[0], _outcome(words[0]))
            else:
                left.append(row)
        return pl.Series(left, dtype=pl.UInt32)

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

    def _leave_out_empty(self, tables: dict[str, pl.DataFrame]) -> None:
        """Leave out main rows of which nothing is left once their bad cells are out."""
        told = self.faults.told
        for name, frame in list(tables.items()):
            values = self._values(name, frame)
            if not self._is_main(name) or not values or name == "athlete" or not len(told):
                continue
            hollow = pl.all_horizontal(pl.col(values).is_null()) & pl.col("_row").is_in(told.implode())
            tables[name] = frame.filter(~hollow)

    def _only_with_content(self, tables: dict[str, pl.DataFrame]) -> dict[str, pl.DataFrame]:
        """Leave out runs and sessions of rows whose own cells gave none of their content."""
        content = [frame["_row"] for name, frame in tables.items() if name in RUN_CONTENT]
        if not content:
            return tables
        content += self._told_runs(tables)
        if not any(len(one) for one in content) and not any(name in RUN_CONTENT for name in tables):
            return tables
        rows = pl.concat(content).unique().implode() if len(content) > 1 else content[0]
        if len(content) == 1 and len(content[0]) == len(self.rows):
            return tables  # every row gave some
        rows = rows if isinstance(rows.dtype, pl.List) else rows.unique().implode()
        return {
            name: frame.filter(pl.col("_row").is_in(rows)) if name in IMPLIED else frame
            for name, frame in tables.items()
        }

    @staticmethod
    def _told_runs(tables: dict[str, pl.DataFrame]) -> list[pl.Series]:
        """Return the rows of runs that say how they ended or began, with or without times: a false start is a run."""
        runs = tables.get("rep")
        said = [name for name in ("outcome", "reaction_s") if runs is not None and name in runs.columns]
        return [runs.filter(pl.any_horizontal(pl.col(said).is_not_null()))["_row"]] if runs is not None and said else []

    def _repeats(self, tables: dict[str, pl.DataFrame]) -> None:
        bad = self.faults.bad
        again: list[pl.DataFrame] = []
        part_rows: list[pl.Series] = []
        for name, frame in tables.items():
            is_implied = name in IMPLIED and not self._is_main(name)
            if is_implied and not self._values(name, frame):
                continue
            sound = without(frame, bad)
            found = find_repeats(sound, table_shape(name), self.lines)
            self._add_conflicts(name, found.conflicts, tables)
            self._again = self._again or found.again.height > 0
            if found.is_single:
                self._single.add(name)
            if not is_implied:
                again.append(found.again)
                part_rows.append(sound["_row"])
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
        for row, part_no, column, value, why in conflicts.iter_rows():
            holds = self._holds(self.laid.parts[part_no], column)
            if holds == CELL:
                empty.setdefault(column, []).append((row, part_no))
            self.faults.add(pl.Series([row]), column, value, why, holds=holds, part=part_no)
        tables[name] = self._emptied(tables[name], empty)

    # Result

    def _result(self, tables: dict[str, pl.DataFrame]) -> SheetResult:
        bad = self.faults.bad
        accepted: dict[str, pl.DataFrame] = {}
        tables = self._only_with_content({name: without(frame, bad) for name, frame in tables.items()})
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
        told = as_written(self.faults.frame, self.laid.rows, self.laid.header, self._headers())
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

    def _is_main(self, table: str) -> bool:
        return any(part.is_main for part in self.laid.parts if part.table == table)

    def _values(self, table: str, frame: pl.DataFrame) -> list[str]:
        return [name for name in table_shape(table).values if name in frame.columns]


def _outcome(text: str) -> str:
    return f"'{text.strip()}' is an outcome and no error: there is no value to store. {SET_ASIDE} Nothing to do."


def _differs(text: str, value: object) -> bool:
    """Return whether a cell as written is not the number it was read as."""
    try:
        return not isinstance(value, float | int) or float(text.replace(",", ".")) != float(value)
    except ValueError:
        return True
