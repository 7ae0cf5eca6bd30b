"""When the clock started against when the body did: the time-zero rule of each run, and its splits as arrays.

| time_zero | run | times are | unknown |
|---|---|---|---|
| gun_reaction | gun, reaction time known | reaction + t(x) | - |
| gun_prior | gun, reaction not known | t0 + t(x), t0 about 0.15 s, youth later | t0, within its prior |
| first_movement | clock starts with the body | t(x) | - |
| release_prior | clock starts as hand (or foot) lets go | t(x) - t_r, t_r >= 0 | t_r, within its prior |
| gate_known | standing d behind the first gate | t(x + d) - t(d) | - |
| gate_unknown | the same, d not measured | t(x + d) - t(d), d >= 0 | d |
| rolling | rolling start | only speeds between gates | tau cannot be had |
| unknown | clock start not recorded | t0 + t(x), t0 free | t0 |

A run that does not start its clock at a gate but stands d behind the line has moved x + d at a gate.
Sources: "haugen_2012", "common_practice", "flying_distance_2024", "child_reaction_1984".
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import polars as pl

from pipelines.derived.sprint.fit import BoolArray, Runs
from pipelines.derived.sprint.motion import FloatArray

NOISE_S = {  # standard deviation of one time
    "electronic": 0.010,  # s, light gates, low end of the means between systems, source: "earp_newton_2012"
    "video": 0.015,  # s, 60 frames a second: interval 0.0068 s and one frame of judgement, source: "definition"
}
NOISE_UNKNOWN_S = 0.015  # s, where the kind of timing is not said: the larger of the two
REACTION_MEAN_S = 0.15  # s, gun to first force, source: "common_practice"
REACTION_PRIOR_RUNS = 10  # own reactions that what is usual counts as, source: "common_practice"
REACTION_USUAL_S = (0.08, 0.50)  # s, outside it the reaction time is probably a slip, source: "common_practice"
REACTION_SD_S = 0.02  # s, source: "common_practice"
# A child reacts later: mean 0.465 s at five years, 0.190 s at fifteen, straight in the logarithms of both, the adult's
# from sixteen on; source: "child_reaction_1984".
GROWN_YEARS, YOUNGEST_YEARS = 16.0, 5.0
CHILD_POWER = float(np.log(0.465 / 0.190) / np.log(15.0 / 5.0))
CHILD_DOUBT = 0.5  # of what a child is later: a finger on a key is no sprint start, source: "common_practice"
FORCE_RISE_SD_S = 0.01  # s, doubt about first force against its detection, source: "common_practice"
HAND_RELEASE_MEAN_S = 0.17 - REACTION_MEAN_S  # s after the body's start, three-point start, source: "haugen_2012"
HAND_RELEASE_SD_S = 0.09  # s, source: "haugen_2012"
FOOT_RELEASE_MEAN_S = 0.69 - REACTION_MEAN_S  # s, standing or falling start, source: "haugen_2012"
FOOT_RELEASE_SD_S = 0.11  # s, source: "haugen_2012"
FASTEST_OVER_M = 10.0  # m, shortest stretch over which a fastest speed is looked for
REP_KEY = ["athlete_id", "session_date", "session_no", "rep_no"]
SAME_SPEED_MPS = 1e-6  # m/s, closer than this two stretches are equally fast


@dataclass(frozen=True)
class Gates:
    """Splits of all runs as arrays, one row a run in the order of the runs given; gaps at the end are NaN."""

    distance_m: FloatArray
    elapsed_s: FloatArray

    @property
    def count(self) -> npt.NDArray[np.int64]:
        """How many splits each run has."""
        return np.asarray(np.isfinite(self.elapsed_s).sum(axis=1), dtype=np.int64)


def spread_splits(rep: pl.DataFrame, split: pl.DataFrame) -> Gates:
    """Return the splits of every run as arrays, by distance."""
    keyed = rep.select(REP_KEY).with_row_index("run")
    long = (
        split.drop_nulls(["distance_m", "elapsed_s"])
        .join(keyed, on=REP_KEY, how="inner", maintain_order="left")
        .select("run", "distance_m", "elapsed_s")
    )
    rises = (pl.col("run") > pl.col("run").shift()) | (pl.col("distance_m") >= pl.col("distance_m").shift())
    rises &= pl.col("run") >= pl.col("run").shift()
    if not long.select(rises.all()).item():  # mostly they come so
        long = long.sort("run", "distance_m")
    run = long["run"].to_numpy()
    begin = np.flatnonzero(np.diff(run.astype(np.int64), prepend=-1))
    place = np.arange(len(run)) - np.repeat(begin, np.diff(begin, append=len(run)))
    width = int(place.max(initial=0)) + 1
    distance, elapsed = np.full((len(rep), width), np.nan), np.full((len(rep), width), np.nan)
    distance[run, place], elapsed[run, place] = long["distance_m"].to_numpy(), long["elapsed_s"].to_numpy()
    return Gates(distance, elapsed)


def name_time_zero(rep: pl.DataFrame) -> npt.NDArray[np.object_]:
    """Return the time-zero rule of each run: a slug of the table above."""
    clock = pl.col("clock_start")
    rule = (
        pl.when(pl.col("start_kind") == "rolling").then(pl.lit("rolling"))
        .when((clock == "gun") & pl.col("reaction_s").is_not_null()).then(pl.lit("gun_reaction"))
        .when(clock == "gun").then(pl.lit("gun_prior"))
        .when(clock == "first_movement").then(pl.lit("first_movement"))
        .when(clock == "hand_release").then(pl.lit("release_prior"))
        .when((clock == "first_gate") & pl.col("gate_offset_m").is_not_null()).then(pl.lit("gate_known"))
        .when(clock == "first_gate").then(pl.lit("gate_unknown"))
        .otherwise(pl.lit("unknown"))
    )  # fmt: skip
    return rep.select(rule.alias("time_zero"))["time_zero"].to_numpy().astype(object)


def timing_noise(rep: pl.DataFrame) -> FloatArray:
    """Return the standard deviation of one time of each run, in seconds."""
    found = rep["timing_kind"].replace_strict(NOISE_S, default=NOISE_UNKNOWN_S, return_dtype=pl.Float64)
    return found.to_numpy().astype(np.float64)


def usual_reaction(rep: pl.DataFrame, athlete: pl.DataFrame) -> tuple[FloatArray, FloatArray]:
    """Return, for each run, mean and SD of the reaction that may be expected where none was measured, in seconds.

    mean = (10 x 0.15 r + sum of own) / (10 + own), SD^2 = (10 u^2 + sum (own - mean)^2) / (10 + own) + 0.01^2: the
    athlete's own measured reactions from the gun, drawn to what is usual. Reactions outside 0.08 to 0.50 s are slips.
    r = (16 / age)^0.815 under sixteen years of age, else 1, also where no date of birth is known; u^2 = (0.02 r)^2 +
    (0.5 x 0.15 (r - 1))^2.
    """
    own = pl.when((pl.col("clock_start") == "gun") & pl.col("reaction_s").is_between(*REACTION_USUAL_S)).then(
        "reaction_s"
    )
    born = athlete.select("athlete_id", "birth_date").unique("athlete_id", keep="first", maintain_order=True)
    years = (pl.col("session_date") - pl.col("birth_date")).dt.total_days() / 365.25
    known = (
        rep.select("athlete_id", "session_date", own=own)
        .join(born, on="athlete_id", how="left", maintain_order="left")
        .with_columns(
            count=pl.col("own").count().over("athlete_id"),
            total=pl.col("own").sum().over("athlete_id"),
            later=(GROWN_YEARS / years.clip(YOUNGEST_YEARS, GROWN_YEARS)).fill_null(1.0) ** CHILD_POWER,
        )
    )
    spread = (REACTION_SD_S * pl.col("later")) ** 2 + (CHILD_DOUBT * REACTION_MEAN_S * (pl.col("later") - 1.0)) ** 2
    weight = REACTION_PRIOR_RUNS + pl.col("count")
    usual = REACTION_PRIOR_RUNS * REACTION_MEAN_S * pl.col("later")
    known = known.with_columns(mean=(usual + pl.col("total")) / weight)
    squares = ((pl.col("own") - pl.col("mean")) ** 2).sum().over("athlete_id")
    found = known.select(
        "mean",
        sd=((REACTION_PRIOR_RUNS * spread + squares) / weight + FORCE_RISE_SD_S**2).sqrt(),
    )
    return found["mean"].to_numpy().astype(np.float64), found["sd"].to_numpy().astype(np.float64)


def set_up_runs(
    rep: pl.DataFrame,
    athlete: pl.DataFrame,
    gates: Gates,
    time_zero: npt.NDArray[np.object_],
    noise_s: FloatArray,
) -> Runs:
    """Return the runs with their start rule and the noise of one time, ready to fit."""
    reaction = rep["reaction_s"].to_numpy().astype(np.float64)
    behind = rep["gate_offset_m"].to_numpy().astype(np.float64)
    upright = rep["start_kind"].is_in(["standing", "falling"]).fill_null(False).to_numpy()
    gun_mean, gun_sd = usual_reaction(rep, athlete)
    release_mean = np.where(upright, FOOT_RELEASE_MEAN_S, HAND_RELEASE_MEAN_S)
    release_sd = np.where(upright, FOOT_RELEASE_SD_S, HAND_RELEASE_SD_S)
    mean, sd = np.zeros(len(rep)), np.zeros(len(rep))
    for rule, rule_mean, rule_sd in (
        ("gun_reaction", reaction, 0.0),
        ("gun_prior", gun_mean, gun_sd),
        ("release_prior", -release_mean, release_sd),
        ("unknown", 0.0, np.inf),
    ):
        mean = np.where(time_zero == rule, rule_mean, mean)
        sd = np.where(time_zero == rule, rule_sd, sd)
    flying = np.isin(time_zero, ("gate_known", "gate_unknown"))
    return Runs.of(
        gates.distance_m,
        gates.elapsed_s,
        noise_s=noise_s,
        offset_mean_s=mean,
        offset_sd_s=sd,
        offset_most_s=np.where(time_zero == "release_prior", 0.0, np.inf),
        behind_m=np.where(time_zero == "gate_unknown", np.nan, np.nan_to_num(behind, nan=0.0)),
        flying=flying,
    )


def stretch_speeds(gates: Gates) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return, per gate, mean speed, length and time of the shortest stretch of at least 10 m that ends there.

    NaN where no gate lies 10 m or more before. A stretch of 10 m keeps gate noise from naming the fastest part.
    """
    speed: FloatArray = np.full(gates.elapsed_s.shape, np.nan)
    length, duration = speed.copy(), speed.copy()
    rows = np.arange(len(speed))
    for gate in range(1, gates.elapsed_s.shape[1]):
        with np.errstate(invalid="ignore"):
            far = gates.distance_m[:, :gate] <= gates.distance_m[:, gate : gate + 1] - FASTEST_OVER_M + 1e-9
        back = far.sum(axis=1) - 1
        found = back >= 0
        length[:, gate] = np.where(found, gates.distance_m[:, gate] - gates.distance_m[rows, back], np.nan)
        duration[:, gate] = np.where(found, gates.elapsed_s[:, gate] - gates.elapsed_s[rows, back], np.nan)
    with np.errstate(divide="ignore", invalid="ignore"):
        speed = np.where(duration > 0, length / duration, np.nan)
    return speed, length, duration


