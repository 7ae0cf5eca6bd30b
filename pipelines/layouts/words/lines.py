"""Lines of a table that are no data: means and totals, comments, the header once more, rows with cells too many."""

import re

import polars as pl

from schemas.intake import NAMED_SCHEMA
from schemas.spelling import fold

FEWEST_COLUMNS = 4  # of a table in which a row with a single cell is no row of data; own choice
# One word, and more than one in brackets: 'Guests (train with us Tue/Thu)'
HEADS_PEOPLE = re.compile(r"[^\W\d_]+\s*\([^()]*\s[^()]*\)\s*:?")
# Several people of an age or kind; nobody is called so. 'Junior' alone may be somebody. Common practice, no source
PEOPLE_OF_A_KIND = {
    "juniors", "seniors", "youths", "masters", "veterans", "guests", "cadets", "novices", "junioren", "juniorinnen",
    "senioren", "jugend", "gaste", "gastathleten", "cadettes", "espoirs", "minimes", "veteranes", "invites",
    "juveniles", "cadetes", "juniores", "seniores", "veteranos", "invitados", "convidados", "allievi", "allieve",
    "ospiti", "juniorer", "seniorer", "ungdomar", "ungdom", "gaster", "gjester", "gaester", "jeugd", "gasten",
}  # fmt: skip
UNDER_AN_AGE = re.compile(r"u ?-?\d{2}s?|under ?-?\d{2}s?", re.I)  # 'U18s'
SUMMARY_WORDS = (
    "mean", "average", "avg", "total", "totals", "sum", "median", "sd", "stdev", "std dev", "standard deviation",
    "minimum", "maximum",
    "mittelwert", "mittel", "durchschnitt", "gesamt", "summe", "moyenne", "somme", "ecart type", "mediane",
    "media", "promedio", "suma", "mediana", "desviacion", "squad mean", "squad average", "team mean", "team average",
    "group mean", "group average", "best", "top", "worst", "max", "min", "mw", "bester", "bestwert", "schnitt",
    "mejor", "meilleur", "meilleure", "moyenne generale", "totaux", "total general", "suma total", "range", "count",
    "anzahl", "nombre total", "medel", "medelvarde", "snitt", "basta", "summa", "meilleurs", "migliore", "medio",
    "standardabweichung", "gemiddelde", "gem", "gemiddeld", "totaal", "beste", "mediaan", "som",
    "desv", "stdabw", "moy", "prom", "durchschn", "averages", "means", "gruppe mittel",
)  # fmt: skip


FIRST_NAMES = {"first name", "firstname", "given name", "first", "vorname", "prenom", "nombre", "nome", "fornamn",
               "fornavn", "voornaam", "etunimi", "imie", "jmeno"}  # fmt: skip
OF_THE_DAY = {"del", "de", "du", "des", "der", "di", "of", "the", "la", "le", "dia", "jour", "tages", "tag", "day",
              "sesion", "session", "seance", "einheit", "semana", "semaine", "week", "woche", "grupo", "group",
              "gruppe", "groupe", "dagens", "dag", "groep", "giorno", "squad", "test", "tests"}  # fmt: skip
PEOPLE_WORDS = {"athletes", "athlete", "people", "sprinters", "athleten", "personen", "sportler", "atletas", "personas",
                "personnes", "atleti", "persone", "utovere", "lopare", "personer", "runners", "atleten"}  # fmt: skip


def _is_summary(text: str) -> bool:
    words = [word for word in fold(text).split() if not word.isdigit() and word not in {"n", "of", "the", "all", "#"}]
    if len(words) > 1 and words[0] in SUMMARY_WORDS and set(words[1:]) <= OF_THE_DAY:
        return True
    if text[:1].isdigit() and len(words) == 1 and words[0] in PEOPLE_WORDS:
        return True  # '11 athletes' below a list of them
    return " ".join(words) in SUMMARY_WORDS or (len(words) > 1 and words[0] in SUMMARY_WORDS[:4] and "squad" in words)


def _is_called_max(text: str, heading: str, cells: pl.Series) -> bool:
    """Return whether 'Max' is somebody, and no greatest value: below 'First name', or where no other word for a mean
    or total stands, and rows of others follow.
    """
    if fold(text) != "max":
        return False
    others = {fold(one) for one in cells.drop_nulls().unique().to_list()} - {"max"}
    is_last = cells.drop_nulls().to_list()[-1:] == [text] and cells.drop_nulls().to_list().count(text) == 1
    return fold(heading) in FIRST_NAMES or not (is_last or any(_is_summary(one) for one in others))


def is_comment(text: str) -> bool:
    """Return whether a text begins like a comment."""
    return text.lstrip().startswith(("#", "//", "* ", "note:", "Note:", "NB", "N.B."))


def heads_people(text: str, *, is_after_another: bool) -> bool:
    """Return whether a text alone in its line heads the people below it: 'Juniors', 'U18s', and below another such line
    'Guests (train with us Tue)' as well. What the line above it said of its people, their sex, then ends.
    """
    is_kind = fold(text) in PEOPLE_OF_A_KIND or UNDER_AN_AGE.fullmatch(text.strip()) is not None
    return is_kind or (is_after_another and HEADS_PEOPLE.fullmatch(text.strip()) is not None)


