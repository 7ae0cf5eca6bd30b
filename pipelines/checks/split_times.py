"""Times at gates: since the start or for each stretch, and whether they are in the unit the header says."""

import polars as pl

from pipelines.checks import chain
from pipelines.checks.asking import Asking
from pipelines.checks.faults import SET_ASIDE, Faults, without
from schemas.intake import LaidOut
from schemas.speeds import FASTEST_MPS, SLOWEST_MPS

UNIT = "elapsed_s"  # how an answer on the unit of split times is named, whatever the headers of the gates
SUMMED = "The times are for each stretch; they were summed to times since the start."
UNIT_STEPS = ((1.0, "second"), (1000.0, "second"), (0.001, "millisecond"))  # factor on the value as read, unit meant
MOST_WRONG = 0.1  # share of times that may be possible in the unit the header says, for it to be doubted; own choice
SURE_SHARE = 0.9  # share that must be possible in another one; own choice


def with_header(split: pl.DataFrame, laid: LaidOut) -> pl.DataFrame:
    """Return splits with the header each time stands under, as ``_header``."""
    headers = {n: part.cells["elapsed_s"].header for n, part in enumerate(laid.parts) if "elapsed_s" in part.cells}
    return split.with_columns(
        _header=pl.col("_part").replace_strict(headers, default="elapsed_s", return_dtype=pl.String)
    )


def since_the_start(
    split: pl.DataFrame, laid: LaidOut, faults: Faults, notes: list[str], asking: Asking
) -> pl.DataFrame:
    """Return splits with times since the start, whichever way the file writes them; ask where the data do not tell."""
    if _unit_is_doubtful(split, laid, faults, asking):
        return split
    if laid.is_canonical or any(part.stretch_from_m is not None for part in laid.parts):
        return split
    sound = without(split, faults.bad).drop_nulls([*chain.REP_KEY, "distance_m", "elapsed_s"])
    way = laid.options.split_times or chain.find_split_times(sound)
    if way is None:
        why = (
            "the times can be read as time since the start or as time for each stretch, and the data fit both. "
            f"{SET_ASIDE} Answer which, or load again with --split-times cumulative or --split-times segment."
        )
        told = with_header(split, laid)
        faults.add_frame(told.select("_row", column="_header", value=pl.lit(None, pl.String), reason=pl.lit(why)))
        asking.split_times(told["_row"].n_unique())
    elif way == "segment":
        summed, broken = chain.sum_segments(with_header(sound, laid))
        faults.add_frame(broken)
        notes.append(SUMMED)
        rest = split.join(summed, on=["_row", "_part"], how="anti")
        return pl.concat([summed.drop("_header").select(split.columns), rest])
    return split


def _unit_is_doubtful(split: pl.DataFrame, laid: LaidOut, faults: Faults, asking: Asking) -> bool:
    """Ask for the unit where nobody runs as fast as the times say, and a thousand times slower or faster would fit.

    Mean speed from the start to a gate must be 0.5 to 13 m/s (the bounds of the record). Where a header says ms over
    seconds, or s over milliseconds, hardly any time is possible as written and nearly all are in the other unit.
    """
    if laid.options.units.get(UNIT) or not {"distance_m", "elapsed_s"} <= set(split.columns):
        return False
    sound = without(split, faults.bad).drop_nulls(["distance_m", "elapsed_s"])
    if sound.height == 0:
        return False
    speed = pl.col("distance_m") / pl.col("elapsed_s")
    shares = sound.select(
        (speed / factor).is_between(SLOWEST_MPS, FASTEST_MPS).mean().alias(f"{factor}") for factor, _ in UNIT_STEPS
    ).row(0)
    if shares[0] > MOST_WRONG or max(shares[1:]) < SURE_SHARE:
        return False
    told = with_header(sound, laid)
    factor, meant = UNIT_STEPS[1 + (shares[2] > shares[1])]
    said = "millisecond" if factor > 1 else "second"
    shown = [f"{value * (1000 if said == 'millisecond' else 1):g}" for value in sound["elapsed_s"].head(3)]
    asking.unit(UNIT, said, [meant], shown, told["_row"].n_unique())
    why = (
        f"read in {said}s, as the header says, nobody could run so; in {meant}s it is a usual time. {SET_ASIDE} "
        "Say which unit it is, or mend the header."
    )
    faults.add_frame(
        told.select("_row", column="_header", value=pl.col("elapsed_s").cast(pl.String), reason=pl.lit(why))
    )
    return True
