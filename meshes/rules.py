"""What the trade and the codes ask for, and plain geometry: laps, saddles, soakers, steps, bossing."""

from __future__ import annotations

from math import degrees, inf, pi, sin, sqrt, tan

from meshes.errors import require

RISE_OF_A_LAP = 0.075
SHORTEST_LAP = 0.150
SADDLE_OVER = 30 * 0.0254  # [m] wider stacks need a saddle: IRC R1003.20, seen
SOAKER_MORE = 0.025  # [m] of a soaker beyond gauge and lap: trade guidance, seen
US_STEP_LEG = 4 * 0.0254  # [m] step flashing up the wall and on the roof: IRC R905.2.8.3, seen
US_STEP_LAP = 2 * 0.0254  # [m] of each step flashing over the next: IRC R905.2.8.3, seen


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


def saddle_height(width: float, pitch: float) -> float:
    """Height [m] of a saddle's ridge at the stack: half the stack's width times the pitch's tangent.

    width: of the stack along the ridge, above 0 [m]; pitch: above 0, below pi/2 [rad]. Raises PieceError.
    Source: IRC Table R1003.20 (W/2 at 12:12, seen; W/3 at 8:12, W/4 at 6:12, W/6 at 4:12, W/8 at 3:12,
    memory); that each row is this product is derived. The saddle's planes then have the roof's pitch.
    """
    _length("width", width)
    _pitch(pitch)
    return width / 2 * tan(pitch)


def saddle_needed(width: float, meets_ridge: bool) -> bool:
    """Whether a stack needs a saddle: over 30 in (762 mm) along the ridge, unless it meets the ridge.

    width: above 0 [m]. Raises PieceError. Source: IRC R1003.20, seen.
    """
    _length("width", width)
    return width > SADDLE_OVER + 1e-9 and not meets_ridge


def valley_fall(pitch: float) -> float:
    """Tangent of the fall along the valley between a roof and a saddle of the same pitch [unitless].

    Such a valley runs at 45 degrees in plan, so that it falls over sqrt(2) times the run.
    pitch: above 0, below pi/2 [rad]. Raises PieceError. Source: derived.
    """
    _pitch(pitch)
    return tan(pitch) / sqrt(2)


def soaker_length(gauge: float, head_lap: float) -> float:
    """Length [m] of a soaker up the slope: gauge plus lap plus 25 mm.

    gauge: above 0 [m]; head_lap: 0 or more [m]. Raises PieceError. Source: trade guidance, seen.
    """
    _length("gauge", gauge)
    require(0 <= head_lap < inf, "head lap", f"{head_lap * 1000:g} mm", "0 mm or more")
    return gauge + head_lap + SOAKER_MORE


def step_run(brick_gauge: float, pitch: float) -> float:
    """How far [m] in plan, up the slope, each step of a flashing stands behind the one below it.

    brick_gauge: height of a brick and a joint, above 0 [m]; pitch: above 0, below pi/2 [rad].
    Raises PieceError. Source: exact geometry.
    """
    _length("brick gauge", brick_gauge)
    _pitch(pitch)
    return brick_gauge / tan(pitch)


def bossing_stretch(height: float, turn: float, length: float) -> float:
    """Stretch, as a share of the area, that an upstand bossed round a convex corner asks of a sheet.

    height: of the upstand, above 0 [m]; turn: of its foot at the corner, measured in the flat sheet, 0
    to below pi [rad]; length: how far along each of the two edges the sheet is worked, at least
    height tan(turn/2) [m], where the sheet must double its area. Raises PieceError outside.

    The upstand needs 2 length height. In the flat sheet both its legs lie inside the corner, where they
    want one kite twice: two right-angled triangles with the legs height and height tan(turn/2), the
    corner's bisector as their common side. What is there is 2 length height - height^2 tan(turn/2).
    It is a mean: the upper edge is stretched more, the foot not at all. The mean of a round collar,
    an annulus with the hole's radius r - height stretched to r, is the same for every number of corners.
    Source: derived.
    """
    _length("height", height)
    rule = "0 to below 180 degrees"
    require(0 <= turn < pi, "turn of a bossed corner", f"{degrees(turn):g}", rule)
    shortest = height * tan(turn / 2)
    rule = f"at least {shortest * 1000:.0f} mm here, or the sheet must more than double its area"
    ok = shortest * (1 - 1e-12) <= length < inf and length > 0
    require(ok, "length worked at a bossed corner", f"{length * 1000:g} mm", rule)
    return shortest / (2 * length - shortest)


def _length(name: str, got: float) -> None:
    require(0 < got < inf, name, f"{got * 1000:g} mm", "above 0 mm")


def _pitch(pitch: float) -> None:
    require(0 < pitch < pi / 2, "pitch", f"{degrees(pitch):g}", "above 0 and below 90 degrees")
