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
