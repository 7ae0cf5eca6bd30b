"""When a form was sent, beside the day it is about: 'Timestamp' beside 'Date of the session'."""

import dataclasses
import re
from collections.abc import Sequence

from pipelines.layouts.words.evidence import Evidence
from pipelines.layouts.words.headings import Heading

STAMP = "stamp"  # no column of the record: when an answer was sent
OF_THE_DAY = re.compile(r"\d{1,4}[./-]\d{1,2}[./-]\d{1,4}[ T,]+\d{1,2}:\d{2}.*")  # a day with a time behind it
MOST = 0.8


def with_stamps_apart(headings: Sequence[Heading], seen: dict[int, Evidence]) -> list[Heading]:
    """Return the headings where, of two columns that may be the day of a row, the one of days alone is the day: an
    answer may be sent on the next morning. A stamp without such a column beside it, or beside one with gaps, stays.
    """
    days = [one for one in headings if "date" in one.names and not seen[one.place].is_empty]
    sent = [one for one in days if not one.is_told and _share(seen[one.place]) >= MOST]
    named = [one for one in headings if one.names[:1] == ("onset_on",) and seen[one.place].days >= MOST]  # of an injury
    said = [one for one in (*days, *named) if one not in sent and not _share(seen[one.place])]
    if len(sent) != 1 or len(said) != 1 or seen[said[0].place].filled < seen[sent[0].place].filled:
        return list(headings)
    return [dataclasses.replace(one, names=(STAMP,), loose=()) if one is sent[0] else one for one in headings]


def _share(seen: Evidence) -> float:
    return sum(1 for text in seen.texts if OF_THE_DAY.fullmatch(text)) / len(seen.texts)
