"""When what the record says of a day was entered: first for the look back at flags, last for what was decided since."""

from collections.abc import Collection

import polars as pl

from pipelines.record.history import quoted
from pipelines.record.warehouse import Connection

# Tables that a hamstring flag or a call rests on, with the column that holds the day a row is about.
DAY_OF = {
    "checkin": "checked_on",
    "session": "session_date",
    "rep": "session_date",
    "split": "session_date",
    "lift_set": "session_date",
    "force_test": "tested_on",
    "jump_test": "tested_on",
    "injury": "onset_on",
    "plan": "planned_on",
}
KEY = ["table_name", "athlete_id", "day_on"]


def entry_days(
    con: Connection, athletes: Collection[str] | None = None, tables: Collection[str] = tuple(DAY_OF)
) -> pl.DataFrame:
    """Return table_name, athlete_id, day_on, entered_on and load_no: the first load in force that told of the day.

    A value corrected later keeps the day of its first entry: that something was known of the day is what counts there.
    ``last_at``: when the last load in force told of it, corrections too. Of all athletes, or of those named, and of the
    tables named, one of these at least.
    """
    some = "" if athletes is None else " and athlete_id in (select unnest($athletes::varchar[]))"
    params = {} if athletes is None else {"athletes": sorted(athletes)}
    parts = [
        f"""select '{name}' as table_name, athlete_id, {quoted(day)} as day_on,
            cast(min(l.loaded_at) as date) as entered_on, min(load_no) as load_no, max(l.loaded_at) as last_at
        from {quoted("version_" + name)} join load l using (load_no) where l.undone_at is null{some}
        group by athlete_id, {quoted(day)}"""
        for name, day in DAY_OF.items()
        if name in tables
    ]
    return con.sql(f"{' union all '.join(parts)} order by {', '.join(KEY)}", params=params).pl()