def cut_past_fastest(gates: Gates) -> tuple[Gates, BoolArray]:
    """Return the splits up to the end of the fastest stretch of 10 m, and which runs lost any.

    The model cannot slow down. Of equally fast stretches the last one counts. Runs whose times do not rise keep all
    their splits, so that the fit refuses them.
    """
    speed, _, _ = stretch_speeds(gates)
    known = np.where(np.isfinite(speed), speed, -np.inf)
    fastest = known.max(axis=1, keepdims=True)
    final = gates.elapsed_s.shape[1] - 1
    as_fast = np.asarray(known >= fastest - SAME_SPEED_MPS)
    last = np.where(np.isfinite(fastest[:, 0]), final - as_fast[:, ::-1].argmax(axis=1), final)
    with np.errstate(invalid="ignore"):
        falling = np.asarray((np.diff(gates.elapsed_s, axis=1) <= 0).any(axis=1))
    past = (np.arange(final + 1)[None, :] > last[:, None]) & ~falling[:, None]
    lost = (past & np.isfinite(gates.elapsed_s)).any(axis=1)
    return Gates(np.where(past, np.nan, gates.distance_m), np.where(past, np.nan, gates.elapsed_s)), lost


def add_line_gate(gates: Gates, chosen: BoolArray) -> Gates:
    """Return the splits with a gate at 0 m and 0 s in front, for the runs chosen: there the clock starts at a gate."""
    front = np.where(chosen, 0.0, np.nan)[:, None]
    distance = np.concatenate([front, gates.distance_m], axis=1)
    elapsed = np.concatenate([front, gates.elapsed_s], axis=1)
    order = np.argsort(distance, axis=1, kind="stable")
    return Gates(np.take_along_axis(distance, order, 1), np.take_along_axis(elapsed, order, 1))
