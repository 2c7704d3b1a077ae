"""Laps of soakers between the courses and of the step flashing over their upturns."""

from __future__ import annotations

from math import cos, radians, sin
from typing import Any

import numpy as np
import pytest

from meshes.around.build import build_around
from meshes.parts import Assembly, Part, Role
from meshes.rules import US_STEP_LAP, US_STEP_LEG
from meshes.spec import BackGutter, Detail, Sides, Stack
from sim.contacts import join_contacts
from sim.laps import Lap, measure_laps
from sim.rulebook import need_of
from sim.surface import Surface
from tests.meshes.around.details_around import COVERINGS, around
from tests.sim.sheets_for_laps import along, on_slope

ROOM = {"clearance": 0.016}
IRC_SIDES = Sides(way="soakers", soaker_width=US_STEP_LEG, soaker_upturn=US_STEP_LEG)
IRC_ROOF = {"gauge": 0.127, "head_lap": US_STEP_LAP}
DEEP = Stack(width=0.59, depth=1.2, height=2.4)


def soaked(pitch_deg: float, covering: str, *, roof: Any = None, **changes: Any) -> Detail:
    """The usual stack with soakers, room for them, and the changes given."""
    settings: dict[str, Any] = {"sides": Sides(way="soakers")}
    return around(pitch_deg, covering, roof=ROOM | (roof or {}), **(settings | changes))


def laps_of(detail: Detail) -> tuple[Lap, ...]:
    return measure_laps(join_contacts(Surface.of(build_around(detail))))


def over(laps: tuple[Lap, ...], upper: str, lower: str) -> list[Lap]:
    """Those of parts with `upper` in their name over parts with `lower` in theirs."""
    return [lap for lap in laps if upper in lap.upper and lower in lap.lower]


def check_all_sound(laps: tuple[Lap, ...], soakers: int) -> None:
    """Every lap is long enough; both sides have the same; each soaker laps the next one down."""
    assert [f"{lap.upper} over {lap.lower}" for lap in laps if not lap.ok] == []
    found = over(laps, "soaker", "soaker")
    below = {(lap.upper, lap.lower) for lap in found}
    sides = ("left", "right")
    pairs = [(f"{s} soaker {n + 1}", f"{s} soaker {n}") for s in sides for n in range(1, soakers)]
    assert below == set(pairs)
    for kind in ("soaker", "step"):
        sizes = [
            sorted(
                (lap.lower[-1], round(lap.length, 5)) for lap in over(laps, f"{side} {kind}", "")
            )
            for side in sides
        ]
        assert sizes[0] == sizes[1]
        assert sizes[0]


@pytest.mark.parametrize(
    ("pitch_deg", "covering", "soakers"),
    [
        (30, "plain tiles", 4),
        (40, "plain tiles", 4),
        (50, "plain tiles", 5),
        (30, "slates", 2),
        (40, "slates", 2),
        (30, "interlocking", 1),
        (50, "interlocking", 1),
    ],
)
def test_usual_soakers_pass_every_lap(pitch_deg: float, covering: str, soakers: int) -> None:
    """Common practice, no source: a soaker gauge + lap + 25 mm long, 100 mm on the roof and 75 mm up
    (trade guidance, seen) with step flashing over it is sound on any covering of courses."""
    check_all_sound(laps_of(soaked(pitch_deg, covering)), soakers)


def test_soakers_of_a_deep_stack_on_interlocking_tiles_lap_each_other() -> None:
    """Common practice, no source: as above, where there is more than one soaker a side."""
    check_all_sound(laps_of(soaked(30, "interlocking", stack=DEEP)), 3)


