"""The trail as a chain: each line holds a hash of itself and of the one before, so that none can be changed, put in or
taken out of the middle unseen. The last one's is the head: kept elsewhere, it shows that nothing before it was changed.
"""

import hashlib
import json
import sqlite3

# One statement, so that no second writer can slip in between the line before and this one.
ADD = """insert into trail (at, who, what, about, link)
    select v.*, link_of(
        coalesce((select link from trail order by rowid desc limit 1), ''), v.at, v.who, v.what, v.about)
    from (select ? as at, ? as who, ? as what, ? as about) v"""
STARTS_ANEW = "the trail’s chain starts anew after an erasure; its head was "


def link_of(before: str, at: str, who: str, what: str, about: str) -> str:
    """Return the link of a line: the SHA-256 of the link before it and of its four texts, told apart by JSON."""
    return hashlib.sha256(json.dumps([before, at, who, what, about]).encode()).hexdigest()


def head(db: sqlite3.Connection) -> str:
    """Return the link of the last line; "" of an empty trail."""
    row = db.execute("select link from trail order by rowid desc limit 1").fetchone()
    return str(row[0]) if row else ""


def relink(db: sqlite3.Connection) -> int:
    """Chain every line anew, in order: of a file of an earlier version, and after an erasure; return how many."""
    before, lines = "", db.execute("select rowid, at, who, what, about from trail order by rowid").fetchall()
    for number, *texts in lines:
        before = link_of(before, *texts)
        db.execute("update trail set link = ? where rowid = ?", (before, number))
    return len(lines)


def first_that_does_not_follow(db: sqlite3.Connection) -> str:
    """Name the first line that does not follow the one before it; "" where all do."""
    before = ""
    lines = db.execute("select at, who, what, about, link from trail order by rowid")
    for number, (at, who, what, about, link) in enumerate(lines, 1):
        if link != link_of(before, at, who, what, about):
            return (
                f"line {number} ({at[:16]}, {who}: {what}) does not follow the one before it: it was changed, or one "
                "before it was taken out"
            )
        before = link
    return ""


def place_of_head(db: sqlite3.Connection, told: str) -> str:
    """Say where a head that was kept elsewhere stands in the trail; "" where nowhere."""
    links = [row[0] for row in db.execute("select link from trail order by rowid")]
    if told in links:
        return f"line {links.index(told) + 1} of {len(links)} of the trail is as it was when this head was kept"
    row = db.execute("select at from trail where what = ?", (STARTS_ANEW + told,)).fetchone()
    return f"the trail was written anew by the erasure of {row[0][:16].replace('T', ' ')}" if row else ""
