"""Who is in the invented squad and which case each one plays."""

import datetime as dt

import polars as pl

TODAY = dt.date(2026, 11, 22)
WEEK = dt.date(2026, 11, 16)
START = WEEK - dt.timedelta(weeks=25)

_PEOPLE = [
    ("Marit Oakhollow", "short_sprints", "A", "talk"),
    ("Teo Brandmere", "short_sprints", "A", "adapt"),
    ("Ines Quarrington", "hurdles", "A", "spike"),
    ("Rune Halvard-Okoro", "long_sprints", "A", "improving"),
    ("Dilys Fernbank", "short_sprints", "B", "thin"),
    ("Caspian Wray", "horizontal_jumps", "A", "returning"),
    ("Noemi Starling-Pace", "combined_events", "B", "silent"),
    ("Jory Threlkeld", "long_sprints", "A", "plain"),
    ("Per Ashdown", "short_sprints", "B", "plain"),
    ("Ashby Linnet", "short_sprints", "B", "plain"),
    ("Oriel Marchbank", "short_sprints", "A", "improving"),
    ("Tamsin Holloway-Reed", "short_sprints", "B", "plain"),
    ("Bram Oldacre", "short_sprints", "A", "plain"),
    ("Wren Castellan", "long_sprints", "A", "plain"),
    ("Ivo Pemberwick", "long_sprints", "B", "plain"),
    ("Sunniva Dale", "long_sprints", "B", "thin"),
    ("Leif Garrowby", "hurdles", "A", "plain"),
    ("Mabyn Trescott", "hurdles", "A", "plain"),
    ("Aurel Finchley", "hurdles", "B", "plain"),
    ("Signe Umberfield", "horizontal_jumps", "A", "plain"),
    ("Corin Vale", "horizontal_jumps", "B", "plain"),
    ("Yestin Moorcroft", "horizontal_jumps", "B", "plain"),
    ("Hedda Sandhurst", "combined_events", "A", "plain"),
    ("Alban Quill", "combined_events", "A", "plain"),
]


def slug(name: str) -> str:
    """Return the athlete_id of a display name."""
    return name.lower().replace(" ", "-")


def athletes() -> pl.DataFrame:
    """Return the invented athletes with the case each one plays."""
    rows = [(slug(n), n, "x", dt.date(2003, 1, 1), g, s, START, None, c) for n, g, s, c in _PEOPLE]
    return pl.DataFrame(
        rows,
        schema={
            "athlete_id": pl.String,
            "display_name": pl.String,
            "sex": pl.String,
            "birth_date": pl.Date,
            "event_group": pl.String,
            "squad": pl.String,
            "joined_on": pl.Date,
            "left_on": pl.Date,
            "case": pl.String,
        },
        orient="row",
    )


def call_of(case: str) -> str:
    """Return the training call the case leads to."""
    return {"talk": "talk_first", "adapt": "adapt", "spike": "adapt", "silent": "no_call"}.get(case, "as_planned")
