"""Sheets of what the record has no table for: named for what they are, so that nobody looks for a fault in them."""

import dataclasses
import re
from collections.abc import Iterable, Sequence

from pipelines.cells.events import is_over_hurdles
from pipelines.layouts.words.headings import Heading
from pipelines.layouts.words.titled import texts_of
from schemas.intake import NotRead, TextTable
from schemas.spelling import fold

# 'hurdle 3' in its languages, folded; 'H3' where the title says hurdles. Common practice, no source.
HURDLE = re.compile(
    r"(?:td |touchdown |touchdowns )?(?P<word>hurdles?|vall[ae]s?|tanca|hurde|huerde|haie|ostacol[oi]|barreira"
    r"|horde|hack|hekk|haekk|aita|aidat|prekazka|plotek|h|hd) ?(?:no |nr |n )?(?P<number>\d{1,2})(?: s| sec)?"
)
SHORT = ("h", "hd")
HURDLES = re.compile(
    r"(?<![a-z])(?:hurdles?|vallas?|tanques|hurden?|haies?|ostacoli|barreiras|horden?|hackar?|touchdowns?)"
)
FEWEST, FEWEST_SAID = 3, 2  # hurdles one after the other; where a title says hurdles
TOUCHDOWNS = (
    "it holds times at each hurdle (touchdowns), and the record keeps none of those: a result has one time, and a run "
    "has gates at distances. Nothing of it is stored."
)
# Marks and words of a register, and of a sheet of who is able to train. Common practice, no source.
HERE = {
    "/", "\\", "aanwezig", "anwesend", "avail", "available", "da", "fit", "full", "full training", "here", "in",
    "late", "limited", "mod", "modified", "närvarande", "p", "paikalla", "partial", "present", "presente",
    "présent", "restricted", "til stede", "v", "x", "y", "yes", "✓", "✔"
}  # fmt: skip
NOT_HERE = {
    "-", "a", "abs", "absent", "afwezig", "assente", "ausente", "away", "blessé", "blessée", "e", "enferma",
    "enfermo", "entschuldigt", "exc", "excused", "excusé", "excusée", "fehlt", "frånvarande", "geblesseerd",
    "holiday", "i", "ill", "infortunato", "inj", "injured", "krank", "lesionada", "lesionado", "malade", "malata",
    "malato", "n", "no", "not available", "o", "off", "out", "poissa", "rehab", "rest", "s", "sairas", "school",
    "sick", "sjuk", "skadad", "unavailable", "unfit", "verletzt", "work", "ziek", "–"
}  # fmt: skip
REMARKED = re.compile(r"\s*(?:[-–:,;]\s+\S.*|\(.*)$")  # 'out - shin', 'modified (no sprints)'
# Cells, of which marks may mean other things; the share of them that are such words. Own choice
FEWEST_DAYS, ALL, WORD = 4, 0.9, 3
ATTENDANCE = (
    "it says day by day who was there or able to train, and the record keeps none of that: check-ins, injuries and "
    "what was done say it. Nothing of it is stored."
)
KEEP_IT = "Load injuries and days off as lists of their own; keep this sheet as it is."
WHAT_TO_DO = "Load the time of the whole race as a result; keep this sheet as it is."


def touchdowns(table: TextTable) -> NotRead | None:
    """Return that a sheet holds times at each hurdle, which no table keeps; None for other sheets."""
    said = HURDLES.search(fold(" ".join(texts_of(table)))) is not None
    cells = table.rows["c0"].drop_nulls().to_list() if "c0" in table.rows.columns else []
    if _counts_hurdles(table.header, is_said=said) or _counts_hurdles(cells, is_said=said):
        return NotRead(TOUCHDOWNS, WHAT_TO_DO)
    return None


def _counts_hurdles(texts: Iterable[str], *, is_said: bool) -> bool:
    """Return whether texts name some hurdles, one after the other."""
    found = (HURDLE.fullmatch(fold(text)) for text in texts)
    numbers = {int(one["number"]) for one in found if one is not None and (is_said or one["word"] not in SHORT)}
    fewest = FEWEST_SAID if is_said else FEWEST
    return any(set(range(number, number + fewest)) <= numbers for number in numbers)


def attendance(table: TextTable) -> NotRead | None:
    """Return that a sheet of days says who was there or able to train ('full', 'modified', 'out'; '/', 'a', 's'), which
    no table keeps; None for other sheets. Stored as sessions they would be sessions that nobody did.
    """
    place = len(table.header) - 1
    if table.turned != "days" or table.header[place] != "Session" or f"c{place}" not in table.rows.columns:
        return None
    cells = [REMARKED.sub("", cell).strip().lower() for cell in table.rows[f"c{place}"].drop_nulls()]
    there = sum(1 for cell in cells if cell in HERE)
    fewest = FEWEST_DAYS if any(len(cell) < WORD for cell in cells) else 1
    if len(cells) < fewest or not there or there + sum(1 for cell in cells if cell in NOT_HERE) < ALL * len(cells):
        return None
    return NotRead(ATTENDANCE, KEEP_IT)


def is_hurdled(table: TextTable) -> bool:
    """Return whether a title, the tab or the file says that what stands below was run over hurdles."""
    return any(is_over_hurdles(text) for text in texts_of(table))


def flat_unsaid(headings: Sequence[Heading], table: TextTable) -> list[Heading]:
    """Return headings below a title of hurdles without runs: a time over hurdles is none of the flat, and whether they
    stood there for these is asked.
    """
    if not is_hurdled(table):
        return list(headings)
    is_long = any("distance_m" in one.names[:1] for one in headings)
    return [
        dataclasses.replace(one, gate_m=None, from_m=None, run_no=None, is_fly=False, is_bare_number=False, names=())
        if not one.is_told and (
            one.gate_m is not None or one.run_no is not None or (is_long and "elapsed_s" in one.names)
        ) else one
        for one in headings
    ]  # fmt: skip
