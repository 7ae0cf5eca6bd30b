"""One advice per athlete: over every combination of what is known, no two of its sentences contradict."""

import re
from itertools import product
from typing import Any

import polars as pl
import pytest

from pipelines.derived.start.focus_words import WORKS
from pipelines.derived.week.advice import advice, advised_work
from pipelines.derived.week.advice_words import ADAPT_BY, DEMANDING, FINDINGS, FLAG_CAUTION, STANDINGS, TERMS
from schemas.derived.advice import Advice, AdvisedWork
from schemas.derived.focus import LIMITS
from schemas.knowledge.readiness import MINOR_CAUTION, READINESS_RULE
from schemas.vocabulary import ADAPTATIONS, ADVICE, HAMSTRING_LEVELS, TRAINING_CALLS
from tests.derived.common.review_frames import AS_OF, day, frame

MONDAY = day(6)
AGES = {"minor": day(365 * 16), "grown": day(365 * 25), "unknown": None}


def proposal(who: str, limit: str, rank: int = 1) -> dict[str, Any]:
    work = WORKS[limit]
    return {"athlete_id": who, "week_of": MONDAY, "rank": rank, "limit": limit, "why": "Because.", **vars(work)}


def made(people: list[dict[str, Any]]) -> tuple[pl.DataFrame, pl.DataFrame]:
    """Return the advice and its work for people as ``USUAL`` has them; ``item`` is the reason that asks to adapt."""
    every = [{"athlete_id": f"a{number}", **one} for number, one in enumerate(people)]
    calls = pl.DataFrame(
        [{"athlete_id": p["athlete_id"], "day_on": AS_OF, "call": p["call"]} for p in every],
        schema={"athlete_id": pl.String, "day_on": pl.Date, "call": pl.String},
    )
    reasons = pl.DataFrame(
        [
            {"athlete_id": p["athlete_id"], "day_on": AS_OF, "rank": 1, "item": p["item"],
             "pushes_to": "talk_first" if p["call"] == "talk_first" else "adapt"}
            for p in every
            if p["item"]
        ],
        schema={"athlete_id": pl.String, "day_on": pl.Date, "rank": pl.Int64, "item": pl.String,
                "pushes_to": pl.String},
    )  # fmt: skip
    flags = pl.DataFrame(
        [{"athlete_id": p["athlete_id"], "day_on": AS_OF, "level": p["level"]} for p in every],
        schema={"athlete_id": pl.String, "day_on": pl.Date, "level": pl.String},
    )
    ladder = frame("return_ladder", *({"athlete_id": p["athlete_id"], "is_current": p["ladder"]} for p in every))
    focus = frame("start_focus", *(
        proposal(p["athlete_id"], limit, rank) for p in every for rank, limit in enumerate(p["limits"], start=1)
    ))  # fmt: skip
    plan = frame("plan", *(
        {"athlete_id": p["athlete_id"], "planned_on": day(-2), "plan_no": 1, "kind": "top_speed"}
        for p in every if p["plan"]
    ))  # fmt: skip
    people_frame = frame("athlete", *({"athlete_id": p["athlete_id"], "birth_date": AGES[p["age"]]} for p in every))
    mass = frame("body_measure", *(
        {"athlete_id": p["athlete_id"], "measured_on": day(9), "body_mass_kg": 70.0} for p in every if p["mass"]
    ))  # fmt: skip
    told = advice(calls, reasons, flags, ladder, focus, plan, people_frame, as_of=AS_OF)
    work = advised_work(told, focus, mass, as_of=AS_OF)
    Advice.validate(told)
    AdvisedWork.validate(work)
    return told, work


USUAL = {"call": "as_planned", "item": None, "level": "none", "ladder": False, "age": "grown", "plan": False,
         "limits": ("push_cut_short",), "mass": True}  # fmt: skip


def one(**change: Any) -> tuple[dict[str, Any], list[dict[str, Any]]]:
    told, work = made([USUAL | change])
    return told.row(0, named=True), work.to_dicts()


EVERY = [
    {"call": call, "item": item, "level": level, "ladder": ladder, "age": age, "plan": plan, "limits": limits,
     "mass": mass}
    for call, level, ladder, age, plan, mass in product(
        TRAINING_CALLS, HAMSTRING_LEVELS, (False, True), AGES, (False, True), (False, True)
    )
    for item in {"adapt": ADAPT_BY, "talk_first": (None, "open_injury")}.get(call, (None,))
    for limits in [(), *((limit,) for limit in LIMITS), ("push_too_long", "push_cut_short")]
]  # fmt: skip
GOING_ON = re.compile(r"go on as planned|train as planned|train as your plan|keep the work|nothing is unusual", re.I)
HOLDING = re.compile(
    r"talk first|before the talk|no maximal runs|less volume|less intensity|adapt|check in|ask for a check-in|way back",
    re.I,
)
DEMANDS = re.compile(r"(?<!nothing )(?<!nothing at )(?<!anything fast or )\b(heavy|full effort|maximal)\b", re.I)


