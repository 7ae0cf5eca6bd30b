"""What to work on in the start this week."""

import polars as pl

from schemas import vocabulary as words
from schemas.base import DerivedTable, column
from schemas.derived.start import athlete_key

LIMITS = words.START_LIMITS


class StartFocus(DerivedTable):
    """One or two rows per athlete for the week of today: the limits the evidence supports best, and work for them.

    Evidence: patterns seen in at least two free runs and a quarter of those looked at in the last 28 days, scoring
    0.2; strength tests that dropped with the set probability; a hip-hinge lift that rises while the athlete's own
    eccentric hamstring force stands still. 'keep' where at least three runs were looked at and nothing stands out;
    'measure' where data are missing, naming them. A proposal for a coach to accept, change or decline; it diagnoses
    nothing.
    """

    athlete_id: str = athlete_key()
    week_of: pl.Date = column("Monday of the week it is for.", source="definition", label="Week of")
    rank: int = column("1 is the better supported.", source="definition", ge=1, le=2, label="Rank")
    limit: str = column("What limits the start.", source="common_practice", isin=LIMITS, label="Limit")
    score: float = column(
        "How much speaks for it, 0 to 1 per kind of evidence: (runs + clear runs) / (2 x runs looked at); half the "
        "probability of a dropped test; 0.3 for a hinge that outgrew the force. Used for the order only.",
        unit="1",
        source="common_practice",
        nullable=True,
        ge=0,
    )
    headline: str = column("In eight words at most.", source="common_practice", label="Work on next")
    work: str = column("Kind of work.", source="common_practice", label="Work")
    why: str = column("What speaks for it.", source="definition", label="Why")
    strength: str = column(
        "Strength of evidence, that of the weakest link.",
        source="definition",
        isin=words.EVIDENCE_STRENGTHS,
        label="Strength of evidence",
    )
    source: str = column("Source key.", source="definition", label="Source")
    caution: str = column("What to mind.", source="common_practice", label="Caution")
    would_show: str = column("What would show that it worked.", source="definition", label="What would show it")

    class Config(DerivedTable.Config):
        """Key."""

        metadata = {"key": ["athlete_id", "week_of", "rank"], "title": "What to work on"}
