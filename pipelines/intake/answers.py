"""What was asked of a layout and answered, remembered in the home: answers.toml, to read, change and forget.

A layout is known by its headers. What was in force when a file was loaded is also in the log, so that the record is
made again from its sources alone.
"""

import dataclasses
import datetime as dt
import re
import tomllib
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path
from typing import Any

import tomli_w

from pipelines.checks.told import metres_said
from pipelines.errors import ThirdstepError
from pipelines.home.durable import write_durably
from pipelines.home.folder import Home
from pipelines.home.trouble import plain_words
from pipelines.intake import people_asked, sisters
from pipelines.intake.people_asked import PEOPLE, SAME_NAME
from schemas import vocabulary
from schemas.intake import ANSWERED, LEAVE_UNKNOWN, NAMED, NEW_PERSON, SQUAD, LayoutOptions, Question
from schemas.unit_words import unit_word

TOLD = ("headers", "source", "answered_by", "answered_at")  # what stands beside the answers of a layout
SCALE = re.compile(r"-?\d+(\.\d+)? (to|-) -?\d+(\.\d+)?, -?\d+(\.\d+)? is good")
WORDS: dict[str, tuple[str, ...]] = {
    "date_order": ("day", "month"),
    "split_times": ("cumulative", "segment"),
    "year": ("last",),
    "start_kind": (*vocabulary.START_KINDS, LEAVE_UNKNOWN),
    "clock_start": (*vocabulary.CLOCK_STARTS, LEAVE_UNKNOWN),
    "timing_kind": (*vocabulary.TIMING_KINDS, LEAVE_UNKNOWN),
}
NUMBERS: dict[str, tuple[Callable[[str], object], str]] = {  # answers that are a number: what is one, how it is written
    "gate_offset": (metres_said, "a distance up to 3 m like '0.3 m'"),
    "frame_rate": (re.compile(r"[1-9]\d{0,3}(\.\d+)?").fullmatch, "pictures a second like 240"),
}
FAMILIES = (*vocabulary.EXERCISE_FAMILIES, LEAVE_UNKNOWN)
Layouts = dict[str, dict[str, Any]]


# A tab that is named after a day or a number ('Test 3.11', '2026-10-24') stays that day's in the workbook that grows
# from week to week, and so does a block that bears the mark of its first row; a file or a tab 'Sheet1' of the same name
# may be another day's the next time.
IS_ONE_DAYS = re.compile(r" › .*(?:\d{1,2}[./-]\d{1,2}|\d{2,}|\([0-9a-f]{6}\)$)")


def remembered(home: Home) -> Layouts:
    """Return the answers that are remembered, by layout."""
    with plain_words(home.answers):
        if not home.answers.exists():
            return {}
    return _layouts(_parsed(home.answers), home.answers)


def read_answers(path: Path) -> LayoutOptions:
    """Return the answers of a file: those at its top hold for every table of this load, the others for one layout.

    Raises:
        ThirdstepError: It is no TOML, or an answer is none that is taken.
    """
    told = _parsed(path)
    top = {name: value for name, value in told.items() if name != "layout"}
    layouts = _layouts(told, path)
    for own in layouts.values():
        _check_columns(path, own.get("columns", {}))
    return LayoutOptions(**_checked(path, top), layouts=layouts)


def with_remembered(options: LayoutOptions, layouts: Layouts) -> LayoutOptions:
    """Return answers given now on top of those remembered; what is said for every table now wins over both."""
    made: Layouts = {}
    given = {name for name in WORDS if getattr(options, name)}
    for name in {*layouts, *options.layouts}:
        made[name] = {k: v for k, v in _joined(layouts.get(name, {}), options.layouts.get(name, {})).items()
                      if k in ANSWERED and k not in given}  # fmt: skip
    return dataclasses.replace(options, layouts={name: own for name, own in made.items() if own})


def remember(home: Home, layouts: Layouts, by: str, at: dt.datetime) -> None:
    """Keep answers for the next file with the same headers. Said again, the newer answer counts."""
    found = remembered(home)
    for name, own in layouts.items():
        before = found.get(name, {})
        lasting = {k: v for k, v in own.items() if k != "days" and not (k == "year" and v != "last")}  # not of one file
        if days := {place: day for place, day in own.get("days", {}).items() if IS_ONE_DAYS.search(place)}:
            lasting["days"] = days
        if any(before.get(k) != v for k, v in lasting.items()):
            found[name] = _joined(before, lasting) | {"answered_by": by, "answered_at": at.isoformat()}
    _write(home, found)


def forget(home: Home, layout: str, ask: str, about: str = "") -> None:
    """Take one answer away, so that it is asked again.

    Raises:
        ThirdstepError: It was never given.
    """
    found = remembered(home)
    own = found.get(layout, {})
    if (about not in own.get(ask, {})) if ask in NAMED else (ask not in own):
        raise ThirdstepError(
            f"There is no answer '{about or ask}' for layout {layout}. 'thirdstep answers' lists them."
        )
    if ask in NAMED:
        del own[ask][about]
    else:
        del own[ask]
    if not any(own.get(name) for name in ANSWERED):
        del found[layout]
    _write(home, found)


