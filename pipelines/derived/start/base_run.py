"""What a change of a start would be worth for one athlete: base run from the record, and the answer (``what_if``)."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from pipelines.derived.sprint.air import drag_constant
from pipelines.derived.start.what_if import (
    ASSUMPTIONS,
    GATES_M,
    StartRun,
    WhatIf,
    change_profile,
    simulate,
    start_from_steps,
)
from schemas.settings import SquadSettings

LEAST_STEPS = 3
CURVE_POINTS = 13
LEVERS = ("contact", "flight", "push")
REACH = {"contact": 0.030, "flight": 0.020, "push": 0.60}  # s, s, N/kg: how far a curve goes either way
ARGUMENT = {"contact": "contact_change_s", "flight": "flight_change_s", "push": "force_change_n_per_kg"}
SMALLEST_SHOWN_S = 0.0005

Row = Mapping[str, Any]


@dataclass(frozen=True)
class NoStart:
    """Why there is no start to ask about: a caveat code."""

    reason: str


@dataclass(frozen=True)
class Explored:
    """An answer for a page: sentences, the change under each assumption, and a curve of it."""

    reason: str | None = None  # caveat code: why there is no answer
    sentence: str = ""
    closures: list[dict[str, Any]] = field(default_factory=list)  # assumption, change_<gate>_s, speed_change_mps
    curve: list[dict[str, Any]] = field(default_factory=list)  # change, low_s, high_s at the farthest gate
    curve_gate_m: float | None = None
    base: list[dict[str, Any]] = field(default_factory=list)  # step, contact_s, flight_s, force_n_per_kg
    run_sentence: str = ""
    run_rows: list[dict[str, Any]] = field(default_factory=list)  # gate_m, low_s, high_s


def base_run(profile: Row, steps: Sequence[Row], settings: SquadSettings) -> StartRun | NoStart:
    """Return an athlete's start from its curve and its marked steps, or why there is none.

    Needs a curve of good or thin trust, a free run, body mass and height, and the contacts and flights of three steps
    or more without a gap. Source: "samozino_2016"; see ``start_from_steps`` for what is assumed.
    """
    if profile.get("trust") not in ("good", "thin") or profile.get("tau_s") is None:
        return NoStart(str(profile.get("trust_reason") or "too_few_splits"))
    if profile.get("force_velocity_reason"):
        return NoStart(str(profile["force_velocity_reason"]))
    if profile.get("body_mass_kg") is None:
        return NoStart("no_body_mass")
    if profile.get("height_m") is None:
        return NoStart("no_height")
    marked: list[Row] = []
    for row in sorted(steps, key=lambda r: r["step_no"]):
        if row["step_no"] != len(marked) + 1 or row["contact_s"] is None or row["flight_s"] is None:
            break
        marked.append(row)
    if len(marked) < LEAST_STEPS:
        return NoStart("few_steps" if steps else "no_steps")
    mass = profile["body_mass_kg"]
    drag = drag_constant(mass, profile["height_m"], settings.air_temperature_c, settings.air_pressure_torr)
    return start_from_steps(
        mass_kg=mass,
        drag_kg_per_m=float(drag),
        vmax_mps=profile["vmax_mps"],
        tau_s=profile["tau_s"],
        contact_s=[row["contact_s"] for row in marked],
        flight_s=[row["flight_s"] for row in marked],
    )


def explore_steps(
    run: StartRun, *, step: int = 1, contact_s: float = 0.0, flight_s: float = 0.0, push_n_per_kg: float = 0.0
) -> Explored:
    """Answer a change of one step as a range over the closures, with a curve of the lever that was moved."""
    try:
        answer = simulate(
            run,
            step=step,
            contact_change_s=contact_s,
            flight_change_s=flight_s,
            force_change_n_per_kg=push_n_per_kg,
        )
    except ValueError:
        return Explored(reason="change_not_possible")
    moved = {"contact": contact_s, "flight": flight_s, "push": push_n_per_kg}
    lever = next((name for name in LEVERS if moved[name]), "contact")
    gate = answer.gate_m
    return Explored(
        sentence=answer.sentence if any(moved.values()) else "",
        closures=_closures(answer) if any(moved.values()) else [],
        curve=_curve(run, step, lever, gate) if gate is not None else [],
        curve_gate_m=gate,
        base=[
            {"step_no": i + 1, "flight_before_s": tf, "contact_s": tc, "force_n_per_kg": force}
            for i, (tf, tc, force) in enumerate(zip(run.flight_s, run.contact_s, run.force_n_per_kg, strict=True))
        ],
    )


def _closures(answer: WhatIf) -> list[dict[str, Any]]:
    return [
        {
            "assumption": ASSUMPTIONS[name],
            **{f"change_{gate:g}_s": gates.get(gate) for gate in GATES_M},
            "speed_change_mps": answer.speed_changes_mps[name],
        }
        for name, gates in answer.gate_changes_s.items()
    ]


def _curve(run: StartRun, step: int, lever: str, gate_m: float) -> list[dict[str, Any]]:
    """Return the least and greatest gain at a gate for changes of one lever; above 0 is time gained."""
    rows = []
    for place in range(CURVE_POINTS):
        change = REACH[lever] * (2.0 * place / (CURVE_POINTS - 1) - 1.0)
        try:
            answer = simulate(run, step=step, gates_m=(gate_m,), **{ARGUMENT[lever]: change})
        except ValueError:
            continue
        if answer.low_s is not None and answer.high_s is not None:
            rows.append({"lever": lever, "change": change, "least_s": -answer.high_s, "most_s": -answer.low_s})
    return rows


def explore_run(
    profile: Row, *, vmax_mps: float = 0.0, tau_s: float = 0.0, mass_percent: float = 0.0
) -> tuple[str, list[dict[str, Any]]]:
    """Answer a change of top speed, time constant or mass: a sentence, and the range at each gate.

    Gates beyond the last one the run was fitted to are left out.
    """
    until = profile.get("fitted_to_m") or 0.0
    gates = [gate for gate in (5.0, 10.0, 20.0, 30.0) if gate <= 1.1 * until]
    if not gates:
        return "", []
    try:
        found = change_profile(
            vmax_mps=profile["vmax_mps"],
            tau_s=profile["tau_s"],
            gates_m=gates,
            vmax_change_mps=vmax_mps,
            tau_change_s=tau_s,
            mass_change_share=mass_percent / 100.0,
        )
    except ValueError:
        return "", []
    rows = [{"gate_m": gate, "low_s": low, "high_s": high} for gate, (low, high) in found.items()]
    if not (vmax_mps or tau_s or mass_percent):
        return "", rows
    told = [row for row in rows if row["gate_m"] in (10.0, gates[-1])]
    said = [f"at {row['gate_m']:g} m {_range(row['low_s'], row['high_s'])}" for row in told]
    between = ""
    if vmax_mps:
        between += " One end lets the push from rest grow with top speed, the other holds it."
    if mass_percent:
        between += " Of two numbers one holds the force in newtons, the other the force per kg of body."
    return f"By the curve: {'; '.join(said)}.{between} A model, not a promise.", rows


def _range(low: float, high: float) -> str:
    if high - low < SMALLEST_SHOWN_S:
        return _say((low + high) / 2.0)
    return f"{_say(low)} to {_say(high)}"


def _say(change_s: float) -> str:
    if abs(change_s) < SMALLEST_SHOWN_S:
        return "no change"
    return f"{abs(change_s):.3f} s {'faster' if change_s < 0 else 'slower'}"


def what_if(
    profile: Row,
    steps: Sequence[Row],
    settings: SquadSettings,
    *,
    step: int = 1,
    contact_s: float = 0.0,
    flight_s: float = 0.0,
    push_n_per_kg: float = 0.0,
    vmax_mps: float = 0.0,
    tau_s: float = 0.0,
    mass_percent: float = 0.0,
) -> Explored:
    """Return what changes of one step, and of the whole run, would be worth; with the reason where it cannot be said.

    ``profile`` is a row of ``sprint_profile``, ``steps`` the rows of ``start_steps`` of the same run. The two kinds of
    change are answered apart. A rigid point mass run step by step; see ``what_if`` of this room for the closures.
    """
    run = base_run(profile, steps, settings)
    if isinstance(run, NoStart):
        return Explored(reason=run.reason)
    try:
        found = explore_steps(run, step=step, contact_s=contact_s, flight_s=flight_s, push_n_per_kg=push_n_per_kg)
    except ValueError:
        return Explored(reason="change_not_possible")
    sentence, rows = explore_run(profile, vmax_mps=vmax_mps, tau_s=tau_s, mass_percent=mass_percent)
    return Explored(
        found.reason, found.sentence, found.closures, found.curve, found.curve_gate_m, found.base, sentence, rows
    )
