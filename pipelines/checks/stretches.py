"""Times that are not yet splits or steps: stretches named in a header, frame numbers of a video."""

import re
from collections.abc import Sequence

import polars as pl

from pipelines.checks.asking import Asking
from pipelines.checks.faults import SET_ASIDE, Faults
from schemas.intake import LaidOut, Part

FRAME_COLUMNS = ("contact_frame", "toeoff_frame")
REP_KEY = ["athlete_id", "session_date", "session_no", "rep_no"]


def frame_rate_of(laid: LaidOut) -> float | None:
    """Return how many pictures a second a film of a table has: answered, told by a title or name, or the one that a
    column says throughout; None where nothing says it.
    """
    fact = laid.facts.get("frame_rate_hz")
    said = {laid.options.frame_rate or (fact.text if fact is not None else "")}
    for part in laid.parts:
        if "frame_rate_hz" in part.frame.columns and said == {""}:
            said = set(part.frame["frame_rate_hz"].drop_nulls().unique().to_list())
    if len(said) != 1:
        return None
    plain = said.pop().strip().replace(",", ".")
    return float(plain) if re.fullmatch(r"\d+(\.\d+)?", plain) and float(plain) > 0 else None


def times_from_frames(step: pl.DataFrame, faults: Faults, rate: float | None, asking: Asking) -> pl.DataFrame:
    """Fill contact_s and flight_s of steps from frame numbers, where the file gives those.

    contact_s = (toe-off frame - contact frame) / frame rate; flight_s = (next contact frame - toe-off frame) / rate.
    Source: definition of contact and flight; the frame rate sets the error of both. Null where a frame is missing; a
    row with frames and no frame rate is a fault. A time the file gives itself is kept.
    """
    if not set(FRAME_COLUMNS) & set(step.columns):
        return step
    for name in ("contact_s", "flight_s", "frame_rate_hz"):
        if name not in step.columns:
            step = step.with_columns(pl.lit(None, dtype=pl.Float64).alias(name))
    for name in FRAME_COLUMNS:
        if name not in step.columns:
            step = step.with_columns(pl.lit(None, dtype=pl.Int64).alias(name))
    step = step.with_columns(pl.col("frame_rate_hz").fill_null(rate)) if rate is not None else step
    has_frames = pl.any_horizontal(pl.col(FRAME_COLUMNS).is_not_null())
    blind = step.filter(has_frames & pl.col("frame_rate_hz").is_null())
    faults.add(
        blind["_row"], "frame_rate_hz", None,
        f"frame numbers without a frame rate give no time. {SET_ASIDE} Answer how many pictures a second the film has, "
        "or add a column 'frame rate'.",
    )  # fmt: skip
    if blind.height:
        asking.frame_rate(blind["_row"].n_unique())
    ordered = step.sort([*REP_KEY, "step_no"], nulls_last=True, maintain_order=True)
    follows = pl.col("step_no").shift(-1).over(REP_KEY) == pl.col("step_no") + 1
    next_contact = pl.when(follows).then(pl.col("contact_frame").shift(-1).over(REP_KEY))
    contact = (pl.col("toeoff_frame") - pl.col("contact_frame")) / pl.col("frame_rate_hz")
    flight = (next_contact - pl.col("toeoff_frame")) / pl.col("frame_rate_hz")
    return ordered.with_columns(
        contact_s=pl.coalesce("contact_s", contact.round(9)), flight_s=pl.coalesce("flight_s", flight.round(9))
    ).drop(FRAME_COLUMNS)


def times_from_stretches(parts: Sequence[Part], typed: list[pl.DataFrame]) -> None:
    """Put times since the start in place of those of stretches, in the frames of the parts of a wide sheet."""
    places = [n for n, part in enumerate(parts) if part.table == "split" and "distance_m" in typed[n].columns]
    if not any(parts[n].stretch_from_m is not None for n in places):
        return
    frames = [(float(typed[n]["distance_m"][0] or 0), parts[n].stretch_from_m, typed[n]["elapsed_s"]) for n in places]
    for place, times in elapsed_from_stretches(frames).items():
        typed[places[place]] = typed[places[place]].with_columns(elapsed_s=times)


def elapsed_from_stretches(frames: list[tuple[float, float | None, pl.Series]]) -> dict[int, pl.Series]:
    """Return, by place in the list, times since the start for gates some of whose headers name a stretch ('10-20 m').

    elapsed(to) = elapsed(from) + time of the stretch, from 0 m on. Null where a stretch before it is missing; a stretch
    whose beginning no column reaches, or whose end has a column of its own, gives nothing.

    Args:
        frames: Distance, beginning of the stretch (None where the time is since the start), times by source row.
    """
    known: dict[float, pl.Series] = {gate: times for gate, start, times in frames if start is None}
    found: dict[int, pl.Series] = {place: times for place, (_, start, times) in enumerate(frames) if start is None}
    for place, (gate, start, times) in sorted(enumerate(frames), key=lambda one: one[1][0]):
        if start is None:
            continue
        nothing = pl.Series([None] * len(times), dtype=pl.Float64)
        if gate in known:
            found[place] = nothing
        elif start == 0:
            found[place] = known[gate] = times
        elif start in known:
            found[place] = known[gate] = (known[start] + times).round(6)
        else:
            found[place] = nothing
    return found
