"""The one home of who is under age."""

import datetime as dt

ADULT_YEARS = 18  # years; the age of majority in most of Europe, from memory. Read the law of the squad's own country


def is_minor(born: dt.date | None, day: dt.date) -> bool:
    """Return whether somebody is known to be under age on a day: until the birthday, one of 29 February on 1 March."""
    if born is None:
        return False
    years = day.year - born.year - ((day.month, day.day) < (born.month, born.day))
    return years < ADULT_YEARS
