"""Places of races as results write them: '3rd', '2 (h1)', '1Q', 'q'. The place, the round and what else is said."""

import re
from collections.abc import Mapping

import polars as pl

from pipelines.cells.numbers import PLACED, WENT_ON
from pipelines.layouts.rows.parts import PartMaker, Source
from pipelines.layouts.words.match import Match
from schemas.intake import Cells
from schemas.reading import Fact
from schemas.spelling import fold

QUALIFYING = "qualifying"
# 'h1', 'heat 2', 'sf1', 'F', 'final', 'r1': what stands in brackets behind a place; common practice, no source.
ROUND = re.compile(r"(h|heat|sf|semi|semi final|s|qf|r|race|f|finale?|a|b)\.?\s*(\d{0,2})", re.I)
ROUNDS = {"h": "heat", "sf": "semi final", "semi": "semi final", "s": "semi final", "qf": "quarter final", "r": "race",
          "f": "final", "finale": "final", "a": "final a", "b": "final b"}  # fmt: skip


def placed_of(maker: PartMaker, given: Mapping[str, Source]) -> dict[str, Source]:
    """Return what the column of places says besides: the round it is of, where no column says it, and 'Q' as a note.

    Args:
        maker: Of the parts of a sheet of races.
        given: What is told of races already; its note is kept.
    """
    heading = maker.match.of("race_result").get("place")
    if heading is None or f"c{heading.place}" not in maker.rows.columns:
        return {}
    place = f"c{heading.place}"
    said = {text: read_place(text) for text in maker.rows[place].drop_nulls().unique().to_list()}
    if not any(round_ or went for _, round_, went in said.values()):
        return {}
    made = {
        "place": Source(_told({text: one[0] for text, one in said.items()}, place), maker.of(heading, "place").cells)
    }
    if not _says_round(maker.match, maker.facts):
        made["round"] = Source(_told({text: one[1] for text, one in said.items()}, place), Cells(heading.text, ""))
    note = _told({text: one[2] for text, one in said.items()}, place)
    before = given.get("note") or maker.values("race_result").get("note")
    if before is not None:
        note = pl.concat_str([before.expr, note], separator="; ", ignore_nulls=True)
        note = pl.when(note == "").then(None).otherwise(note)
    return {**made, "note": Source(note, Cells(heading.text, ""))}


def read_place(text: str) -> tuple[str | None, str | None, str | None]:
    """Return the place, the round and the remark that a cell says: '2 (h1)' is 2, 'heat 1', None."""
    plain = text.strip()
    if WENT_ON.fullmatch(plain):  # whoever goes on to the next round has not run the final
        return None, QUALIFYING, plain
    placed = PLACED.fullmatch(plain)
    if placed is None:
        return text, None, None
    inside = ROUND.fullmatch((placed[3] or "").strip())
    round_ = QUALIFYING if placed[2] else None
    counted = re.fullmatch(r"[a-z][a-z ]{0,14} ?\d{1,2}", fold(placed[3] or ""))  # 'serie 1', 'Vorlauf 2': as written
    if inside is not None:
        word = inside[1].lower()
        round_ = f"{ROUNDS.get(word, word)} {inside[2]}".strip()
    elif counted is not None:
        round_ = counted[0]
    remark = ", ".join(one for one in (placed[2], None if inside or counted else placed[3]) if one)
    return placed[1], round_, remark or None


def _says_round(match: Match, facts: Mapping[str, Fact]) -> bool:
    return "round" in match.of("race_result") or "round" in facts


def _told(said: Mapping[str, str | None], place: str) -> pl.Expr:
    return pl.col(place).replace_strict(dict(said), default=None, return_dtype=pl.String)
