"""The properties of water and air that the physics uses, each with its unit and its source."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True, slots=True)
class Constant:
    """One measured or agreed number."""

    value: float
    unit: str
    source: str


GRAVITY: Final = 9.80665
WATER_DENSITY: Final = 998.2
VISCOSITY: Final = 1.004e-6
SURFACE_TENSION: Final = 0.0728
AIR_DENSITY: Final = 1.204
CODE_PRESSURE: Final = 0.613

TABLE: Final[dict[str, Constant]] = {
    "GRAVITY": Constant(GRAVITY, "m/s2", "standard gravity, by definition (CGPM 1901)"),
    "WATER_DENSITY": Constant(WATER_DENSITY, "kg/m3", "water at 20 C, common tables (memory)"),
    "VISCOSITY": Constant(
        VISCOSITY, "m2/s", "kinematic, water at 20 C: 1.002 mPa s over the density (memory)"
    ),
    "SURFACE_TENSION": Constant(SURFACE_TENSION, "N/m", "water in air at 20 C (memory)"),
    "AIR_DENSITY": Constant(AIR_DENSITY, "kg/m3", "dry air at 20 C and 1013 hPa (memory)"),
    "CODE_PRESSURE": Constant(
        CODE_PRESSURE,
        "Pa s2/m2",
        "pressure of a wind over its speed squared in BS 6399-2 (seen): air of 1.226 kg/m3, colder "
        "than AIR_DENSITY, so the two are never mixed",
    ),
}
