"""Questions: what a table of a file leaves open, in a coach's words, with the answers it would take."""

import datetime as dt
from collections.abc import Mapping, Sequence

from pipelines.checks.names import Roster, is_no_name, new_key
from schemas.intake import EVERYBODY, LEAVE_UNKNOWN, NEW_PERSON, NOBODY, SQUAD, LaidOut, Question
from schemas.shape import ColumnShape
from schemas.unit_words import UNIT_WORDS
from schemas.vocabulary import EXERCISE_FAMILIES

SHORT_UNITS = {  # unit name -> how a coach writes it
    name: next(word for word, unit in UNIT_WORDS.items() if unit == name) for name in dict.fromkeys(UNIT_WORDS.values())
}
EXAMPLES = 3
TITLES = {"elapsed_s": "are the split times", "step_length_m": "are the lengths of the steps",
          "contact_s": "are the contacts",
          "flight_s": "are the flights", "jump_height_m": "are the jumps", "jump_length_m": "are the jumps",
          "peak_force_n": "are the forces"}  # fmt: skip
BY_HAND = "timed by hand"
RUN_WORDS = {
    "start_kind": "does not say how its runs start",
    "clock_start": "does not say what starts the clock",
    "timing_kind": "does not say how its times were taken",
}


class Asking:
    """Gathers the questions of one table of a file, each once."""

    def __init__(self, laid: LaidOut) -> None:
        self.laid = laid
        self._found: dict[tuple[str, str], Question] = {}

    @property
    def questions(self) -> list[Question]:
        """What is open, in the order in which it was met."""
        return list(self._found.values())

    def _ask(
        self,
        ask: str,
        about: str,
        sentence: str,
        answers: Sequence[tuple[str, str]],
        rows: int,
        *,
        holds_rows: bool = True,
        layout: str | None = None,
        cells: Sequence[str] = (),
        is_free: bool = False,
    ) -> None:
        before = self._found.get((ask, about))
        self._found[ask, about] = Question(
            is_free=is_free,
            cells=tuple(cells),
            layout=layout or self.laid.layout,
            ask=ask,
            about=about,
            sentence=sentence,
            answers=tuple(answers),
            rows=max(rows, before.rows if before else 0),
            holds_rows=holds_rows,
            header=tuple(self.laid.header),
            source=self.laid.source,
            sheet=self.laid.sheet,
        )

    def date_order(self, texts: Sequence[str], rows: int, *, differ: bool = False) -> None:
        """Ask what stands first in dates like 03/04/2026. ``texts`` are those that can be read both ways, ``differ``
        says that others beside them put the day first and others the month.
        """
        first, second = (int(part) for part in texts[0].replace(".", "/").replace("-", "/").split("/")[:2])
        shown = ", ".join(f"'{text}'" for text in texts[:EXAMPLES])
        why = "Other days here put the day first, and others the month." if differ else "No date here tells."
        self._ask(
            "date_order", "", f"Is {shown} written with the day first or the month first? {why}",
            [("day", f"the day first: {texts[0]} is {_day(second, first)}"),
             ("month", f"the month first: {texts[0]} is {_day(first, second)}")], rows,
        )  # fmt: skip

    def year(self, texts: Sequence[str], rows: int, as_of: dt.date) -> None:
        """Ask of which year days are that are written without one."""
        shown = ", ".join(f"'{text}'" for text in texts[:EXAMPLES])
        self._ask(
            "year", "", f"Of which year are {shown}? Neither the column nor a title nor a name says it.",
            [("last", f"the last time that day was, seen from the day the file is loaded ({as_of:%Y-%m-%d})"),
             (str(as_of.year), "this year"), (str(as_of.year - 1), "the year before")], rows,
        )  # fmt: skip

    def split_times(self, rows: int) -> None:
        """Ask whether times are since the start or for each stretch."""
        self._ask(
            "split_times", "", "Are the times since the start, or for each stretch? The data fit both.",
            [("cumulative", "time since the start"), ("segment", "time for each stretch, to be summed")], rows,
        )  # fmt: skip

    def unit(
        self,
        header: str,
        said: str | None,
        fitting: Sequence[str],
        examples: Sequence[str],
        rows: int,
        why: str = "",
    ) -> None:
        """Ask in which unit a column is. ``said`` is the unit its header gives, ``fitting`` those that make sense."""
        shown = ", ".join(examples[:EXAMPLES])
        stated = f"says {short_unit(said)}, and in {short_unit(said)} its values are not possible" if said else ""
        title = TITLES.get(header, f"is '{header}'")
        header_says = f"The header {stated or 'gives none, and several fit'}."
        sentence = f"In which unit {title} ({shown})? {why or header_says}"
        answers = [(short_unit(unit), unit) for unit in fitting]
        if said is not None:
            answers.append(
                (
                    short_unit(said),
                    f"{said}, as the {'title or name' if why else 'header'} says; rows outside the range stay aside",
                )
            )
        self._ask("units", header, sentence, answers, rows)

    def athlete(self, text: str, roster: Roster, rows: int) -> None:
        """Ask who a name is: those on the roster it may be, each with its score, or somebody new."""
        near = roster.proposals(text)
        answers = [(athlete_id, f"{name}, score {score:.0f} of 100") for athlete_id, name, score in near]
        if not is_no_name(text):
            answers.append((NEW_PERSON, f"a new person, kept as '{new_key(text)}'"))
        answers.append((NOBODY, "nobody: a caption or somebody else; these rows stay out"))
        why = "Nobody on the roster has a name like it" if not near else "The roster does not say for sure"
        self._ask(
            "athletes", text.strip(), f"Who is '{text.strip()}'? {why}.", answers, rows, layout=SQUAD, is_free=True,
        )  # fmt: skip

    def group(self, word: str, roster: Roster, rows: int) -> None:
        """Ask who is meant by a word for a group: an event group or squad of the roster, everybody, some, nobody."""
        answers = [
            (group, f"{group.replace('_', ' ')}: {people(number)} of the roster")
            for group, number in roster.words_of("event_group").items()
        ]
        answers += [(f"squad: {name}", people(number)) for name, number in roster.words_of("squad").items()]
        answers += [(EVERYBODY, "everybody of the squad"), (NOBODY, "nobody of the squad: these rows stay out")]
        self._ask(
            "groups", word, f"Who is meant by '{word}'? It stands for a group, and the roster names none so.", answers,
            rows, layout=SQUAD, is_free=True,
        )  # fmt: skip

    def letter(self, header: str, letter: str, meanings: Mapping[str, str], rows: int) -> None:
        """Ask what a letter under a header means where it is two words of one language."""
        answers = [(word, f"{word}: {said}") for word, said in meanings.items()]
        self._ask(
            "words", f"{header}: {letter}", f"What is '{letter}' under '{header}'? It stands alone, and may be either.",
            answers, rows, holds_rows=False,
        )  # fmt: skip

    def frame_rate(self, rows: int) -> None:
        """Ask how many pictures a second a film has whose times are counted in pictures."""
        self._ask(
            "frame_rate", "", "How many pictures a second does the film have? Its times are counted in pictures.",
            [("240", "240 a second"), ("120", "120 a second"), ("60", "60 a second"), ("50", "50 a second")], rows,
            is_free=True,
        )  # fmt: skip

    def gate_offset(self, rows: int) -> None:
        """Ask how far behind the first gate runs begin where that gate starts the clock; else it stays unknown."""
        self._ask(
            "gate_offset", "",
            "How far behind the first gate is the start line? It counts for runs whose clock starts at that gate.",
            [("0.3 m", "0.3 m"), ("0.5 m", "0.5 m"), ("1 m", "1 m"),
             (LEAVE_UNKNOWN, "leave it unknown: it differs, another clock is used, or another file says it")],
            rows, holds_rows=False, is_free=True,
        )  # fmt: skip

    def family(self, exercise: str, rows: int) -> None:
        """Ask in which family an exercise counts that neither the squad's list nor the starter list has."""
        answers = [(word, word.replace("_", " ")) for word in EXERCISE_FAMILIES]
        answers.append((LEAVE_UNKNOWN, "leave it unknown: its sets count in no family until then"))
        self._ask(
            "families", exercise, f"In which family does '{exercise.replace('_', ' ')}' count?", answers, rows,
            holds_rows=False, layout=SQUAD,
        )  # fmt: skip

    def run_word(self, column: ColumnShape, rows: int, *, by_hand: bool = False) -> None:
        """Ask what holds for all runs of a sheet that does not say; unanswered, it stays unknown."""
        answers = [(word, word.replace("_", " ")) for word in column.words]
        answers.append((LEAVE_UNKNOWN, "leave it unknown: it differs, or another file says it"))
        title = f" Above it stands {', '.join(repr(one) for one in self.laid.titles)}." if self.laid.titles else ""
        sentence = f"The sheet {RUN_WORDS[column.name]}.{title} Is it the same for all of them?"
        self._ask(column.name, "", sentence, answers, rows, holds_rows=False,
                  cells=(*self.laid.titles, *([BY_HAND] if by_hand else [])))  # fmt: skip


def short_unit(unit: str | None) -> str:
    """Return a unit as a coach writes it."""
    return SHORT_UNITS.get(unit or "", unit or "")


def people(number: int) -> str:
    """Count people."""
    return "1 person" if number == 1 else f"{number} people"


def _day(month: int, day: int) -> str:
    return f"{day} {dt.date(2000, month, 1):%B}"
