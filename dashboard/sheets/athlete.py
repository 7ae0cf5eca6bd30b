"""One athlete's sheet for paper: for a meeting, or in the athlete's own words for the athlete and a guardian."""

import datetime as dt
from typing import Any

from dashboard import wording
from dashboard.charts import start as charts
from dashboard.charts.pictures import picture
from dashboard.parts.advice import advice_of, spoken_to, works_of
from dashboard.parts.calls import Row, latest, level_words, main_progress, why_no_trend
from dashboard.parts.lines import is_above
from dashboard.reads import Opened
from dashboard.screens.athlete.start_rows import Drawing, contacts_drawing, trend_drawing
from dashboard.sheets.typeset import marked, pdf

CHART_WIDTH, CHART_HEIGHT = 700, 148  # px; as wide as the sheet at the size the letters are meant for
DECISIONS_SHOWN = 6


def athlete_sheet(opened: Opened, athlete_id: str, own: bool = False) -> bytes | None:
    """Return an athlete's sheet as PDF; null where the viewer may not see the athlete.

    ``own``: in the athlete's own words, without the hamstring call, which is the coach's to talk about.
    """
    people = {p["athlete_id"]: p for p in opened.board.allowed_athletes(opened.viewer).to_dicts()}
    person = people.get(athlete_id)
    if person is None:
        return None
    info = opened.board.info(opened.viewer)
    day = latest(opened.rows("readiness_day", {"athlete_id": athlete_id}), "day_on")
    flags = latest(opened.rows("hamstring_flag", {"athlete_id": athlete_id}), "day_on")
    advised = advice_of(opened, athlete_id)
    calls = [_training(opened, athlete_id, day[0] if day else None, advised if own else None)]
    calls += [] if own else [_hamstring(flags)]
    calls.append(_start(opened, athlete_id))
    cautions = [wording.WORK_CAUTION, wording.OWN_CAUTION if own else wording.CAUTION_LINE]
    minor = day[0].get("caution") if day else None
    told = {
        "title": person["display_name"],
        "about": wording.about_person(person["event_group"], person["squad"], info.get("squad_name")),
        "week": wording.long_day(day[0]["day_on"]) if day else "",
        "calls": calls,
        "figures": [
            figure for figure in (_trend(opened, athlete_id, own), _contacts(opened, athlete_id, own)) if figure
        ],
        "work_title": wording.WORK_TITLE_OWN if own else wording.WORK_TITLE,
        "advice": _advice(advised, own),
        "work": _work(opened, advised, own),
        "no_work": "" if advised else wording.NO_FOCUS,
        "parts": _parts(opened, athlete_id),
        "seen": wording.SEEN_BY_MINOR if minor else wording.SEEN_BY,
        "caution": " ".join([*([minor] if minor else []), *cautions]),
        "foot": wording.print_foot(info.get("data_to") or info.get("as_of")),
    }
    return pdf("athlete.typ", told)


def _call(title: str, mark: dict[str, str], reasons: list[str]) -> dict[str, Any]:
    return {"title": title, "rule": mark["rule"], "word": mark["word"], "reasons": [r for r in reasons if r]}


def _training(opened: Opened, athlete_id: str, day: Row | None, advised: Row | None) -> dict[str, Any]:
    """Return the training call; ``advised``: the advice where the sheet is in the athlete's own words."""
    call = day["call"] if day else "no_call"
    headline, sentence = spoken_to(opened, advised)
    words = {call: headline} if advised else wording.TRAINING
    reasons = (
        opened.rows("readiness_reason", {"athlete_id": athlete_id, "day_on": day["day_on"]}, order_by=["rank"])
        if day
        else []
    )
    said = [wording.sentence_case(r["sentence"] or "") for r in reasons]
    if advised:
        said = [sentence, *said]
    elif not said:
        said = [wording.NOTHING_UNUSUAL if call == "as_planned" else wording.NO_CALL]
    return _call(wording.TRAINING_TODAY, marked(call, words), said)


