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

MORE_THAN_RULE = 0.015  # [m] usual laps are longer than the rule by this
BEFORE_NOSE = 0.012  # [m] the sheet has taken up the covering's wave this far before its nose
AFTER_NOSE = 0.004  # [m] past its nose the sheet lies on the last open course
PAST_COVERS = 0.022  # [m] it rests so far past the stack, over the ends of the sides' covers
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
        return max(lap_for_rise(atan(courses.slope)) + MORE_THAN_RULE, underlay_lap + 0.025)
    got = f"{detail.gutter.leg * 1000:g} mm"
    require(detail.gutter.leg >= 0.05, "gutter leg", got, "50 mm or more round such a stack")
    return detail.gutter.leg


def back_lie(detail: Detail, courses: Courses, shape: BackShape, wave: Line, *, layer: int) -> Lie:
    """What the sheet behind the stack lies along.

    It is dressed down over the courses (or rests on their noses), rises over a sole if there is one,
    and goes on under the covering.
    layer: bedding gaps above the covering of its dressed ends. Raises PieceError.
    """
    gap, own = detail.gap, atan(courses.slope)
    over = courses.over_gutter
    nose = courses.courses[over].nose_y
    crest = float(wave[:, 1].max())

    def course(y: float, share: float) -> Row:
        lift = shape.leg_gaps * gap / cos(own)
        return (y, courses.top_of(over - 1, y) + lift + (1 - share) * crest, share)

    resting = detail.cover_fit == "resting"
    fits = 0.0 if resting else 1.0
    upto = _where_dressed_ends(detail, courses, shape)
    line = courses.nose_line() if resting else courses.weather_line()
    lifted = between(offset(line, layer * gap), courses.eaves + 0.001, upto)
    rows: list[Row] = [(float(y), float(z) + (1 - fits) * crest, fits) for y, z in lifted]
    if shape.level_face is not None:
        rows += _over_a_sole(detail, courses, shape, upto, course)
    if rows[-1][2] < 1:
        rows.append(course(nose - (BEFORE_NOSE if crest > 0 else AFTER_NOSE), 1.0))
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


def _where_dressed_ends(detail: Detail, courses: Courses, shape: BackShape) -> float:
    """y [m] up to which the sheet follows the courses: to the drop before a sole, else to the last
    open course, on whose own slope it goes on."""
    if shape.level_face is not None:
        return sole_drop(detail, shape.level_face)
    last = courses.courses[courses.over_gutter - 1].nose_y
    past = PAST_COVERS if detail.cover_fit == "resting" else AFTER_NOSE
    return max(last, shape.face + past)


def sole_drop(detail: Detail, level_face: float) -> float:
    """y [m] at which the sheet beside the stack drops from the sole's front edge to the covering."""
    return level_face - DROP_GAPS * detail.gap


def _over_a_sole(
    detail: Detail,
    courses: Courses,
    shape: BackShape,
    drop: float,
    course: Callable[[float, float], Row],
) -> list[Row]:
    end = course(courses.sole_end[0], 0.0)
    front = end[1] - (end[0] - drop) * tan(detail.gutter.sole_fall)
    below = courses.top_of(courses.over_gutter - 1, drop)
    require(
        front > below + 5 * detail.gap,
        "gutter sole",
        f"{detail.gutter.sole * 1000:g} mm",
        "wide enough to stand clear of the covering beside the stack at this pitch",
    )
    return [(drop, front, 0.0), end]
