"""Sources of knowledge for the area: groups, calendars and planning."""

from schemas.knowledge.source import Source

SOURCES: dict[str, Source] = {
    "cochran_1954": Source(
        "Cochran WG. The combination of estimates from different experiments. Biometrics 1954;10(1):101-129.",
        read="memory",
        note="Q = sum of ((value - weighted mean) / its error)^2 is chi-squared with n - 1 degrees of freedom when all "
        "true values are equal and the errors are known.",
    ),
}
