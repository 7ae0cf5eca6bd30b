"""Sessions and runs of a sheet get their numbers: those it gives, counted on, or in its own order."""

from dataclasses import dataclass

import polars as pl

from pipelines.checks.faults import SET_ASIDE, Faults
from pipelines.checks.keys import number_in_order, number_runs
from pipelines.checks.told import is_said
from schemas.intake import LaidOut
from schemas.phrase import phrase
from schemas.shape import NUMBERED, TableShape, table_shape

SESSION = ["athlete_id", "session_date", "session_no"]
CONTEXT = ("start_kind", "clock_start", "timing_kind", "resistance_kind", "resistance_load_kg", "gate_offset_m")
RISING = {"split": "distance_m", "step": "step_no"}  # what rises within a run, in tables of several rows a run


@dataclass(frozen=True)
class RunNumbers:
    """Numbers the sessions and runs of one sheet; ``give`` does it."""

    laid: LaidOut
    rows: pl.Series  # the rows that are checked, by their place in the sheet
    mask: pl.Series | None  # which rows of the sheet those are; None: all
    faults: Faults
    notes: list[str]  # what was taken to be so

    def give(self, typed: list[pl.DataFrame]) -> bool:
        """Put the numbers into the frames of the parts; return whether the run numbers are ours, not the file's."""
        own = self._sessions_of_a_day(typed)
        for n, part in enumerate(self.laid.parts):
            if "session_no" in table_shape(part.table).key:
                given = (
                    pl.col("session_no").fill_null(1) if "session_no" in typed[n].columns else pl.lit(1, dtype=pl.Int64)
                )
                if own is not None and part.table == "session":
                    typed[n] = typed[n].join(own, on="_row", how="left", maintain_order="left")
                    given = pl.col("session_no").fill_null(1)
                typed[n] = typed[n].with_columns(session_no=given)
        self._sets_once(typed)
        runs = [n for n, part in enumerate(self.laid.parts) if "rep_no" in table_shape(part.table).key]
        if not runs:
            return False
        if any(is_said(typed[n], "rep_no") for n in runs):
            told = [n for n in runs if "rep_no" in self.laid.parts[n].cells]
            numbered = [self.laid.parts[n].cells["rep_no"] for n in told]
            # 'run' alone was counted by us, and so were the runs of a text in lines: nobody wrote their numbers.
            is_ours = self._is_of_notes() or not any(cells.origin or cells.header != "run" for cells in numbered)
            if not is_ours:
                self._count_on(typed, runs)
            return is_ours
        again = self._same_rows_again()
        base = typed[runs[0]].filter(~again)
        if any(name not in base.columns for name in SESSION):
            return True
        rising = RISING.get(self.laid.parts[runs[0]].table)
        if not self.laid.parts[runs[0]].is_main or rising is None:
            number = number_in_order(base, SESSION)
        elif is_said(base, rising):
            number = self._apart(typed, base, number_runs(base, SESSION, rising))
        else:
            number = pl.Series([1] * base.height, dtype=pl.Int64)
        numbers = pl.DataFrame({"_row": base["_row"], "rep_no": number})
        for n in runs:
            frame = typed[n].drop("rep_no", strict=False)
            typed[n] = frame.join(numbers, on="_row", how="left", maintain_order="left")
        return True

    def _apart(self, typed: list[pl.DataFrame], base: pl.DataFrame, number: pl.Series) -> pl.Series:
        """Return numbers in which rows that say different starts, clocks or loads are different runs: 20 m with a sled
        and 30 m up a hill are no two gates of one.
        """
        told = next((n for n, part in enumerate(self.laid.parts) if part.table == "rep"), None)
        context = [] if told is None else [name for name in CONTEXT if is_said(typed[told], name)]
        if told is None or not context:
            return number
        said = base.select("_row", *SESSION, number=number)
        said = said.join(typed[told].select("_row", *context), on="_row", how="left", maintain_order="left")
        run = [*SESSION, "number"]
        several = pl.any_horizontal(pl.col(name).drop_nulls().n_unique().over(run) > 1 for name in context)
        filled = [pl.col(name).forward_fill().over(run) for name in context]
        counted = pl.struct("number", *filled).rle_id().over(SESSION).cast(pl.Int64) + 1
        return said.select(pl.when(several.any().over(SESSION)).then(counted).otherwise("number")).to_series()

    def _sessions_of_a_day(self, typed: list[pl.DataFrame]) -> pl.DataFrame | None:
        """Return the numbers of the sessions of a log that gives none: 1, 2, 3 in its order where the rows of a day
        each say another kind of work with minutes or an effort of its own. Sprints and gym are two sessions; the same
        work with other minutes stays a conflict.
        """
        parts = [n for n, part in enumerate(self.laid.parts) if part.table == "session"]
        others = {part.table for part in self.laid.parts} - {"session", "checkin", "body_measure"}
        if len(parts) != 1 or others or self._is_of_notes():
            return None
        part, frame = self.laid.parts[parts[0]], typed[parts[0]]
        loads = [name for name in ("duration_min", "effort_0_10") if name in part.cells]
        what = [pl.col(name).cast(pl.String).fill_null("") for name in ("kind", "note") if name in frame.columns]
        if (
            "session_no" in part.cells
            or not {*SESSION[:2]} <= set(frame.columns)
            or not loads
            or "kind" not in part.cells
        ):
            return None
        day = SESSION[:2]
        work = pl.concat_str(what, separator="|").alias("work")
        said = frame.select("_row", *day, *loads, work).unique(
            [*day, "work", *loads], keep="first", maintain_order=True
        )
        is_whole = (pl.col("work") != "|") & pl.any_horizontal(pl.col(name).is_not_null() for name in loads)
        several = said.filter(
            (pl.len().over(day) > 1) & is_whole.all().over(day)
            & (pl.col("work").n_unique().over(day) == pl.len().over(day))
        )  # fmt: skip
        if several.is_empty():
            return None
        self.notes.append("Rows of one day that name other work are sessions of their own, numbered in their order.")
        numbers = several.select(*day, "work", session_no=number_in_order(several, day))
        return frame.select("_row", *day, work).join(numbers, on=[*day, "work"]).select("_row", "session_no")

    def _is_of_notes(self) -> bool:
        return self.laid.block is not None and self.laid.block.turned == "notes"

    def _count_on(self, typed: list[pl.DataFrame], runs: list[int]) -> None:
        """Count runs on where their numbers begin anew for each kind of start (or clock, or resistance) of a day."""
        told = next((n for n in runs if self.laid.parts[n].table == "rep"), None)
        if told is None or self.laid.is_canonical or not {*SESSION, "rep_no"} <= set(typed[told].columns):
            return
        context = [name for name in CONTEXT if is_said(typed[told], name) and not typed[told][name].null_count()]
        frame = typed[told].select("_row", *SESSION, "rep_no", *context)
        if not context or frame.select(pl.struct(context).n_unique()).item() < 2:
            return
        rising = RISING.get(self.laid.parts[runs[0]].table, "")
        place = typed[runs[0]].get_column(rising, default=None) if self.laid.parts[runs[0]].is_main else None
        again = frame if place is None else frame.with_columns(place.alias("_place"))
        if not again.select(pl.struct(again.drop("_row", *context).columns).is_duplicated().any()).item():
            return
        each = frame.group_by([*SESSION, "rep_no", *context], maintain_order=True).agg(first=pl.col("_row").min())
        if not each.select(pl.struct([*SESSION, "rep_no"]).is_duplicated().any()).item():
            return
        each = each.sort("first").with_columns(number=pl.int_range(1, pl.len() + 1, dtype=pl.Int64).over(SESSION))
        numbers = frame.join(
            each, on=[*SESSION, "rep_no", *context], how="left", nulls_equal=True, maintain_order="left"
        )
        numbers = numbers.select("_row", rep_no=pl.when(pl.col("rep_no").is_not_null()).then("number"))
        for n in runs:
            if "rep_no" in typed[n].columns:
                typed[n] = typed[n].drop("rep_no").join(numbers, on="_row", how="left", maintain_order="left")
        self.notes.append("The run numbers begin anew for each kind of start; the runs of a day were counted on.")

    def _sets_once(self, typed: list[pl.DataFrame]) -> None:
        """Leave out rows of several sets whose every cell repeats an earlier row: their sets would count twice. Of rows
        of one set each the same again is the next set.
        """
        sets = [n for n, part in enumerate(self.laid.parts) if part.table == "lift_set"]
        if len(sets) < 2 or any("set_no" in self.laid.parts[n].cells for n in sets):
            return
        second = typed[sets[1]].select("_row", pl.col("^(reps|load_kg)$"))
        several = second.filter(pl.any_horizontal(pl.exclude("_row").is_not_null()))["_row"]
        again = self._same_rows_again(several, "If both were done, write all their sets into one row.")
        left_out = self.rows.filter(again)
        for n in sets:
            typed[n] = typed[n].filter(~pl.col("_row").is_in(left_out.implode()))

    def _same_rows_again(self, among: pl.Series | None = None, hint: str = "") -> pl.Series:
        """Mark rows whose every cell repeats an earlier row: without numbers they would become runs of their own.

        Args:
            among: The rows that count; None: all.
            hint: What to do, if it is more than nothing.
        """
        cells = self.laid.rows.select(pl.col("^c\\d+$"))
        cells = cells if self.mask is None else cells.filter(self.mask)
        numbered = cells.with_row_index("_place")
        first = numbered.select(pl.col("_place").min().over(cells.columns)).to_series()
        again = first != numbered["_place"]
        again = again if among is None else again & self.rows.is_in(among.implode())
        if again.any():
            lines = self.laid.rows["_line"].gather(self.rows.gather(first.filter(again)))
            said = f"{SET_ASIDE} {hint}".strip()
            why = pl.select(phrase("the same row stands at line {}. {}", lines, pl.lit(said))).to_series()
            self.faults.add(self.rows.filter(again), "", None, why)
        return again


def with_own_numbers(shape: TableShape, frames: list[pl.DataFrame]) -> pl.DataFrame:
    """Return the frames of one record table as one, what its key leaves unsaid filled in, its own rows numbered."""
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
