"""Usual figures of coverings by their trade names: gauge, thickness, head lap, wave."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import radians
from types import MappingProxyType

from meshes.spec_roof import Covering, Roof

FLATTEST = radians(20)
"""Every usual covering must still fall by itself at this pitch: slates' least, NHBC 7.2 Table 21, seen."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Usual:
    """What a covering usually measures [m]; None where it has no such figure.

    covering: how the builder lays it. source: of each figure, and how it is known. Raises PieceError
    for figures that no roof of 20 degrees can have.
    """

    covering: Covering
    source: str
    gauge: float | None = None
    thickness: float | None = None
    head_lap: float | None = None
    double_lap: bool | None = None
    wave_depth: float | None = None
    wave_pitch: float | None = None

    def __post_init__(self) -> None:
        Roof(pitch=FLATTEST, covering=self.covering, **self.figures())  # type: ignore[arg-type]

    def figures(self) -> dict[str, float | bool]:
        """The figures that it has, by the names of `Roof`'s fields."""
        told = {
            "gauge": self.gauge,
            "thickness": self.thickness,
            "head_lap": self.head_lap,
            "double_lap": self.double_lap,
            "wave_depth": self.wave_depth,
            "wave_pitch": self.wave_pitch,
        }
        return {name: value for name, value in told.items() if value is not None}


USUAL: Mapping[str, Usual] = MappingProxyType(
    {
        "plain tiles": Usual(
            covering="coursed",
            gauge=0.100,
            thickness=0.012,
            head_lap=0.065,
            double_lap=True,
            source="head lap: the least of NHBC 7.2 Table 21, seen; gauge: half of what that lap leaves"
            " of a tile 265 mm long (memory); thickness: common practice, no source",
        ),
        "interlocking": Usual(
            covering="coursed",
            gauge=0.345,
            thickness=0.025,
            head_lap=0.075,
            double_lap=False,
            source="head lap: the least of NHBC 7.2 Table 21, seen; gauge: what that lap leaves of a"
            " tile 420 mm long (memory); thickness: common practice, no source",
        ),
        "slates": Usual(
            covering="coursed",
            gauge=0.200,
            thickness=0.008,
            head_lap=0.100,
            double_lap=True,
            source="slates of 500 x 250 mm (memory); head lap: common practice, no source, over the"
            " least of 54 mm in NHBC 7.2 Table 21 (seen); gauge: half of what that lap leaves (derived);"
            " thickness: common practice, no source",
        ),
        "profiled": Usual(
            covering="profiled",
            gauge=0.330,
            thickness=0.020,
            head_lap=0.075,
            double_lap=False,
            wave_depth=0.030,
            wave_pitch=0.150,
            source="head lap: that of interlocking tiles in NHBC 7.2 Table 21, seen; gauge, thickness and"
            " wave: common practice, no source",
        ),
        "one plane": Usual(covering="plain", source="no courses, so no figures"),
    }
)
"""By trade name."""
