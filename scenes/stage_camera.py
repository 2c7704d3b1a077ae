"""Named views of a stage, parallel or in perspective: points in metres to pixels, and no renderer."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, isfinite, radians, sin, tan

import numpy as np
from numpy.typing import NDArray

from meshes.errors import SceneError, require

Points = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class View:
    """Where the viewer stands. azimuth [rad]: 0 looks up the slope (along +y), positive from the
    right (+x); elevation [rad] above the horizon, -pi/2 to pi/2."""

    name: str
    azimuth: float
    elevation: float

    def __post_init__(self) -> None:
        for what, angle in (("azimuth", self.azimuth), ("elevation", self.elevation)):
            require(isfinite(angle), f"{what} of view {self.name}", angle, "finite", SceneError)
        level = abs(self.elevation) <= radians(90)
        what = f"elevation of view {self.name}"
        require(level, what, self.elevation, "-pi/2 to pi/2", SceneError)

    @property
    def axes(self) -> Points:
        """(3, 3) rows: right on the picture, up on the picture, towards the viewer [unitless]."""
        a, e = self.azimuth, self.elevation
        right = (cos(a), sin(a), 0.0)
        up = (-sin(a) * sin(e), cos(a) * sin(e), cos(e))
        towards = (sin(a) * cos(e), -cos(a) * cos(e), sin(e))
        return np.array([right, up, towards])


VIEWS: tuple[View, ...] = (
    View("eaves", radians(33), radians(42)),
    View("ridge", radians(180 - 33), radians(62)),
    View("left", radians(-75), radians(30)),
    View("right", radians(75), radians(30)),
    View("plan", 0.0, radians(89.9)),
)

SQUARE_ON: tuple[View, ...] = (
    View("front", 0.0, radians(16)),
    View("back", radians(180), radians(62)),
)
"""Square at the stack: from below the front, and down at what is behind it. Drawn when asked for; nothing
chooses them by itself."""

LENS = radians(30)
"""Angle that a picture in perspective takes in from top to bottom: as it is seen from nearly twice its
height away."""

NEAREST = 0.05
"""What is nearer to the eye than this share of its distance is not drawn."""


@dataclass(frozen=True, slots=True)
class Camera:
    """A view fitted to a window of `width` x `height` units (pixels, or what the page counts in).

    focus: the point [m] that stands in the middle; scale [m per unit], above 0, in perspective that at the
    focus; distance: of the eye from the focus [m], None in parallel projection.
    """

    view: View
    focus: tuple[float, float, float]
    scale: float
    width: float
    height: float
    distance: float | None = None

    def __post_init__(self) -> None:
        if self.distance is not None:
            ok = isfinite(self.distance) and self.distance > 0
            require(ok, "distance of the eye", self.distance, "above 0 m", SceneError)
        ok = isfinite(self.scale) and self.scale > 0
        require(ok, "scale", self.scale, "above 0 m per unit", SceneError)
        area, least = f"{self.width} x {self.height}", min(self.width, self.height)
        require(least >= 16, "picture", area, "16 pixels or more each way", SceneError)

    @staticmethod
    def fit(view: View, points: Points, width: float, height: float, margin: float = 0.1) -> Camera:
        """The camera that shows all `points` (n, 3) [m], n >= 1, with `margin` free on each
        side."""
        flat = points @ view.axes.T
        low, high = flat.min(axis=0), flat.max(axis=0)
        focus = (low + high) / 2 @ view.axes
        room = 1 - 2 * margin
        spans = (high[:2] - low[:2]) / (np.array([width, height]) * room)
        scale = max(float(spans.max()), 1e-6)
        return Camera(view, (focus[0], focus[1], focus[2]), scale, width, height)

    @staticmethod
    def near(
        view: View, points: Points, width: float, height: float, margin: float = 0.1
    ) -> Camera:
        """As `fit`, in perspective: the eye stands as near as it can and still see all points.

        Each side of the picture is a plane through the eye that touches the outermost point.
        """
        flat = points @ view.axes.T
        low, high = flat.min(axis=0), flat.max(axis=0)
        half = tan(LENS / 2) * np.array([width / height, 1.0])
        slope = half * (1 - 2 * margin)
        above = (flat[:, :2] + slope * flat[:, 2:]).max(axis=0)
        below = (-flat[:, :2] + slope * flat[:, 2:]).max(axis=0)
        depth = float(low[2] + high[2]) / 2
        distance = max(float(((above + below) / (2 * slope)).max()) - depth, 1e-3)
        focus = np.append((above - below) / 2, depth) @ view.axes
        scale = 2 * half[1] * distance / height
        return Camera(view, (focus[0], focus[1], focus[2]), scale, width, height, distance)

    @property
    def eye(self) -> Points | None:
        """Where the eye stands (3,) [m]; None in parallel projection."""
        if self.distance is None:
            return None
        return np.array(self.focus) + self.distance * self.view.axes[2]

    def towards(self, points: Points) -> Points:
        """Unit vectors to the viewer: (3,), the same for all; in perspective (n, 3), one a point."""
        eye = self.eye
        if eye is None:
            return self.view.axes[2]
        way = eye - points
        return way / np.maximum(np.linalg.norm(way, axis=1, keepdims=True), 1e-9)

    def is_before(self, points: Points) -> NDArray[np.bool_]:
        """Which points (n, 3) [m] lie before the eye, and not all but in it."""
        if self.distance is None:
            return np.ones(len(points), dtype=bool)
        return self._away(np.asarray(points, dtype=float)) > NEAREST

    def project(self, points: Points) -> Points:
        """(n, 3) [m] -> (n, 2) pixels, x to the right and y down from the upper left corner. In
        perspective only points before the eye have a place."""
        offset = (np.asarray(points, dtype=float) - np.array(self.focus)) @ self.view.axes[:2].T
        middle = np.array([self.width / 2, self.height / 2])
        if self.distance is not None:
            offset = offset / np.maximum(self._away(points), NEAREST)[:, None]
        return middle + offset * np.array([1.0, -1.0]) / self.scale

    def _away(self, points: Points) -> Points:
        """How far points (n, 3) [m] lie before the eye, over the distance of the focus (n,)."""
        assert self.distance is not None
        depth = (np.asarray(points, dtype=float) - np.array(self.focus)) @ self.view.axes[2]
        return 1 - depth / self.distance

    def unproject(self, pixels: Points, depth: float = 0.0) -> Points:
        """(n, 2) pixels -> (n, 3) [m], on the plane `depth` [m] before the focus."""
        middle = np.array([self.width / 2, self.height / 2])
        offset = (np.asarray(pixels, dtype=float) - middle) * np.array([1.0, -1.0]) * self.scale
        if self.distance is not None:
            offset = offset * (1 - depth / self.distance)
        right, up, towards = self.view.axes
        plane = np.array(self.focus) + depth * towards
        return plane + offset[:, :1] * right + offset[:, 1:] * up
