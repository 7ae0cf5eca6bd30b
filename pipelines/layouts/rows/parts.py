"""Parts: the cells of each record table, a row for every source row."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import polars as pl

from pipelines.cells.events import group_of_events
from pipelines.cells.numbers import OF_BODY_MASS
from pipelines.cells.phrases import RESISTED, VOCABULARY, where_it_hurts, word_said
from pipelines.cells.spoken import group_of, is_kind_word, is_missing, kind_of
from pipelines.layouts.words.headings import Heading
from pipelines.layouts.words.match import Match
from pipelines.layouts.words.sets import Sets, beside_body, parse_sets, reps_alone
from schemas.intake import Cells, Part
from schemas.reading import Fact
from schemas.shape import table_shape
from schemas.spelling import fold
from schemas.unit_words import MODEL_UNITS

SHARE = re.compile(rf"(\d+(?:[.,]\d+)?)\s*{OF_BODY_MASS.pattern}", re.I)
KEYS_IN_TITLES = ("test", "event", "distance_m", "rep_no", "session_no")
SHORT_GROUPS = {"short": "short_sprints", "long": "long_sprints"}
FEWEST_SQUADS = 2  # different ones, for their names to say what each trains for; own choice
BOTH_SIDES = 2
NO_VALUES = ("from_m",)  # helpers that say how to read another column
OF_TITLES = {  # columns that a title may say for all rows
    *(("rep", name) for name in ("distance_m", "start_kind", "clock_start", "timing_kind", "gate_offset_m", "run_in_m",
    "resistance_kind",
                                 "resistance_load_kg")),
    ("race_result", "timing_kind"), ("session", "indoor"), ("session", "kind"), ("step", "frame_rate_hz"),
    ("athlete", "sex"), ("athlete", "event_group"),
}  # fmt: skip


@dataclass(frozen=True)
class Source:
    """Where a record column's text comes from: a column of the file, or a text that holds for all rows."""

    expr: pl.Expr
    cells: Cells


