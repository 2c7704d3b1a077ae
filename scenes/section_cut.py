"""What an upright plane cuts of an assembly: sheets as lines, solids as areas, sheets drawn apart."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from meshes.errors import SceneError, require
from meshes.parts import Assembly, Part, Role

Floats = NDArray[np.float64]

SAME: Final = 1e-6
"""Ends of cuts this near to each other are one [m]."""
LEAST_AREA: Final = 1e-6
"""Areas smaller than this are two faces of one sheet that touch [m2]."""
OFF_CORNERS: Final = 1.234e-6
"""The plane is moved by so much [m]: through a corner or along a face nothing is cut cleanly."""

ON_EACH_OTHER: Final = 0.006
"""Flashings that come this near to each other lie on each other [m]."""


@dataclass(frozen=True, slots=True)
class Plane:
    """An upright plane. way: level unit vector that it shows to the right, up the slope where it can,
    else to the right; at: how far it stands off the origin along its normal [m]."""

    way: tuple[float, float]
    at: float

    @staticmethod
    def through(one: tuple[float, float], other: tuple[float, float]) -> Plane:
        """The plane over the line through two points [m] in plan. Raises SceneError where they are one."""
        along = np.subtract(other, one)
        length = float(np.hypot(*along))
        got = f"{one[0] * 1000:g},{one[1] * 1000:g} twice"
        require(length > SAME, "--section", got, "a line through two points", SceneError)
        right, up = (float(part) + 0.0 for part in along / length)
        if (up, right) < (0.0, 0.0):
            right, up = -right, -up
        plane = Plane((right, up), 0.0)
        return Plane(plane.way, float(np.dot(plane.normal, one)))

    @property
    def normal(self) -> Floats:
        """Unit vector (2,) square to it in plan, to the right, or up the slope where it can't."""
        right, up = self.way
        return np.array([up, -right]) if up > 0 else np.array([-up, right])

    @property
    def words(self) -> str:
        """Where it stands, as it is asked for."""
        if self.way == (0.0, 1.0):
            return f"x = {self.at * 1000:g} mm"
        if self.way == (1.0, 0.0):
            return f"y = {self.at * 1000:g} mm"
        turn = np.degrees(np.arctan2(self.way[1], self.way[0]))
        return f"a line {turn:.0f} degrees off level, {abs(self.at) * 1000:.0f} mm from the origin"


@dataclass(frozen=True, slots=True, eq=False)
class Cut:
    """What is cut of one part, in the plane's own coordinates [m]: to the right, and up. lines: where
    it is a sheet; areas: where it is solid."""

    name: str
    lines: tuple[Floats, ...]
    areas: tuple[Floats, ...]

    @property
    def points(self) -> Floats:
        """All its corners (n, 2) [m]."""
        return np.concatenate([*self.lines, *self.areas])


def cut_of(assembly: Assembly, plane: Plane, *, apart: float = 0.0) -> tuple[Cut, ...]:
    """The parts that a plane cuts, in their order.

    apart [m]: flashings are moved to their wet side by so much, and by so much more for each that lies
    beneath them, so that the order in which they lie shows. Raises SceneError where none is cut.
    """
    raw = [found for part in assembly if (found := _cut(part, plane)) is not None]
    flashings = [one for one in raw if one.role is Role.FLASHING]
    if not flashings:
        raise SceneError(f"--section must cut a flashing. Got {plane.words}, which cuts none")
    layers = _layers(flashings)
    cuts = []
    for one in raw:
        off = apart * layers.get(one.name, 0)
        lines = [_moved(line, off, one) for line in one.lines]
        kept = tuple(shapely.get_coordinates(line) for line in lines if not line.is_empty)
        cuts.append(Cut(one.name, kept, one.areas))
    return tuple(cuts)


def bounds_of(cuts: tuple[Cut, ...], roles: Mapping[str, Role]) -> Floats:
    """The bounds (2, 2) [m] of the flashings that are cut."""
    points = np.concatenate([cut.points for cut in cuts if roles[cut.name] is Role.FLASHING])
    return np.stack([points.min(axis=0), points.max(axis=0)])


