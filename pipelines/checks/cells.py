"""Typed columns: the text of one column of a part becomes values of the record's type, the rest faults."""

import datetime as dt
import statistics
from collections.abc import Callable, Sequence
from typing import Any

import polars as pl

from pipelines.cells import dates, numbers, ratings, spoken
from pipelines.cells.letters import PAIRS, by_letters, is_open_sex
from pipelines.cells.units import SILENT_UNITS, conversion
from pipelines.checks.asking import Asking
from pipelines.checks.doubted_units import IN_DOUBT, LOADS, units_in_doubt
from pipelines.checks.faults import SET_ASIDE, Faults, listed
from schemas.intake import Cells, LayoutOptions
from schemas.shape import ColumnShape
from schemas.unit_words import MODEL_UNITS, unit_word

FRAME = "frame"  # the unit of a column that counts pictures of a film
OPEN_ENDED = {"returned_on"}  # days that a word may say have not come
FUTURE_ALLOWED = {"planned_on", "week_of", "joined_on", "left_on", "from_on", "until_on"}
SAMPLE = 2000  # values of a column that are tried
# Above these hardly any middle value of a squad lies, m; common practice, no source. They only tell units apart.
USUAL_MOST = {"jump_height_m": 0.85, "jump_length_m": 3.7, "height_m": 2.2}
OF_FORCES = {"kilogram": "kilogram_force", "pound": "pound_force"}
SURE_SHARE = 0.9  # of the values that must fit a unit the header does not give, and at most the rest fits the record's


