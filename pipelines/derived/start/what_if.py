"""What a change of the first steps would be worth: a point mass run step by step (``simulate``).

State at block exit: time, distance, speed. Each step is a flight (drag only) and then a contact with a constant mean
net forward force. Within each part acceleration is constant: a_f = -k v^2/m in flight, a_c = F/m - k v^2/m on the
ground, drag at the speed at which the part is entered.

Assumed: a rigid point mass; constant force within a contact; no change of posture, touchdown distance or leg recovery;
a straight, level track, no wind. What a longer contact is worth depends on what else stays the same, so the answer is
a range over closures, and a model's answer: never a promise.

| closure | held the same |
|---|---|
| A | force of every contact, all other contacts and flights |
| B | as A, but later forces fall with the speed gained (force-velocity) |
| C | as A, and the same vertical force, so that the next flight grows |
| D | B and C together: the most careful |
| E | as A, and the next flight shortened by as much (step time the same): the most hopeful |
| F | impulse of the changed contact (its force falls as it grows longer): a pure delay |

Source: "definition" (Newton's second law step by step); the closures are ours, "common_practice".
"""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from pipelines.derived.sprint.motion import distance_at, speed_at, time_at

FORCE_FALL_PER_S = 0.9  # 1/s, loss of contact force per kg and m/s: (F0/(m V0))(tc + tf)/tc, source: "definition"
VERTICAL_BODY_WEIGHTS = 1.30  # mean vertical force of the first contacts, source: "common_practice"
ASSUMPTIONS = {
    "A": "the same force in every contact",
    "B": "later forces falling with the speed gained",
    "C": "the same vertical force, so a longer next flight",
    "D": "later forces falling and a longer next flight",
    "E": "the next flight shorter by as much",
    "F": "the same push in total, only slower",
}
GATES_M = (3.0, 5.0, 10.0)
SMALLEST_SHOWN_S = 0.0005  # s, below it a change is said to be none


@dataclass(frozen=True)
class StartRun:
    """A start: state at block exit, then per step the flight before the contact, the contact and its force per kg."""

    mass_kg: float
    drag_kg_per_m: float
    exit_s: float
    exit_m: float
    exit_mps: float
    flight_s: tuple[float, ...]
    contact_s: tuple[float, ...]
    force_n_per_kg: tuple[float, ...]

    def __post_init__(self) -> None:
        """Refuse lists of unequal length and times that are not positive."""
        if not len(self.flight_s) == len(self.contact_s) == len(self.force_n_per_kg) > 0:
            raise ValueError("flight, contact and force need one value per step each")
        if min(self.contact_s) <= 0 or min(self.flight_s) < 0 or self.exit_mps <= 0 or self.mass_kg <= 0:
            raise ValueError("contacts, exit speed and mass must be above 0, flights not below 0")


@dataclass(frozen=True)
class Part:
    """One flight or contact as it was run: when and where it began, how fast, how long, at what acceleration."""

    step: int
    is_contact: bool
    start_s: float
    start_m: float
    start_mps: float
    duration_s: float
    acceleration_mps2: float

    @property
    def end_m(self) -> float:
        """Distance at its end."""
        return self.start_m + self.start_mps * self.duration_s + 0.5 * self.acceleration_mps2 * self.duration_s**2

    @property
    def end_mps(self) -> float:
        """Speed at its end."""
        return self.start_mps + self.acceleration_mps2 * self.duration_s

    def time_at(self, distance_m: float) -> float:
        """Return the time at a distance inside the part: the first root of the motion's quadratic."""
        way = distance_m - self.start_m
        root = (self.start_mps**2 + 2.0 * self.acceleration_mps2 * way) ** 0.5
        return self.start_s + 2.0 * way / (self.start_mps + root)


def run_steps(run: StartRun, base: "list[Part] | None" = None, force_fall_per_s: float = 0.0) -> list[Part]:
    """Run a start step by step. With a base, each contact's force falls by so much per m/s entered faster than there.

    Raises:
        ValueError: The runner comes to a stop.
    """
    parts: list[Part] = []
    time, place, speed = run.exit_s, run.exit_m, run.exit_mps
    for step in range(len(run.contact_s)):
        for is_contact, duration in ((False, run.flight_s[step]), (True, run.contact_s[step])):
            push = 0.0
            if is_contact:
                push = run.force_n_per_kg[step]
                if base is not None:
                    push -= force_fall_per_s * (speed - base[2 * step + 1].start_mps)
            part = Part(
                step, is_contact, time, place, speed, duration, push - run.drag_kg_per_m * speed**2 / run.mass_kg
            )
            parts.append(part)
            time, place, speed = time + duration, part.end_m, part.end_mps
            if speed <= 0:
                raise ValueError(f"the runner comes to a stop in step {step + 1}: the forces are too low")
    return parts


