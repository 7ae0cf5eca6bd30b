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
}