class PartMaker:
    """Makes the parts of one table of a file."""

    def __init__(
        self,
        rows: pl.DataFrame,
        match: Match,
        facts: Mapping[str, Fact],
        phrased: Mapping[str, Heading] | None = None,
        words: Mapping[str, str] | None = None,
    ) -> None:
        self.rows = rows
        self.match = match
        self.facts = facts
        self.phrased = phrased or {}  # record column -> heading of the short texts that say it
        self.words = words or {}  # 'header: cell' -> what was said to be meant

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
        begin = f"{heading.text}: "
        words = {text.removeprefix(begin): word for text, word in self.words.items() if text.startswith(begin)}
        return Source(
            pl.col(origin),
            Cells(
                heading.text,
                origin,
                unit,
                heading.is_exact,
                scale=heading.scale,
                is_canonical=heading.is_exact,
                words=words,
            ),
        )

    def key(self, table: str) -> dict[str, Source]:
        """Return the sources of the key columns a table shares with the main one."""
        main, found = self.match.of(self.match.main), {}
        shape, main_shape = table_shape(table), table_shape(self.match.main)
        for name in shape.key:
            heading = main.get(name)
            if name == "athlete_id":
                found[name] = self._athlete(heading or (main.get("display_name") if table != "athlete" else None))
            elif name == shape.date:
                heading = main.get(main_shape.date or "")
                if heading is not None:
                    found[name] = self.of(heading, main_shape.date or name)
                elif "date" in self.facts:
                    found[name] = self.of_fact("date")
            elif heading is not None:
                found[name] = self.of(heading, name)
            elif name in self.phrased:
                found[name] = self.of_phrase(self.phrased[name], name)
            elif name in self.facts and name in KEYS_IN_TITLES:
                found[name] = self.of_fact(name)
        return {name: source for name, source in found.items() if source is not None}

    def _athlete(self, heading: Heading | None) -> Source | None:
        first, middle, last = self.match.first_name, self.match.name_particle, self.match.last_name
        if first is not None:
            names = [pl.col(f"c{h.place}").str.strip_chars() for h in (first, middle, last) if h is not None]
            text = " + ".join(h.text for h in (first, middle, last) if h is not None)
            return Source(pl.concat_str(names, separator=" ", ignore_nulls=True), Cells(text, "", None))
        if heading is None and "athlete_id" in self.facts:
            return self.of_fact("athlete_id")
        return self.of(heading, "athlete_id") if heading is not None else None

    def of_fact(self, name: str) -> Source:
        """Return what holds for all rows as a source."""
        fact = self.facts[name]
        said = f"{name.replace('_', ' ')} in the {fact.place}"
        if not fact.text and fact.place == "answer":  # nothing says it, and it was not answered yet
            said = {"athlete_id": "whose rows they are", "date": "the day"}.get(name, said)
        return Source(pl.lit(fact.text), Cells(said, "", None, True))

    def of_phrase(self, heading: Heading, name: str) -> Source:
        """Return what short texts say of a column: 'laser, blocks' says how the run began and how it was timed."""
        place = f"c{heading.place}"
        texts = self.rows[place].drop_nulls().unique().to_list()
        said = {text: word_said(text, VOCABULARY[name]) for text in texts}
        meant = pl.col(place).replace_strict(said, default=None, return_dtype=pl.String) if said else pl.lit(None)
        return Source(meant, Cells(heading.text, ""))

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
            frame = self.rows.select("_line", **{n: s.expr for n, s in every.items()}).drop("_line")
        return Part(table, frame, {name: s.cells for name, s in every.items()}, is_main, stretch_from_m)

    def values(self, table: str) -> dict[str, Source]:
        """Return the sources of the columns beyond the key that headings give to a table."""
        shape = table_shape(table)
        found = {
            name: self.of(heading, name)
            for name, heading in self.match.of(table).items()
            if name not in shape.key and name not in NO_VALUES
        }
        for name in shape.values:
            if name not in found and name in self.phrased:
                found[name] = self.of_phrase(self.phrased[name], name)
            elif name not in found and name in self.facts and (table, name) in OF_TITLES:
                found[name] = self.of_fact(name)
        if "pain_site" in found and not found["pain_site"].cells.is_canonical:
            found["pain_site"] = self._where_it_hurts(found["pain_site"], found.pop("pain_side", None))
        found.pop("pain_side", None)
        if table == "injury" and "kind" not in found and "site" in self.phrased:
            found["kind"] = self.of(self.phrased["site"], "kind")
        if table == "rep" and "resistance_load_kg" in found and "resistance_percent" not in found:
            found |= self._shares(found["resistance_load_kg"])
        if table == "rep" and "resistance_load_kg" in found and "resistance_kind" not in found:
            found |= self._pulled(found["resistance_load_kg"])
        if table in ("session", "plan") and "kind" in found:
            found |= self._of_kind(found)
        if table == "athlete" and "event_group" in found and "squad" not in found:
            found |= self._of_groups(found["event_group"])
        elif table == "athlete" and "squad" in found and "event_group" not in found:
            found |= self._of_squads(found["squad"])
        return found

    def _shares(self, written: Source) -> dict[str, Source]:
        """Return loads of which some are shares of body mass ('30% BM' among '20 kg') as loads and as shares.

        What the share is of in kilograms is not reckoned: whose mass of which day is not said.
        """
        if not written.cells.origin:
            return {}
        texts = self.rows[written.cells.origin].drop_nulls().unique().to_list()
        shares = {text: number[1] for text in texts if (number := SHARE.fullmatch(text.strip()))}
        if not shares:
            return {}
        share = written.expr.replace_strict(shares, default=None, return_dtype=pl.String)
        return {
            "resistance_load_kg": Source(pl.when(share.is_null()).then(written.expr), written.cells),
            "resistance_percent": Source(share, Cells(written.cells.header, "")),
        }

    def _pulled(self, written: Source) -> dict[str, Source]:
        """Return the runs with a load below a heading that says what was pulled ('sled (kg)') as runs with a sled;
        where the cell is empty or 0 nothing is said.
        """
        if not written.cells.origin or word_said(written.cells.header, RESISTED) != "sled":
            return {}
        texts = self.rows[written.cells.origin].drop_nulls().unique().to_list()
        loaded = {text: "sled" for text in texts if any(char in "123456789" for char in text)}
        kind = pl.col(written.cells.origin).replace_strict(loaded, default=None, return_dtype=pl.String)
        return {"resistance_kind": Source(kind, Cells(written.cells.header, ""))} if loaded else {}

    def _of_groups(self, written: Source) -> dict[str, Source]:
        """Return words for groups that are not all event groups ('Sprint A', 'Talent') as squads, kept as written;
        those that name an event group stand in both columns.
        """
        if written.cells.is_canonical or not written.cells.origin:
            return {}
        texts = self.rows[written.cells.origin].drop_nulls().unique().to_list()
        known = {text: group_of(text) or group_of_events(text) for text in texts if not is_missing(text)}
        if all(word is not None for word in known.values()):
            return {}
        if set(SHORT_GROUPS) <= {fold(text) for text in known}:  # beside each other the two are groups of sprinters
            known = {text: word or SHORT_GROUPS.get(fold(text)) for text, word in known.items()}
        group = written.expr.replace_strict(known, default=None, return_dtype=pl.String) if known else pl.lit(None)
        cells = Cells(written.cells.header, "")
        return {"event_group": Source(group, cells), "squad": Source(written.expr, cells)}

    def _of_squads(self, written: Source) -> dict[str, Source]:
        """Return the event groups of squads that are all named by them ('100/200', 'Hurdles'); nothing where one is
        not, as an age or a level is, nor where all are in the same squad: 'Sprints' may be the name of the club's.
        """
        if written.cells.is_canonical or not written.cells.origin:
            return {}
        texts = self.rows[written.cells.origin].drop_nulls().unique().to_list()
        known = {text: group_of(text) or group_of_events(text) for text in texts if not is_missing(text)}
        if len({*known.values()}) < FEWEST_SQUADS or None in known.values():
            return {}
        group = written.expr.replace_strict(known, default=None, return_dtype=pl.String)
        return {"event_group": Source(group, Cells(written.cells.header, ""))}

    def _where_it_hurts(self, place: Source, side: Source | None) -> Source:
        """Return where it hurts with the side beside it; after words of another language the record's own.

        'Wade' beside 'li' is 'Wade, li (left calf)'; 'nein' is nowhere.
        """
        sides = [None] * self.rows.height if side is None else self.rows.select(side.expr).to_series().to_list()
        places = self.rows.select(place.expr).to_series().to_list()
        told = [where_it_hurts(text, beside) for text, beside in zip(places, sides, strict=True)]
        return Source(pl.lit(pl.Series(told, dtype=pl.String)), Cells(place.cells.header, ""))

    def _of_kind(self, found: dict[str, Source]) -> dict[str, Source]:
        """Read words for a session as its kind where they are known, and keep as its note those that say more: 'Accel
        6x30' is acceleration, and how much of it.
        """
        written = found["kind"]
        if written.cells.is_canonical or not written.cells.origin:
            return {}
        texts = self.rows[written.cells.origin].drop_nulls().unique().to_list()
        said = written.cells.words
        meant = {text: said.get(text) or kind_of(text) for text in texts}
        more = [text for text, word in meant.items() if word is None or not (text in said or is_kind_word(text))]
        if not more:
            return {}
        kind = written.expr.replace_strict(meant, default=None, return_dtype=pl.String)
        rest: pl.Expr = pl.when(written.expr.is_in(more)).then(written.expr)
        note = found.get("note")
        if note is not None:
            rest = pl.concat_str([note.expr, rest], separator="; ", ignore_nulls=True)
            rest = pl.when(rest == "").then(None).otherwise(rest)
        made = {"kind": Source(kind, Cells(written.cells.header, "", None))}
        return made | {"note": Source(rest, Cells(written.cells.header, "", None))}

    def implied(self, tables: list[str], more: dict[str, dict[str, Source]] | None = None) -> list[Part]:
        """Return the parts of the tables the main rows belong to, and of body measures where there are any."""
        parts = []
        for table in tables:
            values = {**self.values(table), **(more or {}).get(table, {})}
            if table not in ("body_measure", "checkin") or values:
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
        if by_text == "reps" and counts is not None:
            sets = [
                _from_both(count, text, load) for count, text, load in zip(counts.to_list(), reps, loads, strict=True)
            ]
        elif by_text is not None:
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
    listed = _for_each(load, len(sets))
    return [(reps, own if own is not None else other) for (reps, own), other in zip(sets, listed, strict=True)]


