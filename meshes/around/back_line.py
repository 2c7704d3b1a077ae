"""The section of the sheet behind a stack: over the sides, on the noses, over a sole, up the covering."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import atan, cos, tan

import numpy as np

from meshes.around.lie import Lie
from meshes.courses import Courses
from meshes.errors import require
from meshes.line import Line, between, offset
from meshes.rules import lap_for_rise
from meshes.spec import Detail

BEFORE_NOSE = 0.012  # [m] the sheet has taken up the covering's wave this far before its nose
BEFORE_CORNER = 0.005  # [m] arms lie dressed down as far as this before the stack's corner
DROP_GAPS = 2  # bedding gaps from the upstand to the drop beside the stack

Row = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class BackShape:
    """What is behind the stack [m].

    level_face: y of the upstand along a level back with a raised sole behind it, None without;
    saddle: a saddle's height above the roof at the stack, 0 without; end_y: how far up it reaches in
    the open; leg: along the slope under the covering; leg_gaps: bedding gaps between leg and course.
    """

    face: float
    level_face: float | None
    saddle: float
    end_y: float
    leg: float
    leg_gaps: int


def leg_of(detail: Detail, courses: Courses, underlay_lap: float) -> float:
    """Length [m] of the sheet under the covering, up the slope from its nose. Raises PieceError."""
    if detail.gutter.leg is None:
        return max(lap_for_rise(atan(courses.slope)), underlay_lap + 0.025)
    got = f"{detail.gutter.leg * 1000:g} mm"
    require(detail.gutter.leg >= 0.05, "gutter leg", got, "50 mm or more round such a stack")
    return detail.gutter.leg


def back_lie(
    detail: Detail, courses: Courses, shape: BackShape, wave: Line, *, layer: int, corner_y: float
) -> Lie:
    """What the sheet behind the stack lies along, beside one of its lower corners (at corner_y).

    Below that corner it is dressed down over side flashing and covering; above it rests on the noses
    (and a wave's crests), rises over a sole if there is one, and goes on under the covering.
    layer: bedding gaps above the covering of its dressed ends. Raises PieceError.
    """
    gap, pitch, own = detail.gap, detail.roof.pitch, atan(courses.slope)
    over = courses.over_gutter
    nose, last = courses.courses[over].nose_y, courses.courses[over - 1]
    crest = float(wave[:, 1].max())
    low = corner_y - BEFORE_CORNER

    def plane(y: float) -> Row:
        return (y, y * tan(pitch) + crest + layer * gap / cos(pitch), 0.0)

    def course(y: float, share: float) -> Row:
        lift = shape.leg_gaps * gap / cos(own)
        return (y, courses.top_of(over - 1, y) + lift + (1 - share) * crest, share)

    dressed = courses.nose_line() if detail.cover_fit == "resting" else courses.weather_line()
    fits = 0.0 if detail.cover_fit == "resting" else 1.0
    lifted = between(offset(dressed, layer * gap), courses.eaves + 0.001, low)
    rows: list[Row] = [(float(y), float(z) + (1 - fits) * crest, fits) for y, z in lifted]
    if shape.level_face is not None:
        rows += _over_a_sole(detail, courses, shape, low, plane, course)
    else:
        rows += [plane(y) for y in (low, last.nose_y) if y >= low]
    if crest > 0:
        rows.append(course(nose - BEFORE_NOSE, 1.0))
    rows.append(course(nose + shape.leg * cos(own), 1.0))
    table = np.array(rows)
    rise = np.diff(table[:, 1]) + crest * np.clip(np.diff(table[:, 2]), None, 0)
    moves = np.diff(table[:, 0]) > 1e-7
    require(
        bool((rise[moves] > 0.0005).all()),
        "gutter open",
        f"{detail.roof.gutter_open * 1000:g} mm",
        "longer here, so that the sheet behind the stack falls all the way",
    )
    return Lie(table[:, :2], wave, table[:, 2])


def _over_a_sole(
    detail: Detail,
    courses: Courses,
    shape: BackShape,
    low: float,
    plane: Callable[[float], Row],
    course: Callable[[float, float], Row],
) -> list[Row]:
    assert shape.level_face is not None
    end = course(courses.sole_end[0], 0.0)
    drop = shape.level_face - DROP_GAPS * detail.gap
    front = end[1] - (end[0] - drop) * tan(detail.gutter.sole_fall)
    below = plane(drop)
    require(
        front > below[1] + 0.003,
        "gutter sole",
        f"{detail.gutter.sole * 1000:g} mm",
        "wide enough to stand clear of the covering beside the stack at this pitch",
    )
    resting = [plane(low), below] if drop > low + 1e-4 else []
    return [*resting, (max(drop, low), front, 0.0), end]
