"""The hamstring level in words a coach says: 'nothing seen', 'watch: strength and tightness', 'cannot say'."""

import polars as pl

from schemas.phrase import phrase
from schemas.vocabulary import FAMILY_WATCHED


def say_level(level: str, families: str) -> pl.Expr:
    """Return the words of a level.

    Args:
        level: Column with one of HAMSTRING_LEVELS.
        families: Column with the list of the families that speak.
    """
    watched = pl.concat_list(
        [pl.when(pl.col(families).list.contains(family)).then(pl.lit(word)) for family, word in FAMILY_WATCHED.items()]
    ).list.drop_nulls()
    many = watched.list.len()
    said = (
        pl.when(many > 1)
        .then(phrase("{} and {}", watched.list.head(many - 1).list.join(", "), watched.list.last()))
        .otherwise(watched.list.first())
    )
    return (
        pl.when(pl.col(level) == "none")
        .then(pl.lit("nothing seen"))
        .when(pl.col(level) == "cannot_say")
        .then(pl.lit("cannot say"))
        .otherwise(phrase("watch: {}", said))
    )
