"""Numbers as words: fixed decimals and a real minus sign, a whole column at a time."""

import numpy as np
import polars as pl

MINUS = "\u2212"
LARGEST = 2.0**53  # up to which every whole number is one of its own
FEW = 64  # values: one by one they are written sooner than the queries for a whole column are made; own choice


def decimals(values: pl.Series, digits: int, *, signed: bool = False) -> pl.Series:
    """Write a column with fixed decimals and a real minus sign (U+2212); null stays null.

    >>> decimals(pl.Series("x", [-0.0301, None, 0.0]), 2).to_list()
    ['−0.03', None, '0.00']
    """
    numbers = values.cast(pl.Float64)
    is_few = values.len() <= FEW
    told = numbers.to_list() if is_few else []
    plain = np.array([0.0 if one is None else one for one in told]) if is_few else numbers.fill_null(0.0).to_numpy()
    rounded = np.round(plain, digits) + 0.0  # + 0.0 turns a negative zero into zero
    parts = np.round(np.abs(rounded) * 10.0**digits)
    if is_few and np.all(parts < LARGEST):
        few = zip(parts.tolist(), (rounded < 0).tolist(), told, strict=True)
        written = [None if one is None else _of_one(int(part), below, digits, signed) for part, below, one in few]
        return pl.Series(values.name, written, pl.String)
    if np.all(parts < LARGEST):  # a whole number of last places: taken apart at once, ten times as fast as one by one
        text = _of_whole(pl.Series(parts.astype(np.int64)), pl.Series(rounded), digits, signed=signed)
    else:
        text = pl.Series(np.char.mod(f"%{'+' if signed else ''}.{digits}f", rounded), dtype=pl.String)
        text = text.str.replace("-", MINUS, literal=True)
    return pl.select(pl.when(numbers.is_not_null()).then(text).alias(values.name))[values.name]


def _of_one(parts: int, below: bool, digits: int, signed: bool) -> str:
    whole, rest = divmod(parts, 10**digits)
    sign = MINUS if below else "+" if signed else ""
    return f"{sign}{whole}.{rest:0{digits}d}" if digits else f"{sign}{whole}"


def _of_whole(parts: pl.Series, numbers: pl.Series, digits: int, *, signed: bool) -> pl.Series:
    """Write numbers of which the last places are counted: 301 of two digits is 3.01."""
    whole, rest, places = pl.lit(parts) // 10**digits, pl.lit(parts) % 10**digits, [pl.lit("")]
    if digits:
        places = [pl.lit("."), rest.cast(pl.String).str.zfill(digits)]
    sign = pl.when(pl.lit(numbers) < 0).then(pl.lit(MINUS)).otherwise(pl.lit("+" if signed else ""))
    return pl.select(pl.concat_str(sign, whole.cast(pl.String), *places)).to_series()