@pytest.mark.parametrize(
    ("pitch_deg", "covering", "gutter", "soakers"),
    [(30, "plain tiles", 0.12, 3), (40, "plain tiles", 0.12, 4), (30, "interlocking", 0.14, 2)],
)
def test_the_american_step_passes(
    pitch_deg: float, covering: str, gutter: float, soakers: int
) -> None:
    """IRC R905.2.8.3 (seen): 4 by 4 in, each lapping the next by 2 in. Where the last step is higher
    than the usual sheet behind the stack, that is as high as the refusal says (derived)."""
    roof = IRC_ROOF if covering == "plain tiles" else {"head_lap": US_STEP_LAP}
    made = soaked(
        pitch_deg, covering, roof=roof, sides=IRC_SIDES, gutter=BackGutter(upstand=gutter)
    )
    laps = laps_of(made)
    check_all_sound(laps, soakers)
    for lap in over(laps, "soaker", "soaker"):
        assert lap.needed == US_STEP_LAP
        assert "IRC R905.2.8.3" in lap.source


@pytest.mark.parametrize("covering", ["plain tiles", "slates"])
def test_a_soaker_laps_the_next_by_the_head_lap_and_25_mm(covering: str) -> None:
    """Derived: of a soaker gauge + head lap + 25 mm long (trade guidance, seen) the next one leaves bare
    what a gauge along the roof is along the courses, which run flatter. What the covering's own
    head lap is can't be read off its triangles by any rule of the trade, so that it is checked here."""
    told = COVERINGS[covering]
    detail = soaked(40, covering)
    bare = detail.roof.gauge * cos(detail.roof.pitch) / cos(detail.roof.covering_pitch)
    lap = detail.roof.gauge + told["head_lap"] + 0.025 - bare
    found = over(laps_of(detail), "soaker", "soaker")
    assert found
    for each in found:
        assert each.length == pytest.approx(lap, abs=0.001)
        assert each.length > told["head_lap"] + 0.025


@pytest.mark.parametrize("covering", ["plain tiles", "interlocking"])
@pytest.mark.parametrize("upturn", [0.040, 0.060, 0.075])
def test_steps_lap_upturns_by_the_upturn_less_10_mm(covering: str, upturn: float) -> None:
    """Derived: steps end 10 mm over the noses, upturns `upturn` over them. Below the water line's 65 mm
    (trade guidance, seen) the lap is too short: an upturn of 40 mm is."""
    laps = laps_of(soaked(30, covering, sides=Sides(way="soakers", soaker_upturn=upturn)))
    steps = over(laps, "step", "soaker")
    assert len(steps) >= 8
    for lap in steps:
        assert lap.length == pytest.approx(upturn - 0.010, abs=5e-4)
        assert lap.needed == pytest.approx(0.065, abs=5e-4)
        assert lap.ok == (upturn >= 0.075)


def test_a_first_step_without_a_return_is_found_out() -> None:
    """Common practice, no source: returns of 25 to 30 mm at the corners. Without one the first upturn
    ends bare at the corner, a few millimetres from the step's lower edge."""
    sides = Sides(way="soakers", corner_return=0.0)
    laps = laps_of(soaked(40, "plain tiles", sides=sides))
    short = {(lap.upper, lap.lower) for lap in laps if not lap.ok}
    assert short == {(f"{side} step 1", f"{side} soaker 1") for side in ("left", "right")}


# Plain sheets, known exactly.


def course(pitch: float, low: float, high: float, lift: float, thick: float) -> list[Part]:
    """One course as the two faces of a body, its under side `lift` over the slope [m]."""
    top = along(on_slope(pitch, low, high, lift + thick), -0.5, 0.5, name="top", role=Role.COVERING)
    foot = along(on_slope(pitch, low, high, lift), -0.5, 0.5, name="foot", role=Role.COVERING)
    return [top, Part("foot", Role.COVERING, foot.vertices, foot.faces[:, ::-1])]


def between(lap: float, thick: float = 0.012) -> tuple[Lap, ...]:
    """Two sheets on a slope of 30 degrees with a course between them and one over both."""
    pitch, gap = radians(30), 0.001
    lower = along(on_slope(pitch, 0.0, 0.4), -0.1, 0.1, name="lower")
    up = on_slope(pitch, 0.4 - lap, 0.8, 2 * gap + thick)
    upper = along(up, -0.1, 0.1, name="upper")
    courses = course(pitch, -0.05, 0.9, gap, thick)
    courses += course(pitch, 0.4 - lap - 0.007, 1.0, 3 * gap + thick, thick)
    points = np.vstack([part.vertices for part in courses])
    starts = np.cumsum([0] + [len(part.vertices) for part in courses])[:-1]
    faces = np.vstack([part.faces + at for part, at in zip(courses, starts, strict=True)])
    covering = Part("covering", Role.COVERING, points, faces)
    laps = measure_laps(Surface.of(Assembly((lower, upper, covering))))
    return tuple(lap for lap in laps if lap.upper == "upper")