@dataclass(frozen=True, slots=True, eq=False)
class _Raw:
    """A part as it is cut: lines, or areas; middles (k,) of the faces' cuts, and their wet sides (k, 2)."""

    name: str
    role: Role
    lines: tuple[BaseGeometry, ...]
    areas: tuple[Floats, ...]
    middles: NDArray[np.object_]
    wet: Floats


def _cut(part: Part, plane: Plane) -> _Raw | None:
    ends, wet = _segments(part, plane)
    if not len(ends):
        return None
    middles = shapely.points(ends.mean(axis=1))
    whole = shapely.union_all(shapely.set_precision(shapely.linestrings(ends), SAME))
    if part.role in (Role.STACK, Role.COVERING, Role.DEBRIS):
        solid = shapely.union_all(shapely.get_parts(shapely.polygonize([whole])))
        areas = [area for area in shapely.get_parts(solid) if area.area > LEAST_AREA]
        if areas:
            rings = tuple(shapely.get_coordinates(area.exterior) for area in areas)
            return _Raw(part.name, part.role, (), rings, middles, wet)
    joined = shapely.get_parts(shapely.line_merge(whole))
    lines = tuple(line for line in joined if line.length > SAME)
    return _Raw(part.name, part.role, lines, (), middles, wet) if lines else None


def _layers(flashings: list[_Raw]) -> dict[str, int]:
    """How many sheets lie on each other up to each flashing, itself counted: 1 for the lowest."""
    layers: dict[str, int] = {}
    shapes = {one.name: shapely.union_all(list(one.lines)) for one in flashings}
    for one in flashings:
        near = [
            layers[name]
            for name in layers
            if shapes[one.name].distance(shapes[name]) < ON_EACH_OTHER
        ]
        layers[one.name] = 1 + max(near, default=0)
    return layers


def _segments(part: Part, plane: Plane) -> tuple[Floats, Floats]:
    """Where the plane cuts faces: ends (k, 2, 2) [m], and the wet side's way in the plane (k, 2)."""
    corners = part.vertices[part.faces]
    above = corners[:, :, :2] @ plane.normal - plane.at - OFF_CORNERS
    crossed = (above.min(axis=1) < 0) & (above.max(axis=1) > 0)
    corners, above = corners[crossed], above[crossed]
    if not len(corners):
        return np.zeros((0, 2, 2)), np.zeros((0, 2))
    normal = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    # The corner that stands alone on its side: from it both other sides are cut.
    alone = np.where(
        (above > 0).sum(axis=1) == 1, (above > 0).argmax(axis=1), (above < 0).argmax(axis=1)
    )
    rows = np.arange(len(corners))
    ends = []
    for turn in (1, 2):
        other = (alone + turn) % 3
        share = above[rows, alone] / (above[rows, alone] - above[rows, other])
        start, end = corners[rows, alone], corners[rows, other]
        ends.append(start + share[:, None] * (end - start))
    return _shown(np.stack(ends, axis=1), plane), _shown(normal, plane)


def _shown(vectors: Floats, plane: Plane) -> Floats:
    """Vectors (..., 3) in the plane's own coordinates (..., 2): to the right, and up."""
    return np.stack([vectors[..., :2] @ np.array(plane.way), vectors[..., 2]], axis=-1)


def _moved(line: BaseGeometry, off: float, cut: _Raw) -> BaseGeometry:
    """A line moved by `off` [m] to the wet side of the faces whose cuts it is made of."""
    if off == 0.0 or line.is_ring:
        return line
    points = shapely.get_coordinates(line)
    nearest = int(shapely.distance(shapely.linestrings(points[:2]), cut.middles).argmin())
    way = points[1] - points[0]
    left = np.array([-way[1], way[0]]) @ cut.wet[nearest] > 0
    return shapely.offset_curve(line, off if left else -off, join_style="mitre")
