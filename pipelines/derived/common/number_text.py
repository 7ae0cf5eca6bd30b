"""Numbers as words: fixed decimals and a real minus sign, a whole column at a time."""

import numpy as np
import polars as pl


def decimals(values: pl.Series, digits: int, *, signed: bool = False) -> pl.Series:
    """Write a column with fixed decimals and a real minus sign (U+2212); null stays null.

    >>> decimals(pl.Series("x", [-0.0301, None, 0.0]), 2).to_list()
    ['−0.03', None, '0.00']
    """
    numbers = values.cast(pl.Float64)
    rounded = np.round(numbers.fill_null(0.0).to_numpy(), digits) + 0.0  # + 0.0 turns a negative zero into zero
    text = pl.Series(values.name, np.char.mod(f"%{'+' if signed else ''}.{digits}f", rounded), dtype=pl.String)
    return pl.select(pl.when(numbers.is_not_null()).then(text.str.replace("-", "−", literal=True)))[values.name]
