"""What was answered for all runs or exercises of a sheet: given to its rows; asked for where nothing says it."""

import re
from collections.abc import Iterable

import polars as pl

from pipelines.cells.phrases import HAND, TIMINGS
from pipelines.checks.asking import RUN_WORDS, Asking
from schemas.exercise_families import FAMILY_OF
from schemas.intake import LEAVE_UNKNOWN, LaidOut
from schemas.shape import table_shape
from schemas.spelling import fold, slug

RUN_CONTENT = {"split", "step", "set_position", "technique_note", "start_trial"}  # what makes a run worth a row
OF_THE_CLOCK = ("clock_start", "timing_kind")  # what is said of a run's split times
FARTHEST_BEHIND_M = 3.0  # as in the record's range of gate_offset_m


def say_of_runs(laid: LaidOut, asking: Asking, tables: dict[str, pl.DataFrame]) -> None:
    """Give the runs of a sheet what was answered for all of them; ask where neither sheet nor answer says.

    A sheet without times of splits has nothing to say of the clock: another file may hold the times of the same runs.
    """
    runs = tables.get("rep")
    if runs is None or laid.is_canonical or not RUN_CONTENT & set(tables) or runs.height == 0:
        return
    for name in RUN_WORDS:
        if name in OF_THE_CLOCK and "split" not in tables:
            continue
        answer = getattr(laid.options, name)
        if answer and answer != LEAVE_UNKNOWN:
            said = pl.col(name) if name in runs.columns else pl.lit(None, dtype=pl.String)
            runs = runs.with_columns(said.fill_null(answer).alias(name))
        elif not answer and not is_said(runs, name):
            asking.run_word(table_shape("rep").columns[name], runs.height, by_hand=_are_by_hand(runs))
    tables["rep"] = _with_gate_offset(runs, laid, asking) if "split" in tables else runs


def _are_by_hand(runs: pl.DataFrame) -> bool:
    return "timing_kind" in runs.columns and bool((runs["timing_kind"] == "hand").fill_null(value=False).all())


def speak_of_hand(texts: Iterable[str]) -> bool:
    """Return whether texts speak of timing by hand, whatever else they say of it."""
    words = " ".join(fold(text) for text in texts)
    spelled = (fold(one) for one in TIMINGS["hand"])
    return any(word.startswith(HAND) for word in words.split()) or any(f" {one} " in f" {words} " for one in spelled)


def _with_gate_offset(runs: pl.DataFrame, laid: LaidOut, asking: Asking) -> pl.DataFrame:
    """Give runs whose clock starts at the first gate what was answered of the line behind it; ask where unsaid."""
    answer = laid.options.gate_offset
    nothing = pl.Series([None] * runs.height, dtype=pl.String)
    clocks = runs["clock_start"] if "clock_start" in runs.columns else nothing
    may_be = clocks.is_null() | (clocks == "first_gate")
    if is_said(runs, "gate_offset_m") or not may_be.any() or _are_by_hand(runs):
        return runs
    if not answer and laid.options.clock_start in (None, "first_gate"):
        asking.gate_offset(int(may_be.sum()))
    metres = metres_said(answer or "")
    if metres is None:
        return runs
    behind = pl.when((clocks == "first_gate").fill_null(False)).then(pl.lit(metres, dtype=pl.Float64))
    return runs.with_columns(behind.alias("gate_offset_m"))


def give_families(
    accepted: dict[str, pl.DataFrame], laid: LaidOut, asking: Asking, listed: frozenset[str] = frozenset()
) -> None:
    """Store the family that was answered of an exercise; ask for it where neither list knows the exercise.

    Args:
        accepted: Rows of a sheet by table; ``exercise`` is added where an answer says a family.
        laid: The sheet.
        asking: Where questions go.
        listed: Exercises whose family the squad's own list says.
    """
    sets = accepted.get("lift_set")
    if sets is None or "exercise" in accepted or "exercise" not in sets.columns:
        return
    told = {slug(name, "_"): family for name, family in laid.options.families.items()}
    unknown = sets.filter(~pl.col("exercise").is_in(list(listed | set(FAMILY_OF))))
    first = unknown.group_by("exercise", maintain_order=True).agg(pl.col("source_line").first(), rows=pl.len())
    for exercise, _, rows in first.iter_rows():
        if exercise not in told:
            asking.family(exercise, rows)
    meant = {name: family for name, family in told.items() if family != LEAVE_UNKNOWN}
    here = first.filter(pl.col("exercise").is_in(list(meant)))
    if here.height:
        family = pl.col("exercise").replace_strict(meant, default=None, return_dtype=pl.String)
        accepted["exercise"] = here.select(
            "exercise", family.alias("family"), source_sheet=pl.lit(laid.sheet), source_line=pl.col("source_line")
        )


def metres_said(text: str) -> float | None:
    """Return a short distance as an answer says it, '0.3 m', '0,5', '30 cm'; None where it says none up to 3 m."""
    match = re.fullmatch(r"\s*(\d+(?:[.,]\d+)?)\s*(m|cm)?\s*", text)
    if match is None:
        return None
    metres = float(match[1].replace(",", ".")) / (100 if match[2] == "cm" else 1)
    return metres if metres <= FARTHEST_BEHIND_M else None


def is_said(frame: pl.DataFrame, column: str) -> bool:
    """Return whether a column of a frame says anything."""
    return column in frame.columns and frame[column].null_count() < frame.height