def test_no_two_sentences_of_one_athlete_contradict():
    told, work = made(EVERY)
    assert told.height == len(EVERY)
    works: dict[str, list[dict[str, Any]]] = {}
    for row in work.to_dicts():
        works.setdefault(row["athlete_id"], []).append(row)
    seen = set()
    for row in told.to_dicts():
        known = EVERY[int(row["athlete_id"][1:])]
        theirs = works.get(row["athlete_id"], [])
        said = " | ".join(
            [row[name] for name in ("headline", "sentence", "own_headline", "own_sentence")]
            + [w[name] for w in theirs for name in ("headline", "work")]
        )
        seen.add(row["stands"])
        assert not (GOING_ON.search(said) and HOLDING.search(said)), (known, said)
        if known["call"] in ("talk_first", "no_call", "cannot_say") or known["ladder"]:
            assert not theirs, (known, said)
            assert not DEMANDS.search(said.replace("No maximal runs", "")), (known, said)
            assert not GOING_ON.search(said), (known, said)
        if known["call"] != "as_planned":  # a call to change, ask or talk never stands beside 'as planned'
            assert "as planned" not in said.lower(), (known, said)
        if known["call"] == "adapt":
            assert all(TERMS[w["limit"]].demand == "light" for w in theirs), (known, said)
        if known["call"] == "talk_first":
            assert row["stands"] == ("injury" if known["item"] else "talk")
        if known["age"] == "minor":
            for w in theirs:
                if TERMS[w["limit"]].demand in DEMANDING:
                    assert w["headline"].startswith("Supervised, technique first"), w
                    assert "only with the coach beside them" in w["work"]
                assert "Heavy sled" not in w["work"] + w["headline"]
            assert row["caution"].startswith(MINOR_CAUTION)
        if known["age"] == "unknown":
            assert all("No birth date" in w["caution"] for w in theirs if TERMS[w["limit"]].demand in DEMANDING)
        if known["level"] in ("one_family", "several_families"):
            assert FLAG_CAUTION in row["caution"]
        assert all(w["caution"] and w["caution_short"] for w in theirs)
    assert seen == set(ADVICE)


def test_every_limit_reason_and_standing_has_its_words():
    assert set(TERMS) == set(LIMITS) == set(WORKS)
    assert set(FINDINGS) == set(LIMITS) - {"keep"}
    assert set(ADAPT_BY) == {rule.item for rule in READINESS_RULE if rule.pushes_to == "adapt"}
    assert set(ADAPT_BY.values()) == set(ADAPTATIONS)
    assert set(STANDINGS) == set(ADVICE)


def test_going_on_names_the_work_with_its_caution():
    told, (work,) = one()
    assert (told["stands"], told["headline"]) == ("go_on", "Heavy sled starts: three steps, then ten")
    assert (told["waits"], told["caution"]) == (None, None)
    assert work["headline"] == told["headline"]
    assert "supervise" in work["caution"]


def test_a_talk_holds_the_work_and_the_planned_session_and_names_both():
    told, works = one(call="talk_first", plan=True)
    assert works == []
    assert told["headline"] == "No maximal runs before the talk"
    assert told["waits"] == (
        "Waits until after the talk: the push cut short and the maximal session planned for 24 Nov."
    )


def test_an_adapt_says_how_by_its_strongest_reason():
    told, works = one(call="adapt", item="week_load", limits=("keep",))
    assert (told["headline"], told["own_headline"]) == ("Adapt: less volume", "Adapt today: less volume")
    assert works == []
    told, works = one(call="adapt", item="soreness", limits=("push_too_long",))
    assert (told["headline"], len(works)) == ("Adapt: no maximal runs", 1)  # light work goes with it


def test_the_way_back_stands_before_everything_but_a_talk_and_rests_on_the_injury_record():
    for call in ("as_planned", "adapt", "no_call", "cannot_say"):
        told, works = one(call=call, item="recent_return", ladder=True)
        stands = "return_planned" if call == "as_planned" else "return"
        assert (told["stands"], told["reads_injury"], works) == (stands, True, [])
    assert one(call="talk_first", ladder=True)[0]["stands"] == "talk"


def test_an_open_injury_is_for_a_professional_and_stands_before_all_else():
    told, works = one(call="talk_first", item="open_injury", level="one_family", ladder=True, plan=True)
    assert (told["stands"], told["reads_injury"], works) == ("injury", True, [])
    assert told["headline"] == (
        "A licensed professional sees it before any running; the coach does not decide this one"
    )
    assert "does not decide this one" in told["own_sentence"]
    assert told["waits"].startswith("Waits until a licensed professional has seen it: ")
    assert "the maximal session planned for" in told["waits"]


def test_a_minor_gets_a_light_sled_in_words_and_a_missing_body_mass_is_said():
    told, (work,) = one(age="minor")
    assert work["headline"] == told["headline"] == "Supervised, technique first: light sled starts, three steps"
    assert work["work"].startswith("Under 18: only with the coach beside them")
    assert "no load can be named" in one(mass=False)[1][0]["caution"]


@pytest.mark.parametrize("level", ["one_family", "several_families"])
def test_a_flag_beside_as_planned_asks_about_the_hamstring_first(level: str):
    told, (work,) = one(level=level)
    assert told["sentence"] == "Go on as planned, and ask about the hamstring before fast running."
    assert work["when"] == "Ask about the hamstring first."
    assert "Nothing is unusual" not in told["own_sentence"]