def _rows_where(rows: pl.DataFrame, column: str, words: list[str], reason: str, header: str) -> pl.DataFrame:
    return rows.filter(pl.col(column).is_in(words)).select(
        pl.col("_row"), column=pl.lit(header), value=pl.col(column), reason=pl.lit(reason)
    )


def named_lines(
    rows: pl.DataFrame, header: list[str], name_column: str | None, *, is_text_file: bool, needs_more: bool = False
) -> pl.DataFrame:
    """Return the rows that are no data, each with the reason that names it: _row, column, value, reason.

    ``needs_more`` says that a name alone is no row of this table.
    """
    found = [pl.DataFrame(schema=NAMED_SCHEMA)]
    numbered = rows.with_row_index("_row")
    first = next((f"c{place}" for place in range(len(header)) if f"c{place}" in rows.columns), None)
    for column in dict.fromkeys(name for name in (first, name_column) if name is not None and name in rows.columns):
        said = rows[column].drop_nulls().unique().to_list()
        heading = header[int(column[1:])] if int(column[1:]) < len(header) else ""
        summary = [text for text in said if _is_summary(text) and not _is_called_max(text, heading, rows[column])]
        comment = [text for text in said if is_comment(text) and column == first]
        if summary:
            why = "this line is a mean or total of other lines, not a measurement. Row set aside. Nothing to do."
            found.append(_rows_where(numbered, column, summary, why, heading))
        if comment:
            why = "this line is a comment. Row set aside. Nothing to do."
            found.append(_rows_where(numbered, column, comment, why, heading))
    alone = _alone(numbered, header, name_column) if name_column is not None and needs_more else None
    if alone is not None:
        found.append(alone)
    headed = _headings_of_roster(numbered, header, name_column) if name_column is not None and not needs_more else None
    if headed is not None:
        found.append(headed)
    again = _header_again(numbered, header)
    if again is not None:
        found.append(again)
    beyond = [name for name in rows.columns if name.startswith("c") and int(name[1:]) >= len(header)]
    if beyond and is_text_file:
        some = pl.any_horizontal(pl.col(beyond).str.strip_chars().fill_null("") != "")
        why = (
            f"the row has more cells than the header's {len(header)}, so it cannot be told which belongs where. "
            "Row set aside. Look for a stray delimiter or a decimal comma without quotation marks."
        )
        found.append(
            numbered.filter(some).select(
                pl.col("_row"),
                column=pl.lit(""),
                value=pl.concat_str(pl.col(beyond), separator=" ", ignore_nulls=True),
                reason=pl.lit(why),
            )
        )
    return pl.concat(found).unique("_row", keep="first", maintain_order=True)


def _alone(numbered: pl.DataFrame, header: list[str], name_column: str) -> pl.DataFrame | None:
    """Return rows of a wide enough table in which a single cell is filled, in the first column or that of the names."""
    columns = [name for name in numbered.columns if name.startswith("c") and name[1:].isdigit()]
    if len(columns) < FEWEST_COLUMNS:
        return None
    filled = pl.sum_horizontal(pl.col(name).is_not_null().cast(pl.UInt32) for name in columns)
    why = (
        "nothing else stands in this row: a heading, a comment, or somebody without values. Row set aside. "
        "Nothing to do if that is right."
    )
    found = [
        numbered.filter((filled == 1) & pl.col(name).is_not_null()).select(
            "_row",
            column=pl.lit(header[int(name[1:])] if int(name[1:]) < len(header) else ""),
            value=pl.col(name),
            reason=pl.lit(why),
        )
        for name in dict.fromkeys((columns[0], name_column))
    ]
    return pl.concat(found)


def _headings_of_roster(numbered: pl.DataFrame, header: list[str], name_column: str) -> pl.DataFrame | None:
    """Return rows of a list of people in which nothing stands but words with a remark in brackets, 'Guests (Tue and
    Thu)', where nearly every other row says more than a name: they head the people below them.

    A name alone is somebody, and so is one with a word in brackets: 'Ana Berg (guest)', 'Ana (Anni) Berg'.
    """
    columns = [name for name in numbered.columns if name.startswith("c") and name[1:].isdigit()]
    filled = pl.sum_horizontal(pl.col(name).is_not_null().cast(pl.UInt32) for name in columns)
    alone = numbered.filter(filled == 1)
    if len(columns) < FEWEST_COLUMNS or 2 * alone.height > numbered.height:
        return None
    why = "nothing else stands in this row: a heading of the people below it. Row set aside. If somebody is meant, " \
          "write the name alone."  # fmt: skip
    found = []
    for name in dict.fromkeys((columns[0], name_column)):
        said = [text for text in alone[name].drop_nulls().unique().to_list() if HEADS_PEOPLE.fullmatch(text.strip())]
        if said:
            heading = header[int(name[1:])] if int(name[1:]) < len(header) else ""
            found.append(_rows_where(alone, name, said, why, heading))
    return pl.concat(found) if found else None


def _header_again(numbered: pl.DataFrame, header: list[str]) -> pl.DataFrame | None:
    same = [
        pl.col(f"c{place}") == text for place, text in enumerate(header) if text and f"c{place}" in numbered.columns
    ]
    if len(same) < 2:
        return None
    return numbered.filter(pl.all_horizontal(same)).select(
        pl.col("_row"),
        column=pl.lit(""),
        value=pl.lit(header[0]),
        reason=pl.lit("the header stands here once more. Row set aside. Nothing to do."),
    )
