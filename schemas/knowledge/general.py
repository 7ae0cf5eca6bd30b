"""Sources of knowledge used everywhere."""

from schemas.knowledge.source import Source

SOURCES: dict[str, Source] = {
    "definition": Source("A definition, or arithmetic on one.", strength="definition", read="source"),
    "common_practice": Source("Common practice of the trade, no source.", strength="common practice", read="memory"),
    "cgpm_1901": Source(
        "3rd General Conference on Weights and Measures, 1901: standard gravity 9.80665 m/s^2.",
        strength="standard",
        read="memory",
    ),
}
