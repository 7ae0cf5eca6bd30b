"""The three calls of one athlete with all their reasons, for the coach and in the athlete's own words."""

import datetime as dt
from typing import Any

from dashboard import wording
from dashboard.parts.marks import mark, prose
from dashboard.reads import Opened, monday_of
from schemas.html import Markup, html, join_html

Row = dict[str, Any]


def level_words(flag: Row) -> dict[str, str]:
    """Return the label of a hamstring level: its own words, without them that of the level."""
    return wording.HAMSTRING | ({flag["level"]: flag["level_words"]} if flag.get("level_words") else {})


def latest(rows: list[Row], key: str) -> list[Row]:
    """Return the rows of the last day among them."""
    last = max((r[key] for r in rows if r[key] is not None), default=None)
    return [r for r in rows if r[key] == last] if last is not None else []


def main_progress(opened: Opened, athlete_id: str) -> Row | None:
    """Return the series of the start that is shown first; null when there is none."""
    rows = opened.rows("start_progress", {"athlete_id": athlete_id}, order_by=["-is_main", "-last_on"])
    return next((r for r in rows if r["is_main"]), None)


def still_standing(
    opened: Opened, athlete_ids: list[str], day: dt.date, monday: dt.date | None = None
) -> dict[str, str]:
    """Return what was decided in an earlier week and stands on a day, by athlete, in words.

    That is what says for how long, and what holds something back.
    """
    before = monday if monday is not None else monday_of(day)
    stands = {"athlete_id": athlete_ids, "week_of": ("<", before), "from_on": ("<=", day), "until_on": (">=", day)}
    said: dict[str, list[str]] = {}
    for row in opened.rows("standing_decision", stands, order_by=["athlete_id", "week_of", "topic"]):
        if row["says_how_long"] or row["restrains"]:
            said.setdefault(row["athlete_id"], []).append(wording.still_decided(row["call"], row["until_on"]))
    return {who: " ".join(some) for who, some in said.items()}


def three_calls(opened: Opened, athlete_id: str) -> Markup:
    """Return training, hamstring and start side by side, each with every reason there is."""
    day = latest(opened.rows("readiness_day", {"athlete_id": athlete_id}), "day_on")
    reasons = (
        opened.rows("readiness_reason", {"athlete_id": athlete_id, "day_on": day[0]["day_on"]}, order_by=["rank"])
        if day
        else []
    )
    return (
        html(
            '<div class="three"><div><h2>{}</h2>{}</div>',
            wording.TRAINING_TODAY,
            _training(day[0] if day else None, reasons) + _standing(opened, athlete_id, day),
        )
        + html("<div><h2>{}</h2>{}</div>", wording.HAMSTRING_TITLE, _hamstring(opened, athlete_id))
        + html("<div><h2>{}</h2>{}</div></div>", wording.START_TITLE, _start(opened, athlete_id))
    )


def _training(day: Row | None, reasons: list[Row]) -> Markup:
    if day is None:
        return html('{}<p class="soft">{}</p>', mark("no_call", wording.TRAINING), wording.NO_CALL)
    planned = day["call"] == "as_planned"
    items = join_html(html("<li>{}{}</li>", prose(r["sentence"]), _since(r)) for r in reasons)
    if not reasons:
        # A call with a reason rests on less than it should: its own sentence says on what.
        is_plain = planned and not day.get("reason")
        items = html('<li class="soft">{}</li>', wording.NOTHING_UNUSUAL if is_plain else day["sentence"])
    minor = None if planned else day.get("caution")  # said where somebody acts on it
    return html("{}<ol>{}</ol>{}{}", mark(day["call"], wording.TRAINING), items, _checkin(day), _soft(minor))


def _standing(opened: Opened, athlete_id: str, day: list[Row]) -> Markup:
    """Return what was decided earlier and stands on the day of the call."""
    said = still_standing(opened, [athlete_id], day[0]["day_on"]).get(athlete_id) if day else None
    return html('<p class="under"><b>{}</b></p>', said) if said else Markup()


def _since(row: Row) -> Markup:
    if row.get("since_on") is None or row["since_on"] == row["day_on"]:
        return Markup()
    return html(" <small>{}</small>", wording.since(row["since_on"]))


def _checkin(day: Row) -> str:
    said = wording.last_checkin(day["last_checkin_on"]) if day["last_checkin_on"] else wording.NEVER_CHECKED_IN
    return _soft(said)


def _soft(sentence: str | None) -> Markup:
    return html('<p class="soft under">{}</p>', sentence) if sentence else Markup()


