"""Words by which a file, a tab or a title calls itself a plan: what its days hold was planned, and not done."""

from collections.abc import Iterable

from schemas.spelling import fold

# Folded; common practice, no source. Words that end so are plans too: 'Trainingsplan', 'Wochenplan'.
PLAN_WORDS = frozenset((
    "program", "programme", "programa", "programma", "schedule", "wochenprogramm", "upplagg", "weekschema",
    "trainingsschema", "schema", "planning", "planned", "planificacion", "planification", "pianificazione",
    "planejamento", "planificacio", "planering", "planlegging", "planowanie", "planung",
))  # fmt: skip
PLAN = "plan"


def names_plan(texts: Iterable[str]) -> bool:
    """Return whether a text has a word for a plan, and none of another thing: 'plank' is an exercise."""
    return any(
        word in PLAN_WORDS or word.removesuffix("s").endswith(PLAN) or word in ("plano", "planes", "plany", "planen")
        for text in texts for word in fold(text.replace("_", " ")).split()
    )  # fmt: skip
