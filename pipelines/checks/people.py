"""Whose row it is: names of a file matched to the roster, asked where it is not sure, new people where it was said."""

import polars as pl

from pipelines.checks.asking import Asking
from pipelines.checks.cells import CellReader
from pipelines.checks.faults import SET_ASIDE, Faults
from pipelines.checks.names import SAME_PERSON_SCORE, Roster, goes_on, is_no_name, name_key, new_key
from schemas.intake import NEW_PERSON, NOBODY, Cells, LayoutOptions, Part
from schemas.shape import table_shape


class People:
    """Finds the athletes of one table of a file."""

    def __init__(self, rows: pl.Series, faults: Faults, roster: Roster, options: LayoutOptions, asking: Asking) -> None:
        self.rows = rows
        self.faults = faults
        self.roster = roster
        self.answers = {name.strip(): who for name, who in options.athletes.items()}
        self.answers_by_key = {name_key(name): who for name, who in self.answers.items()}
        self.asking = asking
        self.new: dict[str, str] = {}  # athlete_id -> name, of people an answer says are new
        self._read: dict[str, pl.Series] = {}

    def read(self, text: pl.Series, cells: Cells) -> pl.Series:
        """Return the athlete_id of each row; a name that is not sure is a fault and a question."""
        if cells.origin in self._read and cells.origin:
            return self._read[cells.origin]
        said = text.drop_nulls().unique(maintain_order=True).to_list()
        found = {one: self.find(one) for one in said}
        wrong = {one: why for one, (_, why) in found.items() if why}
        if wrong:
            place = text.is_in(list(wrong)).fill_null(False)
            values = text.filter(place)
            self.faults.add(self.rows.filter(place), cells.header, values, values.replace_strict(wrong))
            for one, rows in values.value_counts(sort=True).iter_rows():
                if new_key(one) and not wrong[one].endswith("Nothing to do.") and not self._is_remark(one):
                    self.asking.athlete(one, self.roster, rows)
        ids = [athlete_id for athlete_id, _ in found.values()]
        made = text.replace_strict(said, ids, default=None, return_dtype=pl.String).alias("athlete_id")
        self._read[cells.origin] = made
        return made

    def find(self, text: str) -> tuple[str | None, str]:
        """Return the athlete_id a name means and "", by the roster and the answers given; else why not.

        Who is on the roster under exactly this name is that athlete, whatever was once answered: so a person who was
        new is not made a second time.
        """
        plain = text.strip()
        known = self.roster.exact(plain)
        if known is not None:
            return known, ""
        answer = self.answers.get(plain) or self.answers_by_key.get(name_key(plain))
        if answer is None or (answer == NEW_PERSON and is_no_name(plain)):
            key, why = self.roster.find(text)
            return key, _remark(plain) if key is None and self._is_remark(plain) else why
        named = self._as_answered(plain) if answer == NEW_PERSON else None
        if named is not None:
            answer = self._free_key(named)
        elif answer not in self.roster.names:
            told = [name for name, who in self.answers.items() if who == NEW_PERSON and new_key(name) == answer]
            named = told[0] if told else None
        if named is not None:
            self.new.setdefault(answer, named)
        if named is not None or answer in self.roster.names:
            return answer, ""
        if answer == NOBODY:
            return None, f"'{plain}' was said to be nobody of the squad. {SET_ASIDE} Nothing to do."
        return None, f"'{plain}' was said to be '{answer}', who is not on the roster. {SET_ASIDE} Answer it again."

    def _as_answered(self, name: str) -> str:
        """Return a name as the answer spells it: in another order of its words it is no second new person."""
        return next(
            (one for one in (name, *self.answers) if one in self.answers and name_key(one) == name_key(name)), name
        )

    def _is_remark(self, text: str) -> bool:
        """Return whether a text is no name of a person, nor near to one of the roster: nobody is asked who it is."""
        near = [score for _, _, score in self.roster.proposals(text) if score >= SAME_PERSON_SCORE]
        return is_no_name(text) and (not near or goes_on(text))

    def _free_key(self, name: str) -> str:
        key, number = new_key(name), 2
        while key in self.roster.names and name_key(self.roster.names[key] or key) != name_key(name):
            key, number = f"{new_key(name)}-{number}", number + 1
        return key

    def rows_of_new(self, whose: pl.DataFrame) -> pl.DataFrame:
        """Return a row for each new person who has a sound row: _row, athlete_id, display_name."""
        first = whose.filter(pl.col("athlete_id").is_in(list(self.new))).unique("athlete_id", keep="first")
        return first.with_columns(
            display_name=pl.col("athlete_id").replace_strict(self.new, default=None, return_dtype=pl.String)
        ).sort("_row")

    def rows_of_roster(self, part: Part, frame: pl.DataFrame, cells: CellReader) -> pl.DataFrame:
        """Return typed athlete rows: a known name keeps its key, a new one gets one, given or made of it.

        A roster says who there is, so a new name in it is a new person, unless it is so near to a known one that it may
        be a slip: that is asked.
        """
        shape = table_shape("athlete")
        columns = {"_row": self.rows}
        for name, origin in part.cells.items():
            if name != "athlete_id":
                columns[name] = cells.read(frame[name], shape.columns[name], origin)
        ids = frame["athlete_id"].str.strip_chars() if "athlete_id" in frame.columns else None
        names = columns.get("display_name", ids)
        keys: list[str | None] = []
        display: list[str | None] = []
        header = part.cells[next(iter(part.cells))].header
        nothing = [None] * len(self.rows)
        for row, given, name in zip(
            self.rows, ids if ids is not None else nothing, names if names is not None else nothing, strict=True
        ):
            text = given or name
            key, why = self._key_of(text, is_key=bool(given)) if text else (None, "")
            if why:
                self.faults.add(pl.Series([row]), header, text, why)
            keys.append(key)
            known = self.roster.names.get(key) if key is not None else None
            display.append(name if name and name != given else known or name)
        columns["athlete_id"] = pl.Series(keys, dtype=pl.String)
        columns["display_name"] = pl.Series(display, dtype=pl.String)
        return pl.DataFrame(columns)

    def _key_of(self, text: str, *, is_key: bool) -> tuple[str | None, str]:
        key, why = self.find(text)
        if key is not None and (self.roster.exact(text) is not None or text.strip() in self.answers):
            return key, ""
        if why.endswith("Nothing to do.") or (key is None and self._is_remark(text)):
            return None, why
        if "may be" in why or text.strip() in self.answers:
            self.asking.athlete(text, self.roster, 1)
            return None, why
        if is_no_name(text) or (not is_key and ("." in text or any(char.isdigit() for char in text))):
            self.asking.athlete(text, self.roster, 1)
            return None, f"'{text}' is hardly the name of a person. {SET_ASIDE} Say who it is, or take the line out."
        near = [] if is_key else [one for one in self.roster.proposals(text) if one[2] >= SAME_PERSON_SCORE]
        if near:
            self.asking.athlete(text, self.roster, 1)
            return None, (
                f"'{text}' may be {near[0][1]} (score {near[0][2]:.0f}), who is on the roster, or somebody new. "
                f"{SET_ASIDE} Say who it is, or give a column athlete_id."
            )
        return new_key(text) or None, ""


def _remark(text: str) -> str:
    return (
        f"'{text.strip()}' is hardly the name of a person and is taken for a remark: nobody is made of it. {SET_ASIDE} "
        "If somebody is meant, write the name."
    )
