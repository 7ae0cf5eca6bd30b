"""A day a year from the rows around it is a doubt that is told; nothing is corrected and nothing set aside."""

import pytest

from tests.intake import rows, take_in


def sheet(*days):
    return "Name,Date,10 m,30 m\n" + "".join(f"Ana Berg,{day},1.8{n},4.0{n}\n" for n, day in enumerate(days))


@pytest.mark.parametrize(("days", "line", "would"), [
    # a slip of the year between two rows of its day, at the end, and at the turn of the year
    (("2026-10-05", "2025-10-05", "2026-10-05", "2026-10-12"), 3, "2026-10-05"),
    (("2026-10-05", "2026-10-06", "2026-10-12", "2025-10-19"), 5, "2026-10-19"),
    (("2025-12-20", "2025-12-28", "2025-01-04", "2026-01-10"), 4, "2026-01-04"),
])  # fmt: skip
def test_a_slip_of_the_year_is_told_and_kept(days, line, would):
    checked = take_in(sheet(*days))
    [told] = [note for note in checked.notes if "a year from the days around it" in note]
    assert told.startswith(f"line {line}: ")
    assert f"{would} would stand among them" in told
    assert {str(day) for (day,) in rows(checked, "session", "session_date")} == set(days)
    assert checked.set_aside.is_empty()


@pytest.mark.parametrize("days", [
    ("2025-10-05", "2025-10-12", "2026-10-05", "2026-10-12"),  # two seasons
    ("2024-10-05", "2025-03-12", "2025-10-05", "2026-03-12"),  # tests twice a year
    ("2026-10-05", "2025-10-05"),  # two rows tell nothing
    ("2025-12-28", "2026-01-04", "2026-01-10", "2026-01-17"),
])  # fmt: skip
def test_days_of_several_seasons_are_no_doubt(days):
    assert not [note for note in take_in(sheet(*days)).notes if "a year from" in note]
