"""Rows that say themselves what they are not: a session missed, called off, only planned; a coach among athletes."""

import polars as pl

from pipelines.cells.done import HEADERS, says_done, was_done
from pipelines.cells.spoken import is_absent, is_kind_word
from pipelines.layouts.words.match import Match
from schemas.intake import NAMED_SCHEMA, TextTable
from schemas.spelling import fold

LOGS = ("session", "lift_set", "rep", "split", "step")
# Headers over what people do in a club, and who of them is no athlete; folded, common practice, no source
ROLES = {"role", "function", "position", "rolle", "funktion", "fonction", "rol", "funcion", "ruolo", "funzione",
         "funcao", "functie", "roll", "tehtava", "rola"}  # fmt: skip
STAFF = {"coach", "trainer", "trainerin", "physio", "physiotherapist", "manager", "doctor", "staff", "parent",
         "assistant", "volunteer", "betreuer", "betreuerin", "arzt", "entraineur", "entraineuse", "kine", "medecin",
         "entrenador", "entrenadora", "fisio", "medico", "allenatore", "allenatrice", "treinador", "treinadora",
         "begeleider", "tranare", "ledare", "leder", "valmentaja", "trenerka", "trener"}  # fmt: skip
MARK = 2  # letters of a mark in a list of who was there; own choice


def not_done(table: TextTable, match: Match) -> pl.DataFrame:
    """Return the rows of a log that were not done, with why, as rows set aside.

    A column 'Done', 'Status' or 'Attended' counts where each of its cells is understood; where all of them are ticks,
    an empty one is none. In place of the session itself 'cancelled' or 'injured' counts where the row has neither
    minutes nor an effort, and a remark that says so where it has no effort. In a list of ticks another letter is none.
    """
    found = pl.DataFrame(schema=NAMED_SCHEMA)
    if match.main == "athlete":
        return pl.concat([found, *_staff(table)])
    if match.main not in LOGS:
        return found
    for place, header in enumerate(table.header):
        column = f"c{place}"
        if column not in table.rows.columns or fold(header) not in HEADERS:
            continue
        texts = table.rows[column].drop_nulls().unique().to_list()
        if not says_done(header, texts):
            continue
        missing = [text for text in texts if not was_done(text)]
        found = pl.concat([found, _aside(table, column, header, pl.col(column).is_in(missing), "it was not done")])
        if not missing:
            found = pl.concat([found, _aside(table, column, header, pl.col(column).is_null(), "it is not ticked")])
    return pl.concat([found, *_no_sessions(table, match)])


def _staff(table: TextTable) -> list[pl.DataFrame]:
    """Return the rows of a list of people that a column 'Role' says are no athletes, where it names athletes too."""
    found = []
    for place, header in enumerate(table.header):
        column = f"c{place}"
        if column not in table.rows.columns or fold(header) not in ROLES:
            continue
        staff = [text for text in table.rows[column].drop_nulls().unique().to_list() if {*fold(text).split()} & STAFF]
        found.append(_aside(table, column, header, pl.col(column).is_in(staff), "this is no athlete"))
    return found


def _no_sessions(table: TextTable, match: Match) -> list[pl.DataFrame]:
    of = match.of("session")
    what = of.get("kind") or of.get("note")
    if match.main != "session" or what is None:
        return []
    column = f"c{what.place}"
    values = [f"c{one.place}" for name, one in of.items() if name in ("duration_min", "effort_0_10", "planned_min")]
    is_bare = pl.all_horizontal(pl.lit(value=True), *(pl.col(name).is_null() for name in values))
    texts = table.rows[column].drop_nulls().unique().to_list()
    ticks = [text for text in texts if was_done(text) and len(text.strip()) <= MARK]
    no_session = [
        text for text in texts
        if not is_kind_word(text) and (is_absent(text) or (was_done(text) is False and text not in ticks))
    ]  # fmt: skip
    found = [_aside(table, column, what.text, pl.col(column).is_in(no_session) & is_bare, "there was no session")]
    note, effort = of.get("note"), of.get("effort_0_10")
    if note is not None and effort is not None and note is not what:
        said = table.rows[f"c{note.place}"].drop_nulls().unique().to_list()
        absent = [text for text in said if len(text.strip()) > MARK and (is_absent(text) or was_done(text) is False)]
        which = pl.col(f"c{note.place}").is_in(absent) & pl.col(f"c{effort.place}").is_null()
        found.append(_aside(table, f"c{note.place}", note.text, which, "there was no session"))
    if ticks and all(len(text.strip()) <= MARK or text in no_session for text in texts):
        others = [text for text in texts if text not in ticks and text not in no_session]
        why = "what this mark means is not said"
        found.append(_aside(table, column, what.text, pl.col(column).is_in(others) & is_bare, why))
    return found


def _aside(table: TextTable, column: str, header: str, which: pl.Expr, why: str) -> pl.DataFrame:
    rows = table.rows.with_row_index("_row").filter(which)
    reason = f"'{header}' says that {why}. Row set aside. Nothing to do if that is right."
    if "not said" in why:
        reason = f"'{header}': {why}. Row set aside. Nothing to do if it is no session."
    said = rows.select("_row", column=pl.lit(header), value=pl.col(column).cast(pl.String), reason=pl.lit(reason))
    return said.cast(NAMED_SCHEMA)  # type: ignore[arg-type]