class CellReader:
    """Turns the text columns of one table of a file into typed ones; remembers what it has read."""

    def __init__(
        self,
        rows: pl.Series,
        faults: Faults,
        options: LayoutOptions,
        as_of: dt.date,
        asking: Asking,
        day_zero: dt.date | None = None,
        year: dates.Year = None,
        frame_rate: float | None = None,
    ) -> None:
        self.rows = rows  # _row of each position
        self.faults = faults
        self.date_order: dates.Order | None = options.date_order
        self.is_month_first = options.date_order == "month"
        self.days_differ = False  # some days beside this column put the day first and others the month
        self.units = options.units
        self.frame_rate = frame_rate  # pictures a second, of columns that count pictures
        self.as_of = as_of
        self.day_zero = day_zero
        answered = int(said) if (said := options.year or "").isdigit() else said or None
        self.year: dates.Year = year if isinstance(year, int) else answered or year
        self.asking = asking
        self.notes: list[str] = []
        self._in_doubt: dict[tuple[str, str], tuple[str, ...]] = {}  # first sets of a row speak for the others
        self._seen: dict[tuple[str, str, str | None], pl.Series] = {}

    def read(self, text: pl.Series, shape: ColumnShape, cells: Cells) -> pl.Series:
        """Return the values of a column; cells that cannot be read are null here and faults there."""
        seen = (cells.origin, "date" if shape.dtype == pl.Date else shape.name, cells.unit)
        if cells.origin and seen in self._seen:
            return self._seen[seen].alias(shape.name)
        text = text.str.strip_chars()
        text = text.set(text == "", None) if (text == "").any() else text
        values = self._read(text, shape, cells).alias(shape.name)
        if cells.origin:
            self._seen[seen] = values
        return values

    def _read(self, text: pl.Series, shape: ColumnShape, cells: Cells) -> pl.Series:  # noqa: PLR0911
        if text.null_count() == len(text):
            return pl.Series(shape.name, [None] * len(text), dtype=shape.dtype)
        if shape.dtype == pl.Date:
            return self._dates(text, shape, cells)
        if shape.dtype in (pl.Int64, pl.Float64):
            return self._numbers(text, shape, cells)
        if shape.dtype == pl.Boolean:
            return self._each(text, cells, pl.Boolean(), spoken.read_yes_no)
        if isinstance(shape.dtype, pl.Datetime):
            return self._each(text, cells, pl.Datetime("us"), _read_moment)
        if shape.words:
            said = dict(cells.words)
            if shape.name in PAIRS:  # other columns of a long file need no look at all their words
                different = text.drop_nulls().unique(maintain_order=True).to_list()
                said = {**by_letters(shape.name, cells.header, different), **said}
                if is_open_sex(shape.name, cells.header, different) and not cells.words:
                    return self._open_letter(text, shape, cells, different[0])
            return self._each(
                text, cells, pl.String(),
                lambda one: (said[one], "") if said.get(one) in shape.words else spoken.read_word(one, shape),
            )  # fmt: skip
        return self._each(text, cells, pl.String(), lambda one: spoken.read_free(one, shape))

    def _each(
        self, text: pl.Series, cells: Cells, dtype: pl.DataType, read: Callable[[str], tuple[Any, str]]
    ) -> pl.Series:
        """Read each different text once, and put values and faults where the text stands."""
        said = text.drop_nulls().unique().to_list()
        read_once = {one: read(one) for one in said}
        wrong = {one: why for one, (_, why) in read_once.items() if why}
        if wrong:
            place = text.is_in(list(wrong)).fill_null(False)
            values = text.filter(place)
            self.faults.add(self.rows.filter(place), cells.header, values, values.replace_strict(wrong))
        values_of = {one: value for one, (value, _) in read_once.items()}
        if not values_of:
            return pl.Series(text.name, [None] * len(text), dtype=dtype)
        if all(one == value for one, value in values_of.items()) and dtype == pl.String:
            return text
        return text.replace_strict(list(values_of), list(values_of.values()), default=None, return_dtype=dtype)

    def _open_letter(self, text: pl.Series, shape: ColumnShape, cells: Cells, letter: str) -> pl.Series:
        """Ask once what a letter means that is two words of one language; until then its cells wait."""
        some = text.is_not_null()
        self.asking.letter(cells.header, letter, {"f": "mujer", "m": "masculino"}, int(some.sum()))
        why = f"'{letter}' may be mujer or masculino, and no other letter tells. {SET_ASIDE} Answer which it is."
        self.faults.add(self.rows.filter(some), cells.header, text.filter(some), why)
        return pl.Series(shape.name, [None] * len(text), dtype=shape.dtype)

    def _dates(self, text: pl.Series, shape: ColumnShape, cells: Cells) -> pl.Series:
        if shape.name in OPEN_ENDED:
            still = [one for one in text.drop_nulls().unique().to_list() if spoken.is_open_end(one)]
            text = text.set(text.is_in(still), None)
        values = text.str.to_date("%Y-%m-%d", strict=False)
        failed = text.is_not_null() & (values.is_null() | (text.str.len_bytes() != 10))
        if failed.any():
            said = text.filter(failed).unique(maintain_order=True).to_list()
            ahead = shape.name in FUTURE_ALLOWED
            differ = self.days_differ or len(dates.orders_told(said)) > 1
            order = self.date_order
            plain = dates.with_plain_weekdays(said)
            if not differ:
                named = [plain.get(one, one) for one in said]
                order = order or dates.order_of_weekdays(named, self.year, self.as_of, ahead=ahead)
                order = order or dates.find_order(said) or dates.order_by_today(said, self.as_of, ahead=ahead)
            self.is_month_first = self.is_month_first or order == "month"
            open_ = [one for one in said if dates.is_open(one)] if order is None else []
            yearless = [
                one for one in said
                if dates.of_no_year([plain.get(one, one)], self.year, self.as_of, order, ahead=ahead)
            ]  # fmt: skip
            if yearless:
                self.asking.year(yearless, int(text.is_in(yearless).sum()), self.as_of)
            serial = [one for one in said if dates.is_serial(one, self.as_of)]
            day_zero = self.day_zero or (
                dates.SHEET_EPOCH if len(serial) == len(said) and not values.is_not_null().any() else None
            )
            if serial and self.day_zero is None and day_zero is not None:
                self.notes.append(
                    f"'{cells.header}': {serial[0]} and the like were read as day numbers of a spreadsheet."
                )
            if open_:
                self.asking.date_order(open_, int(text.is_in(open_).sum()), differ=differ)
            slow = self._each(
                text.set(~failed, None), cells, pl.Date(),
                lambda one: dates.read_date(
                    plain.get(one, one), order if not differ or dates.is_open(one) else None, self.as_of, day_zero,
                    self.year, ahead=ahead,
                ),
            )  # fmt: skip
            values = pl.select(pl.when(failed).then(slow).otherwise(values)).to_series()
        if shape.name not in FUTURE_ALLOWED:
            future = (values > self.as_of).fill_null(False)
            if future.any():
                why = f"the date lies in the future: today is {self.as_of:%Y-%m-%d}. {SET_ASIDE} Check the year."
                self.faults.add(self.rows.filter(future), cells.header, text.filter(future), why)
                values = values.set(future, None)
        return values

    def _numbers(self, text: pl.Series, shape: ColumnShape, cells: Cells) -> pl.Series:
        if shape.name in ratings.RATED and not cells.is_canonical and cells.origin:
            return self._each(
                text, cells, pl.Float64(), lambda one: ratings.read_rating(one, shape, cells.scale, cells.words)
            )
        fast = text.cast(pl.Float64, strict=False)
        failed = text.is_not_null() & (fast.is_null() | ~fast.is_finite().fill_null(True))
        slow_texts = text.filter(failed).unique().to_list()
        fast = fast.set(failed, None) if slow_texts else fast
        if cells.open_units:
            text, fast = self._without_open(text, fast, shape, cells)
        unit, is_settled = self._unit_of(text, fast, slow_texts, shape, cells)
        if not is_settled:
            return pl.Series(shape.name, [None] * len(text), dtype=shape.dtype)
        scale = conversion(unit, shape.unit) if unit and unit != FRAME else (1.0, 0.0)
        if unit == FRAME and shape.unit == "s":
            scale = self._of_frames(text, shape, cells)
            if scale is None:
                return pl.Series(shape.name, [None] * len(text), dtype=shape.dtype)
            unit = None
        is_counted = unit is None and scale is not None and scale[0] != 1.0
        if scale is None:
            some = text.is_not_null()
            why = numbers.wrong_unit(cells.header, unit or "", shape)
            self.faults.add(self.rows.filter(some), cells.header, text.filter(some), why)
            return pl.Series(shape.name, [None] * len(text), dtype=shape.dtype)
        factor, offset = scale
        values = fast if scale == (1.0, 0.0) else (fast * factor + offset).round(9)
        if slow_texts:

            def in_range(value: float) -> bool:
                return _fits(value * factor + offset, shape)

            style = numbers.find_style(slow_texts, in_range)
            slow = self._each(
                text.set(~failed, None), cells, pl.Float64(),
                lambda one: numbers.read_number(one, shape, unit, style),
            )  # fmt: skip
            values = values.zip_with(~failed, (slow * factor).round(9) if is_counted else slow)
            if style.comma_is_decimal:
                values = self._grouped_points(text, values, failed, shape, cells, factor)
        return values if shape.dtype == pl.Float64 else self._whole(text, values, cells)

    def _of_frames(self, text: pl.Series, shape: ColumnShape, cells: Cells) -> tuple[float, float] | None:
        """Return what turns a count of pictures into seconds; where nothing says how many a second, ask."""
        if self.frame_rate is not None:
            self.notes.append(f"'{cells.header}' counts pictures; at {self.frame_rate:g} a second each is one part.")
            return (1.0 / self.frame_rate, 0.0)
        some = text.is_not_null()
        self.asking.frame_rate(int(some.sum()))
        why = f"it counts pictures, and how many there are a second is not said. {SET_ASIDE} Answer how many."
        self.faults.add(self.rows.filter(some), cells.header, text.filter(some), why)
        return None

    def _grouped_points(
        self, text: pl.Series, values: pl.Series, failed: pl.Series, shape: ColumnShape, cells: Cells, factor: float
    ) -> pl.Series:
        """In a column with decimal commas '1.234' may be a thousand: the range decides, or the row is set aside."""
        grouped = (text.str.contains(r"^[-+]?[1-9]\d{0,2}\.\d{3}$") & ~failed).fill_null(False)
        if not grouped.any():
            return values
        as_thousand = values * 1000
        thousand_fits = _in_range(as_thousand, shape)
        point_fits = _in_range(values, shape)
        values = values.zip_with(~(grouped & thousand_fits & ~point_fits), as_thousand)
        unclear = grouped & thousand_fits & point_fits
        if unclear.any():
            why = (
                f"the point may be a decimal point or a thousands sign; this column writes decimal commas. {SET_ASIDE}"
            )
            self.faults.add(self.rows.filter(unclear), cells.header, text.filter(unclear), why)
            values = values.set(unclear, None)
        return values

    def _whole(self, text: pl.Series, values: pl.Series, cells: Cells) -> pl.Series:
        part = ((values != values.round(0)) | (values.abs() > 1e15)).fill_null(False)
        if part.any():
            why = f"this must be a whole number. {SET_ASIDE} Check the cell."
            self.faults.add(self.rows.filter(part), cells.header, text.filter(part), why)
            values = values.set(part, None)
        return values.cast(pl.Int64)

    def _without_open(
        self, text: pl.Series, fast: pl.Series, shape: ColumnShape, cells: Cells
    ) -> tuple[pl.Series, pl.Series]:
        """Ask once for a column in which unit its bare cells are; until then they wait, and never are of the record's.

        A cell with a unit of its own is read, and a load of nothing is nothing in any unit.
        """
        bare = (fast.is_not_null() & (fast != 0)).fill_null(False)
        if self.units.get(cells.header) or self.units.get(shape.name) or not bare.any():
            return text, fast
        units = list(dict.fromkeys((*cells.open_units, MODEL_UNITS[shape.unit])))
        said = f"the title or name says {cells.unit_word}" if cells.unit_word else "some of its cells name a unit"
        why = f"The header gives none, and {said}."
        self.asking.unit(cells.header, None, units, text.filter(bare).head(3).to_list(), int(bare.sum()), why)
        fault = f"it has no unit, and {said}. {SET_ASIDE} Say which unit it is, or write it in the cell."
        self.faults.add(self.rows.filter(bare), cells.header, text.filter(bare), fault)
        return text.set(bare, None), fast.set(bare, None)

    def _unit_of(  # noqa: PLR0911 - one for each way of knowing
        self, text: pl.Series, fast: pl.Series, slow_texts: list[str], shape: ColumnShape, cells: Cells
    ) -> tuple[str | None, bool]:
        """Return the unit of a column, and whether it is settled: answered, said by the header, the only possible one.

        A header whose unit makes hardly any value possible, while another makes nearly all so, is asked about; so is a
        header without a unit where several others would do.
        """
        answer = self.units.get(cells.header) or self.units.get(shape.name)
        if answer and shape.unit:
            return unit_word(answer) or answer, True
        unit = cells.unit if shape.unit else None  # a rating has no unit; a share may be written in percent
        if cells.unit_word and unit not in (None, MODEL_UNITS.get(shape.unit)):
            said = f"read as {unit.replace('_', ' ')}: the title or name says {cells.unit_word}." if unit else ""
            note = f"'{cells.header}' gives no unit; {said}"
            self.notes += [] if note in self.notes else [note]
        if shape.unit == "N" and unit in OF_FORCES:  # a force in kilograms is that of so many kilograms at rest
            return OF_FORCES[unit], True
        if unit is None and not cells.unit_is_certain and (cells.origin or shape.name in LOADS):
            some = fast.drop_nulls().head(SAMPLE).to_list() if shape.name in IN_DOUBT else []
            now = units_in_doubt(shape, some, is_month_first=self.is_month_first)
            in_doubt = self._in_doubt.setdefault((cells.header, shape.name), now) or now
            if in_doubt:
                return self._ask_unit(text, cells, None, in_doubt, cells.header, "Its numbers leave it open.")
        others = SILENT_UNITS.get(shape.unit, ())
        if cells.unit_is_certain or not cells.origin or not others or shape.least is None or shape.most is None:
            return unit, True
        known = fast.drop_nulls().head(SAMPLE).to_list()
        style = numbers.find_style(slow_texts, lambda value: True)
        known += [one for text_ in slow_texts[:SAMPLE] if (one := numbers.to_float(text_, style)) is not None]
        is_other = unit is not None and conversion(unit, shape.unit) is None  # told as such, not asked
        if not known or is_other or _share(known, unit, shape) > 1 - SURE_SHARE:
            return unit, True
        sure = [
            one for one in (MODEL_UNITS[shape.unit], *others)
            if one != unit and _share(known, one, shape) >= SURE_SHARE and _is_usual(known, one, shape)
        ]  # fmt: skip
        if unit is None and len(sure) == 1:
            self.notes.append(
                f"'{cells.header}' gives no unit; read as {sure[0]}, the only unit in which its values are possible."
            )
            return sure[0], True
        if not sure:
            return unit, True
        about = shape.name if cells.header[-1:].isdigit() else cells.header  # 'Step 1', 'Step 2': asked once for all
        place = "title or name" if cells.unit_word else "header"
        told = (
            f"The {place} says {cells.unit_word}, and in that its values are not possible." if cells.unit_word else ""
        )
        return self._ask_unit(text, cells, unit, sure, about, told)

    def _ask_unit(
        self, text: pl.Series, cells: Cells, unit: str | None, sure: Sequence[str], about: str, told: str
    ) -> tuple[None, bool]:
        """Ask in which unit a column is and let its cells wait."""
        some = text.is_not_null()
        place = "title or name" if cells.unit_word else "header"
        self.asking.unit(about, unit, sure, text.drop_nulls().head(3).to_list(), int(some.sum()), told)
        stated = f"in {unit}, as the {place} says, its values are not possible" if unit else "the header gives no unit"
        why = f"{stated}; they would be in {listed(sure)}. {SET_ASIDE} Say which unit it is, or mend the header."
        self.faults.add(self.rows.filter(some), cells.header, text.filter(some), why)
        return None, False


