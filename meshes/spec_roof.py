"""A roof as the builder is told it [m, rad]: pitch, covering, how far it reaches, where its ridge is."""

from __future__ import annotations

from dataclasses import dataclass
from math import atan, radians
from typing import Literal

from meshes.errors import require, within

Covering = Literal["coursed", "profiled", "plain"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Roof:
    """One slope, or two that meet in a ridge. pitch [rad]; lengths [m].

    `below`, `above`, `beside` are plan distances of roof round the stack; `left`, `right` those to a
    verge where they differ from `beside`; `ridge` that from the stack's front to a ridge that it
    stands through (None: it doesn't; then `above` is measured from its back). `wave_depth` and
    `wave_pitch` are those of a profiled covering, trough to crest and crest to crest.
    """

    pitch: float
    covering: Covering = "coursed"
    gauge: float = 0.100
    thickness: float = 0.012
    head_lap: float = 0.065
    double_lap: bool = True
    batten: float = 0.025
    clearance: float = 0.010
    gutter_open: float = 0.040
    below: float = 1.0
    above: float = 1.2
    beside: float = 0.6
    left: float | None = None
    right: float | None = None
    ridge: float | None = None
    wave_depth: float = 0.030
    wave_pitch: float = 0.150
    underlay_front: float = 0.100
    underlay_sides: float = 0.070
    underlay_lap: float | None = None

    def __post_init__(self) -> None:
        within("pitch", self.pitch, radians(10), radians(65), "degrees")
        known = ("coursed", "profiled", "plain")
        require(self.covering in known, "covering", self.covering, "coursed, profiled or plain")
        within("gauge", self.gauge, 0.05, 0.6)
        within("thickness", self.thickness, 0.006, 0.06)
        within("head lap", self.head_lap, 0.02, 0.3)
        within("batten", self.batten, 0.01, 0.1)
        within("clearance", self.clearance, 0.005, 0.1)
        within("gutter open", self.gutter_open, 0.0, 1.0)
        within("roof below", self.below, 0.3, 20)
        within("roof above", self.above, 0.5, 20)
        within("roof beside", self.beside, 0.3, 20)
        for side, room in (("left", self.left), ("right", self.right)):
            if room is not None:
                within(f"roof {side}", room, 0.03, 20)
        if self.ridge is not None:
            within("ridge", self.ridge, 0.1, 6)
        within("wave depth", self.wave_depth, 0.005, 0.08)
        within("wave pitch", self.wave_pitch, 0.06, 0.6)
        steep = f"at most 0.3 of the wave's pitch ({self.wave_pitch * 300:.0f} mm)"
        got = f"{self.wave_depth * 1000:g} mm"
        require(self.wave_depth <= 0.3 * self.wave_pitch + 1e-9, "wave depth", got, steep)
        within("underlay upturn at the front", self.underlay_front, 0.03, 0.2)
        within("underlay upturn at the sides", self.underlay_sides, 0.03, 0.2)
        if self.underlay_lap is not None:
            within("underlay lap", self.underlay_lap, 0.02, 0.5)
        fall = self.covering_pitch
        rule = "more than 2 degrees: a lower pitch needs a longer gauge or a thinner covering"
        require(fall > radians(2), "pitch of the covering itself", f"{fall * 57.29578:.1f}", rule)

    @property
    def tilt(self) -> float:
        """Slope of a course against the rafters, thickness over gauge [unitless]; nil when plain."""
        return self.thickness / self.gauge if self.covering != "plain" else 0.0

    @property
    def covering_pitch(self) -> float:
        """Pitch of the covering's own surface, flatter than the rafters' [rad]."""
        return self.pitch - atan(self.tilt)

    @property
    def course_length(self) -> float:
        """Length of one course from nose to head [m]: twice the gauge plus lap when double-lapped."""
        return self.gauge * (2 if self.double_lap else 1) + self.head_lap