def listed(home: Home) -> list[dict[str, Any]]:
    """Return one row for each answer: layout, headers, source, ask, about, answer, answered_by, answered_at."""
    rows = []
    for layout, own in remembered(home).items():
        told = {"layout": layout, **{name: own.get(name) for name in TOLD}}
        for ask in ANSWERED:
            if ask in NAMED:
                rows += [{**told, "ask": ask, "about": a, "answer": v} for a, v in own.get(ask, {}).items()]
            elif own.get(ask):
                rows.append({**told, "ask": ask, "about": "", "answer": own[ask]})
    return rows


def last_changed(home: Home) -> dt.datetime:
    """Return when an answer was last given; a file loaded before then is read again."""
    times = [str(own.get("answered_at") or "") for own in remembered(home).values()]
    return max((dt.datetime.fromisoformat(one) for one in times if one), default=dt.datetime.min)


def of_questions(answered: Iterable[tuple[Question, str]]) -> Layouts:
    """Return questions with their answers as they are remembered."""
    found: Layouts = {}
    for question, answer in answered:
        if question.ask == PEOPLE:
            if answer == NEW_PERSON:
                own = found.setdefault(SQUAD, {"headers": "", "source": question.source})
                own.setdefault("athletes", {}).update(dict.fromkeys(question.cells, NEW_PERSON))
            continue
        own = found.setdefault(question.layout, {"headers": "; ".join(question.header), "source": question.source})
        if question.ask == "athletes":
            own.setdefault(question.ask, {}).update(people_asked.told_of_spellings(question, answer))
        elif question.ask in NAMED:
            own.setdefault(question.ask, {})[question.about] = answer
        else:
            own[question.ask] = answer
        for layout, told in sisters.told_of(question, answer).items():
            found[layout] = {**told, **found.get(layout, {})}
    return found


def as_toml(questions: Iterable[Question]) -> str:
    """Return open questions as an answers file to fill in: every answer it would take stands beside its question."""
    lines: list[str] = []
    by_layout: dict[str, list[Question]] = {}
    for question in questions:
        by_layout.setdefault(question.layout, []).append(question)
    for layout, some in by_layout.items():
        place = f"{some[0].source}, sheet '{some[0].sheet}'" if some[0].sheet else some[0].source
        said = "names, asked once for every file" if layout == SQUAD else f"{place}: {'; '.join(some[0].header)}"
        lines += [f"[layout.{layout}]  # {said}".replace("\n", " ")]
        if layout != SQUAD:  # kept with the answers, so that they can be told apart later
            lines += [f"source = {_spelled(some[0].source)}", f"headers = {_spelled('; '.join(some[0].header))}"]
        for question in sorted(some, key=lambda one: one.ask in NAMED):
            if question.ask == PEOPLE:
                lines += _people_lines(question)
                continue
            lines.append(f"# {question.sentence} ({question.rows} rows)".replace("\n", " "))
            lines += [f"#   {answer}: {meaning}" for answer, meaning in question.answers]
            if question.more:
                lines.append(f"#   or {', '.join(answer for answer, _ in question.more)}")
            name = f"{question.ask}.{_spelled(question.about)}" if question.ask in NAMED else question.ask
            lines.append(f"{'' if question.holds_rows else '# '}{name} = {_spelled('')}")
            for one in question.cells if question.ask == "athletes" else ():
                lines.append(f"{SAME_NAME}.{_spelled(one)} = {_spelled(question.about)}")
            if question.also:
                lines.append(f"#   for one that differs: take its line out, write [layout.ITS_ID] and its own "
                             f"{question.ask}")  # fmt: skip
            for layout_, place_ in sisters.same_for(question).items():
                lines.append(f"{sisters.SAME_FOR}.{question.ask}.{layout_} = {_spelled(place_)}".replace("\n", " "))
        lines.append("")
    return "\n".join(lines)


def _people_lines(question: Question) -> list[str]:
    lines = [f"# {question.sentence} ({question.rows} rows)"]
    lines += [f"#   {answer}: {meaning}" for answer, meaning in question.answers]
    lines += ['people = ""  # "new" for all of them; below, an athlete_id for who is somebody known']
    return [*lines, *(f"athletes.{_spelled(name)} = {_spelled('')}" for name in question.cells)]


def _spelled(text: str) -> str:
    return tomli_w.dumps({"x": text}).partition("=")[2].strip()


def _joined(before: Mapping[str, Any], now: Mapping[str, Any]) -> dict[str, Any]:
    named = {name: {**before.get(name, {}), **now.get(name, {})} for name in NAMED if name in before or name in now}
    return {**before, **now, **named}


