"""Who and what the record knows already: what a file is checked against."""

import polars as pl

from pipelines.record.warehouse import Connection
from schemas.spelling import fold


def athletes(con: Connection) -> pl.DataFrame:
    """Return who is known: key, name, what each is called, code, event group, squad, sex, days of joining, leaving."""
    return con.sql(
        "select athlete_id, display_name, call_name, code, event_group, squad, sex, joined_on, left_on from athlete "
        "order by athlete_id"
    ).pl()


def exercises(con: Connection) -> frozenset[str]:
    """Return the exercises whose family the squad's own list says."""
    return frozenset(name for (name,) in con.sql("select exercise from exercise where family is not null").fetchall())


def known_names(people: pl.DataFrame) -> frozenset[str]:
    """Return the names of the people who are known, folded."""
    columns = [name for name in ("display_name", "call_name", "code", "athlete_id") if name in people.columns]
    every = [name for column in columns for name in people[column].drop_nulls().to_list()]
    return frozenset(folded for name in every if not (folded := fold(name)).isdigit())  # '101' may be a number, too


def athlete_meant(people: pl.DataFrame, text: str) -> str:
    """Return the key of the one athlete whose key or name a text is, however it is spelled; else the text itself."""
    if text in people["athlete_id"]:
        return text
    said = sorted(fold(text).split())
    pairs = people.select("athlete_id", "display_name").iter_rows()
    found = [key for key, name in pairs if name and sorted(fold(name).split()) == said]
    return found[0] if len(found) == 1 else text
