"""Strength: lifts and force tests by day."""

from typing import Any

import polars as pl

from schemas import vocabulary as words
from schemas.base import DerivedTable, column


def _kg(text: str, source: str, label: str) -> Any:
    return column(text, unit="kg", source=source, nullable=True, ge=0, label=label)


class StrengthState(DerivedTable):
    """Strength of one athlete on one day, per exercise or force test and side.

    Lifts: the day's best set, with the one-repetition maximum it points to by one formula (Brzycki 1993), and the
    least and most that seven published formulas make of the same set. Force tests: best and mean of the trials per
    side, in newtons and per kilogram; a row with side 'both' sets left against right, with the noise of that
    difference. Change is against own best of the twelve months before; for force tests with the probability that the
    true force has dropped by more than the smallest change that matters. No published cut-off is used.
    """

    athlete_id: str = column("Athlete.", source="definition", label="Athlete")
    measured_on: pl.Date = column("Day of the lift or test.", source="definition", label="Day")
    item: str = column("Exercise or force test.", source="definition", label="Exercise or test")
    side: str = column(
        "Side; 'both' also for left against right.", source="definition", isin=words.TEST_SIDES, label="Side"
    )
    kind: str = column("Lift or force test.", source="definition", isin=("lift", "force"), label="Kind")
    family: str = column(
        "Family the exercise or test counts in.",
        source="definition",
        isin=words.EXERCISE_FAMILIES,
        nullable=True,
        label="Family",
    )
    e1rm_kg: float = _kg(
        "Estimated one-repetition maximum of the best set: 36 x load / (37 - reps), reps in reserve counted; a single "
        "is itself.",
        "brzycki_1993",
        "Estimated maximum",
    )
    e1rm_low_kg: float = _kg("Least of seven published formulas on the same set.", "oconner_1989", "Maximum from")
    e1rm_high_kg: float = _kg("Most of seven published formulas on the same set.", "mayhew_1992", "Maximum to")
    relative_kg_per_kg: float = column(
        "Estimated maximum per kilogram of body mass (last measure within 180 days).",
        unit="kg/kg",
        source="definition",
        nullable=True,
        ge=0,
        label="Per kg body mass",
    )
    allometric_kg: float = column(
        "Estimated maximum over body mass to the power 0.67: for ranking athletes of different size only.",
        unit="kg/kg^0.67",
        source="jaric_2002",
        nullable=True,
        ge=0,
        label="Scaled to size",
    )
    reps: int = column("Repetitions of the best set.", source="definition", nullable=True, ge=1, label="Reps")
    load_kg: float = _kg("Load of the best set besides the body.", "definition", "Load")
    tonnage_kg: float = _kg("Reps x load over all sets of the day; null if a set has no load.", "definition", "Tonnage")
    trials: int = column("Trials of the test.", source="definition", nullable=True, ge=1, label="Trials")
    peak_force_n: float = column("Best trial.", unit="N", source="definition", nullable=True, gt=0, label="Best force")
    mean_force_n: float = column(
        "Mean of the trials: what differences, changes and probabilities are taken from.",
        unit="N",
        source="claudino_2017",
        nullable=True,
        gt=0,
        label="Mean force",
    )
    force_n_per_kg: float = column(
        "Best trial per kilogram of body mass.", unit="N/kg", source="definition", nullable=True, gt=0, label="Per kg"
    )
    mean_force_n_per_kg: float = column(
        "Mean of the trials per kilogram of body mass.",
        unit="N/kg",
        source="definition",
        nullable=True,
        gt=0,
        label="Mean per kg",
    )
    difference_percent: float = column(
        "Right minus left over the larger, of the means: above 0 the right side is stronger.",
        unit="%",
        source="bishop_2016",
        nullable=True,
        ge=-100,
        le=100,
        label="Right to left",
    )
    difference_noise_percent: float = column(
        "Noise of that difference: 1.96 standard errors from the spread of trials, or from repeated tests where no "
        "trials are repeated, pooled over the squad.",
        unit="%",
        source="bishop_2016",
        nullable=True,
        ge=0,
        label="Noise of the difference",
    )
    persistent_side: str = column(
        "The weaker side, where this and the two tests before (within a year) show the same side beyond the noise.",
        source="bishop_2016",
        nullable=True,
        isin=words.SIDES,
        label="Weaker side, three tests",
    )
    change_vs_best_percent: float = column(
        "Change against own best day of the 365 days before, this day left out.",
        unit="%",
        source="definition",
        nullable=True,
        label="Change on own best",
    )
    p_drop: float = column(
        "Probability that the true force has dropped on own best by more than the smallest change that matters. For "
        "force tests only.",
        source="hopkins_probability",
        nullable=True,
        ge=0,
        le=1,
        label="Probability of a drop",
    )
    own_change_percent: float = column(
        "Change against the mean of own tests of the 365 days before, shrunk towards none by the noise; for both sides "
        "of right over left. For force tests only.",
        unit="%",
        source="normal_shrinkage",
        nullable=True,
        label="Own change, shrunk",
    )
    p_fallen: float = column(
        "Probability that it has truly fallen, or the sides truly moved apart, by more than the smallest change that "
        "matters: this test alone, or the last two together.",
        source="normal_shrinkage",
        nullable=True,
        ge=0,
        le=1,
        label="Probability of a loss",
    )
    p_fallen_before: float = column(
        "The same of the test before, at most 90 days earlier and of the same side: what confirms a loss.",
        source="normal_shrinkage",
        nullable=True,
        ge=0,
        le=1,
        label="And in the test before",
    )
    lost_side: str = column(
        "The side that lost against the other, measured on own usual; for both sides only.",
        source="definition",
        nullable=True,
        isin=words.SIDES,
        label="Side that lost",
    )
    sentence: str = column(
        "What a force test says, in words; null for lifts.", source="definition", nullable=True, label="In words"
    )
    reason: str = column("Why a value is null or 'at least'.", source="definition", nullable=True, label="Reason")

    class Config(DerivedTable.Config):
        """Key and place."""

        metadata = {"key": ["athlete_id", "measured_on", "item", "side"], "title": "Strength by day"}
