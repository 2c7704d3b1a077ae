"""What the trade asks of a lap, by the roles of its two sheets and the way that leads through."""

from __future__ import annotations

from dataclasses import dataclass
from math import asin, degrees, pi, radians, sin

from meshes.errors import require
from meshes.parts import Role
from meshes.rules import US_STEP_LAP, lap_for_rise, underlay_lap

LEAST_COVER = 0.150  # [m]
LEAST_SIDE_LAP = 0.025  # [m]
WATER_LINE = 0.065  # [m]

LEVEL_WAY = radians(5)
"""A way that climbs less than this runs across the slope: breadth holds the water there, not rise
[rad]."""
LEAST_CLIMB = radians(11)
"""The handbook's row of laps up the slope begins here: a way that climbs less [rad] is asked no more."""


@dataclass(frozen=True, slots=True)
class Need:
    """A figure of the rule book: least length of a lap [m], the rule in words, where it is from."""

    length: float
    rule: str
    source: str


def need_of(
    upper: Role,
    lower: Role,
    length: float,
    rise: float,
    *,
    wraps: bool = False,
    between_courses: bool = False,
    upright: bool = False,
    square_in: float = pi / 2,
    roof_pitch: float | None = None,
) -> Need | None:
    """The least length of the lap of `upper` over `lower`, or None where the rule book has no rule.

    A way that falls inward is no lap: water runs in by its weight, however long the way.

    length: straight way through the lap, from the weather to the edge that leads behind, above 0
    [m]; rise: how much higher its inner end is, -length to length [m]; wraps: whether the upper
    sheet is folded round the lower's edge; between_courses: whether a course lies between the two;
    upright: whether the lower face is; roof_pitch: of the rafters, 0 to pi/2 [rad], which the
    underlay's rule goes by (None: the way's own).

    square_in: how steeply the way square in from the open edge climbs, -pi/2 to pi/2 [rad]. Where it is
    level the edge stands, or runs down the fall line, and breadth holds the water, however the
    shortest way runs. On an upright face the water line is measured square to an edge that slopes.
    Raises SceneError outside these ranges.
    """
    require(length > 0, "length of a lap", f"{length:g} m", "above 0")
    steepest = abs(rise) <= length * (1 + 1e-9)
    require(steepest, "rise of a lap", f"{rise:g} m", "at most the lap's length")
    climb = asin(max(-1.0, min(1.0, rise / length)))
    if climb < -LEVEL_WAY:
        return None
    if lower is Role.COVERING:
        return _cover() if upper is Role.FLASHING else None
    if lower is not Role.FLASHING:
        return None
    if upper is Role.UNDERLAY:
        return _underlay(roof_pitch or climb) if climb > LEVEL_WAY else None
    if upper not in (Role.FLASHING, Role.COVERING):
        return None
    if between_courses:
        return _interleaved()
    if wraps or climb <= LEVEL_WAY or square_in <= LEVEL_WAY:
        return _side_lap(wraps)
    return _upright(climb, square_in) if upright else _rising(climb)


def _cover() -> Need:
    return Need(
        LEAST_COVER,
        "a cover lies at least 150 mm over the covering",
        "trade guidance on aprons and side flashings, several (seen)",
    )


def _underlay(pitch: float) -> Need:
    length = underlay_lap(pitch)
    return Need(
        length,
        f"unsupported underlay laps {length * 1000:.0f} mm at {degrees(pitch):.0f} degrees",
        "trade guidance on underlay laps (seen)",
    )


def _side_lap(wraps: bool) -> Need:
    what = "an edge folded over another's" if wraps else "a lap across the slope"
    return Need(
        LEAST_SIDE_LAP,
        f"{what} is at least {LEAST_SIDE_LAP * 1000:.0f} mm",
        "common practice, no source",
    )


def _rising(climb: float) -> Need:
    length = lap_for_rise(max(climb, LEAST_CLIMB))
    at = f"{degrees(max(climb, LEAST_CLIMB)):.0f} degrees{'' if climb >= LEAST_CLIMB else ' and less'}"
    return Need(
        length,
        f"a lap up the slope rises 75 mm and is at least 150 mm long: {length * 1000:.0f} mm at {at}",
        "trade guidance citing the sheet-lead manual (seen)",
    )


def _interleaved() -> Need:
    return Need(
        US_STEP_LAP,
        f"a sheet between courses laps the next one down by at least 2 in ({US_STEP_LAP * 1000:.0f} mm)",
        "IRC R905.2.8.3 on step flashing (seen)",
    )


def _upright(climb: float, square_in: float) -> Need:
    return Need(
        WATER_LINE * sin(square_in) / sin(climb),
        f"a lap on an upright face reaches, square to its edge, as high as a side flashing's water line, "
        f"{WATER_LINE * 1000:.0f} mm",
        "trade guidance on side flashings (seen)",
    )
