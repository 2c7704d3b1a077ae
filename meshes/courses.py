"""The covering's courses in section: noses, heels and heads up the slope."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, tan

import numpy as np

from meshes.line import Line
from meshes.spec import Detail, Roof

SHEETS_IN_LAP = 3  # leg, welt and underlay lie between the covering's two courses over the gutter
LEAST_COURSE = 0.030  # [m] a shorter course at the top of the roof would be a sliver


@dataclass(frozen=True, slots=True)
class Course:
    """One course: y and z of the top of its nose, y of its head [m], its body's upright depth [m]."""

    nose_y: float
    nose_z: float
    head_y: float
    depth: float


@dataclass(frozen=True, slots=True)
class Courses:
    """All courses from the eaves up; `over_gutter` is the one whose nose hangs over the back gutter.

    slope: tangent of the courses' own pitch; rise: upright height of a nose above its heel [m];
    sole_end: (y, z) [m] where the back gutter's sole meets its up-slope leg.
    """

    courses: tuple[Course, ...]
    over_gutter: int
    slope: float
    rise: float
    pitch: float
    sole_end: tuple[float, float]

    @property
    def eaves(self) -> float:
        """y of the lowest nose [m]."""
        return self.courses[0].nose_y

    @property
    def top(self) -> float:
        """y of the top edge of the roof [m]."""
        return self.courses[-1].head_y

    def top_of(self, index: int, y: float) -> float:
        """Height z [m] over y of the plane in which course `index` lies, also beyond its ends."""
        course = self.courses[index]
        return course.nose_z + (y - course.nose_y) * self.slope

    def weather_line(self) -> Line:
        """What the weather sees of the courses below the gutter's nose, carried on up: rows (y, z)."""
        shown = self.courses[: self.over_gutter]
        rows = [(shown[0].nose_y, shown[0].nose_z)]
        for index, course in enumerate(shown[1:]):
            rows += [(course.nose_y, self.top_of(index, course.nose_y))]
            rows += [(course.nose_y, course.nose_z)]
        rows.append((self.top, self.top_of(self.over_gutter - 1, self.top)))
        return np.array(rows)

    def nose_line(self) -> Line:
        """The plane through the noses, on which a cover can rest: rows (y, z)."""
        start, end = self.eaves, self.top
        return np.array([(start, start * tan(self.pitch)), (end, end * tan(self.pitch))])

    def deepest(self) -> float:
        """Greatest upright depth [m] of a course's underside below the plane through the noses."""
        depths = [
            course.head_y * tan(self.pitch) - self.top_of(index, course.head_y) + course.depth
            for index, course in enumerate(self.courses)
        ]
        return max(depths)


def courses_of(detail: Detail, *, gutter_face: float, leg_gaps: int) -> Courses:
    """Set the courses out so that one starts just above the back gutter.

    gutter_face: y of the back gutter's upstand [m]; leg_gaps: bedding gaps between the gutter's leg
    and the course below it.
    """
    roof = detail.roof
    end_y = gutter_face + detail.gutter.sole * cos(detail.gutter.sole_fall)
    first_y = end_y + roof.gutter_open * cos(roof.pitch)
    return set_out(roof, detail.gap, first_y=first_y, end_y=end_y, leg_gaps=leg_gaps)


def set_out(
    roof: Roof,
    gap: float,
    *,
    first_y: float,
    end_y: float,
    leg_gaps: int,
    above: float | None = None,
    between: int = 0,
    over: int = SHEETS_IN_LAP,
) -> Courses:
    """Courses with a nose at y = first_y, the lowest that lies over what is behind the stack [m].

    end_y: where the sheet behind the stack meets course below; leg_gaps: bedding gaps between them;
    above: plan length of roof above first_y (None: the roof's; 0: the courses end there); between:
    sheets that lie between each course and the next (soakers); over: sheets under the first course.
    """
    pitch, own = roof.pitch, roof.covering_pitch
    reaches = roof.above if above is None else above
    upright_gap = gap / cos(own)
    if roof.covering == "plain":
        return _plain(roof, end_y, first_y, upright_gap, leg_gaps, reaches, over)
    run = roof.gauge * cos(pitch)
    rise = run * (tan(pitch) - tan(own))
    below = int(np.ceil((roof.below + first_y) / run))
    beyond = int(np.ceil(reaches / run))
    top = first_y + beyond * run
    reach = roof.course_length * cos(own)
    rows = []
    for index in range(-below, beyond):
        nose = first_y + index * run
        lifted = 1 + between + (over if index == 0 else 0)
        rows.append(
            Course(nose, nose * tan(pitch), min(nose + reach, top), rise - lifted * upright_gap)
        )
    below_z = rows[below - 1].nose_z + (end_y - rows[below - 1].nose_y) * tan(own)
    sole_end = (end_y, below_z + leg_gaps * upright_gap)
    return Courses(tuple(rows), below, tan(own), rise, pitch, sole_end)


def _plain(
    roof: Roof,
    end_y: float,
    first_y: float,
    upright_gap: float,
    leg_gaps: int,
    above: float,
    over: int,
) -> Courses:
    """One plane below the gutter and one above it that laps over the gutter's leg."""
    slope, rise = tan(roof.pitch), roof.thickness / cos(roof.pitch)
    top = first_y + above
    lap = min(first_y + roof.head_lap * cos(roof.pitch), top)
    depth = rise - upright_gap
    lower = Course(-roof.below, -roof.below * slope, lap, depth)
    sole_end = (end_y, end_y * slope + leg_gaps * upright_gap)
    if above == 0:
        return Courses((lower,), 1, slope, rise, roof.pitch, sole_end)
    upper = Course(first_y, first_y * slope + rise, top, rise - (1 + over) * upright_gap)
    return Courses((lower, upper), 1, slope, rise, roof.pitch, sole_end)
