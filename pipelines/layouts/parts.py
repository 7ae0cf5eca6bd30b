"""Parts: the cells of each record table, a row for every source row."""

from dataclasses import dataclass

import polars as pl

from pipelines.layouts.headings import Heading
from pipelines.layouts.match import Match
from pipelines.layouts.sets import Sets, beside_body, parse_sets
from schemas.intake import Cells, Part
from schemas.shape import table_shape
from schemas.unit_words import MODEL_UNITS

WHOLE = r"^\d{1,2}$"


@dataclass(frozen=True)
class Source:
    """Where a record column's text comes from: a column of the file, or a text that holds for all rows."""

    expr: pl.Expr
    cells: Cells


class PartMaker:
    """Makes the parts of one table of a file."""

    def __init__(self, rows: pl.DataFrame, match: Match, date_text: str | None) -> None:
        self.rows = rows
        self.match = match
        self.date_text = date_text

    def of(self, heading: Heading, column: str) -> Source:
        """Return the source of a column under a heading."""
        unit = heading.unit
        if heading.is_exact:
            units = {
                table_shape(t).columns[column].unit
                for t, c in self.match.columns
                if c == column and column in table_shape(t).columns
            }
            unit = MODEL_UNITS.get(next(iter(units), ""))
        origin = f"c{heading.place}"
        return Source(pl.col(origin), Cells(heading.text, origin, unit, heading.is_exact))

    def key(self, table: str) -> dict[str, Source]:
        """Return the sources of the key columns a table shares with the main one."""
        main, found = self.match.of(self.match.main), {}
        shape, main_shape = table_shape(table), table_shape(self.match.main)
        for name in shape.key:
            heading = main.get(name)
            if name == "athlete_id":
                found[name] = self._athlete(heading)
            elif name == shape.date:
                heading = main.get(main_shape.date or "")
                if heading is not None:
                    found[name] = self.of(heading, main_shape.date or name)
                elif self.date_text is not None:
                    found[name] = Source(pl.lit(self.date_text), Cells("date in the file's name", "", None, True))
            elif heading is not None:
                found[name] = self.of(heading, name)
        return {name: source for name, source in found.items() if source is not None}

    def _athlete(self, heading: Heading | None) -> Source | None:
        first, last = self.match.first_name, self.match.last_name
        if first is not None:
            names = [pl.col(f"c{h.place}").str.strip_chars() for h in (first, last) if h is not None]
            text = " + ".join(h.text for h in (first, last) if h is not None)
            return Source(pl.concat_str(names, separator=" ", ignore_nulls=True), Cells(text, "", None))
        return self.of(heading, "athlete_id") if heading is not None else None

    def make(
        self,
        table: str,
        sources: dict[str, Source],
        *,
        is_main: bool = True,
        stretch_from_m: float | None = None,
        with_key: bool = True,
    ) -> Part:
        """Make one part from its sources."""
        every = {**(self.key(table) if with_key else {}), **sources}
        frame = (
            self.rows.select(**{name: source.expr for name, source in every.items()}) if every else self.rows.select()
        )
        others = [name for name, kind in frame.schema.items() if kind != pl.String]
        frame = frame.cast(dict.fromkeys(others, pl.String())) if others else frame  # a cast would copy every text
        if frame.height != self.rows.height:  # constants alone
            frame = self.rows.select(pl.lit(None).alias("_"), **{n: s.expr for n, s in every.items()}).drop("_")
        return Part(table, frame, {name: s.cells for name, s in every.items()}, is_main, stretch_from_m)

    def values(self, table: str) -> dict[str, Source]:
        """Return the sources of the columns beyond the key that headings give to a table."""
        key = table_shape(table).key
        return {name: self.of(heading, name) for name, heading in self.match.of(table).items() if name not in key}

    def implied(self, tables: list[str], more: dict[str, dict[str, Source]] | None = None) -> list[Part]:
        """Return the parts of the tables the main rows belong to, and of body measures where there are any."""
        parts = []
        for table in tables:
            values = {**self.values(table), **(more or {}).get(table, {})}
            if table != "body_measure" or values:
                parts.append(self.make(table, values, is_main=False))
        return parts

    def _with_loads(self, values: dict[str, Source]) -> dict[str, Source]:
        """Read 'bw' and 'bw + 10 kg' in a column of loads as the load besides the body."""
        if "load_kg" not in values:
            return values
        written = values["load_kg"]
        texts = self.rows[written.cells.origin].drop_nulls().unique().to_list()
        meant = {text: beside for text in texts if (beside := beside_body(text)) != text}
        if not meant:
            return values
        return {**values, "load_kg": Source(written.expr.replace(meant), written.cells)}

    def lift_sets(self) -> list[Part]:
        """Return the parts of a gym log: one for the first set of each row, one for the second, and so on."""
        given = self.match.of("lift_set")
        values = self._with_loads(self.values("lift_set"))
        texts = {
            name: self.rows[f"c{given[name].place}"] for name in ("set_text", "set_count", "reps") if name in given
        }
        by_text = next((name for name, column in texts.items() if _holds_sets(column)), None)
        counts = texts.get("set_count")
        has_counts = counts is not None and by_text is None
        if by_text is None and not has_counts:
            return [
                self.make("lift_set", {name: s for name, s in values.items() if name not in ("set_count", "set_text")})
            ]
        loads = [None] * self.rows.height
        if "load_kg" in values:
            loads = self.rows.select(values["load_kg"].expr).to_series().to_list()
        reps = texts["reps"].to_list() if "reps" in texts else [None] * self.rows.height
        if by_text is not None:
            sets = [_from_text(text, load) for text, load in zip(texts[by_text].to_list(), loads, strict=True)]
        else:
            sets = [
                _from_count(count, rep, load)
                for count, rep, load in zip(
                    (counts if counts is not None else pl.Series()).to_list(), reps, loads, strict=True
                )
            ]
        heading = given[by_text] if by_text is not None else given.get("reps", given.get("set_count"))
        assert heading is not None  # one of them led here
        load_heading = given.get("load_kg")
        others = {name: s for name, s in values.items() if name not in ("set_count", "set_text", "reps", "load_kg")}
        parts = []
        for number in range(max((len(one) for one in sets), default=0)):
            rep = pl.Series("reps", [one[number][0] if number < len(one) else None for one in sets], dtype=pl.String)
            load = pl.Series("load", [one[number][1] if number < len(one) else None for one in sets], dtype=pl.String)
            made = {
                "reps": Source(pl.lit(rep), Cells(heading.text, "")),
                "load_kg": Source(
                    pl.lit(load),
                    Cells((load_heading or heading).text, "", load_heading.unit if load_heading else heading.unit),
                ),
            }
            parts.append(self.make("lift_set", {**others, **made}, is_main=number == 0))
        return parts


def _holds_sets(column: pl.Series) -> bool:
    said = column.drop_nulls().unique().head(500).to_list()
    return any(parse_sets(text) is not None for text in said)


def _from_text(text: str | None, load: str | None) -> Sets:
    sets = parse_sets(text) if text is not None else None
    if sets is None:
        return [(text or "", load)] if text else [("", load)]
    listed = load.split("/") if load and "/" in load and len(load.split("/")) == len(sets) else [load] * len(sets)
    return [(reps, own if own is not None else other) for (reps, own), other in zip(sets, listed, strict=True)]


def _from_count(count: str | None, reps: str | None, load: str | None) -> Sets:
    plain = (count or "").strip()
    whole = plain.removesuffix(".0")
    number = int(whole) if whole.isdigit() and 1 <= int(whole) <= 30 else 1
    if plain and not whole.isdigit():
        return [(f"{plain} sets", load)]  # no number of sets: shown as written, and set aside
    return [(reps or "", load)] * number
