"""A change of the start and its certainty in one sentence."""

from functools import cache

import polars as pl

from pipelines.derived.common.number_text import decimals
from schemas.normal import NORMAL_95
from schemas.phrase import phrase

# Where the measure is taken, the words for less and for more, the unit it is said in, its factor and decimals.
PHRASES: dict[str, tuple[str, str, str, str, float, int]] = {
    "t_10_s": ("at 10 m", "faster", "slower", "ms", 1000.0, 0),
    "t_5_s": ("at 5 m", "faster", "slower", "ms", 1000.0, 0),
    "t_20_s": ("at 20 m", "faster", "slower", "ms", 1000.0, 0),
    "t_30_s": ("at 30 m", "faster", "slower", "ms", 1000.0, 0),
    "vmax_mps": ("at top speed", "slower", "faster", "m/s", 1.0, 2),
    "pmax_w_per_kg": ("in sprint power", "less", "more", "W/kg", 1.0, 1),
    "speed_after_3_mps": ("after three steps", "slower", "faster", "m/s", 1.0, 2),
    "contact_1_s": ("in the first contact", "shorter", "longer", "ms", 1000.0, 0),
}
LIMIT_WORDS: dict[str, str] = {
    "too_few_reps": "Cannot tell yet: {} of at least 3 days with this same start, clock, timing and set-up.",
    "reference_too_near": "Too early to say: the first of {} days is less than two weeks back.",
    "no_recent_session": "Not timed like this in the last four weeks; {} days before.",
    "too_few_days_now": "Cannot tell yet: one day in the last four weeks, two are needed; {} days in all.",
    "too_few_days_before": "Cannot tell yet: too few days before six weeks ago to compare with, four are needed; "
    "{} days in all.",
    "no_noise_estimate": "Cannot tell yet: {} days here and no whole week of the squad's to tell change from noise.",
}
MOST_DAYS_A_WEEK = 5.0
FAR_ERROR_S = 0.05  # s, an error of one run that light gates and film do not have; common practice, no source


@cache
def part_of(index: int) -> pl.Expr:
    """Return one part of ``PHRASES`` of each row's measure."""
    kind = {4: pl.Float64, 5: pl.Int64}.get(index, pl.String)
    return pl.col("metric").replace_strict({k: v[index] for k, v in PHRASES.items()}, return_dtype=kind)


def say(frame: pl.DataFrame, name: str, *, signed: bool = False, absolute: bool = False) -> pl.Expr:
    """Write a number of each row in the unit and decimals its measure is said in, without the unit; null stays null."""
    value = pl.col(name).cast(pl.Float64) * part_of(4)
    told = frame.select(_value=value.abs() if absolute else value, _digits=part_of(5))
    text = pl.Series([None], dtype=pl.String).new_from_index(0, frame.height)
    for count in set(told["_digits"].to_list()):
        words = decimals(told["_value"], count, signed=signed)
        if signed:  # a change that rounds to nought has no sign
            words = words.str.replace(r"^[+−](0(?:\.0*)?)$", "$1")
        text = words.zip_with(told["_digits"] == count, text)
    return pl.lit(text)


def say_change(frame: pl.DataFrame) -> pl.Expr:
    """Write a change with the word of its side: '15 ms faster'; one that rounds to nought has none."""
    size = say(frame, "change", absolute=True)
    side = pl.when(pl.col("change") < 0).then(part_of(1)).otherwise(part_of(2))
    said = phrase("{} {} {}", size, part_of(3), side)
    return pl.when(size.str.contains(r"[1-9]")).then(said).otherwise(phrase("{} {}", size, part_of(3)))


def percent(name: str) -> pl.Expr:
    """Write a probability in whole percent; never 0 or 100, which no estimate can claim."""
    value = (pl.col(name) * 100).round(0).cast(pl.Int64, strict=False)
    return (
        pl.when(value >= 100)
        .then(pl.lit("over 99"))
        .when(value <= 0)
        .then(pl.lit("under 1"))
        .otherwise(value.cast(pl.String))
    )


