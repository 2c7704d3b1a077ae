"""The section of a channel, square to its length, as widths at heights above its lowest point."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

from meshes.errors import SceneError, require

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Section:
    """A section with straight walls between the heights named, upright above the last.

    heights (k,) [m]: from 0 up, two equal ones where a ledge makes the width jump; widths (k,) [m]:
    of the water's surface when it stands there, 0 or more, none shrinking to nothing above the
    bottom. Raises SceneError.
    """

    heights: Floats
    widths: Floats

    def __post_init__(self) -> None:
        y, w = self.heights, self.widths
        shaped = y.ndim == 1 and y.shape == w.shape and len(y) > 0
        require(
            shaped, "heights and widths", (y.shape, w.shape), "as many, one or more", SceneError
        )
        finite = bool(np.isfinite(y).all() and np.isfinite(w).all())
        rising = finite and y[0] == 0 and bool((np.diff(y) >= 0).all())
        require(rising, "heights", y.tolist(), "from 0 up, none lower than the last", SceneError)
        holds = bool((w >= 0).all() and (w[1:-1] > 0).all() and w[-1] > 0)
        require(holds, "widths", w.tolist(), "above 0 over the bottom", SceneError)

    @staticmethod
    def of(heights: Sequence[float], widths: Sequence[float]) -> Section:
        """A section from plain numbers [m]."""
        return Section(np.array(heights, dtype=np.float64), np.array(widths, dtype=np.float64))

    @staticmethod
    def rectangle(width: float) -> Section:
        """A level sole of this width [m] between upright walls."""
        return Section.of([0.0], [width])

    @staticmethod
    def trough(slope: float, height: float = 1.0) -> Section:
        """One upright wall and one that opens by `slope` metres a metre of height [1], up to `height`
        [m], upright above."""
        return Section.of([0.0, height], [0.0, slope * height])

    def top_width(self, depth: ArrayLike) -> Floats:
        """Width of the surface at these depths, shape of the input [m]."""
        y, k = self._found(depth)
        return self.widths[k] + self._rate[k] * (y - self.heights[k])

    def area(self, depth: ArrayLike) -> Floats:
        """Wetted area at these depths, shape of the input [m2]; exact."""
        y, k = self._found(depth)
        up = y - self.heights[k]
        return self._area_below[k] + up * (self.widths[k] + self._rate[k] * up / 2)

    def first_moment(self, depth: ArrayLike) -> Floats:
        """Area times the depth of its centroid below the surface, shape of the input [m3]; exact."""
        y, k = self._found(depth)
        up = y - self.heights[k]
        below = self._moment_below[k] + self._area_below[k] * up
        return below + up**2 * (self.widths[k] / 2 + self._rate[k] * up / 6)

    def _found(self, depth: ArrayLike) -> tuple[Floats, NDArray[np.int64]]:
        y = np.asarray(depth, dtype=np.float64)
        low = float(y.min(initial=0.0))
        require(low >= 0 and bool(np.isfinite(y).all()), "depth", low, "0 or more", SceneError)
        return y, np.searchsorted(self.heights, y, side="right") - 1

    @cached_property
    def _rate(self) -> Floats:
        """By how much the width grows a metre of height, from each height on (k,) [1]."""
        rise = np.diff(self.heights)
        grows = np.divide(np.diff(self.widths), rise, out=np.zeros_like(rise), where=rise > 0)
        return np.append(grows, 0.0)

    @cached_property
    def _area_below(self) -> Floats:
        middle = (self.widths[1:] + self.widths[:-1]) / 2
        return np.append(0.0, np.cumsum(np.diff(self.heights) * middle))

    @cached_property
    def _moment_below(self) -> Floats:
        rise, area = np.diff(self.heights), self._area_below
        own = rise**2 * (2 * self.widths[:-1] + self.widths[1:]) / 6
        return np.append(0.0, np.cumsum(own + area[:-1] * rise))
