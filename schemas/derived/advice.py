"""The one advice for an athlete, and the work that goes with it."""

import polars as pl

from schemas import vocabulary as words
from schemas.base import DerivedTable, column
from schemas.records.keys import athlete_key


def _text(description: str, label: str = "", *, nullable: bool = True) -> str:
    said: str = column(description, source="common_practice", nullable=nullable, label=label)
    return said


class Advice(DerivedTable):
    """One row per athlete for the week of today: what comes first, made from everything that is known together.

    From call, hamstring flag, injuries, age, body mass, steps back to running and plan. The first that fits stands:
    an open injury; a talk; steps back to running not yet finished; nobody knows how they are; adapt; go on. Pages,
    prints and the athlete's own sheet read this and nothing else, so that no two of their sentences contradict. A
    proposal for a coach to accept, change or decline: it diagnoses, predicts and clears nothing.
    """

    athlete_id: str = athlete_key()
    week_of: pl.Date = column("Monday of the week it is for.", source="definition", label="Week of")
    day_on: pl.Date = column("Day it was made for.", source="definition", label="Day")
    stands: str = column("What comes first.", source="common_practice", isin=words.ADVICE, label="What comes first")
    adaptation: str = column(
        "How to adapt, by the strongest reason; null where nothing is to be adapted.",
        source="common_practice",
        isin=tuple(words.ADAPTATIONS),
        nullable=True,
        label="How",
    )
    headline: str = _text("In few words, for the coach.", "Work on next", nullable=False)
    sentence: str = _text("In a sentence, for the coach.", "Advice", nullable=False)
    own_headline: str = _text("In few words, for the athlete.", "Today", nullable=False)
    own_sentence: str = _text("In a sentence, for the athlete.", "Today", nullable=False)
    waits: str = _text("What waits until then: a finding of the start, a maximal session of the plan.", "Waits")
    caution: str = _text("What to mind, where work, flag or age ask for it.", "Caution")
    is_minor: bool = column(
        "Whether the athlete is under 18; null without a birth date.", source="definition", nullable=True, label="Minor"
    )
    reads_injury: bool = column(
        "Yes where the words rest on the injury record: such words are for those who may read it.",
        source="definition",
        label="From injuries",
    )

    class Config(DerivedTable.Config):
        """Key."""

        metadata = {"key": ["athlete_id", "week_of"], "title": "Advice"}


class AdvisedWork(DerivedTable):
    """The work on the start that goes with the advice; nothing where the advice holds it back.

    ``start_focus`` says what the evidence speaks for; here stands what of it may be proposed to this athlete this week,
    in words for their age. Nothing heavy or at full effort for somebody on the way back or against the call, none to a
    minor without supervision in words.
    """

    athlete_id: str = athlete_key()
    week_of: pl.Date = column("Monday of the week it is for.", source="definition", label="Week of")
    rank: int = column("1 is the better supported.", source="definition", ge=1, le=2, label="Rank")
    limit: str = column("What limits the start.", source="common_practice", label="Limit")
    headline: str = _text("In few words.", "Work on next", nullable=False)
    when: str = _text("What comes before it; null where nothing does.", "First")
    work: str = _text("Kind of work.", "Work", nullable=False)
    why: str = _text("What speaks for it.", "Why", nullable=False)
    strength: str = column(
        "Strength of evidence, that of the weakest link.",
        source="definition",
        isin=words.EVIDENCE_STRENGTHS,
        label="Strength of evidence",
    )
    source: str = column("Source key.", source="definition", label="Source")
    caution: str = _text("What to mind; stands wherever the work stands.", "Caution", nullable=False)
    caution_short: str = _text("The same in few words, for a line of the sheet.", "Caution", nullable=False)
    would_show: str = _text("What would show that it worked.", "What would show it", nullable=False)

    class Config(DerivedTable.Config):
        """Key."""

        metadata = {"key": ["athlete_id", "week_of", "rank"], "title": "Advised work"}
