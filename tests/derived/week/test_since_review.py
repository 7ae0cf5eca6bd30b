"""What changed since the last closed review."""

import datetime as dt
from typing import Any

import polars as pl

from pipelines.derived.week.since_review import review_change, review_since
from schemas.derived.review import ReviewChange, ReviewSince

MONDAY = dt.date(2026, 11, 16)
CLOSED = dt.datetime(2026, 11, 8, 18, 40)
SHEET = {"athlete_id": pl.String, "week_of": pl.Date, "day_on": pl.Date, "training_call": pl.String,
         "progress_word": pl.String}  # fmt: skip
FLAG = {"athlete_id": pl.String, "day_on": pl.Date, "family": pl.String, "state": pl.String}
LINE = {"athlete_id": pl.String, "week_of": pl.Date, "closed_at": pl.Datetime("us"), "training_call": pl.String,
        "hamstring_families": pl.String, "progress_word": pl.String}  # fmt: skip


def sheet(call: str, word: str | None, week_of: dt.date = MONDAY) -> dict[str, Any]:
    return {"athlete_id": "ann", "week_of": week_of, "day_on": week_of + dt.timedelta(days=6), "training_call": call,
            "progress_word": word}  # fmt: skip


def line(weeks_back: int, call: str, families: str | None, word: str | None) -> dict[str, Any]:
    return {"athlete_id": "ann", "week_of": MONDAY - dt.timedelta(weeks=weeks_back), "closed_at": CLOSED,
            "training_call": call, "hamstring_families": families, "progress_word": word}  # fmt: skip


def changed(
    now: dict[str, Any], lines: list[dict[str, Any]], families: tuple[str, ...] = ()
) -> list[tuple[dt.date, str | None]]:
    flags = [{"athlete_id": "ann", "day_on": now["day_on"], "family": name, "state": "speaks"} for name in families] + [
        {"athlete_id": "ann", "day_on": now["day_on"], "family": "history", "state": "quiet"}
    ]
    rows = review_change(
        pl.DataFrame([now], schema=SHEET), pl.DataFrame(flags, schema=FLAG), pl.DataFrame(lines, schema=LINE)
    )
    ReviewChange.validate(rows)
    return rows.select("review_of", "changed").rows()


def test_a_line_is_set_against_the_last_closed_review_before_its_week():
    lines = [line(3, "adapt", "state", "holding"), line(2, "as_planned", None, "holding")]
    # the review two weeks back is the last; the week's own and later ones do not count
    lines += [line(0, "talk_first", None, "holding"), line(-1, "talk_first", None, "holding")]
    found = changed(sheet("adapt", "improving"), lines, ("state", "start_pattern"))
    assert found == [
        (
            MONDAY - dt.timedelta(weeks=2),
            "adapt, as planned then; hamstring: state and start pattern new; start improving, holding then",
        )
    ]


def test_nothing_changed_is_null_and_a_family_that_fell_silent_is_no_news():
    found = changed(sheet("adapt", "not_clear"), [line(1, "adapt", "state exposure", "holding")], ("state",))
    assert found == [(MONDAY - dt.timedelta(weeks=1), None)]


def test_progress_that_is_not_known_now_says_nothing():
    assert changed(sheet("adapt", None), [line(1, "adapt", None, "slipping")])[0][1] is None


def test_without_a_closed_review_there_is_no_row():
    assert changed(sheet("adapt", "holding"), []) == []
    assert changed(sheet("adapt", "holding"), [line(0, "adapt", None, None)]) == []


def since(now: dict[str, Any], kept: dict[str, Any], families: tuple[str, ...] = ()) -> list[tuple[str, bool]]:
    flags = [{"athlete_id": "ann", "day_on": now["day_on"], "family": name, "state": "speaks"} for name in families]
    rows = review_since(
        pl.DataFrame([now], schema=SHEET), pl.DataFrame(flags, schema=FLAG), pl.DataFrame([kept], schema=LINE)
    )
    ReviewSince.validate(rows)
    return rows.select("changed", "reads_injury").rows()


def test_a_closed_week_says_what_is_different_now_and_nothing_where_it_stands_as_kept():
    kept = line(0, "as_planned", None, "holding")
    assert since(sheet("as_planned", "holding"), kept) == []
    assert since(sheet("talk_first", "holding"), kept) == [("now talk first", False)]
    assert since(sheet("talk_first", "slipping"), kept, ("history", "capacity")) == [
        ("now talk first, hamstring now watch: injury and strength, start now slipping", True)
    ]
    assert since(sheet("as_planned", "holding"), line(1, "adapt", None, "holding")) == []  # of another week