def _hamstring(flags: list[Row]) -> dict[str, Any]:
    if not flags:
        return _call(wording.HAMSTRING_TITLE, marked("cannot_say", wording.HAMSTRING), [wording.NO_FLAGS])
    speaking = [
        f"{wording.FAMILIES.get(f['family'], f['family'])}: {f['sentence']}" for f in flags if f["state"] == "speaks"
    ]
    quiet = [wording.FAMILIES.get(f["family"], f["family"]) for f in flags if f["state"] == "quiet"]
    rest = [wording.quiet_families(quiet)] if quiet else []
    said = [*speaking, *rest, *([wording.HAMSTRING_CAUTION] if speaking else [])]
    return _call(wording.HAMSTRING_TITLE, marked(flags[0]["level"], level_words(flags[0])), said)


def _start(opened: Opened, athlete_id: str) -> dict[str, Any]:
    progress = main_progress(opened, athlete_id)
    word = progress["word"] if progress else "not_clear"
    said = [progress["sentence"] or ""] if progress else [why_no_trend(opened, athlete_id)]
    loud = word in ("improving", "slipping")
    return _call(
        wording.START_TITLE,
        {"rule": "plain" if loud else "quiet", "word": wording.PROGRESS.get(word, word), "why": ""},
        said,
    )


def _figure(drawing: Drawing, spec: dict[str, Any]) -> dict[str, str]:
    svg = picture(spec, drawing.rows, "svg", width=CHART_WIDTH, height=CHART_HEIGHT).decode("utf-8")
    return {"title": drawing.title, "caption": drawing.caption, "svg": svg, "alt": drawing.alt}


def _trend(opened: Opened, athlete_id: str, own: bool) -> dict[str, str] | None:
    drawing = trend_drawing(opened, athlete_id, own)
    return _figure(drawing, drawing.trend_spec("print")) if drawing else None


def _contacts(opened: Opened, athlete_id: str, own: bool) -> dict[str, str] | None:
    drawing = contacts_drawing(opened, athlete_id, own, on_paper=True)
    return _figure(drawing, charts.first_contacts("print")) if drawing else None


def _advice(advised: Row | None, own: bool) -> list[str]:
    if advised is None:
        return []
    if own:  # its own words stand on top already
        return [advised["waits"]] if advised["waits"] else []
    head = [] if advised["stands"] in wording.GOES_ON else [f"{advised['headline']}."]
    return [" ".join([*head, advised["sentence"]]), *[said for said in (advised["waits"], advised["caution"]) if said]]


def _work(opened: Opened, advised: Row | None, own: bool) -> list[dict[str, Any]]:
    return [
        {
            "headline": wording.sentence_case(r["headline"]),
            "work": r["work"] if own or not r["when"] else f"{r['when']} {r['work']}",
            "facts": [
                {"name": name, "said": said}
                for name, said in (
                    (wording.WHY, r["why"]),
                    (wording.WOULD_SHOW, r["would_show"]),
                    (wording.EVIDENCE, wording.STRENGTHS.get(r["strength"], r["strength"])),
                )
            ],
            "caution": f"{r['caution']} {wording.OWN_CAUTION}" if own else r["caution"],
        }
        for r in works_of(opened, advised)
    ]


def _parts(opened: Opened, athlete_id: str) -> list[dict[str, Any]]:
    """Return load, strength and decisions, each as a few plain lines."""
    parts = []
    load = opened.rows("load_week", {"athlete_id": athlete_id}, order_by=["-week_of"], limit=1)
    if load:
        last = load[0]
        over = is_above(last)
        parts.append({"title": wording.load_title(last, over), "items": [wording.load_caption(last)]})
    strength = opened.rows("strength_state", {"athlete_id": athlete_id, "side": "both"}, order_by=["-measured_on"])
    said: dict[str, str] = {}
    for row in strength:
        if row["sentence"]:
            said.setdefault(row["item"], row["sentence"])
    if said:
        parts.append({"title": wording.STRENGTH_TITLE, "items": list(said.values())})
    decided = opened.rows("decision", {"athlete_id": athlete_id}, order_by=["-week_of", "topic"], limit=DECISIONS_SHOWN)
    if decided:
        lines = [_decision(row) for row in decided]
        parts.append({"title": wording.DECISIONS_TITLE, "items": lines})
    return parts


def _decision(row: Row) -> str:
    week: dt.date = row["week_of"]
    topic = wording.TOPICS.get(row["topic"], row["topic"])
    note = f" ({row['note']})" if row["note"] else ""
    return f"{wording.week_title(week)}, {topic}: {row['call'] or '–'}{note}"