def _parsed(path: Path) -> dict[str, Any]:
    try:
        return tomllib.loads(path.read_text(encoding="utf-8"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as trouble:
        raise ThirdstepError(f"{path.name} cannot be read: {trouble}. Mend the line.") from trouble


def _layouts(told: Mapping[str, Any], path: Path) -> Layouts:
    found = told.get("layout", {})
    if not isinstance(found, dict) or not all(isinstance(own, dict) for own in found.values()):
        raise ThirdstepError(f"{path.name}: write the answers for one layout below a line like [layout.0123456789ab].")
    made: Layouts = {}
    for name, own in found.items():
        told = {k: v for k, v in own.items() if k not in (*TOLD, sisters.SAME_FOR, SAME_NAME)}
        if told.pop(PEOPLE, "") == NEW_PERSON:
            if not told.get("athletes"):  # whom it would make is said below it, never guessed from a file
                raise ThirdstepError(
                    f'{path.name}, [layout.{name}]: {PEOPLE} = "{NEW_PERSON}" stands over no names and does nothing. '
                    'Keep the lines athletes."..." = "" below it as they were printed.'
                )
            told["athletes"] = {one: who or NEW_PERSON for one, who in told.get("athletes", {}).items()}
        answered = told.get("athletes", {})
        same = {one: people_asked.as_same(as_, answered[as_]) for one, as_ in own.get(SAME_NAME, {}).items()
                if answered.get(as_) and not answered.get(one)}  # fmt: skip
        if same:
            told["athletes"] = {**answered, **same}
        made[name] = _checked(path, told) | {k: own[k] for k in TOLD if k in own}
    sisters.spread(made, {name: own[sisters.SAME_FOR] for name, own in found.items() if sisters.SAME_FOR in own})
    return made


def _checked(path: Path, told: Mapping[str, Any]) -> dict[str, Any]:
    """Return answers that are taken; an empty one is not given."""
    found: dict[str, Any] = {}
    for name, value in told.items():
        if name in WORDS:
            fits = value in WORDS[name] or (name == "year" and re.fullmatch(r"(19|20)\d\d", str(value)))
            if value and not fits:
                raise ThirdstepError(f"{path.name}: {name} takes {', '.join(WORDS[name])}, not '{value}'.")
        elif name == "who":
            pass
        elif name in NUMBERS:
            if value and value != LEAVE_UNKNOWN and not NUMBERS[name][0](str(value)):
                raise ThirdstepError(f"{path.name}: write {NUMBERS[name][1]}, not '{value}'.")
        elif name not in NAMED or not isinstance(value, dict):
            raise ThirdstepError(f"{path.name}: there is no question '{name}'. There are: {', '.join(ANSWERED)}.")
        elif name == "families" and (wrong := [one for one in value.values() if one and one not in FAMILIES]):
            raise ThirdstepError(f"{path.name}: a family is one of {', '.join(FAMILIES)}, not '{wrong[0]}'.")
        elif name == "units" and (wrong := [unit for unit in value.values() if unit and not unit_word(str(unit))]):
            raise ThirdstepError(f"{path.name}: '{wrong[0]}' is no unit that is known.")
        elif name == "scales" and (
            wrong := [told for told in value.values() if told and not SCALE.fullmatch(str(told))]
        ):
            raise ThirdstepError(f"{path.name}: write a scale like '1 to 5, 5 is good', not '{wrong[0]}'.")
        elif name == "days" and (wrong := [told for told in value.values() if told and not _is_iso(str(told))]):
            raise ThirdstepError(f"{path.name}: write a day like 2026-10-03, not '{wrong[0]}'.")
        found[name] = {k: str(v) for k, v in value.items() if v} if isinstance(value, dict) else str(value)
    return {name: value for name, value in found.items() if value}


def _check_columns(path: Path, told: Mapping[str, str]) -> None:
    """Refuse what no column can be: it would be obeyed by nobody, and asked again without a word."""
    from pipelines.layouts import is_understood

    wrong = next(((about, answer) for about, answer in told.items() if not is_understood(answer)), None)
    if wrong is not None:
        raise ThirdstepError(
            f"{path.name}: column '{wrong[0]}' was said to be '{wrong[1]}', which is none of the choices beside its "
            "question, no column of the record like session.kind and no heading like 30 m. Write one of those."
        )


def _is_iso(text: str) -> bool:
    try:
        return dt.date.fromisoformat(text) is not None
    except ValueError:
        return False


def gathered(questions: Iterable[Question]) -> list[Question]:
    """Return the questions of several files as one list: each asked once, names first, then the most rows; new names
    as one question.

    A name that may be somebody known, or another new name, is a question of its own.
    """
    merged: dict[tuple[str, str, str], Question] = {}
    for one in questions:
        key = (one.layout, one.ask, one.about)
        before = merged.get(key)
        merged[key] = dataclasses.replace(before, rows=before.rows + one.rows) if before is not None else one
    every = people_asked.as_people(sisters.asked_once(merged.values()))
    return sorted(every, key=lambda one: (one.layout != SQUAD, -one.rows))


def _write(home: Home, layouts: Layouts) -> None:
    home.prepare()  # answers may come before anything else does
    ordered = {name: {k: own[k] for k in (*TOLD, *ANSWERED) if own.get(k)} for name, own in sorted(layouts.items())}
    write_durably(home.answers, tomli_w.dumps({"layout": ordered}).encode("utf-8"))