def add_sentence(frame: pl.DataFrame, *, see_s: float) -> pl.DataFrame:
    """Add ``sentence`` (what changed, by how much, real or not, worthwhile or not) and ``plan_sentence``."""
    frame = frame.with_columns(_half=NORMAL_95 * pl.col("change_se"))
    unit, where = part_of(3), part_of(0)
    half, seen, swc, real = (say(frame, name) for name in ("_half", "detectable", "swc", "real_from"))
    size, signed = say(frame, "change", absolute=True), say(frame, "change", signed=True)
    side = pl.when(pl.col("change") < 0).then(part_of(1)).otherwise(part_of(2))
    sure = pl.when(pl.col("word") == "improving").then(percent("p_better")).otherwise(percent("p_worse"))
    worth = (
        pl.when(pl.col("is_worthwhile").is_null())
        .then(pl.lit("; how large a change is worthwhile is not known"))
        .when("is_worthwhile")
        .then(phrase("; worthwhile (over {} {}), {} % sure", swc, unit, sure))
        .otherwise(phrase("; whether worthwhile (over {} {}) is not sure, {} %", swc, unit, sure))
    )
    wave = (
        pl.when((pl.col("wave_sd") > pl.col("day_form_sd")).fill_null(value=False))
        .then(phrase("; form of this squad comes and goes by {} {} within a month", say(frame, "wave_sd"), unit))
        .otherwise(pl.lit(""))
    )
    again = (
        pl.when(wave == "").then(pl.lit("")).otherwise(pl.lit(", so a wave is not ruled out: look again in two weeks"))
    )
    moved = pl.concat_str(
        [phrase("{} {} {} {} than before, ± {}: a real change", size, unit, side, where, half), worth, wave, again]
    )
    kept = pl.col("change").abs() >= pl.col("real_from")
    holding = phrase(
        "Holding {}{}: {} {} ± {} against before; a change of {} {} would be seen",
        where,
        pl.when(kept).then(pl.lit(", the change made is kept")).otherwise(pl.lit("")),
        signed,
        unit,
        half,
        seen,
        unit,
    )
    unclear = pl.concat_str(
        [
            phrase(
                "Cannot tell yet {}: {} ± {}; over {} {} would be a change",
                where,
                say_change(frame),
                half,
                real,
                unit,
            ),
            wave,
            _say_wide(frame),
        ]
    )
    older = phrase(
        "{} {} {} {} than before, ± {}: a real change, made over six weeks ago; whether it goes on cannot be told yet",
        size,
        unit,
        side,
        where,
        half,
    )
    described = phrase("{} {} {} {} than before, ± {}; neither way is better in itself", size, unit, side, where, half)
    days = pl.col("sessions").cast(pl.String)
    limited = pl.when(pl.col("reason") == "shared_step").then(pl.col("_shift_says")).otherwise(None)
    for code, words in LIMIT_WORDS.items():
        limited = pl.when(pl.col("reason") == code).then(phrase(words, days)).otherwise(limited)
    frame = frame.with_columns(
        sentence=pl.when(pl.col("reason").is_in(["shared_step", *LIMIT_WORDS]))
        .then(limited)
        .when(pl.col("word").is_in(["improving", "slipping"]))
        .then(moved)
        .when(pl.col("word") == "holding")
        .then(holding)
        .when(pl.col("better_is").is_null())
        .then(described)
        .when(kept)
        .then(older)
        .otherwise(unclear)
    )
    return frame.with_columns(plan_sentence=_plan(frame, see_s))


def _say_wide(frame: pl.DataFrame) -> pl.Expr:
    """Say where the error of one run is far above what gates or film give, so that somebody looks for the cause."""
    is_wide = (pl.col("typical_error") > FAR_ERROR_S) & (part_of(3) == "ms")
    said = phrase(
        "; runs of one day lie ± {} ms apart, where gates give about 10: look for times by hand or slips among them",
        say(frame, "typical_error"),
    )
    return pl.when(is_wide.fill_null(value=False)).then(said).otherwise(pl.lit(""))


def _plan(frame: pl.DataFrame, see_s: float) -> pl.Expr:
    """Say how many days a week, with as many runs a day as now, see the change of the settings; null without noise."""
    size = f"{1000 * see_s:.0f} ms"
    known = pl.col("own_share").is_not_null() & pl.col("runs_a_day").is_not_null() & (part_of(3) == "ms")
    has_direction = pl.col("better_is").is_not_null()
    runs = pl.lit(decimals(frame["runs_a_day"], 0))
    a_day = phrase("{} run{} a day", runs, pl.when(runs == "1").then(pl.lit("")).otherwise(pl.lit("s")))
    whole = pl.max_horizontal(pl.col("days_to_see").ceil(), pl.lit(1.0)).cast(pl.Int64, strict=False)
    weekly = pl.when(whole <= 1).then(pl.lit("one day a week")).otherwise(phrase("{} days a week", whole))
    return (
        pl.when(~(known & has_direction))
        .then(None)
        .when(pl.col("days_to_see").is_null())
        .then(phrase("{} cannot be seen {}: the squad's slow form alone is larger", pl.lit(size), part_of(0)))
        .when(pl.col("days_to_see") > MOST_DAYS_A_WEEK)
        .then(phrase("To see {} {} would take more than five days a week of {}", pl.lit(size), part_of(0), a_day))
        .otherwise(phrase("To see {} {}: {} of {}, through twenty weeks", pl.lit(size), part_of(0), weekly, a_day))
    )