def _for_each(load: str | None, many: int) -> Sequence[str | None]:
    """Return the load of each set: '210/220/230' beside three sets has one for each, any other is that of all."""
    listed = [one.strip() for one in load.split("/")] if load else []
    if len(listed) != many:
        return [load] * many
    unit = re.sub(r"[\d.,\s]", "", listed[-1])  # '90/95/100 lb': the unit at the end is everybody's
    return [f"{one} {unit}".strip() if re.fullmatch(r"[\d.,]+", one) else one for one in listed]


def _from_both(count: str | None, reps: str | None, load: str | None) -> Sets:
    """Return the sets of a row that counts them and says the repetitions in a cell that may be a list.

    '5/4/3' beside three sets is one for each; '6/6' beside three is six with each leg; a number alone is that of all.
    What is none of these ('8-10', '5/4' beside three) stands as it is written and is set aside.
    """
    text, whole = reps_alone(reps or ""), (count or "").strip().removesuffix(".0")
    if text.isdigit() or not whole.isdigit() or "x" in text:
        return _from_count(count, text, load) if text.isdigit() else _from_text(reps, load)
    listed = parse_sets(text) or []
    if len(listed) == int(whole) and "-" not in text:
        return _from_text(text, load)
    is_each_side = len(listed) == BOTH_SIDES and len({rep for rep, _ in listed}) == 1 and "/" in text
    return _from_count(count, listed[0][0] if is_each_side else reps, load)


def _from_count(count: str | None, reps: str | None, load: str | None) -> Sets:
    plain = (count or "").strip()
    whole = plain.removesuffix(".0")
    number = int(whole) if whole.isdigit() and 1 <= int(whole) <= 30 else 1
    if plain and not whole.isdigit():
        return [(f"{plain} sets", load)]  # no number of sets: shown as written, and set aside
    said = reps_alone(reps or "")
    return [(said if said.isdigit() else reps or "", one) for one in _for_each(load, number)]
