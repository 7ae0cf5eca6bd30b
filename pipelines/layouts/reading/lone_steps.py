"""Contacts and flights of which a row stands once for each athlete and day: means of a run, or a jump, and no list of
steps. Numbered in order each would be the first step of a run.
"""

import polars as pl

from pipelines.layouts.rows.sheet_shape import SheetShape
from schemas.intake import TextTable

OF_A_RUN = {"athlete_id", "display_name", "first_name", "last_name", "date", "session_date", "session_no", "rep_no"}


def are_lone_steps(found: SheetShape, table: TextTable) -> bool:
    """Return whether rows taken for steps have no number and none of them has a second one of its run."""
    match = found.match
    own = match.of("step")
    if found.shape != "long" or match.main != "step" or "step_no" in own or any(one.is_told for one in own.values()):
        return False
    keys = [one for (_, name), one in match.columns.items() if name in OF_A_RUN]
    keys += [one for one in (match.first_name, match.last_name) if one is not None]
    places = list(dict.fromkeys(f"c{one.place}" for one in keys))
    if not places or "side" in own:
        return False
    return not table.rows.select(pl.struct(pl.col(places).forward_fill()).is_duplicated().any()).item()
