"""The keys in the corners of the view: scale and fall of the roof, and the wind."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from scenes.colours import INK, PAPER, QUIET_INK, WATER, Colour
from scenes.label_layout import Box
from scenes.picture_page import Page
from scenes.scale_bar import round_length
from scenes.stage_camera import Camera
from scenes.stage_sight import Sight
from scenes.stage_wind import Wind

Floats = NDArray[np.float64]

_KEY_ARM = 150
"""The key's longer arm takes at most this many pixels."""

_KEY_LENGTHS = (0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0)

_WIND_ARM = 52
"""Half the length of the wind's longest arrow [px]."""


def draw_keys(page: Page, sight: Sight, frame: Box) -> list[Box]:
    """The key of scale and fall, and that of the wind if one blows; their boxes [px]."""
    keys = [draw_key(page, sight, frame)]
    if sight.stage.wind is not None:
        keys.append(draw_wind(page, sight.camera, frame, sight.stage.wind))
    return keys


def draw_key(page: Page, sight: Sight, frame: Box) -> Box:
    """Two arms of equal length, across the slope and down it, as they look in this view.

    On a level roof, or none, both arms are level, along -y and x.
    """
    fall = sight.stage.fall
    told = "Arrow: down the slope" if fall is not None else "Both arms level"
    if fall is None:
        fall = np.array([0.0, -1.0, 0.0])
    across = np.cross(fall, [0.0, 0.0, 1.0])
    across /= np.linalg.norm(across)
    flat = sight.camera.view.axes[:2] * np.array([[1.0], [-1.0]]) / sight.camera.scale
    where = "" if sight.camera.eye is None else " in the middle"
    per_metre = max(float(np.linalg.norm(flat @ arm)) for arm in (fall, across))
    length, words = round_length(_KEY_ARM / per_metre, _KEY_LENGTHS)
    down, along = flat @ fall * length, flat @ across * length
    corners = np.array([[0.0, 0.0], down, along])
    size = corners.max(axis=0) - corners.min(axis=0)
    rows = (told, f"Each arm: {words}{where}")
    width = 24 + max([size[0], *(page.measure(row, 15) for row in rows)])
    box = Box(frame.left, frame.bottom - size[1] - 76, frame.left + width, frame.bottom)
    page.box(box, PAPER, QUIET_INK, 1)
    shift = np.array([(box.left + box.right - size[0]) / 2, box.top + 15]) - corners.min(axis=0)
    page.line(np.array([corners[2], corners[0]]) + shift, INK, 2.5)
    _arrow(page, corners[0] + shift, corners[1] + shift, WATER)
    for row, lift in zip(rows, (38, 16), strict=True):
        page.text(box.left + 12, box.bottom - lift, row, 15, INK)
    return box


def draw_wind(page: Page, camera: Camera, frame: Box, wind: Wind) -> Box:
    """Three arrows side by side, level, as the wind blows in this view, over its words."""
    flat = camera.view.axes[:2] @ wind.blow * np.array([1.0, -1.0])
    along = flat / np.linalg.norm(flat)
    side = np.array([-along[1], along[0]])
    reach = _WIND_ARM * np.abs(along) + 32 * np.abs(side)
    width = 24 + max(2 * reach[0], page.measure(wind.side, 16), page.measure(wind.speed, 16))
    box = Box(frame.right - width, frame.top, frame.right, frame.top + 2 * reach[1] + 70)
    page.box(box, PAPER, QUIET_INK, 1)
    middle = np.array([(box.left + box.right) / 2, box.top + 10 + reach[1]])
    for step in (-1, 0, 1):
        half = (0.8 if step else 0.95) * _WIND_ARM * along
        lane = middle + 22 * step * side
        _arrow(page, lane - half, lane + half, INK)
    for row, lift in zip((wind.side, wind.speed), (38, 16), strict=True):
        page.text(box.left + 12, box.bottom - lift, row, 16, INK)
    return box


def _arrow(page: Page, start: Floats, end: Floats, ink: Colour) -> None:
    along = (end - start) / max(float(np.linalg.norm(end - start)), 1e-9)
    side = np.array([-along[1], along[0]])
    page.line(np.array([start, end - 10 * along]), ink, 4)
    page.polygon(np.array([end, end - 16 * along + 8 * side, end - 16 * along - 8 * side]), ink)
