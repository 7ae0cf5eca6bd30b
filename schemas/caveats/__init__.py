"""Why a value is missing or doubtful: a coded word that travels with the row, and its sentence for people."""

from schemas.caveats import general, group, hamstring, load, progress, readiness, sprint, start, strength

AREAS = (general, sprint, start, progress, load, strength, readiness, hamstring, group)


def all_caveats() -> dict[str, str]:
    """Return the sentence of every caveat by its code; a code stands in one area only."""
    sentences: dict[str, str] = {}
    for area in AREAS:
        for code, sentence in area.CAVEATS.items():
            if code in sentences:
                raise ValueError(f"caveat code '{code}' stands in two areas")
            sentences[code] = sentence
    return sentences
