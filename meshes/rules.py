"""Lap lengths that the trade asks for, by the pitch of the surface that the water runs on."""

from __future__ import annotations

from math import degrees, pi, sin

from meshes.errors import require

RISE_OF_A_LAP = 0.075
SHORTEST_LAP = 0.150


def lap_for_rise(pitch: float) -> float:
    """Length [m] of a lap up the slope that rises 75 mm, and at least 150 mm.

    pitch: of the lapped surface itself, above 0 to pi/2 [rad]. Raises PieceError outside.
    Source: trade guidance citing the sheet-lead manual (390 mm at 11 degrees, 290 at 15, 250 at 17.5,
    200 at 22; 150 mm as a floor), seen.
    """
    require(0 < pitch <= pi / 2, "pitch", f"{degrees(pitch):g}", "above 0 to 90 degrees")
    return max(SHORTEST_LAP, RISE_OF_A_LAP / sin(pitch))


def underlay_lap(pitch: float) -> float:
    """Lap [m] of unsupported underlay: 100 mm from 35 degrees, 150 from 15, 225 below.

    pitch: of the rafters, above 0 to pi/2 [rad]. Raises PieceError outside.
    Source: trade guidance on underlay laps (12.5 to 14, 15 to 34, 35 degrees and over), seen.
    """
    require(0 < pitch <= pi / 2, "pitch", f"{degrees(pitch):g}", "above 0 to 90 degrees")
    angle = degrees(pitch) + 1e-9
    if angle >= 35:
        return 0.100
    return 0.150 if angle >= 15 else 0.225