def gate_time(parts: list[Part], gate_m: float) -> float | None:
    """Return the time at a gate in seconds from first movement; None where the steps do not reach it."""
    for part in parts:
        if part.start_m <= gate_m <= part.end_m:
            return part.time_at(gate_m)
    return None


@dataclass(frozen=True)
class WhatIf:
    """The answer: change of time at each gate and of speed after three steps, per closure, and in words."""

    gate_changes_s: dict[str, dict[float, float | None]]  # closure -> gate -> change; below 0 is faster
    speed_changes_mps: dict[str, float]  # closure -> change of speed after the third contact (or the last)
    low_s: float | None  # least change at the last gate that all closures reach
    high_s: float | None
    gate_m: float | None
    sentence: str
    base_gates_s: dict[float, float | None] = field(default_factory=dict)


def simulate(
    run: StartRun,
    *,
    step: int = 1,
    contact_change_s: float = 0.0,
    flight_change_s: float = 0.0,
    force_change_n_per_kg: float = 0.0,
    gates_m: Sequence[float] = GATES_M,
    force_fall_per_s: float = FORCE_FALL_PER_S,
    vertical_body_weights: float = VERTICAL_BODY_WEIGHTS,
) -> WhatIf:
    """Change contact, flight or force of one step (1 is the first) and return what that does to the gate times.

    A change of contact is answered under closures A to F, with the range D to E in words; a change of flight or force
    alone only under A (forces hold) and B (forces fall with speed). ``flight_change_s`` is of the flight before that
    contact. Units: s, m, N/kg. Gates beyond the steps given have no answer (None), never a guess.

    Raises:
        ValueError: No such step, or a contact or flight that would not be above 0.
    """
    if not 1 <= step <= len(run.contact_s):
        raise ValueError(f"step {step} is not among the {len(run.contact_s)} steps given")
    at = step - 1
    base = run_steps(run)
    changed = replace(
        run,
        contact_s=_with(run.contact_s, at, contact_change_s),
        flight_s=_with(run.flight_s, at, flight_change_s),
        force_n_per_kg=_with(run.force_n_per_kg, at, force_change_n_per_kg),
    )
    runs = {"A": run_steps(changed), "B": run_steps(changed, base, force_fall_per_s)}
    if contact_change_s != 0.0:
        longer = 2.0 * (vertical_body_weights - 1.0) * contact_change_s  # flight from the extra vertical push
        floating, shortened = _next_flight(changed, at, longer), _next_flight(changed, at, -contact_change_s)
        same_push = changed.force_n_per_kg[at] * run.contact_s[at] / changed.contact_s[at]
        delayed = replace(
            changed, force_n_per_kg=_with(changed.force_n_per_kg, at, same_push - changed.force_n_per_kg[at])
        )
        runs |= {
            "C": run_steps(floating),
            "D": run_steps(floating, base, force_fall_per_s),
            "E": run_steps(shortened),
            "F": run_steps(delayed),
        }
    base_gates = {gate: gate_time(base, gate) for gate in gates_m}
    changes = {
        name: {gate: _difference(gate_time(parts, gate), base_gates[gate]) for gate in gates_m}
        for name, parts in runs.items()
    }
    last = 2 * min(3, len(run.contact_s)) - 1
    speeds = {name: parts[last].end_mps - base[last].end_mps for name, parts in runs.items()}
    return _answer(changes, speeds, base_gates)


def _with(values: tuple[float, ...], at: int, change: float) -> tuple[float, ...]:
    return (*values[:at], values[at] + change, *values[at + 1 :])


def _next_flight(run: StartRun, at: int, change: float) -> StartRun:
    """Return the run with the flight after a contact changed; not below 0, and none after the last contact."""
    if at + 1 >= len(run.flight_s):
        return run
    return replace(run, flight_s=_with(run.flight_s, at + 1, max(change, -run.flight_s[at + 1])))


def _difference(time: float | None, before: float | None) -> float | None:
    return None if time is None or before is None else time - before


def _answer(
    changes: dict[str, dict[float, float | None]], speeds: dict[str, float], base: dict[float, float | None]
) -> WhatIf:
    """Return the range over the closures at the farthest gate all of them reach, in words.

    The pure delay F is told apart: it says what happens if the athlete only takes longer.
    """
    reached = [gate for gate in base if all(by_gate[gate] is not None for by_gate in changes.values())]
    if not reached:
        return WhatIf(changes, speeds, None, None, None, "The steps given reach none of the gates.", base)
    gate = max(reached)
    known = {name: by_gate[gate] for name, by_gate in changes.items() if name != "F"}
    values = {name: change for name, change in known.items() if change is not None}
    low_name, high_name = min(values, key=lambda n: values[n]), max(values, key=lambda n: values[n])
    low, high = values[low_name], values[high_name]
    best, worst = f"{_say(low)} ({ASSUMPTIONS[low_name]})", f"{_say(high)} ({ASSUMPTIONS[high_name]})"
    sentence = f"At {gate:g} m the model gives {best} to {worst}."
    delay = changes.get("F", {}).get(gate)
    if delay is not None:
        sentence += f" If the push stays the same in total, {_say(delay)}."
    return WhatIf(changes, speeds, low, high, gate, sentence + " A model, not a promise.", base)


