"""Air: its density, the runner's frontal area, and the drag that follows.

Source of the density formula: "samozino_2016" (from memory); of the area: "dubois_1916" and "pugh_1971"; of the drag
coefficient: "arsac_2002".
"""

import numpy as np

from pipelines.derived.sprint.motion import FloatArray, Real

STANDARD_DENSITY_KG_M3 = 1.293  # kg/m^3, dry air at 0 degrees C and 760 Torr, source: "samozino_2016"
STANDARD_PRESSURE_TORR = 760.0  # Torr, one atmosphere, source: "definition"
ZERO_CELSIUS_K = 273.0  # K, as the source rounds it, source: "samozino_2016"
BODY_SURFACE_FACTOR = 0.2025  # m^2 for kg and m, source: "dubois_1916"
FRONTAL_SHARE = 0.266  # share of body surface that meets the air, source: "pugh_1971"
DRAG_COEFFICIENT = 0.9  # dimensionless, source: "arsac_2002"


def air_density(temperature_c: Real, pressure_torr: Real) -> FloatArray:
    """Return air density in kg/m^3: 1.293 (P/760) 273/(273 + T), P in Torr, T in degrees C."""
    temperature = np.asarray(temperature_c, dtype=np.float64)
    return np.asarray(
        STANDARD_DENSITY_KG_M3
        * (np.asarray(pressure_torr) / STANDARD_PRESSURE_TORR)
        * ZERO_CELSIUS_K
        / (ZERO_CELSIUS_K + temperature)
    )


def frontal_area(mass_kg: Real, height_m: Real) -> FloatArray:
    """Return the area in m^2 that a runner shows the air: 0.2025 h^0.725 m^0.425 times 0.266."""
    mass, height = np.asarray(mass_kg, dtype=np.float64), np.asarray(height_m, dtype=np.float64)
    return np.asarray(BODY_SURFACE_FACTOR * height**0.725 * mass**0.425 * FRONTAL_SHARE)


def drag_constant(mass_kg: Real, height_m: Real, temperature_c: Real, pressure_torr: Real) -> FloatArray:
    """Return k in kg/m of F_air = k (v - w)|v - w|: half of density times area times 0.9. NaN where any is unknown."""
    return np.asarray(
        0.5 * air_density(temperature_c, pressure_torr) * frontal_area(mass_kg, height_m) * DRAG_COEFFICIENT
    )


def drag_force(drag_kg_per_m: Real, speed_mps: Real, tailwind_mps: Real = 0.0) -> FloatArray:
    """Return the air drag in N at a speed with a tailwind: k (v - w)|v - w|. Use a wind only if it was measured."""
    relative = np.asarray(speed_mps, dtype=np.float64) - tailwind_mps
    return np.asarray(drag_kg_per_m * relative * np.abs(relative))