def _hamstring(opened: Opened, athlete_id: str) -> Markup:
    flags = latest(opened.rows("hamstring_flag", {"athlete_id": athlete_id}), "day_on")
    if not flags:
        return html('{}<p class="soft">{}</p>', mark("cannot_say", wording.HAMSTRING), wording.NO_FLAGS)
    caveats = {c["code"]: c["sentence"] for c in opened.rows("caveat")}
    sources = {f["source"] for f in flags if f["state"] == "speaks" and f["source"]}
    cited = opened.rows("knowledge", {"source_key": sorted(sources)}) if sources else []
    citations = {k["source_key"]: wording.source_name(k["source_key"], {k["source_key"]: k}) for k in cited}
    by_family = {f["family"]: f for f in flags}
    speaking, lacking, quiet = [], [], []
    for family, label in wording.FAMILIES.items():
        flag = by_family.get(family)
        if flag is None:
            continue
        if flag["state"] == "speaks":
            how = html("<small class='soft'>{}</small>", wording.flag_basis(flag))
            how += html("<small class='soft'>{}</small>", wording.evidence_of(flag, citations))
            how += html("<small class='soft'>{}</small>", flag["context"]) if flag.get("context") else ""
            speaking.append(
                html('<li class="family speaks"><b>{}</b><span>{}{}</span></li>', label, prose(flag["sentence"]), how)
            )
        elif flag["state"] == "quiet" and flag["sentence"]:
            # What a quiet family knows is shown: weeks since return for a year, days since eccentric work, own range.
            lacking.append(
                html('<li class="family none"><span>{}</span><span>{}</span></li>', label, prose(flag["sentence"]))
            )
        elif flag["state"] == "quiet":
            quiet.append(label)
        else:
            why = caveats.get(flag["reason"] or "", flag["sentence"] or wording.DATA_MISSING)
            lacking.append(
                html('<li class="family none"><span>{}</span><span>{}: {}</span></li>', label, wording.CANNOT_SAY, why)
            )
    rest = html('<li class="soft">{}</li>', wording.quiet_families(quiet)) if quiet else ""
    return html(
        "{}<ul>{}{}</ul>", mark(flags[0]["level"], level_words(flags[0])), join_html([*speaking, *lacking]), rest
    ) + html(
        "{}{}",
        _soft(wording.HAMSTRING_CAUTION) if speaking else "",
        _soft(flags[0].get("caution") if speaking else None),
    )


def why_no_trend(opened: Opened, athlete_id: str) -> str:
    """Say why there is no line of the start: what is wrong with most of the runs, or that there are too few."""
    left_out = opened.rows("start_left_out", {"athlete_id": athlete_id}, order_by=["-runs"], limit=1)
    return wording.NO_LINE_OF_THESE.format(left_out[0]["sentence"]) if left_out else wording.NO_TREND


def _start(opened: Opened, athlete_id: str) -> Markup:
    progress = main_progress(opened, athlete_id)
    if progress is None:
        word = html('<span class="word">{}</span>', wording.PROGRESS["not_clear"])
        return html('{}<ul><li class="soft">{}</li></ul>', word, why_no_trend(opened, athlete_id))
    name = wording.series_name(
        progress["metric"],
        progress["start_kind"],
        progress["clock_start"],
        progress["timing_kind"],
        progress["measured_by"],
        progress["set_up"],
    )
    facts = wording.noise_facts(progress)
    return html(
        "<span class=\"word\">{}</span><ul><li>{}</li><li class='soft'>{}.</li><li class='soft'>{}</li></ul>",
        wording.PROGRESS.get(progress["word"], progress["word"]),
        progress["sentence"],
        wording.sentence_case(name),
        facts,
    )


def readiness_rows(opened: Opened, athlete_id: str) -> list[tuple[str, list[Row]]]:
    """Return the rows behind the calls of today: the reasons and the check-ins of the last week."""
    reasons = latest(opened.rows("readiness_reason", {"athlete_id": athlete_id}), "day_on")
    checkins = opened.rows("checkin", {"athlete_id": athlete_id}, order_by=["-checked_on"], limit=7)
    flags = latest(opened.rows("hamstring_flag", {"athlete_id": athlete_id}), "day_on")
    return [("readiness_reason", reasons), ("hamstring_flag", flags), ("checkin", checkins)]


def levels_of(opened: Opened) -> dict[str, float]:
    """Return the numbers in force of those lines of the rule that are told to an athlete."""
    return {item: opened.setting(name) for item, name in wording.PLAIN_SETTINGS.items()}


def last_answers(opened: Opened, athlete_id: str) -> list[Row]:
    """Return the answers of the last check-in, each with the own usual it was held against."""
    return latest(opened.rows("checkin_answer", {"athlete_id": athlete_id}), "checked_on")