def _say(change_s: float) -> str:
    if abs(change_s) < SMALLEST_SHOWN_S:
        return "no change"
    return f"{abs(change_s):.3f} s {'faster' if change_s < 0 else 'slower'}"


def start_from_steps(
    *,
    mass_kg: float,
    drag_kg_per_m: float,
    vmax_mps: float,
    tau_s: float,
    contact_s: Sequence[float],
    flight_s: Sequence[float],
    exit_m: float = 0.45,
) -> StartRun:
    """Return a start from an athlete's measured contacts and flights and the fitted curve of the run.

    ``contact_s`` and ``flight_s`` as recorded: a contact and the flight after it. The state at block exit is that of
    the curve at ``exit_m``; the force of a contact is what takes the curve's speed from one step to the next, drag
    included: F/m = (v(end) - v(start))/contact + drag. The flight from block exit to the first touchdown is not in the
    record; the flight after the first contact stands in for it. Source: "samozino_2016" for the curve.
    """
    flights = (flight_s[0], *flight_s[:-1])
    exit_s = float(time_at(exit_m, vmax_mps, tau_s))
    time, forces = exit_s, []
    for flight, contact in zip(flights, contact_s, strict=True):
        before, after = (float(speed_at(t, vmax_mps, tau_s)) for t in (time, time + flight + contact))
        drag = drag_kg_per_m / mass_kg * ((before + after) / 2) ** 2
        forces.append((after - before + drag * (flight + contact)) / contact)
        time += flight + contact
    exit_mps = float(speed_at(exit_s, vmax_mps, tau_s))
    return StartRun(mass_kg, drag_kg_per_m, exit_s, exit_m, exit_mps, tuple(flights), tuple(contact_s), tuple(forces))


def change_profile(
    *,
    vmax_mps: float,
    tau_s: float,
    gates_m: Sequence[float] = (5.0, 10.0, 20.0, 30.0),
    vmax_change_mps: float = 0.0,
    tau_change_s: float = 0.0,
    mass_change_share: float = 0.0,
) -> dict[float, tuple[float, float]]:
    """Return the least and greatest change of the time at each gate, in s, for a change of ceiling, constant or mass.

    A heavier or lighter body is answered as a range: with the same force in newtons the acceleration at each speed
    changes in proportion, so tau grows as mass does (drag left out); with the same force per kg nothing changes.
    So is another ceiling: with the same tau the acceleration from rest, vmax / tau, changes with it; with the same
    acceleration from rest tau does.
    Source: "samozino_2016". Not a promise: vmax and tau seldom change alone.

    Raises:
        ValueError: The changed ceiling, constant or mass would not be above 0.
    """
    heavier = 1.0 + mass_change_share
    vmax, tau = vmax_mps + vmax_change_mps, tau_s + tau_change_s
    if min(heavier, vmax, tau) <= 0:
        raise ValueError("ceiling, time constant and mass must stay above 0")
    answer = {}
    for gate in gates_m:
        before = float(time_at(gate, vmax_mps, tau_s))
        ends = [
            float(time_at(gate, vmax, tau * ceiling * mass)) - before
            for ceiling in (1.0, vmax / vmax_mps)
            for mass in (1.0, heavier)
        ]
        answer[gate] = (min(ends), max(ends))
    return answer


def gain_curve(
    run: StartRun, changes_s: Sequence[float], *, step: int = 1, gate_m: float = 10.0
) -> list[tuple[float, float | None, float | None]]:
    """Return (change of contact, least, greatest change of the gate time) for a curve; None where not reached."""
    rows: list[tuple[float, float | None, float | None]] = []
    for change in changes_s:
        answer = simulate(run, step=step, contact_change_s=change, gates_m=(gate_m,))
        rows.append((change, answer.low_s, answer.high_s))
    return rows


def distance_after_steps(parts: list[Part], steps: int = 3) -> float:
    """Return the distance in m from block exit to the toe-off of a step (the third by default)."""
    return parts[2 * steps - 1].end_m - parts[0].start_m


def curve_points(vmax_mps: float, tau_s: float, until_s: float, count: int = 61) -> list[tuple[float, float, float]]:
    """Return (time, distance, speed) along the fitted curve, for a chart."""
    times = [until_s * i / (count - 1) for i in range(count)]
    return [(t, float(distance_at(t, vmax_mps, tau_s)), float(speed_at(t, vmax_mps, tau_s))) for t in times]
