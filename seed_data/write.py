"""Write the demo's files and the truth they were made from."""

import csv
import io
import zipfile
from collections.abc import Mapping, Sequence
from pathlib import Path

from seed_data import FILES, TRUTH, cases, gym, truth, wellness
from seed_data.daily_files import daily_files
from seed_data.film.marks import filmed_runs, mark_files
from seed_data.runs import Run, timed_runs, true_ten
from seed_data.sheets import SeedFile
from seed_data.squad import ATHLETES, WEEKS, chance, week_start
from seed_data.starts import steps_of
from seed_data.timing_files import timing_files, video_files
from seed_data.weeks import sessions
from seed_data.wrong import plant, wrong_rows


def everything() -> tuple[dict[str, bytes], dict[str, bytes]]:
    """Return the content of every file of ``files/`` and of ``truth/``, by name."""
    calendar = sessions()
    runs = timed_runs(calendar)
    files: list[SeedFile] = [*daily_files(calendar), *timing_files(runs), *video_files(runs)]
    plant(files)
    told: dict[str, list[dict[str, object]]] = {
        "athletes.csv": _athletes(), "weeks.csv": _weeks(), "reps.csv": _reps(runs), "strength.csv": _strength(),
        "cases.csv": [{"case": one.case, "athlete_id": one.athlete_id, "what": one.what,
                       "from": one.first_day.isoformat(), "to": one.last_day.isoformat()} for one in cases.CASES],
        "wrong_rows.csv": wrong_rows(files),
    }  # fmt: skip
    contents = {file.name: file.content() for file in files} | mark_files(runs)
    return contents, {name: _csv(rows) for name, rows in told.items()}


def write(files_to: Path = FILES, truth_to: Path = TRUTH) -> int:
    """Write both folders anew and return how many files were written; files no longer made are removed."""
    count = 0
    for folder, contents in zip((files_to, truth_to), everything(), strict=True):
        folder.mkdir(parents=True, exist_ok=True)
        for old in folder.iterdir():
            if old.name not in contents:
                old.unlink()
        for name, content in contents.items():
            (folder / name).write_bytes(content)
            count += 1
    return count


def parts(name: str, content: bytes) -> dict[str, bytes]:
    """Return what a file holds, packed or not: a workbook's parts by name, or the text as the only part.

    Another version of the packing library may pack the same parts into other bytes.
    """
    if not name.endswith(".xlsx"):
        return {"": content}
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        return {one: archive.read(one) for one in archive.namelist()}


def _csv(rows: Sequence[Mapping[str, object]]) -> bytes:
    out = io.StringIO(newline="")
    writer = csv.DictWriter(out, fieldnames=list(rows[0]), lineterminator="\n")
    writer.writeheader()
    writer.writerows({key: "" if value is None else value for key, value in row.items()} for row in rows)
    return out.getvalue().encode()


def _athletes() -> list[dict[str, object]]:
    rows: list[dict[str, object]] = []
    for one in ATHLETES:
        contact_scale, flight_scale = truth.step_scales(one.athlete_id)
        reaction = 0.155 + 0.012 * float(chance("reaction", one.athlete_id).normal())
        rows.append({
            "athlete_id": one.athlete_id, "vmax_mps": one.vmax_mps, "tau_s": one.tau_s,
            "body_mass_kg": one.body_mass_kg, "height_m": one.height_m, "reaction_s": round(reaction, 4),
            "contact_scale": round(contact_scale, 4), "flight_scale": round(flight_scale, 4),
        })  # fmt: skip
    return rows


def _weeks() -> list[dict[str, object]]:
    rows: list[dict[str, object]] = []
    for one in ATHLETES:
        for week in range(WEEKS):
            vmax, tau = truth.true_profile(one.athlete_id, week_start(week))
            rows.append({
                "athlete_id": one.athlete_id, "week_of": week_start(week), "vmax_mps": round(vmax, 4),
                "tau_s": round(tau, 4), "t_10_s": round(truth.time_at(10.0, vmax, tau), 4),
            })  # fmt: skip
    return rows


def _reps(runs: list[Run]) -> list[dict[str, object]]:
    rows: list[dict[str, object]] = []
    marked = {id(run) for run in filmed_runs(runs)}
    for run in runs:
        is_seen = id(run) in marked or (run.is_filmed and run.outcome == "completed")
        steps = steps_of(run) if is_seen else []
        rows.append({
            "athlete_id": run.athlete_id, "session_date": run.session_date, "session_no": run.session_no,
            "rep_no": run.rep_no, "sheet": run.sheet, "start_kind": run.start_kind, "clock_start": run.clock_start,
            "timing_kind": run.timing_kind, "resistance_load_kg": run.resistance_load_kg,
            "vmax_mps": round(run.truth.vmax_mps, 4), "tau_s": round(run.truth.tau_s, 4),
            "t_10_s": round(true_ten(run), 4),
            "reaction_s": None if run.true_reaction_s is None else round(run.true_reaction_s, 4),
            "gate_offset_m": run.gate_offset_m,
            **{f"contact_{n}_s": round(steps[n - 1].true_contact_s, 5) if steps else None for n in (1, 2, 3)},
        })  # fmt: skip
    return rows


def _strength() -> list[dict[str, object]]:
    rows: list[dict[str, object]] = []
    first, last = week_start(0), week_start(WEEKS - 1)
    for one in ATHLETES:
        row: dict[str, object] = {"athlete_id": one.athlete_id}
        for side in "lr":
            row[f"eccentric_force_first_{side}_n"] = round(gym.true_force_n(one, side, first), 1)
            row[f"eccentric_force_last_{side}_n"] = round(gym.true_force_n(one, side, last), 1)
        for lift in gym.LIFTS:
            if lift.share_m:
                row[f"{lift.exercise}_max_kg"] = round(gym.true_max_kg(one.athlete_id, lift.exercise), 1)
        row["countermovement_height_m"] = round(wellness.true_jump_m(one), 4)
        row["sled_friction"] = truth.SLED_FRICTION if one.athlete_id in cases.SLED else None
        rows.append(row)
    return rows
