"""What was done to consent, by file as by hand, in the trail beside sign-ins and changes of roles and rules."""

from collections.abc import Iterable

import polars as pl

from pipelines.home.folder import Home
from pipelines.record import warehouse
from pipelines.record.history import quoted
from pipelines.record.loading import Outcome, Ready

TABLE = "consent"
MOST_NAMED = 100  # lines that one load leaves


def note(home: Home, who: str, what: str, about: Iterable[str] = ("",)) -> None:
    """Add a line to the trail for each person it is about."""
    from pipelines.accounts.file import AccountFile  # hashing makes it slow to import

    for one in list(about)[:MOST_NAMED]:
        AccountFile(home.access).note(who, what, one)


def note_consent(home: Home, who: str, ready: Ready, outcome: Outcome) -> None:
    """Note whose consent a load kept or said to be withdrawn."""
    rows = ready.checked.accepted.get(TABLE) if ready.checked else None
    if rows is None or outcome.load_no is None or not (outcome.stored or outcome.replaced):
        return
    is_ended = pl.col("withdrawn_on").is_not_null() if "withdrawn_on" in rows.columns else pl.lit(False)
    for what, some in (("consent withdrawn", rows.filter(is_ended)), ("consent kept", rows.filter(~is_ended))):
        note(home, who, f"{what} (load {outcome.load_no})", some["athlete_id"].unique().sort().to_list())


def note_consent_undone(con: warehouse.Connection, home: Home, who: str, what: str, load_no: int) -> None:
    """Note whose consent an undo or redo touched."""
    query = f"select distinct athlete_id from {quoted('version_' + TABLE)} where load_no = $no order by 1"
    rows = con.sql(query, params={"no": load_no}).fetchall()
    note(home, who, f"consent: {what} of load {load_no}", [row[0] for row in rows])
