"""Faults that change nothing anybody could see, each with why. Known again by module, line of code and fault."""

EQUIVALENT: dict[str, str] = {
    "pipelines.checks.chain | chosen = (0, 0.0, -1) | a minus is gone": (
        "a chain of length nought is never followed to the split before it"
    ),
    "pipelines.checks.chain | place = min(range(len(best)), key=lambda at: (-best[at][0], best[at][1]), default=-1) | "
    "1 to 2 | 2": "any place below nought means that there is no split",
    'pipelines.checks.faults | ROW, RECORD, CELL = "row", "record", "cell" # what a fault holds back: the source row, '
    "one record of it, one cell | 'cell' to another word": "the word is asked for by this name alone and is not stored",
    "pipelines.derived.common.day_noise | @dataclass(frozen=True) | True to False": (
        "nothing assigns to it, and the type checker refuses what would"
    ),
    "pipelines.derived.sprint.sled | classes = [class_of_slow_down(share) if has else None for share, has in "
    "zip(slowed, has_line, strict=True)] | True to False": "both have one place for each row, so none is cut off",
    "pipelines.derived.sprint.fit | (offset / np.where(runs.offset_sd_s > 0, runs.offset_sd_s, 1.0)) ** 2, | "
    "Gt to GtE": "where the SD is nought the value beside it is taken, whatever stands here",
    "pipelines.checks.cells | if not known or is_other or _share(known, unit, shape) > 1 - SURE_SHARE: | Gt to GtE": (
        "the share is of at most 4,000 values, and no such share is the number itself that 1 - 0.9 makes"
    ),
    'pipelines.checks.chain | return None if (as_cumulative & as_segment).any() else "cumulative" | BitAnd to BitOr': (
        "where no run speaks for one reading alone, each fits both or neither: and is or"
    ),
    "pipelines.checks.dips | inner = np.isfinite(before) & np.isfinite(after) | BitAnd to BitOr": (
        "a stretch with one beside it alone has no number there, and nothing is smaller or greater than that"
    ),
    "pipelines.checks.repeats | frame = frame.filter(changes | (pl.int_range(pl.len()) == 0)) | Eq to NotEq": (
        "it only spares work: rows alike that are left in are made one by the grouping behind it"
    ),
    "pipelines.checks.run_numbers | return True | True to False | 2": (
        "a table of runs without a column of athletes or days stores no run, so nobody asks whose its numbers are"
    ),
    'pipelines.checks.run_numbers | if told is None or self.laid.is_canonical or not {*SESSION, "rep_no"} <= '
    "set(typed[told].columns): | '*SESSION' is left out": (
        "every layout gives a table of runs its columns of athlete, day and session, empty where the file has none"
    ),
    "pipelines.checks.sheet | if faults.is_empty() or not main: | Or to And": (
        "no faults, or no main part: what follows then changes no row"
    ),
    'pipelines.checks.split_times | UNIT_STEPS = ((1.0, "second"), (1000.0, "second"), (0.001, '
    "\"millisecond\")) # factor on the value as read, unit meant | 'second' to another word": (
        "of the first step the factor alone is read"
    ),
}