def _fits(value: float, shape: ColumnShape) -> bool:
    return (shape.least is None or value >= shape.least) and (shape.most is None or value <= shape.most)


def _share(values: list[float], unit: str | None, shape: ColumnShape) -> float:
    """Return the share of values that are possible when read in a unit."""
    factor, offset = (conversion(unit, shape.unit) if unit else None) or (1.0, 0.0)
    return sum(_fits(value * factor + offset, shape) for value in values) / len(values)


def _is_usual(values: list[float], unit: str, shape: ColumnShape) -> bool:
    """Return whether the middle one of some values is one that people reach when it is read in a unit."""
    most = USUAL_MOST.get(shape.name)
    factor, offset = conversion(unit, shape.unit) or (1.0, 0.0)
    return most is None or statistics.median(values) * factor + offset <= most


def _in_range(values: pl.Series, shape: ColumnShape) -> pl.Series:
    least = shape.least if shape.least is not None else float("-inf")
    most = shape.most if shape.most is not None else float("inf")
    return values.is_between(least, most).fill_null(False)


def _read_moment(text: str) -> tuple[dt.datetime | None, str]:
    if spoken.is_missing(text):
        return None, ""
    try:
        return dt.datetime.fromisoformat(text.strip()).replace(tzinfo=None), ""
    except ValueError:
        return None, f"'{text}' is not a date with a time of day. {SET_ASIDE} Write it like 2026-11-16T18:30:00."
