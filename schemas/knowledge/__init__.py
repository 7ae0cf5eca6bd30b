"""The sources of knowledge, by key: every formula, value and rule names one of these."""

from schemas.knowledge import attention, general, group, hamstring, load, progress, readiness, sprint, start, strength
from schemas.knowledge.source import Source

AREAS = (general, sprint, start, progress, load, strength, readiness, hamstring, group, attention)


def all_sources() -> dict[str, Source]:
    """Return every source of every area by its key; a key stands in one area only."""
    sources: dict[str, Source] = {}
    for area in AREAS:
        for key, source in area.SOURCES.items():
            if key in sources:
                raise ValueError(f"source key '{key}' stands in two areas")
            sources[key] = source
    return sources
