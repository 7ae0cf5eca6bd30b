"""The three calls of one athlete with all their reasons, for the coach and in the athlete's own words."""

from typing import Any

from dashboard import wording
from dashboard.parts.marks import mark, prose, text
from dashboard.reads import Opened

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


def three_calls(opened: Opened, athlete_id: str) -> str:
    """Return training, hamstring and start side by side, each with every reason there is."""
    day = latest(opened.rows("readiness_day", {"athlete_id": athlete_id}), "day_on")
    reasons = (
        opened.rows("readiness_reason", {"athlete_id": athlete_id, "day_on": day[0]["day_on"]}, order_by=["rank"])
        if day
        else []
    )
    return (
        f'<div class="three"><div><h2>{wording.TRAINING_TODAY}</h2>{_training(day[0] if day else None, reasons)}</div>'
        f"<div><h2>{wording.HAMSTRING_TITLE}</h2>{_hamstring(opened, athlete_id)}</div>"
        f"<div><h2>{wording.START_TITLE}</h2>{_start(main_progress(opened, athlete_id))}</div></div>"
    )


def _training(day: Row | None, reasons: list[Row]) -> str:
    if day is None:
        return f'{mark("no_call", wording.TRAINING)}<p class="soft">{wording.NO_CALL}</p>'
    planned = day["call"] == "as_planned"
    items = "".join(f"<li>{prose(r['sentence'])}{_since(r)}</li>" for r in reasons)
    if not reasons:
        # A call with a reason rests on less than it should: its own sentence says on what.
        is_plain = planned and not day.get("reason")
        items = f'<li class="soft">{text(wording.NOTHING_UNUSUAL if is_plain else day["sentence"])}</li>'
    minor = None if planned else day.get("caution")  # said where somebody acts on it
    return f"{mark(day['call'], wording.TRAINING)}<ol>{items}</ol>{_checkin(day)}{_soft(minor)}"


def _since(row: Row) -> str:
    if row.get("since_on") is None or row["since_on"] == row["day_on"]:
        return ""
    return f" <small>{text(wording.since(row['since_on']))}</small>"


def _checkin(day: Row) -> str:
    said = wording.last_checkin(day["last_checkin_on"]) if day["last_checkin_on"] else wording.NEVER_CHECKED_IN
    return _soft(said)


def _soft(sentence: str | None) -> str:
    return f'<p class="soft under">{text(sentence)}</p>' if sentence else ""


def _hamstring(opened: Opened, athlete_id: str) -> str:
    flags = latest(opened.rows("hamstring_flag", {"athlete_id": athlete_id}), "day_on")
    if not flags:
        return f'{mark("cannot_say", wording.HAMSTRING)}<p class="soft">{wording.NO_FLAGS}</p>'
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
            how = f"<small class='soft'>{text(wording.flag_basis(flag))}</small>"
            how += f"<small class='soft'>{text(wording.evidence_of(flag, citations))}</small>"
            how += f"<small class='soft'>{text(flag['context'])}</small>" if flag.get("context") else ""
            speaking.append(
                f'<li class="family speaks"><b>{text(label)}</b><span>{prose(flag["sentence"])}{how}</span></li>'
            )
        elif flag["state"] == "quiet" and flag["sentence"]:
            # What a quiet family knows is shown: weeks since return for a year, days since eccentric work, own range.
            lacking.append(
                f'<li class="family none"><span>{text(label)}</span><span>{prose(flag["sentence"])}</span></li>'
            )
        elif flag["state"] == "quiet":
            quiet.append(label)
        else:
            why = caveats.get(flag["reason"] or "", flag["sentence"] or wording.DATA_MISSING)
            lacking.append(
                f'<li class="family none"><span>{text(label)}</span><span>{wording.CANNOT_SAY}: {text(why)}</span></li>'
            )
    rest = f'<li class="soft">{text(wording.quiet_families(quiet))}</li>' if quiet else ""
    return (
        f"{mark(flags[0]['level'], level_words(flags[0]))}<ul>{''.join([*speaking, *lacking])}{rest}</ul>"
        f"{_soft(wording.HAMSTRING_CAUTION) if speaking else ''}{_soft(flags[0].get('caution') if speaking else None)}"
    )


def _start(progress: Row | None) -> str:
    if progress is None:
        word = f'<span class="word">{wording.PROGRESS["not_clear"]}</span>'
        return f'{word}<ul><li class="soft">{wording.NO_TREND}</li></ul>'
    name = wording.series_name(
        progress["metric"],
        progress["start_kind"],
        progress["clock_start"],
        progress["timing_kind"],
        progress["measured_by"],
        progress["set_up"],
    )
    facts = wording.noise_facts(progress)
    return (
        f'<span class="word">{text(wording.PROGRESS.get(progress["word"], progress["word"]))}</span>'
        f"<ul><li>{text(progress['sentence'])}</li><li class='soft'>{text(wording.sentence_case(name))}.</li>"
        f"<li class='soft'>{text(facts)}</li></ul>"
    )


def readiness_rows(opened: Opened, athlete_id: str) -> list[tuple[str, list[Row]]]:
    """Return the rows behind the calls of today: the reasons and the check-ins of the last week."""
    reasons = latest(opened.rows("readiness_reason", {"athlete_id": athlete_id}), "day_on")
    checkins = opened.rows("checkin", {"athlete_id": athlete_id}, order_by=["-checked_on"], limit=7)
    flags = latest(opened.rows("hamstring_flag", {"athlete_id": athlete_id}), "day_on")
    return [("readiness_reason", reasons), ("hamstring_flag", flags), ("checkin", checkins)]