@pytest.mark.parametrize(("lap", "ok"), [(0.03, False), (0.055, True), (0.09, True)])
def test_a_lap_through_a_course_is_measured(lap: float, ok: bool) -> None:
    """Derived: the sheets lie 14 mm apart, so that the foot straight below is that times tan(30
    degrees) farther down; 2 in of IRC R905.2.8.3 (seen) are needed."""
    (found,) = between(lap)
    expected = lap + 0.014 * np.tan(radians(30))
    assert (found.upper, found.lower) == ("upper", "lower")
    assert found.length == pytest.approx(expected, abs=1e-6)
    assert found.width == pytest.approx(0.2, abs=0.02)
    assert found.needed == US_STEP_LAP
    assert found.ok == ok


def test_sheets_far_apart_are_no_lap() -> None:
    """Derived: no common course is thicker than the table's RESTING, 40 mm."""
    assert between(0.09, thick=0.045) == ()


def upright(name: str, off: float, low: float, high: float, front: float, back: float) -> Part:
    """A sheet in the plane x = off [m], wet on the right, its ends upright, its lower and upper edge
    `low` and `high` over a slope of 45 degrees, plumb."""
    corners = [(off, y, y + z) for z in (low, high) for y in (front, back)]
    return Part(name, Role.FLASHING, np.array(corners), np.array([[0, 1, 3], [0, 3, 2]]))


def test_past_an_end_with_a_third_sheet_behind_nothing_leads_behind() -> None:
    """Derived: the way to the middle sheet's upright end, 10 mm from the upper's lower edge, counts only
    where no third sheet lies behind; the other way is up to its top edge, square to the slope."""
    upper = upright("upper", 0.002, 0.010, 0.2, -0.2, 0.2)
    middle = upright("middle", 0.001, 0.0, 0.1, -0.1, 0.4)
    third = upright("third", 0.0, -0.05, 0.2, -0.3, 0.05)
    found = []
    for parts in ((middle, upper), (third, middle, upper)):
        laps = over(measure_laps(Surface.of(Assembly(parts))), "upper", "middle")
        found.append(
            max(laps, key=lambda lap: lap.width)
        )  # the other is at the upper's own back end
    alone, backed = found
    assert alone.length < 0.03  # to its end
    assert backed.length == pytest.approx(0.090 * cos(radians(45)), abs=1e-3)


def test_the_water_line_is_measured_square_to_a_sloping_edge() -> None:
    """Seen: the water line of a side flashing is 65 mm, square to the slope (trade guidance): along a
    slope it rises by that times the cosine of the pitch (derived)."""
    for pitch_deg in (0, 30, 50):
        square = radians(90 - pitch_deg)
        need = need_of(
            Role.FLASHING, Role.FLASHING, 0.1, 0.1 * sin(square), upright=True, square_in=square
        )
        assert need is not None
        assert need.length == pytest.approx(0.065)
    askew = need_of(
        Role.FLASHING, Role.FLASHING, 0.1, 0.1 * sin(radians(40)), upright=True,
        square_in=radians(60),
    )  # fmt: skip
    assert askew is not None
    assert askew.length * sin(radians(40)) == pytest.approx(0.065 * sin(radians(60)))


def test_between_courses_2_in_are_asked_however_steep() -> None:
    """IRC R905.2.8.3 (seen): each step flashing laps the next by 2 in (50.8 mm)."""
    for pitch_deg in (10, 30, 60):
        rise = 0.1 * sin(radians(pitch_deg))
        need = need_of(Role.FLASHING, Role.FLASHING, 0.1, rise, between_courses=True)
        assert need is not None
        assert need.length == pytest.approx(0.0508)
