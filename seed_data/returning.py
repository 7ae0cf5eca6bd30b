"""The way back to running of the one who returns: a ladder a coach kept. Written down, not drawn by chance."""

import datetime as dt

from seed_data import cases

SIGNER = "physiotherapist of the club"
_STEPS = (
    (1, (2026, 9, 19), "20 min walk and jog on grass", "none", None),
    (2, (2026, 9, 22), "marching and skipping drills, 2 x 6 x 20 m", "none", None),
    (3, (2026, 9, 25), "8 x 60 m easy, upright", "slight", None),
    (3, (2026, 9, 28), "8 x 60 m easy, upright", "none", SIGNER),
    (4, (2026, 10, 1), "6 x 60 m build-ups to 70 %", "none", None),
    (5, (2026, 10, 5), "6 x 60 m build-ups to 85 %", "none", SIGNER),
    (6, (2026, 10, 8), "4 x 20 m flying at about 90 %", "none", None),
    (7, (2026, 10, 11), "standing starts to 20 m, 4 easy bends", "none", None),
    (8, (2026, 10, 14), "4 x 20 m flying at 95 %", "none", SIGNER),
    (9, (2026, 10, 17), "whole session with the group", "none", SIGNER),
)


def return_steps() -> list[dict[str, object]]:
    """Return the steps of the ladder between the strain and the return."""
    return [
        {
            "athlete_id": cases.RETURNS, "onset_on": cases.STRAIN_ON, "site": "hamstring", "side": "r", "rung_no": rung,
            "done_on": dt.date(*day), "work_done": work, "symptoms": felt, "signed_by": signer,
        }
        for rung, day, work, felt, signer in _STEPS
    ]  # fmt: skip
