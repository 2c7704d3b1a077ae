"""The graphics library's camera and ours: the same view, there and back."""

from __future__ import annotations

from math import asin, atan2, radians
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from scenes.stage_camera import Camera, View

Floats = NDArray[np.float64]

STEEPEST: Final = radians(88.5)
"""A view from above looks down so steeply at most: which way is up the slope stays plain."""


def send(lens: Any, camera: Camera, reach: float) -> None:
    """Give the library's camera our view; reach [m]: how far what is shown extends from the focus."""
    view = camera.view
    level = View(view.name, view.azimuth, float(np.clip(view.elevation, -STEEPEST, STEEPEST)))
    focus = np.array(camera.focus)
    lens.SetFocalPoint(*focus)
    lens.SetPosition(*(focus + 2 * reach * level.axes[2]))
    # Turning keeps what is upright upright: the style turns about this vector.
    lens.SetViewUp(0.0, 0.0, 1.0)
    lens.ParallelProjectionOn()
    lens.SetParallelScale(camera.height * camera.scale / 2)


def seen_from(lens: Any, width: float, height: float) -> Camera:
    """The library's camera as ours, over a view of `width` x `height` [px]."""
    x, y, z = -np.array(lens.GetDirectionOfProjection())
    view = View("turned by hand", atan2(x, -y), asin(float(np.clip(z, -1, 1))))
    scale = 2 * lens.GetParallelScale() / height
    focus = lens.GetFocalPoint()
    return Camera(view, (focus[0], focus[1], focus[2]), scale, width, height)
