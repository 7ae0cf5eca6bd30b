"""What remarks of notes say of a session or a morning in numbers: 'RPE 7, 70 min', 'Slept 7 h, soreness 5, mood 2'."""

import dataclasses
import re
from collections.abc import Sequence

from pipelines.layouts.sheets.items_down import OF_A_DAY
from pipelines.layouts.text.noted_efforts import effort_in, is_of_that_day, session_in
from pipelines.layouts.text.told_lines import Told, made_table
from pipelines.layouts.words.headings import read_heading
from schemas.intake import TextTable
from schemas.spelling import fold

EFFORT, MINUTES = r"rpe\s*:?\s*(\d{1,2}(?:[.,]\d)?)(?:\s*/\s*10)?", r"(\d{1,3})\s*(?:min|mins|minutes|'|′)"
MINUTES_SAID = re.compile(rf"{EFFORT}\s*[,;/]?\s*{MINUTES}|{MINUTES}\s*[,;/]?\s*{EFFORT}", re.I)
# One thing, its number and its unit: 'soreness 5', 'slept: 7.5 h', '61.2 kg this morning'
SAID = re.compile(
    r"([^\W\d_][^\d,;:]*?)\s*[:=]?\s*(\d{1,3}(?:[.,]\d{1,2})?(?:\s*/\s*\d{1,2})?)\s*"
    r"(h|hrs?|hours?|kg|min|mins|minutes)?", re.I,
)  # fmt: skip
MOST_ITEMS = 12  # different ones in a text; own choice


def sessions_of(table: TextTable, told: Sequence[Told], people: dict[str, int]) -> tuple[list[TextTable], list[Told]]:
    """Return the tables of mornings and sessions that remarks are, and the lines that say something else."""
    answers, told = _answered(table, told, people)
    efforts, told = _rated(table, told, people)
    return [*answers, *efforts], told


def _answered(table: TextTable, told: Sequence[Told], people: dict[str, int]) -> tuple[list[TextTable], list[Told]]:
    """Return a table of what known people's remarks answer in numbers where all of a remark is such answers, and the
    lines without those. A column is headed as the text says it, so that its scale is asked as of any other.
    """
    found: list[tuple[Told, dict[str, str]]] = []
    for one in told:
        said = _answers(one.remark) if one.day and not (one.lifts or one.runs) and people.get(fold(one.name)) else {}
        if said:
            found.append((one, said))
    items = list(dict.fromkeys(item for _, said in found for item in said))
    if not found or len(items) > MOST_ITEMS:
        return [], list(told)
    rows = [(one.line, [one.day, one.name, *(said.get(item, "") for item in items)]) for one, said in found]
    taken = {one.line for one, _ in found}
    return [made_table(table, ["Date", "Name", *items], rows, {})], [one for one in told if one.line not in taken]


def _answers(text: str) -> dict[str, str]:
    parts = [SAID.fullmatch(part.strip()) for part in re.split(r"[,;]\s+|\s+[-–]\s+", text.strip().rstrip("."))]
    found: dict[str, str] = {}
    for one in parts:
        heading = _heading(one) if one is not None else ""
        if one is None or not OF_A_DAY & {*read_heading(0, heading).names[:1]} or heading in found:
            return {}
        found[heading] = one[2]
    return found if len(found) > 1 else {}


def _heading(one: re.Match[str]) -> str:
    what = one[1].strip().lower()
    return f"{what} ({one[3].lower()})" if one[3] else what


def _rated(table: TextTable, told: Sequence[Told], people: dict[str, int]) -> tuple[list[TextTable], list[Told]]:
    """Return tables of sessions for remarks that say minutes and effort, and the lines without those that say nothing
    else, 'RPE 7, 70 min'. Inside a message, 'done, 75 min, RPE 7. legs heavy', it is known people's, on a day.
    """
    rows, left = [], []
    inside: list[tuple[int, list[str]]] = []
    whole: list[tuple[int, list[str]]] = []
    for one in told:
        is_plain = one.day and not one.lifts and not one.runs and people.get(fold(one.name))
        if is_plain and (session := session_in(one.remark)) is not None:  # all of it is understood
            kind, *effort = session
            (whole if kind else inside).append((one.line, [one.day, one.name, *([kind] if kind else []), *effort]))
            continue
        said = MINUTES_SAID.fullmatch(one.remark.strip(" .;,")) if one.lifts or one.runs else None
        if said is None:
            left.append(one)
            is_own = one.day and people.get(fold(one.name)) and is_of_that_day(one.remark, people)
            if is_own and (told_of := effort_in(one.remark)) is not None:
                inside.append((one.line, [one.day, one.name, *told_of]))
            continue
        rows.append((one.line, [one.day, one.name, said[2] or said[3], said[1] or said[4]]))
        left.append(dataclasses.replace(one, remark=""))
    head = ["Date", "Name", "Minutes"]
    made = [made_table(table, [*head, "RPE (0-10)"], rows, {})] if rows else []
    made += [made_table(table, ["Date", "Name", "Session", "Minutes", "RPE"], whole, {})] if whole else []
    return [*made, *([made_table(table, [*head, "RPE"], inside, {})] if inside else [])], left
