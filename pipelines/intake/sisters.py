"""One question for sister files: what starts the clock is asked once for all tables of runs that leave it open."""

import dataclasses
import re
from collections.abc import Iterable, Mapping
from typing import Any

from pipelines.checks.told import speak_of_hand
from schemas.intake import Question

ASKED_ONCE = ("clock_start", "timing_kind", "gate_offset")  # one club mostly has one set of gates
QUOTED_TITLE = re.compile(r" Above it stands .*?\.(?= Is it the same)")
SAME_FOR = "same_for"  # in an answers file: question -> layout -> which table it is
SHOWN = 3  # sources named in the question; own choice


def asked_once(questions: Iterable[Question]) -> list[Question]:
    """Return questions with those of the clock as one each, the most rows first; the tables it is for stand in it.

    What was answered of one of them before is not asked here, and stays.
    """
    every = list(questions)
    made: list[Question] = []
    for ask in ASKED_ONCE:
        alike = [one for one in every if one.ask == ask]
        made += [one for one in alike if _says_hand(one)]  # asked by itself: its clock is none of the others
        some = sorted((one for one in alike if not _says_hand(one)), key=lambda one: -one.rows)
        if len(some) < 2:
            made += some
            continue
        first, others = some[0], some[1:]
        sources = list(dict.fromkeys(one.source for one in some))
        more = f" and {len(sources) - SHOWN} more" if len(sources) > SHOWN else ""
        where = f"{', '.join(sources[:SHOWN])}{more}"
        also = tuple((one.layout, one.source, "; ".join(one.header)) for one in others if one.layout != first.layout)
        own = QUOTED_TITLE.sub("", first.sentence)  # of one of the tables alone
        sentence = f"{own} Asked once for {len(also) + 1} tables of {where}."
        made.append(dataclasses.replace(first, sentence=sentence, also=also, rows=sum(one.rows for one in some)))
    return sorted([*(one for one in every if one.ask not in ASKED_ONCE), *made], key=lambda one: -one.rows)


def _says_hand(one: Question) -> bool:
    """Return whether a table's titles, headers or names speak of timing by hand."""
    return speak_of_hand((*one.header, one.source, one.sheet, *one.cells))


def told_of(question: Question, answer: str) -> dict[str, dict[str, Any]]:
    """Return the answer to a question as that of the other tables it was asked for, by layout."""
    return {
        layout: {question.ask: answer, "headers": headers, "source": source}
        for layout, source, headers in question.also
    }  # fmt: skip


def same_for(question: Question) -> dict[str, str]:
    """Return the other tables a question is for, as an answers file names them."""
    return {layout: f"{source}: {headers}" for layout, source, headers in question.also}


def spread(layouts: dict[str, dict[str, Any]], named: Mapping[str, Mapping[str, Mapping[str, str]]]) -> None:
    """Give the answers of one layout to those it says they are the same for; one with its own answer keeps that."""
    for name, asks in named.items():
        for ask, others in asks.items():
            answer = layouts.get(name, {}).get(ask)
            for layout, place in others.items() if answer and ask in ASKED_ONCE else ():
                source, _, headers = place.partition(": ")
                own = layouts.setdefault(layout, {"source": source, "headers": headers})
                own.setdefault(ask, answer)
